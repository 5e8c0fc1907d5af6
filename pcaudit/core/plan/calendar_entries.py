"""What of a plan goes into people's calendars: latest starts, due days, and the day itself by the hour."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from pcaudit.core.plan.activities import Item, Timetable
from pcaudit.core.plan.critical_path import Stage, Timing
from pcaudit.core.plan.spans import lead_words


class Entry(NamedTuple):
    """One entry of a calendar.

    Attributes:
        key: The same for the same thing in every plan of a worksheet.
        day: When.
        title: What.
        description: Who, how long, by when.
        start: Minutes after midnight, local time of the lab; None for the whole day.
        minutes: How long; None where not said.
    """

    key: str
    day: date
    title: str
    description: str = ""
    start: int | None = None
    minutes: int | None = None


def calendar_entries(table: Timetable, title: str) -> tuple[Entry, ...]:
    """The installation day, what must begin or be there by when, and the tasks of the day.

    Args:
        table: Everything on the calendar.
        title: The worksheet's.
    """
    found = [Entry("installation", table.day, _day_words(title))]
    for item in table.items.values():
        if item.on_the_day:
            start, minutes = item.on_the_day
            found.append(Entry(f"day/{item.id}", table.day, item.title, _words(item), start, minutes))
        elif item.id in table.timings:
            found.append(_entry(table, item, table.timings[item.id]))
    return tuple(found)


def _day_words(title: str) -> str:
    """The day of an installation; a title that begins with that word, as fresh ones do, says it itself."""
    first, _, rest = title.partition(" ")
    if first.casefold() == "installation" and rest:
        return title
    of = rest if first.casefold() == "installation:" else title
    return f"Installation day: {of}" if of else "Installation day"


def _entry(table: Timetable, item: Item, timing: Timing) -> Entry:
    if item.stage is Stage.BEGUN or item.lead is None:
        day = timing.latest_finish
        return Entry(f"due/{item.id}", day, f"Due: {item.title}", _words(item))
    late = " (late)" if timing.latest_start < table.as_of else ""
    takes = f"takes {lead_words(item.lead)}, done by {timing.latest_finish.isoformat()}"
    return Entry(
        f"begin/{item.id}", timing.latest_start, f"Begin: {item.title}{late}", f"{_words(item)}; {takes}"
    )


def _words(item: Item) -> str:
    note = f"; {item.remedy}" if item.remedy else ""
    return f"Who: {item.owner}; {item.state}{note}"
