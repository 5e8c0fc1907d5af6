"""Secrets that stand behind their name: ``password: ...``, ``PIN 4711-88``, ``WLAN-Schlüssel: ...``.

Common practice, no source: what people call secrets in the languages of the labs that may fill one in.
"""

from __future__ import annotations

import re
from typing import Final

_WORDS: Final = (
    r"pass[ _-]?w[o0]rds?|pass[ _-]?phrases?|pass[ _-]?codes?|passwd|pwd|pw|pin(?:[ _-]?code)?|secret|token"
    r"|(?:wlan|wifi|admin|bios|boot|root)?[ _-]?(?:passwort|kennwort)|contrase[n\u00f1]a|mot de passe|senha"
    r"|wachtwoord|zugangsdaten"
)
_KEY: Final = (
    r"(?:api|private|licen[cs]e|product|recovery|activation|access|secret|serial|pre-?shared|encryption"
    r"|wpa[23]?|wlan|wi-?fi|lizenz|produkt|aktivierungs|wiederherstellungs|netzwerk)"
    r"[ _-]?(?:key|schl(?:\u00fc|ue)ssel)"
)
_CODE: Final = (
    r"(?:activation|authori[sz]ation|access|unlock|licen[cs]e|recovery|door|aktivierungs|freischalt|zugangs)"
    r"[ _-]?code"
)
LABELS: Final = f"{_WORDS}|{_KEY}|{_CODE}"

_NAMED: Final = re.compile(
    rf"(?<![\w-])(?:{LABELS})\s*(=|:|->|\b(?:is|ist|lautet|est|es)\b)\s*(\S+)([^\n]*)", re.IGNORECASE
)
_BARE: Final = re.compile(rf"(?<![\w-])(?:{LABELS})\s+([^\s=:]\S*)", re.IGNORECASE)
_PASS: Final = re.compile(r"(?<![\w-])pass\s*[=:]\s*([a-z]\S*)", re.IGNORECASE)
_PHRASE: Final = re.compile(r"(?<![\w-])pass[ _-]?phrase\s*[=:]\s*([^\n]+)", re.IGNORECASE)
_LOGIN: Final = re.compile(
    r"(?<![\w-])(?:log[ -]?in|credentials|anmeldung)\b\W{0,3}[\w.@-]+\s*/\s*([^\s/\\.]{6,})(?!\S)",
    re.IGNORECASE,
)
_LABEL: Final = re.compile(rf"(?<![^\W_])(?:{LABELS}|pass|key)(?![^\W_])", re.IGNORECASE)
SECRET_KEY: Final = re.compile(rf"(?:{LABELS}|pass|key)", re.IGNORECASE)

# What people write where a password would stand, and which is none.
_HARMLESS: Final = frozenset(
    (
        *("unknown", "none", "open", "sealed", "safe", "later", "kept", "changed", "blank", "empty"),
        *("missing", "requested", "lost", "written", "stored", "held", "known", "needed", "required"),
        *("with", "never", "true", "false"),
    )
)
# Words of which sentences on where a passphrase is kept are made, and passphrases hardly ever.
_OF_SENTENCES: Final = frozenset(
    (
        *("in", "at", "on", "by", "to", "of", "with", "from", "see", "ask", "is", "are", "has", "the", "a"),
        *("and", "or", "not", "for", "under", "behind", "room", "safe", "drawer", "folder", "envelope"),
        *("bei", "beim", "im", "am", "in", "der", "die", "das", "den", "dem", "hat", "liegt", "und", "von"),
    )
)
_FEWEST_WORDS: Final = 3
_PLAIN: Final = re.compile(r"[^\W\d_]+(?:[.'-][^\W\d_]*)*")
_LETTER_GROUPS: Final = re.compile(r"[A-Z]{4,6}(?:-[A-Z]{4,6}){2,}", re.ASCII)
_DAY: Final = re.compile(r"(?:19|20)[0-9]{2}(?:[-/.][0-9]{1,2}){0,2}|[0-9]{1,2}[./][0-9]{1,2}[./][0-9]{2,4}")
_QUOTES: Final = "\"'`()[]{}<>,;.\u201c\u201d\u2018\u2019\u201e"


def is_labelled(text: str) -> bool:
    """Whether a text gives a secret by its name: a password, a PIN, a code, a key."""
    return (
        any(_is_given(*match.groups()) for match in _NAMED.finditer(text))
        or any(_is_code(match[1]) for match in _BARE.finditer(text))
        or any(_has_digit(match[1]) for pattern in (_PASS, _LOGIN) for match in pattern.finditer(text))
        or any(_is_phrase(match[1]) for match in _PHRASE.finditer(text))
    )


def has_label(text: str) -> bool:
    """Whether a text names a secret at all, with or without one behind it."""
    return bool(_LABEL.search(text))


def _is_given(sign: str, first: str, rest: str) -> bool:
    """Whether what follows "password:" is one, and not a word on where it is kept."""
    value = first.strip(_QUOTES)
    if value.casefold() in _HARMLESS or len(value) < 4 or _DAY.fullmatch(value):
        return False
    if not _PLAIN.fullmatch(value):
        return True
    alone = not rest.strip(_QUOTES + " ")
    return alone and sign in ("=", ":", "->") and (value.islower() or bool(_LETTER_GROUPS.fullmatch(value)))


def _is_code(text: str) -> bool:
    """Whether what follows "PIN" without a sign between is one."""
    value = text.strip(_QUOTES)
    return len(value) >= 4 and _has_digit(value) and not _DAY.fullmatch(value)


def _has_digit(text: str) -> bool:
    return any(c.isdigit() for c in text)


def _is_phrase(text: str) -> bool:
    """Whether what follows "passphrase:" is words alone, without those that sentences need."""
    words = text.strip(_QUOTES + " ").split()
    plain = all(word.isalpha() and word.islower() for word in words)
    return len(words) >= _FEWEST_WORDS and plain and _OF_SENTENCES.isdisjoint(words)
