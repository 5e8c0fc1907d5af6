"""People a worksheet may name, and the days they are away."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.places import Path
from pcaudit.core.texts import fold
from pcaudit.core.worksheet.reader import Reader

_ID: Final = re.compile(r"[a-z0-9][a-z0-9._-]{0,79}", re.IGNORECASE | re.ASCII)
_TEXTS: Final = ("name", "role", "contact")
_MOST_COMPARED: Final = 50  # comparing names takes time: thousands with thousands, minutes
_MOST_TOLD: Final = 5
_NEARLY: Final = 0.85  # one letter wrong, missing or too many in an id of six

NOBODY: Final = frozenset(
    (
        "none",
        "nobody",
        "no one",
        "noone",
        "no-one",
        "n/a",
        "n.a.",
        "na",
        "nil",
        "null",
        "tbd",
        "t.b.d.",
        "tba",
        "tbc",
        "unknown",
        "not known",
        "not named",
        "to be decided",
        "to be named",
        "keine",
        "keiner",
        "kein",
        "niemand",
        "unbekannt",
        "offen",
        "entfällt",
        "personne",
        "aucun",
        "aucune",
        "nadie",
        "ninguno",
        "ninguna",
        "nessuno",
        "nessuna",
        "geen",
        "ninguém",
    )
)
"""Words that stand where nobody is named; so does what has neither letter nor digit.

Common practice, no source.
"""


class Away(NamedTuple):
    """Days somebody is away, both inclusive."""

    first: date
    last: date


class Person(NamedTuple):
    """Somebody who holds, does or answers for something."""

    id: str
    name: str
    role: str
    contact: str
    away: tuple[Away, ...]
    line: int

    @property
    def shown(self) -> str:
        """Name for people, with the role where both are known."""
        if self.name and self.role:
            return f"{self.name} ({self.role})"
        return self.name or self.role or self.id

    def away_on(self, day: date) -> Away | None:
        """The absence that covers a day; None where none is known."""
        return next((one for one in self.away if one.first <= day <= one.last), None)


class People(NamedTuple):
    """Everybody a worksheet names.

    Attributes:
        asked: Whether the section is there.
        by_id: Each person by id.
        by_word: For each way to name somebody, folded, the ids it may mean.
    """

    asked: bool = False
    by_id: Mapping[str, Person] = {}
    by_word: Mapping[str, tuple[str, ...]] = {}

    def shown(self, who: str) -> str:
        """A holder for people: of an id the name and role, any other text as it is."""
        person = self.by_id.get(who)
        if person is None:
            return who
        # Two people of one label would become one, and the absence of one of them would be lost.
        shared = len(self.by_word.get(fold(person.shown), ())) > 1
        return f"{person.shown}, {person.id}" if shared else person.shown


def read_people(reader: Reader, data: Mapping[str, Any]) -> People:
    """Read ``[people.ID]``."""
    section = reader.table(data, "people")
    if section is None:
        return People()
    found = {}
    for name in section:
        path: Path = ("people", name)
        table = reader.table(section, name, ("people",))
        if not _ID.fullmatch(name):
            reader.wrong(
                path, f"{name!r:.60} cannot be an id", "letters, digits, - _ and . such as network-admin"
            )
        elif table is not None:
            found[name] = _person(reader, table, name, path)
    return People(True, found, _by_word(found))


def people_named(data: Mapping[str, Any]) -> People:
    """Whom a document names, as far as it takes to know them again: mistakes are told elsewhere."""
    raw = data.get("people")
    found = {}
    for name, table in (raw if isinstance(raw, Mapping) else {}).items():
        said = table if isinstance(table, Mapping) else {}
        texts = [one.strip() if isinstance(one := said.get(key), str) else "" for key in _TEXTS]
        found[name] = Person(name, texts[0], texts[1], texts[2], (), 0)
    return People(True, found, _by_word(found))


def _by_word(by_id: Mapping[str, Person]) -> dict[str, tuple[str, ...]]:
    """Each way to name somebody: the id, the name, as the person is shown, and the name with the contact."""
    found: dict[str, dict[str, None]] = {}
    for name, person in by_id.items():
        reached = f"{person.name}, {person.contact}" if person.name and person.contact else ""
        for word in (name, person.name, person.shown, reached):
            if word:
                found.setdefault(fold(word), {})[name] = None
    return {word: tuple(ids) for word, ids in found.items()}


def _person(reader: Reader, table: Mapping[str, Any], name: str, path: Path) -> Person:
    reader.known(table, path, (*_TEXTS, "away"))
    texts = [reader.text(table, path, key) for key in _TEXTS]
    absences = reader.tables(table, "away", path)
    away = [one for raw, here in absences if (one := _away(reader, raw, here))]
    return Person(name, texts[0], texts[1], texts[2], tuple(away), reader.line(path))


def _away(reader: Reader, table: Mapping[str, Any], path: Path) -> Away | None:
    reader.known(table, path, ("from", "to"))
    first, last = reader.day(table, path, "from"), reader.day(table, path, "to")
    for key in ("from", "to"):
        if table.get(key, "") == "":
            reader.wrong(
                path, f"an absence has a day `{key}`", "write { from = 2027-03-01, to = 2027-03-12 }"
            )
    if first is None or last is None:
        return None
    if last < first:
        reader.wrong((*path, "to"), "the absence ends before it begins", "both days are inclusive")
        return None
    return Away(first, last)


def who(reader: Reader, people: People, table: Mapping[str, Any], path: Path, key: str) -> str:
    """Read whom a key names: the id of a person, or any other text; empty where that means nobody.

    Who is named by name, or as the plan shows them, is that person too: otherwise their absence would
    be missed. What is nearly the id of a person is a slip of the finger and told as a mistake, unless
    there are too many people to compare it with; so is a name that several people have.
    """
    text = reader.text(table, path, key)
    if not text or text in people.by_id:
        return text
    meant = people.by_word.get(fold(text), ())
    if len(meant) > 1:
        ids = " or ".join(f"`{one}`" for one in meant[:_MOST_TOLD])
        reader.wrong((*path, key), f"several of [people] are {text!r:.60}", f"write the id: {ids}")
    if meant:
        return meant[0]
    if is_nobody(text):
        return ""
    near = "" if any(c.isspace() for c in text) else _near(text, people)
    if near:
        reader.wrong((*path, key), f"{text!r:.60} is nobody of [people]", f"did you mean `{near}`?")
    return text


def is_nobody(text: str) -> bool:
    """Whether a text says that nobody is named."""
    return fold(text) in NOBODY or not any(c.isalnum() for c in text)


def _near(text: str, people: People) -> str:
    """The id that a text nearly is; empty for none."""
    if len(people.by_id) > _MOST_COMPARED:
        return ""
    from difflib import get_close_matches

    ids = {one.lower(): one for one in people.by_id}
    near = get_close_matches(text.lower(), ids, n=1, cutoff=_NEARLY)
    return ids[near[0]] if near else ""
