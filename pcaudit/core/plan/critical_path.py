"""Work that waits for other work: latest starts back from a day, earliest ones from today, the critical path.

The critical path method (Kelley and Walker, 1959), counted in the days of a working calendar.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from enum import Enum
from functools import cache
from typing import Final, NamedTuple

from pcaudit.core.lead_time import LeadTime
from pcaudit.core.plan.spans import finish_from, start_for
from pcaudit.core.plan.working_days import WorkingDays

_FARTHEST: Final = timedelta(days=365 * 50)


class Stage(Enum):
    """How far something is."""

    OPEN = "open"
    BEGUN = "begun"
    DONE = "done"


class Activity(NamedTuple):
    """Something that takes time.

    Attributes:
        id: Its name in ``after``.
        due: Last day on which it may be done; a working day.
        lead: How long it takes; None, where that is not known, counts as no time.
        after: Ids of what is done before it begins; what is not among the activities counts as done.
        stage: How far it is.
        finish: Of what is begun, the day it is to be done; None where that is not known.
    """

    id: str
    due: date
    lead: LeadTime | None
    after: tuple[str, ...] = ()
    stage: Stage = Stage.OPEN
    finish: date | None = None


class Timing(NamedTuple):
    """When something that is not done may and can happen.

    Attributes:
        latest_start, latest_finish: For everything that waits for it to be in time.
        earliest_start, earliest_finish: As things stand.
        slack: Working days it may still wait, or is late by where negative.
        critical: It is on the critical path, nothing has less slack, or there is none left.
    """

    latest_start: date
    latest_finish: date
    earliest_start: date
    earliest_finish: date
    slack: int
    critical: bool


class Schedule(NamedTuple):
    """Timings of everything not done, by id, and the chain that decides the day.

    Attributes:
        timings: In an order in which nothing comes before what it waits for.
        path: Ids of the chain with the least slack, first to last; empty where all is done.
    """

    timings: Mapping[str, Timing]
    path: tuple[str, ...]


def schedule(activities: Iterable[Activity], as_of: date, days: WorkingDays) -> Schedule:
    """Time everything that is not done.

    Args:
        activities: In any order; their ids differ.
        as_of: Nothing can begin before this day.
        days: The working calendar.

    Raises:
        ValueError: Activities wait for each other in a circle.
    """
    waiting = {one.id: one for one in activities if one.stage is not Stage.DONE}
    order = _in_order(waiting)
    today = days.forward(as_of, 0)
    latest = _latest(waiting, order, days, as_of)
    earliest = _earliest(waiting, order, days, today)
    # Asked again and again for the same days.
    between = cache(days.between)
    slack = {
        name: between(earliest[name][one.stage is Stage.BEGUN], latest[name][one.stage is Stage.BEGUN])
        for name, one in waiting.items()
    }
    limit = max(0, min(slack.values(), default=0))
    timings = {
        name: Timing(*latest[name], *earliest[name], slack[name], slack[name] <= limit) for name in order
    }
    path = _path(waiting, timings, today)
    timings |= {name: timings[name]._replace(critical=True) for name in path}
    return Schedule(timings, path)


def _in_order(waiting: Mapping[str, Activity]) -> list[str]:
    """Everything after what it waits for, else as it came."""
    behind: dict[str, list[str]] = {}
    open_for = {}
    for name, one in waiting.items():
        first = {before for before in one.after if before in waiting}
        open_for[name] = len(first)
        for before in first:
            behind.setdefault(before, []).append(name)
    order = [name for name, count in open_for.items() if not count]
    for name in order:
        for later in behind.get(name, ()):
            open_for[later] -= 1
            if not open_for[later]:
                order.append(later)
    if len(order) < len(waiting):
        raise ValueError("activities wait for each other in a circle")
    return order


def _latest(
    waiting: Mapping[str, Activity], order: list[str], days: WorkingDays, as_of: date
) -> dict[str, tuple[date, date]]:
    """Latest start and finish of each, from the last one back."""
    # Further back nobody counts, and a long chain of long lead times would take as long to count.
    near = min([as_of, *(one.due for one in waiting.values())])
    floor = near - _FARTHEST if near - date.min > _FARTHEST else date.min
    start = cache(lambda finish, lead: max(start_for(finish, lead, days), days.forward(floor, 0)))
    finish = {name: one.due for name, one in waiting.items()}
    found = {}
    for name in reversed(order):
        one = waiting[name]
        found[name] = start(finish[name], one.lead), finish[name]
        # What is begun no longer waits for anything.
        for before in one.after if one.stage is Stage.OPEN else ():
            if before in waiting:
                finish[before] = min(finish[before], found[name][0])
    return found


def _earliest(
    waiting: Mapping[str, Activity], order: list[str], days: WorkingDays, today: date
) -> dict[str, tuple[date, date]]:
    """Earliest start and finish of each, from today on."""
    roof = today + _FARTHEST if date.max - today > _FARTHEST else date.max
    finish = cache(lambda start, lead: min(finish_from(start, lead, days), roof))
    found: dict[str, tuple[date, date]] = {}
    for name in order:
        one = waiting[name]
        if one.stage is Stage.BEGUN:
            found[name] = today, min(max(today, days.forward(one.finish or today, 0)), roof)
            continue
        start = max([today, *(found[before][1] for before in one.after if before in waiting)])
        found[name] = start, finish(start, one.lead)
    return found


def _path(waiting: Mapping[str, Activity], timings: Mapping[str, Timing], today: date) -> tuple[str, ...]:
    """Through what has the least slack: back along what it waits for, on along what waits for it.

    Slack is not the same all along a chain where days without work fall into lead times that
    count all days; so the chain is followed by its days, not by its slack.
    """
    if not timings:
        return ()
    place = {name: position for position, name in enumerate(timings)}
    middle = min(timings, key=lambda one: (timings[one].slack, place[one]))
    behind: dict[str, list[str]] = {}
    for name in timings:
        for before in waiting[name].after if waiting[name].stage is Stage.OPEN else ():
            behind.setdefault(before, []).append(name)

    def best(names: list[str]) -> str:
        return min(names, key=lambda one: (timings[one].slack, place[one]))

    way = [middle]
    while first := _holding(waiting, timings, way[0], today):
        way.insert(0, best(first))
    while then := [
        one for one in behind.get(way[-1], ()) if timings[one].latest_start == timings[way[-1]].latest_finish
    ]:
        way.append(best(then))
    return tuple(way)


def _holding(
    waiting: Mapping[str, Activity], timings: Mapping[str, Timing], name: str, today: date
) -> list[str]:
    """What keeps something from beginning earlier; nothing does where it can begin today."""
    start = timings[name].earliest_start
    if waiting[name].stage is not Stage.OPEN or start == today:
        return []
    return [one for one in waiting[name].after if one in timings and timings[one].earliest_finish == start]
