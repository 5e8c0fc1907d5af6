"""Whom and which network a worksheet gives away, in its tables and in the texts people wrote there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

from pcaudit.core.redact_text import MAIL, Names, addresses_in, parts
from pcaudit.core.redact_words import COMMON, PLACES, ROLES

_SPLIT: Final = r"[,;:()|\n]| / | or | and "
_REACHED: Final = r"[0-9](?:[^0-9]{0,2}[0-9]){2}"
"""Three digits or more, as extensions and telephone numbers have."""

_WORD: Final = r"[^\W\d_]{3,}"
_SIGNED: Final = (
    r"(?:\b[A-Z]\. ?){1,3}[^\W\d_][^\W\d_'-]+"  # R. Amsel
    r"|(?<=\bDr\. )[^\W\d_]{3,}(?: [A-Z][^\W\d_]{2,})?"
)
_YEAR: Final = r"(?:19|20)[0-9]{2}"


def learn_people(data: dict[str, Any], names: Names) -> None:
    """Note everybody a worksheet names, how they are reached, its hosts and its networks.

    Args:
        data: The worksheet.
        names: Where to note it.
    """
    people = data.get("people")
    for name, person in people.items() if isinstance(people, dict) else ():
        if isinstance(person, dict):
            _person(str(name), person, names)
    known = {str(name).casefold() for name in people} if isinstance(people, dict) else set()
    for text in _who(data):
        if text.casefold() not in known:
            _somebody(text, names)
    for text in _kept(data):
        if len(text.split()) > 1:
            names.add_phrase("place", text)
    for text in _texts(data):
        for found in (*re.findall(MAIL, text), *re.findall(_SIGNED, text)):
            _signed(found, names)
    _network(data.get("network"), names)


def _tables(raw: Any) -> list[dict[str, Any]]:
    """Tables of a list, or by name."""
    found = raw.values() if isinstance(raw, dict) else raw if isinstance(raw, list) else ()
    return [one for one in found if isinstance(one, dict)]


def _table(data: Any, *path: str) -> dict[str, Any]:
    """A table inside tables; empty where there is none."""
    for key in path:
        data = data.get(key) if isinstance(data, dict) else None
    return data if isinstance(data, dict) else {}


def _texts(raw: Any) -> Iterator[str]:
    """Every text of a document."""
    if isinstance(raw, str):
        yield raw
    elif isinstance(raw, dict | list):
        for one in raw.values() if isinstance(raw, dict) else raw:
            yield from _texts(one)


def _who(data: dict[str, Any]) -> Iterator[str]:
    """Texts that say who holds, does, decides or looks after something."""
    told = [
        *(one.get(key) for one in _tables(data.get("arrangements")) for key in _WHO_OF_ARRANGEMENTS),
        *(one.get("owner") for one in _tables(data.get("tasks"))),
        _table(data, "network").get("administrator"),
        _table(data, "backup", "recovery").get("who"),
    ]
    yield from (one.strip() for one in told if isinstance(one, str) and one.strip())


_WHO_OF_ARRANGEMENTS: Final = ("holder", "deputy", "by", "owner")


def _kept(data: dict[str, Any]) -> Iterator[str]:
    """Texts that say where keys and credentials are kept."""
    told = [
        *(one.get("kept") for one in _tables(data.get("arrangements"))),
        _table(data, "backup", "recovery").get("keys"),
    ]
    yield from (one.strip() for one in told if isinstance(one, str))


def _person(key: str, person: dict[str, Any], names: Names) -> None:
    name, contact = (str(person.get(one) or "").strip() for one in ("name", "contact"))
    if name:
        _named(name, names)
        if any(word.casefold() in key.casefold() for word in _words(name)):
            names.add_phrase("name", key)
    if contact:
        for piece in (contact, *_pieces(contact, names)):
            _contact(piece, names)


def _somebody(text: str, names: Names) -> None:
    """A text such as ``M. Example, head of laboratory 4, ext. 4711``: names, roles, contacts."""
    first = True
    for piece in _pieces(text, names):
        words = _words(piece)
        if re.search(_REACHED, piece):
            _contact(piece, names)
        elif words and (first or _is_another(piece, words)):
            _named(piece, names)
            first = False


def _is_another(piece: str, words: list[str]) -> bool:
    """Whether what stands behind a name is one more: all capitals, and no role in it."""
    return all(word[0].isupper() for word in words) and len(words) == len(re.findall(_WORD, piece))


def _pieces(text: str, names: Names) -> list[str]:
    """Parts of a text between punctuation; mail addresses are noted and left out."""
    for mail in re.findall(MAIL, text):
        _signed(mail, names)
    return [piece.strip() for piece in re.split(_SPLIT, re.sub(MAIL, ",", text)) if piece.strip()]


def _words(text: str) -> list[str]:
    """Words that are neither roles nor every PC's own."""
    found = re.findall(_WORD, text)
    return [word for word in found if word.casefold() not in COMMON | ROLES | PLACES]


def _named(text: str, names: Names) -> None:
    """A name; a text all of whose words say a role is none."""
    if _words(text):
        names.add_phrase("name", text)
        for part in parts(text):
            if part.casefold() not in PLACES:
                names.add_phrase("name", part)


def _contact(text: str, names: Names) -> None:
    if re.fullmatch(_YEAR, text) or not (_words(text) or re.search(_REACHED, text)):
        return
    names.add_phrase("contact", text)


def _signed(text: str, names: Names) -> None:
    """A mail address or a name with initials."""
    if "@" in text:
        names.add_phrase("user", text)
        text = text.partition("@")[0].replace(".", " ").replace("_", " ")
    _named(text, names)


def _network(network: Any, names: Names) -> None:
    """Hosts, and every address and network (CIDR) that is written there."""
    for host in _tables(_table(network).get("hosts")):
        name = host.get("name")
        if isinstance(name, str) and name.strip():
            names.add("host", name)
    for text in _texts(network):
        for address in addresses_in(text):
            names.add_address("ip", address)
