"""People a worksheet may name, and the days they are away."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.places import Path
from pcaudit.core.worksheet.reader import Reader

_ID: Final = re.compile(r"[a-z0-9][a-z0-9._-]{0,79}", re.IGNORECASE | re.ASCII)
_MOST_COMPARED: Final = 50  # comparing names takes time: thousands with thousands, minutes
_NEARLY: Final = 0.85  # one letter wrong, missing or too many in an id of six


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
    """Everybody a worksheet names, by id; ``asked`` is whether the section is there."""

    asked: bool = False
    by_id: Mapping[str, Person] = {}

    def shown(self, who: str) -> str:
        """A holder for people: of an id the name and role, any other text as it is."""
        person = self.by_id.get(who)
        return person.shown if person else who


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
    return People(True, found)


def _person(reader: Reader, table: Mapping[str, Any], name: str, path: Path) -> Person:
    reader.known(table, path, ("name", "role", "contact", "away"))
    texts = [reader.text(table, path, key) for key in ("name", "role", "contact")]
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
    """Read whom a key names: the id of a person, or any other text.

    What is nearly the id of a person is a slip of the finger and told as a mistake, unless there are
    too many people to compare it with.
    """
    text = reader.text(table, path, key)
    if text and text not in people.by_id and not any(c.isspace() for c in text):
        meant = _near(text, people)
        if meant:
            reader.wrong((*path, key), f"{text!r:.60} is nobody of [people]", f"did you mean `{meant}`?")
    return text


def _near(text: str, people: People) -> str:
    """The id that a text nearly is; empty for none."""
    if len(people.by_id) > _MOST_COMPARED:
        return ""
    from difflib import get_close_matches

    ids = {one.lower(): one for one in people.by_id}
    near = get_close_matches(text.lower(), ids, n=1, cutoff=_NEARLY)
    return ids[near[0]] if near else ""
