"""Refusing secrets: what resembles a password, a key or a token has no place in a worksheet.

No detector finds all of them. This one looks at shapes, and prefers to miss a password of plain
words over refusing the words in which people say where a password is kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from typing import Any, Final, NamedTuple

from pcaudit.core.places import Path, dotted
from pcaudit.errors import Mistake, Place

FEWEST_RANDOM: Final = 20
"""Fewest letters and digits of a token that is judged by how its letters and digits change."""

# Shares of neighbours of unlike class (upper case, lower case, digit) that are expected of random
# letters and digits: 62 characters 0.62, upper case and digits 0.40, base 32 (RFC 4648) 0.30. Names,
# dates and paths come to less than half of that.
_MIXED_CASE: Final = 0.4
_ONE_CASE: Final = 0.18

_PRIVATE_KEY: Final = re.compile(r"-----\s*BEGIN [A-Z0-9 ]*PRIVATE KEY|User-Key-File-[0-9]", re.IGNORECASE)
_WEB_TOKEN: Final = re.compile(
    r"\beyJ[\w-]{8,}\.[\w-]{8,}\.", re.ASCII
)  # RFC 7519: a JSON object in base64url
_URL_PASSWORD: Final = re.compile(r"\b[a-z][a-z0-9+.-]*://[^\s/:@]*:[^\s/@]+@", re.IGNORECASE)

_WORDS: Final = (
    r"pass[ _-]?words?|pass[ _-]?phrase|pass[ _-]?code|passwd|pwd|pw|pin|secret|token|passwort|kennwort"
    r"|mot de passe|(?:api|private|licen[cs]e|product|recovery|activation|access)[ _-]?key"
)
_NAMED: Final = re.compile(rf"(?<![\w-])(?:{_WORDS})\s*(=|:|->|\bis\b)\s*(\S+)([^\n]*)", re.IGNORECASE)
_SECRET_KEY: Final = re.compile(rf"(?:{_WORDS}|key)", re.IGNORECASE)
# What people write where a password would stand, and which is none.
_HARMLESS: Final = frozenset(
    (
        *("unknown", "none", "open", "sealed", "safe", "later", "kept", "changed", "blank", "empty"),
        *("missing", "requested", "lost", "written", "stored", "held", "known", "needed", "required"),
        *("with", "never", "true", "false"),
    )
)
_PLAIN: Final = re.compile(r"[^\W\d_]+(?:[.'-][^\W\d_]*)*")
_QUOTES: Final = "\"'`()[]{}<>,;.\u201c\u201d\u2018\u2019"
_STRONG: Final = re.compile(r"[^\s/\\@]{8,64}")

_GROUPS: Final = re.compile(r"(?<![\w-])[A-Za-z0-9]{4,12}(?:[- ][A-Za-z0-9]{4,12}){2,11}(?![\w-])")
_TOKEN: Final = re.compile(r"(?<![\w.\\])[A-Za-z0-9+/_=-]{20,}")
_HEX: Final = re.compile(
    r"(?<![0-9A-Za-z])(?:[0-9A-Fa-f]{32,}|(?:[0-9A-Fa-f]{2}[: ]){15,}[0-9A-Fa-f]{2})(?![0-9A-Za-z])"
)


class Secret(NamedTuple):
    """What a text resembles; ``reference`` says whether it may be an order number all the same."""

    what: str
    reference: bool


def resembles(text: str) -> Secret | None:
    """What secret a text resembles; None where it resembles none."""
    if _PRIVATE_KEY.search(text):
        return Secret("a private key", reference=False)
    if _WEB_TOKEN.search(text):
        return Secret("a token", reference=False)
    if _URL_PASSWORD.search(text):
        return Secret("an address with a password", reference=False)
    if any(_is_given(*match.groups()) for match in _NAMED.finditer(text)) or _is_strong(text.strip()):
        return Secret("a password", reference=False)
    if _is_key(text):
        return Secret("a key", reference=True)
    return None


def _is_given(sign: str, first: str, rest: str) -> bool:
    """Whether what follows "password:" is one, and not a word on where it is kept."""
    value = first.strip(_QUOTES)
    if value.casefold() in _HARMLESS or len(value) < 4:
        return False
    if not _PLAIN.fullmatch(value):
        return True
    alone = not rest.strip(_QUOTES + " ")
    return alone and sign != "is" and value.islower()


def _is_strong(text: str) -> bool:
    """One word of upper and lower case, digits and signs that names do not have."""
    return bool(
        _STRONG.fullmatch(text)
        and any(c in "!$%^&*?~#" for c in text)
        and any(c.islower() for c in text)
        and any(c.isupper() for c in text)
        and any(c.isdigit() for c in text)
    )


def _is_key(text: str) -> bool:
    if _HEX.search(text):
        return True
    if any(_in_groups(match[0]) for match in _GROUPS.finditer(text)):
        return True
    return any(_is_random(match[0]) for match in _TOKEN.finditer(text))


def _in_groups(text: str) -> bool:
    """Whether groups of one length are those of a licence key: 5 x 5, 4 x 4, or 8 x 6 digits."""
    groups = re.split("[- ]", text)
    return any(
        _are_a_key(groups[at : at + number])
        for number in range(3, len(groups) + 1)
        for at in range(len(groups) - number + 1)
    )


def _are_a_key(groups: list[str]) -> bool:
    size, number = len(groups[0]), len(groups)
    if any(len(one) != size for one in groups):
        return False
    if all(one.isdigit() for one in groups):
        return number >= 5 and size >= 5
    mixed = sum(not one.isdigit() and not one.isalpha() for one in groups)
    upper = not any(c.islower() for one in groups for c in one)
    if upper:
        return number * size >= 15 and (mixed >= 2 or (number >= 5 and size >= 5))
    return number * size >= 20 and mixed >= 3


def _kind(character: str) -> str:
    return "digit" if character.isdigit() else "upper" if character.isupper() else "lower"


def _is_random(token: str) -> bool:
    """Whether letters and digits change as they do in what no person thought of."""
    runs = [run for run in re.split(r"[+/_=-]+", token) if run]
    characters = "".join(runs)
    if len(characters) < FEWEST_RANDOM:
        return False
    changes = sum(_kind(a) != _kind(b) for run in runs for a, b in pairwise(run))
    several = any(c.islower() for c in characters) and any(c.isupper() for c in characters)
    if not several and not any(c.isdigit() for c in characters):
        return False  # one long word
    return changes / len(characters) >= (_MIXED_CASE if several else _ONE_CASE)


# -- in a worksheet

_HINT: Final = "write who holds it and where it is kept, never the secret itself"
_REFERENCE: Final = "; reference = true in the same table of [arrangements] marks an order number"


def secrets_in(data: Mapping[str, Any], text: str, place: Callable[[Path], Place]) -> list[Mistake]:
    """Every text of a worksheet that resembles a secret, comments too.

    Args:
        data: The parsed document.
        text: Its text.
        place: Finds the place of a key in it.

    Returns:
        Mistakes that name line and key and repeat nothing of the text.
    """
    found = list(_in_table(data, (), False, place))
    file = place(()).file
    for number, line in enumerate(text.split("\n"), 1):
        secret = resembles(_comment(line))
        if secret:
            found.append(_mistake("a comment", secret, Place(file, number), ""))
    return found


def secrets_in_lines(text: str, file: str) -> list[Mistake]:
    """The same for a text that is no TOML: every line of it that resembles a secret."""
    return [
        _mistake("", secret, Place(file, number), "")
        for number, line in enumerate(text.split("\n"), 1)
        if (secret := resembles(line))
    ]


def _in_table(
    table: Mapping[str, Any], path: Path, reference: bool, place: Callable[[Path], Place]
) -> Iterator[Mistake]:
    reference = reference or (path[:1] == ("arrangements",) and table.get("reference") is True)
    for key, value in table.items():
        secret = resembles(key)
        if secret:  # the key itself: its name must not be repeated either
            yield _mistake(dotted(path), secret, _bare(place((*path, key))), "")
        elif _SECRET_KEY.fullmatch(key) and value not in ("", [], {}) and not isinstance(value, Mapping):
            yield _mistake(
                dotted((*path, key)), Secret("a secret", reference=False), _bare(place((*path, key))), ""
            )
        else:
            yield from _in_value(value, (*path, key), reference, place)


def _in_value(value: Any, path: Path, reference: bool, place: Callable[[Path], Place]) -> Iterator[Mistake]:
    if isinstance(value, Mapping):
        yield from _in_table(value, path, reference, place)
    elif isinstance(value, list):
        for index, one in enumerate(value):
            yield from _in_value(one, (*path, index), reference, place)
    elif isinstance(value, str):
        secret = resembles(value)
        if secret and not (secret.reference and (reference or path[:1] == ("use",))):
            arranged = path[:1] == ("arrangements",) and secret.reference
            yield _mistake(dotted(path), secret, _bare(place(path)), _REFERENCE if arranged else "")


def _bare(place: Place) -> Place:
    return place._replace(text="")


def _mistake(key: str, secret: Secret, place: Place, more: str) -> Mistake:
    return Mistake(key, f"this resembles {secret.what}, and a worksheet holds no secret", _HINT + more, place)


def _comment(line: str) -> str:
    """What stands behind the first ``#`` outside quotes."""
    quote = ""
    for at, character in enumerate(line):
        if quote:
            quote = "" if character == quote else quote
        elif character in "\"'":
            quote = character
        elif character == "#":
            return line[at + 1 :]
    return ""
