"""The run sheet: what happens on the installation day, one part for each person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final, NamedTuple

from pcaudit.core.finding import DOES_NOT_APPLY, Arrangement, Finding, Verdict
from pcaudit.core.plan.activities import NO_OWNER, Item, Timetable
from pcaudit.core.plan.critical_path import Stage
from pcaudit.core.plan.section import Section, Table, finding
from pcaudit.core.plan.spans import ON_THE_DAY
from pcaudit.core.worksheet.arrangements import IN_HAND, NOT_NEEDED
from pcaudit.core.worksheet.people import People, Person
from pcaudit.core.worksheet.sheet import Worksheet

NAME: Final = "run-sheet"

ORDER_OF_THE_DAY: Final = (
    ("Probe the PC again: nothing changed, no restart pending, nothing asleep", "IT"),
    ("Back up the PC as it is, before anything is installed", "IT"),
    ("Install", "installer"),
    ("Test the communication: every module answers over the instrument's LAN", "installer"),
    ("First backup of data and configuration", "IT"),
    ("Restore from that backup, open what was restored and compare it", "IT"),
    ("Assess the PC, keep the report as a record, sign", "lab"),
)
"""Common practice, no source."""

_BROUGHT: Final = frozenset(
    {
        "licence",
        "certificate",
        "authorisation code",
        "medium",
        "order paper",
        "credential",
        "support contract",
    }
)
"""Kinds of arrangement that somebody must have at hand when the software is installed."""

_LATEST: Final = 24 * 60


class Line(NamedTuple):
    """One line of somebody's part: minutes after midnight or None, what, and with what or where."""

    start: int | None
    what: str
    note: str = ""


def run_sheet_section(
    table: Timetable | None, worksheet: Worksheet, arrangements: Sequence[Arrangement], file: str
) -> Section:
    """What happens on the day, in order, and what each person does and brings.

    Args:
        table: Everything on the calendar; None where nobody said the installation day.
        worksheet: Gives people, network administrator and recovery.
        arrangements: As judged, with the worksheet's answers in them.
        file: The worksheet's name, as given.
    """
    if table is None:
        line = "what happens on the day: write `day` into [installation]"
        return Section(NAME, "Run sheet", not_asked=(line,))
    people = worksheet.people
    parts = _parts(table, worksheet, arrangements)
    tables = [_order(), *(_part(name, lines, people) for name, lines in parts.items())]
    if people.by_id:
        tables.append(_contacts(people, table.day))
    timed = [item for item in table.items.values() if item.on_the_day]
    return Section(
        name=NAME,
        title=f"Run sheet for {table.day.isoformat()}",
        findings=(*_away(table, parts, people, file), *_too_early(timed), *_at_once(timed, people)),
        tables=tuple(tables),
        notes=("Times are local times of the laboratory.",),
        cautions=("No part holds a password, key or code: only who has it and where it is kept.",),
        not_asked=() if timed else ("what is done when: no task has `on_the_day`",),
    )


# -- the parts


def _parts(
    table: Timetable, worksheet: Worksheet, arrangements: Sequence[Arrangement]
) -> dict[str, list[Line]]:
    """Each person's lines in order of time; what has no time of day first, since it is brought."""
    found: dict[str, list[Line]] = {}
    for who, line in (
        *_work(table),
        *_brought(arrangements),
        *_network(worksheet),
        *_recovery(worksheet),
    ):
        found.setdefault(who or NO_OWNER, []).append(line)
    for lines in found.values():
        lines.sort(key=lambda line: -1 if line.start is None else line.start)
    return found


def clock(minutes: int) -> str:
    """A time of day, from minutes after midnight; past midnight with the day after said."""
    after = " the day after" if minutes > _LATEST else ""
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}{after}"


def _work(table: Timetable) -> Iterator[tuple[str, Line]]:
    for item in table.items.values():
        if item.on_the_day:
            start, minutes = item.on_the_day
            end = f"until {clock(start + minutes)}" if start is not None and minutes else ""
            length = "" if start is not None or not minutes else f"takes {minutes} min"
            yield item.owner, Line(start, item.title, "; ".join(filter(None, (end or length, item.remedy))))


def _brought(arrangements: Sequence[Arrangement]) -> Iterator[tuple[str, Line]]:
    for one in arrangements:
        wanted = one.needed == ON_THE_DAY or one.kind in _BROUGHT
        if not wanted or one.state in (NOT_NEEDED, DOES_NOT_APPLY):
            continue
        verb = "Be there" if one.kind == "person" else "Have at hand" if one.kind in _BROUGHT else "See to"
        kept = f"kept: {one.kept}" if one.kept else ""
        state = "" if one.state == IN_HAND else f"not in hand: {one.state}"
        note = "; ".join(filter(None, (state, kept, one.note)))
        yield one.holder or one.owner, Line(None, f"{verb}: {one.title}", note)
        if one.deputy:
            holder = one.holder or one.owner
            yield one.deputy, Line(None, f"Stand in for {holder}: {one.title}", kept)


def _network(worksheet: Worksheet) -> Iterator[tuple[str, Line]]:
    network = worksheet.network
    if network.administrator:
        booked = "" if network.booked else "not booked yet"
        yield worksheet.people.shown(network.administrator), Line(None, "Be there for the network", booked)


def _recovery(worksheet: Worksheet) -> Iterator[tuple[str, Line]]:
    recovery = worksheet.backup.recovery
    if recovery.who or recovery.medium or recovery.keys:
        medium = f"start from: {recovery.medium}" if recovery.medium else "what to start from is not said"
        keys = f"recovery keys: {recovery.keys}" if recovery.keys else "where recovery keys are is not said"
        what = "Have the recovery sheet; restore the PC if the installation fails"
        line = Line(None, what, f"{medium}; {keys}")
        yield _shown(recovery.who, worksheet.people), line


def _shown(who: str, people: People) -> str:
    """A person as the other parts name them, from an id, a name, or a name with a contact."""
    for person in people.by_id.values():
        if who and who in (person.id, person.name, f"{person.name}, {person.contact}"):
            return people.shown(person.id)
    return who


# -- tables


def _order() -> Table:
    rows = tuple((str(number), what, who, "") for number, (what, who) in enumerate(ORDER_OF_THE_DAY, 1))
    data = tuple({"step": int(row[0]), "what": row[1], "who": row[2]} for row in rows)
    return Table(
        "Order of the day", ("", "Step", "Who", "Done at"), rows, data, "Common practice, no source."
    )


def _part(name: str, lines: Sequence[Line], people: People) -> Table:
    person = _person(name, people)
    contact = f", {person.contact}" if person and person.contact else ""
    rows = tuple(
        (clock(line.start) if line.start is not None else "", line.what, line.note) for line in lines
    )
    data = tuple({"who": name, "start": row[0] or None, "what": row[1], "note": row[2]} for row in rows)
    return Table(f"{name}{contact}", ("From", "What", "Note"), rows, data)


def _person(shown: str, people: People) -> Person | None:
    return next((one for one in people.by_id.values() if people.shown(one.id) == shown), None)


def _contacts(people: People, day: date) -> Table:
    rows, data = [], []
    for person in people.by_id.values():
        away = person.away_on(day)
        there = f"away until {away.last.isoformat()}" if away else ""
        rows.append((person.name or person.id, person.role, person.contact, there))
        data.append(
            {
                "id": person.id,
                "name": person.name,
                "role": person.role,
                "contact": person.contact,
                "away": bool(away),
            }
        )
    return Table("Contacts", ("Name", "Role", "Contact", ""), tuple(rows), tuple(data))


# -- what cannot be done as it stands


def _away(table: Timetable, parts: dict[str, list[Line]], people: People, file: str) -> Iterator[Finding]:
    for name, lines in parts.items():
        person = _person(name, people)
        away = person.away_on(table.day) if person else None
        if person and away:
            yield finding(
                NAME,
                f"people[{person.id}]",
                f"{name} on the day",
                Verdict.UNMET,
                required=f"there for: {'; '.join(line.what for line in lines)}",
                found=f"away from {away.first.isoformat()} to {away.last.isoformat()}",
                because="What is theirs to do or to bring is missing on the day.",
                remedy="Find somebody else for it, or move the day.",
                file=file,
                line=person.line,
            )


def _ends(item: Item) -> int | None:
    start, minutes = item.on_the_day or (None, None)
    return None if start is None or minutes is None else start + minutes


def _too_early(timed: Sequence[Item]) -> Iterator[Finding]:
    """Tasks of the day that begin before what they wait for has ended."""
    by_id = {item.id: item for item in timed}
    for item in timed:
        start = item.on_the_day.start if item.on_the_day else None
        first = [by_id[name] for name in item.after if name in by_id and by_id[name].stage is not Stage.DONE]
        ends = [(end, one) for one in first if (end := _ends(one)) is not None]
        if start is None or not ends:
            continue
        end, last = max(ends, key=lambda pair: pair[0])
        if start < end:
            yield finding(
                NAME,
                f"order[{item.id}]",
                f"{item.title} after {last.title}",
                Verdict.UNMET,
                required=f"from {clock(end)} at the earliest",
                found=f"from {clock(start)}",
                because=f"It waits for {last.title} (line {last.line}).",
                remedy="Move one of them: `on_the_day`.",
                owner=item.owner,
                file=item.file,
                line=item.line,
            )


def _at_once(timed: Sequence[Item], people: People) -> Iterator[Finding]:
    """Tasks of one person that overlap; IT and the like may be several people."""
    last: dict[str, Item] = {}
    for item in sorted(timed, key=lambda one: (one.on_the_day.start if one.on_the_day else None) or 0):
        start = item.on_the_day.start if item.on_the_day else None
        if start is None or not _person(item.owner, people):
            continue
        before = last.get(item.owner)
        end = _ends(before) if before else None
        if before and end is not None and start < end:
            yield finding(
                NAME,
                f"once[{item.id}]",
                f"{item.owner}, one thing at a time",
                Verdict.MARGINAL,
                required=f"{item.title} from {clock(end)}, after {before.title}",
                found=f"from {clock(start)}",
                because="Nobody does two things at once.",
                remedy="Move one of them, or give it to somebody else.",
                owner=item.owner,
                file=item.file,
                line=item.line,
            )
        if end is None or (_ends(item) or 0) >= end:
            last[item.owner] = item
