"""Secrets known by their shape alone: tokens, keys in groups, hexadecimal digits, random letters.

Digests and UUIDs have such shapes as well, and people write them down openly: they are none.
"""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Final

FEWEST_RANDOM: Final = 20
"""Fewest letters and digits of a token that is judged by how its letters and digits change."""

# Shares of neighbours of unlike class (upper case, lower case, digit) that are expected of random
# letters and digits: 62 characters 0.62, upper case and digits 0.40, base 32 (RFC 4648) 0.30. Names,
# dates and paths come to less than half of that.
_MIXED_CASE: Final = 0.4
_ONE_CASE: Final = 0.18

_ACCESS_KEY: Final = range(38, 45)
"""Characters of a secret access key in base64, 40 as a rule: common practice, no source."""

_WORDLESS: Final = 0.3
"""The share that is enough for one of that length without a word in it."""

PRIVATE_KEY: Final = re.compile(r"-----\s*BEGIN [A-Z0-9 ]*PRIVATE KEY|User-Key-File-[0-9]", re.IGNORECASE)
WEB_TOKEN: Final = re.compile(
    r"\beyJ[\w-]{8,}\.[\w-]{8,}\.", re.ASCII
)  # RFC 7519: a JSON object in base64url
URL_PASSWORD: Final = re.compile(r"\b[a-z][a-z0-9+.-]*://[^\s/:@]*:[^\s/@]+@", re.IGNORECASE)

# What services put in front of the tokens they give out; from memory.
_PREFIXED: Final = re.compile(
    r"(?<![0-9A-Za-z_-])(?:gh[oprsu]_[A-Za-z0-9]{20,}|github_pat_\w{20,}|glpat-[\w-]{16,}|xox[a-z]-[\w-]{10,}"
    r"|A[KS]IA[A-Z0-9]{16}|AIza[\w-]{30,}|sk-(?:[a-z]+-)?(?=[\w-]*[a-z])(?=[\w-]*[A-Z])(?=[\w-]*[0-9])[\w-]{16,})",
    re.ASCII,
)

_STRONG: Final = re.compile(r"[^\s/\\@]{8,64}")
_NUMBERED: Final = re.compile(r"[^\W\d_]+[#&][\w-]*", re.ASCII)
"""``Order#4500123``, ``R&D-Lab4``: no password."""

_WORD: Final = re.compile(r"[A-Z]?[a-z]{2,}[0-9]*")
_NUMBERED_NAME: Final = re.compile(r"[A-Za-z]*[0-9]*")
_GROUPS: Final = re.compile(r"(?<![\w-])[A-Za-z0-9]{4,12}(?:[- .][A-Za-z0-9]{4,12}){2,11}(?![\w-])")
_TOKEN: Final = re.compile(r"(?<![\w.\\])[A-Za-z0-9+/_=-]{20,}")
_HEX: Final = re.compile(
    r"(?<![0-9A-Za-z])(?:(?:0x)?[0-9A-Fa-f]{32,}|(?:[0-9A-Fa-f]{2}[: ]){15,}[0-9A-Fa-f]{2})(?![0-9A-Za-z])"
)
_NO_SECRET: Final = re.compile(
    # RFC 9562, section 4: the form of a UUID.
    r"(?<![0-9A-Za-z-])[0-9a-f]{8}-(?:[0-9a-f]{4}-){3}[0-9a-f]{12}(?![0-9A-Za-z-])"
    # FIPS 180-4 and RFC 1321: digests of 32 to 128 hexadecimal digits.
    r"|\b(?:sha-?[0-9]{0,3}|md5|digest|checksum|check sum|fingerprint|pr\u00fcfsumme)\b[^0-9A-Za-z]{1,4}"
    r"(?:[\w.-]{1,40}[ :=(]{1,3}){0,3}(?:[0-9a-f]{32,128}|(?:[0-9a-f]{2}:){15,63}[0-9a-f]{2})"
    r"(?![0-9A-Za-z])"
    # ISO 13616: the form of an IBAN.
    r"|\bIBAN\b[: ]{1,3}[a-z]{2}[0-9]{2}(?: ?[0-9a-z]{1,4}){3,8}(?![0-9A-Za-z-])",
    re.IGNORECASE,
)


def is_prefixed(text: str) -> bool:
    """Whether a text holds a token that begins as those of a service do."""
    return bool(_PREFIXED.search(text))


def has_strong_word(text: str) -> bool:
    """Whether a word of a text mixes upper case, lower case, digits and signs as passwords do."""
    words = text.split()
    if len(words) == 1:
        return is_strong(words[0])
    # At its end a sign may belong to the sentence, and to the name of a share.
    return any(is_strong(word.strip("\"'`()[]{}<>,;.:?!*$"), "!$^~#") for word in words)


def is_strong(word: str, signs: str = "!$%^&*?~#") -> bool:
    """Whether one word is of upper and lower case, digits and signs that names do not have."""
    return bool(
        _STRONG.fullmatch(word)
        and any(c in signs for c in word)
        and any(c.islower() for c in word)
        and any(c.isupper() for c in word)
        and any(c.isdigit() for c in word)
        and not _NUMBERED.fullmatch(word)
    )


def key_in(text: str) -> str:
    """What kind of key a text holds: ``random``, ``reference`` for one that an order may have; or empty.

    An order or a licence has groups, or letters of one case with digits, 32 hexadecimal ones at most;
    random letters of both cases, longer ones and a recovery key of digits alone no order has.
    """
    text = _NO_SECRET.sub(" ", text)
    found = {_hex_kind(match[0]) for match in _HEX.finditer(text)}
    found |= {_group_kind(match[0]) for match in _GROUPS.finditer(text)}
    found |= {_token_kind(match[0]) for match in _TOKEN.finditer(text)}
    return "random" if "random" in found else "reference" if "reference" in found else ""


def _hex_kind(text: str) -> str:
    return "reference" if len(text) == 32 else "random"


def _group_kind(text: str) -> str:
    """Whether groups of one length are those of a licence key: 5 x 5, 4 x 4, or 8 x 6 digits."""
    groups = re.split("[- .]", text)
    dashed = "-" in text and " " not in text
    keys = [
        groups[at : at + number]
        for number in range(3, len(groups) + 1)
        for at in range(len(groups) - number + 1)
        if _are_a_key(groups[at : at + number], dashed)
    ]
    if any(len(key) >= 8 and all(one.isdigit() for one in key) for key in keys):
        return "random"
    return "reference" if keys else ""


def _are_a_key(groups: list[str], dashed: bool) -> bool:
    size, number = len(groups[0]), len(groups)
    if any(len(one) != size for one in groups):
        return False
    if all(one.isdigit() for one in groups):
        return number >= 5 and (size >= 5 or dashed)
    mixed = sum(not one.isdigit() and not one.isalpha() for one in groups)
    upper = not any(c.islower() for one in groups for c in one)
    if upper:
        return number * size >= 15 and (mixed >= 2 or (number >= 5 and size >= 5))
    odd = sum(not _NUMBERED_NAME.fullmatch(one) for one in groups)
    return (number * size >= 20 and mixed >= 3) or (number * size >= 16 and odd >= 3)


def _kind(character: str) -> str:
    return "digit" if character.isdigit() else "upper" if character.isupper() else "lower"


def _token_kind(token: str) -> str:
    """Whether letters and digits change as they do in what no person thought of."""
    runs = [run for run in re.split(r"[+/_=-]+", token) if run]
    characters = "".join(runs)
    if len(characters) < FEWEST_RANDOM:
        return ""
    share = sum(_kind(a) != _kind(b) for run in runs for a, b in pairwise(run)) / len(characters)
    several = any(c.islower() for c in characters) and any(c.isupper() for c in characters)
    digits = any(c.isdigit() for c in characters)
    if not several:  # without digits it is one long word
        return "reference" if digits and share >= _ONE_CASE else ""
    wordless = digits and len(token) in _ACCESS_KEY and not any(map(_WORD.fullmatch, runs))
    return "random" if share >= (_WORDLESS if wordless else _MIXED_CASE) else ""
