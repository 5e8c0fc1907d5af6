"""The calendar: from the installation day back to what must begin when, and what is late."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Final

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.activities import Item, Timetable, end_of
from pcaudit.core.plan.critical_path import Stage, Timing
from pcaudit.core.plan.section import Section, Table, finding
from pcaudit.core.plan.spans import ON_THE_DAY, lead_words
from pcaudit.core.plan.working_days import WorkingDays
from pcaudit.core.worksheet.calendar import DEFAULT_WEEK, WEEKDAYS, WorkCalendar

_TITLE: Final = "Calendar"
_NO_DAY: Final = "latest starts and the critical path: write `day` into [installation]"
_NO_CALENDAR: Final = "holidays: there is no [calendar]; Monday to Friday were counted"
_MOST_YEARS: Final = 10
_BECAUSE: Final = "What begins later than this holds up the installation day."


def working_days(calendar: WorkCalendar, public: Iterable[date] = ()) -> WorkingDays:
    """The working days of a worksheet, without its own holidays and public ones."""
    return WorkingDays(frozenset(calendar.weekdays), calendar.holidays | frozenset(public))


def holiday_years(day: date | None, as_of: date) -> range:
    """Years whose public holidays a plan needs: from a year before all work to a year after it.

    Args:
        day: The installation day; None where nobody said it.
        as_of: The day work counts from. Days further from it than ten years are cut off: no
            library of holidays goes further.
    """
    near = min(max((day or as_of).year, as_of.year - _MOST_YEARS), as_of.year + _MOST_YEARS)
    first, last = sorted((near, as_of.year))
    return range(max(first - 1, date.min.year), min(last + 1, date.max.year) + 1)


def calendar_section(
    table: Timetable | None, calendar: WorkCalendar, file: str, line: int, notes: tuple[str, ...] = ()
) -> Section:
    """What must begin when, what is late, and what decides the day.

    Args:
        table: Everything on the calendar; None where nobody said the installation day.
        calendar: The working calendar, as the worksheet has it.
        file: The worksheet's name, as given.
        line: The line of its installation day.
        notes: What is to be said of public holidays.
    """
    if table is None:
        return Section("calendar", _TITLE, notes=notes, not_asked=(_NO_DAY,))
    findings = [_day(table, file, line)]
    for item in table.items.values():
        found = _task(table, item) if item.task else _arrangement(table, item)
        if found:
            findings.append(found)
    return Section(
        name="calendar",
        title=_TITLE,
        findings=tuple(findings),
        tables=(_table(table),),
        notes=(*_notes(table, calendar), *notes),
        not_asked=() if calendar.asked else (_NO_CALENDAR,),
    )


def _day(table: Timetable, file: str, line: int) -> Finding:
    day, words = table.day, f"{WEEKDAYS[table.day.weekday()].capitalize()}, {table.day.isoformat()}"
    verdict, found, remedy = Verdict.MET, words, ""
    if day < table.as_of:
        verdict, remedy = Verdict.MARGINAL, "Enter the new day, if there is one."
        found = f"{words}: {_counted((table.as_of - day).days, 'day')} before the day work counts from"
    elif not table.days.works(day):
        verdict, remedy = Verdict.MARGINAL, "See that everybody needed is there, or choose a working day."
        found = f"{words}: no working day"
    return finding(
        "calendar",
        "day",
        "Installation day",
        verdict,
        required="a working day still to come",
        found=found,
        because="On other days nobody may be there who can help.",
        remedy=remedy,
        file=file,
        line=line,
        binding=False,
    )


# -- what is late


def _by(day: date) -> str:
    return day.isoformat()


def _short(timing: Timing) -> str:
    return _counted(-timing.slack, "working day")


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'s' if count != 1 else ''}"


def _task(table: Timetable, item: Item) -> Finding | None:
    """How a task stands; nothing of work on the day itself, which cannot be done before it."""
    if item.on_the_day:
        return None
    if item.stage is Stage.DONE:
        return _said(item, Verdict.MET, "done", item.state)
    if item.id in table.later:
        return _said(item, Verdict.NOT_APPLICABLE, "after the installation", item.state)
    timing = table.timings[item.id]
    begun = item.stage is Stage.BEGUN
    start = "" if begun or item.lead is None else f"begun by {_by(timing.latest_start)}, "
    required = f"{start}done by {_by(timing.latest_finish)}"
    late = _late(table, item, timing)
    if late:
        return _said(item, Verdict.UNMET, required, late, remedy=_hurry(timing))
    if begun:
        return _said(item, Verdict.UNVERIFIED, required, item.state, why=_begun_words(table, item, timing))
    why = f"open, by {item.owner}"
    if timing.slack < 0:
        why = f"it waits for {_held_up_by(table, item)}, and would be done {_short(timing)} late"
    return _said(item, Verdict.UNVERIFIED, required, item.state, why=why, remedy="Begin it in time.")


def _arrangement(table: Timetable, item: Item) -> Finding | None:
    """Of arrangements only what follows from what waits for them: their own lead time is judged elsewhere."""
    if item.stage is Stage.DONE or item.unmet:
        return None
    if item.id in table.later:
        if item.needed == ON_THE_DAY:
            return None
        found = "it comes after what is done on the day itself"
        remedy = "Take what is done on the day out of its `after`."
        verdict, why = (Verdict.UNVERIFIED, found) if item.unanswered else (Verdict.UNMET, "")
        return _said(item, verdict, f"there {item.needed}", found, why=why, remedy=remedy)
    timing = table.timings[item.id]
    late = _late(table, item, timing)
    if not late:
        return None
    required = f"begun by {_by(timing.latest_start)}, there by {_by(timing.latest_finish)}"
    if item.unanswered:
        return _said(
            item, Verdict.UNVERIFIED, required, item.state, why=f"whether it is in hand is not said; {late}"
        )
    return _said(item, Verdict.UNMET, required, late, remedy=_hurry(timing))


def _late(table: Timetable, item: Item, timing: Timing) -> str:
    """Why something will not be there in time, whatever comes before it; empty where it may be."""
    if timing.latest_finish < table.as_of:
        return f"{item.state}, and needed by {_by(timing.latest_finish)}"
    if item.stage is Stage.BEGUN:
        end = end_of(item, table.days)
        if end and end > timing.latest_finish:
            return f"{item.state}, to be done by {_by(end)}: {_short(timing)} late"
        return ""
    if timing.latest_start < table.as_of:
        return f"{item.state}; its latest start was {_by(timing.latest_start)}"
    return ""


def _begun_words(table: Timetable, item: Item, timing: Timing) -> str:
    end = end_of(item, table.days)
    if end is None:
        return f"when it will be done is not said; due by {_by(timing.latest_finish)}"
    if end < table.as_of:
        return f"it was to be done by {_by(end)}; due by {_by(timing.latest_finish)}"
    return f"open, by {item.owner}"


def _held_up_by(table: Timetable, item: Item) -> str:
    waits = [one for one in item.after if one in table.timings]
    last = max(waits, key=lambda one: table.timings[one].earliest_finish)
    return f"{table.shown(last)} (line {table.items[last].line})"


def _hurry(timing: Timing) -> str:
    return f"Begin it today and gain {_short(timing)}, or move the installation day by as many."


def _said(
    item: Item, verdict: Verdict, required: str, found: str, *, why: str = "", remedy: str = ""
) -> Finding:
    return finding(
        "calendar",
        f"{'tasks' if item.task else 'arrangements'}[{item.id.removeprefix('arrangements.')}]",
        item.title,
        verdict,
        required=required,
        found=found,
        why=why,
        because=item.because or _BECAUSE,
        remedy=remedy or ("See that it is done in time." if verdict is Verdict.UNVERIFIED else ""),
        owner=item.owner,
        source="worksheet",
        file=item.file,
        line=item.line,
    )


# -- the table


def _order(table: Timetable) -> list[Item]:
    """What is not done, by latest start; what comes after the day last."""

    def key(item: Item) -> tuple[bool, date, date]:
        if item.id in table.later:
            return True, table.day, table.day
        timing = table.timings[item.id]
        return False, table.day if item.on_the_day else timing.latest_start, timing.latest_finish

    return sorted((item for item in table.items.values() if item.stage is not Stage.DONE), key=key)


def _table(table: Timetable) -> Table:
    rows, data = [], []
    for item in _order(table):
        timing = table.timings.get(item.id)
        start, done, slack = _cells(table, item, timing)
        rows.append((start, done, slack, item.title, item.owner, _state(table, item)))
        data.append(_machine(item, timing))
    columns = ("Begin by", "Done by", "Slack", "What", "Who", "State")
    note = "Slack is in working days; * is on the critical path, or has as little slack."
    left_out = len(table.items) - len(rows)
    note += f" Left out: {left_out} done or in hand." if left_out else ""
    title = f"From {table.as_of.isoformat()} to the installation day"
    return Table(title, columns, tuple(rows), tuple(data), note)


def _cells(table: Timetable, item: Item, timing: Timing | None) -> tuple[str, str, str]:
    if timing is None:
        return "", "", ""
    if item.on_the_day:
        return table.day.isoformat(), table.day.isoformat(), ""
    mark = " *" if timing.critical else ""
    # Nothing says when what takes nobody knows how long must begin, but by then at the latest.
    start = timing.latest_start.isoformat() if item.lead else "not known"
    start = "" if item.stage is Stage.BEGUN else start
    return start, timing.latest_finish.isoformat(), f"{timing.slack}{mark}"


def _state(table: Timetable, item: Item) -> str:
    if item.id in table.later:
        return "after the day"
    return "on the day" if item.on_the_day else item.state


def _machine(item: Item, timing: Timing | None) -> dict[str, object]:
    keys = ("latest_start", "latest_finish", "earliest_start", "slack")
    days: dict[str, object] = dict.fromkeys(keys)
    if timing:
        days = {
            "latest_start": timing.latest_start.isoformat(),
            "latest_finish": timing.latest_finish.isoformat(),
            "earliest_start": timing.earliest_start.isoformat(),
            "slack": timing.slack,
        }
    return {
        "id": item.id,
        "title": item.title,
        "owner": item.owner,
        "takes": lead_words(item.lead) if item.lead else None,
        "after": list(item.after),
        "state": item.state,
        "critical": bool(timing and timing.critical),
        **days,
    }


# -- notes


def _notes(table: Timetable, calendar: WorkCalendar) -> tuple[str, ...]:
    notes = [_left(table), *_path_words(table)]
    blind = [
        item.title
        for item in table.items.values()
        if item.lead is None and item.stage is Stage.OPEN and not item.on_the_day and item.id in table.timings
    ]
    if blind:
        notes.append(f"How long this takes is not said, so it counts as no time: {'; '.join(blind)}.")
    if not calendar.holidays and not calendar.country:
        notes.append("No holidays are listed, so none were left out.")
    notes.append("What is ordered on a Monday and takes two working days is there on Wednesday.")
    return tuple(notes)


def _left(table: Timetable) -> str:
    if table.day < table.as_of:
        return f"The installation day lies {_counted((table.as_of - table.day).days, 'day')} back."
    days = table.days
    closed = sum(table.as_of <= one < table.day and one.weekday() in days.weekdays for one in days.holidays)
    usual = tuple(sorted(days.weekdays)) == DEFAULT_WEEK
    week = ", ".join(WEEKDAYS[one].capitalize() for one in sorted(days.weekdays))
    left = days.between(table.as_of, table.day)
    holidays = f", {_counted(closed, 'holiday')} left out" if closed else ""
    return (
        f"Until the day: {_counted(left, 'working day')} ({'Monday to Friday' if usual else week}){holidays}."
    )


def _path_words(table: Timetable) -> list[str]:
    if not table.path:
        return []
    slack = min(table.timings[name].slack for name in table.path)
    left = f"{_counted(abs(slack), 'working day')} {'of slack' if slack >= 0 else 'short'}"
    return [f"Critical path, {left}: {' > '.join(table.shown(name) for name in table.path)} > installation."]
