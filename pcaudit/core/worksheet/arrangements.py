"""What the lab answers to each arrangement, and arrangements of its own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.compile import KINDS, NEEDED
from pcaudit.core.lead_time import LEAD_TIME
from pcaudit.core.places import Path
from pcaudit.core.worksheet.people import People, who
from pcaudit.core.worksheet.reader import Reader

IN_HAND: Final = "in hand"
REQUESTED: Final = "requested"
MISSING: Final = "missing"
NOT_NEEDED: Final = "not needed"

STATES: Final = (IN_HAND, REQUESTED, MISSING, NOT_NEEDED)
"""What an arrangement can be; blank is unanswered."""

_KEYS: Final = (
    "state",
    "holder",
    "deputy",
    "kept",
    "requested",
    "expected",
    "expires",
    "measured",
    "reference",
    "note",
    "because",
    "by",
    "lead_time",
    "owner",
    "after",
    "kind",
    "title",
    "needed",
)
# Before the slash the profile that asks it, where several use one id for different things.
_ID: Final = re.compile(r"(?:[\w .()-]{1,80}/)?[A-Za-z0-9][A-Za-z0-9._-]{0,79}")


class Answer(NamedTuple):
    """What the lab says of one arrangement.

    Attributes:
        id: The profile's, or the lab's own.
        line: Where it stands in the worksheet.
        state: One of ``STATES``; empty while unanswered.
        holder: Id of a person, or a text; so is ``deputy``, who else can reach it.
        kept: Where it is kept.
        requested: When it was ordered or asked for.
        expected: When it was promised for.
        expires: Last day it is valid.
        never_expires: The worksheet says that it does not expire.
        measured: As written: the profile says what unit it has.
        reference: What looks like a key is an order number.
        because, by: Why it is not needed, and who says so.
        lead_time, owner, needed: Instead of the profile's; empty where that holds.
        after: Ids of arrangements or tasks that are done before this begins.
        kind, title: Of the lab's own arrangements; empty where a profile asks it.
    """

    id: str
    line: int
    state: str = ""
    holder: str = ""
    deputy: str = ""
    kept: str = ""
    requested: date | None = None
    expected: date | None = None
    expires: date | None = None
    never_expires: bool = False
    measured: str = ""
    reference: bool = False
    note: str = ""
    because: str = ""
    by: str = ""
    lead_time: str = ""
    owner: str = ""
    after: tuple[str, ...] = ()
    kind: str = ""
    title: str = ""
    needed: str = ""

    @property
    def own(self) -> bool:
        """Whether it is the lab's own arrangement, not one that a profile asks."""
        return bool(self.kind)


class Answers(NamedTuple):
    """Every answer by the id of the arrangement; ``asked`` is whether the section is there."""

    asked: bool = False
    by_id: Mapping[str, Answer] = {}


def read_arrangements(reader: Reader, data: Mapping[str, Any], people: People) -> Answers:
    """Read ``[arrangements.ID]``; whom they name must be one of ``people``, or is a text."""
    section = reader.table(data, "arrangements")
    if section is None:
        return Answers()
    found = {}
    for name in section:
        path: Path = ("arrangements", name)
        table = reader.table(section, name, ("arrangements",))
        if not _ID.fullmatch(name):
            hint = "letters, digits, - _ and . such as licence-certificate"
            reader.wrong(path, f"{name!r:.60} cannot be an id", hint)
        elif table is not None:
            found[name] = _answer(reader, table, name, people)
    return Answers(True, found)


def _answer(reader: Reader, table: Mapping[str, Any], name: str, people: People) -> Answer:
    path: Path = ("arrangements", name)
    reader.known(table, path, _KEYS)
    expires, never = _expires(reader, table, path)
    answer = Answer(
        id=name,
        line=reader.line(path),
        state=reader.choice(table, path, "state", STATES),
        holder=who(reader, people, table, path, "holder"),
        deputy=who(reader, people, table, path, "deputy"),
        kept=reader.text(table, path, "kept"),
        requested=reader.day(table, path, "requested"),
        expected=reader.day(table, path, "expected"),
        expires=expires,
        never_expires=never,
        measured=_measured(reader, table, path),
        reference=reader.flag(table, path, "reference") or False,
        note=reader.text(table, path, "note"),
        because=reader.text(table, path, "because"),
        by=who(reader, people, table, path, "by"),
        lead_time=_lead_time(reader, table, path),
        owner=who(reader, people, table, path, "owner"),
        after=reader.texts(table, path, "after"),
        kind=reader.choice(table, path, "kind", KINDS),
        title=reader.text(table, path, "title"),
        needed=reader.choice(table, path, "needed", NEEDED),
    )
    _together(reader, answer, table, path)
    return answer


def _expires(reader: Reader, table: Mapping[str, Any], path: Path) -> tuple[date | None, bool]:
    value = table.get("expires")
    if isinstance(value, str) and value.strip().casefold() == "never":
        return None, True
    if isinstance(value, str) and value.strip():
        hint = 'write expires = 2028-12-31, without quotes, or expires = "never"'
        reader.wrong((*path, "expires"), "`expires` is a day", hint)
        return None, False
    return reader.day(table, path, "expires"), False


def _measured(reader: Reader, table: Mapping[str, Any], path: Path) -> str:
    """As written: a text with its unit, or a count without one."""
    value = table.get("measured")
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    if value is not None and not isinstance(value, str):
        hint = 'write measured = "22 °C", or a count without quotes'
        reader.wrong((*path, "measured"), "`measured` is an amount with its unit", hint)
        return ""
    return (value or "").strip()


def _lead_time(reader: Reader, table: Mapping[str, Any], path: Path) -> str:
    text = reader.text(table, path, "lead_time")
    if text and not LEAD_TIME.fullmatch(text):
        reader.wrong((*path, "lead_time"), f"{text!r:.60} is no lead time", 'write "10 working days"')
        return ""
    return text


def _together(reader: Reader, answer: Answer, table: Mapping[str, Any], path: Path) -> None:
    """What must not stand beside each other, and what must."""
    if answer.state == NOT_NEEDED:
        for key, said in (("because", answer.because), ("by", answer.by)):
            if not said:
                message = f"what is not needed says `{key}`"
                reader.wrong((*path, "state"), message, f'add {key} = "..."')
    if answer.expected and answer.requested and answer.expected < answer.requested:
        reader.wrong((*path, "expected"), "expected before it was requested", "one of the two days is wrong")
    if answer.id in answer.after:
        reader.wrong((*path, "after"), "it cannot begin after itself", "name what must be done before it")
    own = [key for key in ("kind", "title") if str(table.get(key, "")).strip()]
    if len(own) == 1:
        there, lacking = own[0], "title" if own == ["kind"] else "kind"
        message = f"an arrangement of the lab's own has `kind` and `title`, and this has only `{there}`"
        reader.wrong((*path, there), message, f"add {lacking}, or leave {there} out where a profile asks it")
