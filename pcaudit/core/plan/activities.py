"""What must be done until the installation: tasks and arrangements on one calendar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Final, NamedTuple

from pcaudit.core.finding import DOES_NOT_APPLY, NOT_ANSWERED, Arrangement, Verdict
from pcaudit.core.lead_time import LeadTime, read_lead_time
from pcaudit.core.plan.critical_path import Activity, Stage, Timing, schedule
from pcaudit.core.plan.spans import ON_THE_DAY, due, finish_from
from pcaudit.core.plan.working_days import WorkingDays
from pcaudit.core.worksheet.arrangements import IN_HAND, NOT_NEEDED, REQUESTED
from pcaudit.core.worksheet.people import People
from pcaudit.core.worksheet.tasks import OnTheDay, Task, Tasks

if TYPE_CHECKING:
    from pcaudit.core.worksheet.sheet import Worksheet

BEFORE_THE_DAY: Final = "before the day"
NO_OWNER: Final = "no owner named"


class Item(NamedTuple):
    """One thing to be done or to be had.

    Attributes:
        id: Unique on the calendar; an arrangement's, or a task's.
        title: For people.
        owner: Who sees to it, for people.
        needed: "before the day" or "on the day".
        lead: How long it takes; None where not said.
        after: Ids of what is done before it begins.
        stage: How far it is.
        state: The same for people: "requested", "not answered".
        since: Day it was begun; None where not known.
        promised: Day on which it is to be there; None where not known.
        on_the_day: When on the installation day; None for anything else.
        task: Whether it is a task, not an arrangement.
        because, remedy: Why it is asked, and how it is done.
        unmet: It is told elsewhere that it will not be there in time.
        file, line: Where it is asked.
    """

    id: str
    title: str
    owner: str
    needed: str = BEFORE_THE_DAY
    lead: LeadTime | None = None
    after: tuple[str, ...] = ()
    stage: Stage = Stage.OPEN
    state: str = ""
    since: date | None = None
    promised: date | None = None
    on_the_day: OnTheDay | None = None
    task: bool = True
    because: str = ""
    remedy: str = ""
    unmet: bool = False
    file: str = ""
    line: int = 0

    @property
    def unanswered(self) -> bool:
        """Whether it may be in hand already: nobody has said."""
        return self.state == NOT_ANSWERED


class Timetable(NamedTuple):
    """Everything on the calendar, with its timings.

    Attributes:
        day: The installation day.
        as_of: The day work counts from.
        days: The working calendar.
        items: By id, in the order asked.
        timings: Of what is not done and does not come after the day, in an order that can be worked in.
        path: The critical path.
        later: Ids of what waits for something that is done on the day.
    """

    day: date
    as_of: date
    days: WorkingDays
    items: Mapping[str, Item]
    timings: Mapping[str, Timing]
    path: tuple[str, ...]
    later: frozenset[str]

    def shown(self, name: str) -> str:
        """Title of an item; its id where there is none."""
        item = self.items.get(name)
        return item.title if item else name


def task_items(tasks: Tasks, people: People, file: str, as_of: date) -> list[Item]:
    """The worksheet's tasks; ``as_of`` tells a day on which one was done from one still to come."""
    return [_task_item(task, people, file, as_of) for task in tasks.tasks]


def _task_item(task: Task, people: People, file: str, as_of: date) -> Item:
    done, begun = task.done, task.begun
    stage, state, promised = Stage.OPEN, "not begun", None
    if done is True or (isinstance(done, date) and done <= as_of):
        stage, state = Stage.DONE, "done" if done is True else f"done {done.isoformat()}"
    elif begun is True or (isinstance(begun, date) and begun <= as_of):
        stage, state = Stage.BEGUN, "begun" if begun is True else f"begun {begun.isoformat()}"
        # A day still to come on which it "was" done is the day it is to be done by.
        promised = done if isinstance(done, date) else None
    return Item(
        id=task.id,
        title=task.shown,
        owner=people.shown(task.owner) or NO_OWNER,
        needed=ON_THE_DAY if task.on_the_day else BEFORE_THE_DAY,
        lead=task.takes,
        after=task.after,
        stage=stage,
        state=state,
        since=begun if isinstance(begun, date) else None,
        promised=promised,
        on_the_day=task.on_the_day,
        remedy=task.note,
        file=file,
        line=task.line,
    )


def arrangement_items(arrangements: Iterable[Arrangement], tasks: Tasks, as_of: date) -> list[Item]:
    """What must be arranged, as judged; what is not needed, or not for this PC, is left out.

    Args:
        arrangements: With the worksheet's answers in them.
        tasks: What the worksheet says comes before an arrangement.
        as_of: Tells what was requested from what is still to be.
    """
    ids = {task.id for task in tasks.tasks}
    found = []
    for one in arrangements:
        if one.state in (DOES_NOT_APPLY, NOT_NEEDED):
            continue
        # A profile's arrangement and a task may have one id where no answer names it.
        key = f"arrangements.{one.id}" if one.id in ids else one.id
        name = _bare(one.id)
        before = (*tasks.before.get(one.id, ()), *tasks.before.get(name, ()))
        found.append(_arrangement_item(key, one, tuple(dict.fromkeys(before)), as_of))
    return found


def _bare(name: str) -> str:
    """An id without the profile that stands before it where several use it."""
    return name.rpartition("/")[2]


def _arrangement_item(key: str, one: Arrangement, after: tuple[str, ...], as_of: date) -> Item:
    stages = {IN_HAND: Stage.DONE, REQUESTED: Stage.BEGUN}
    stage, state = stages.get(one.state, Stage.OPEN), one.state
    since = _day(one.requested)
    if stage is Stage.BEGUN and since and since > as_of:
        stage, state, since = Stage.OPEN, f"to be requested {since.isoformat()}", None
    return Item(
        id=key,
        title=one.title,
        owner=one.owner or NO_OWNER,
        needed=one.needed,
        lead=read_lead_time(one.lead_time),
        after=after,
        stage=stage,
        state=state,
        since=since,
        promised=_day(one.expected),
        task=False,
        because=one.because,
        remedy=one.remedy,
        unmet=one.verdict is Verdict.UNMET,
        file=one.profile,
        line=one.line,
    )


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def whole_timetable(
    worksheet: Worksheet,
    arrangements: Sequence[Arrangement],
    days: WorkingDays,
    day: date | None,
    as_of: date,
) -> Timetable | None:
    """The calendar of a whole worksheet; None where nobody said the installation day.

    Args:
        worksheet: Gives tasks and people.
        arrangements: As judged, with the worksheet's answers in them.
        days: The working calendar.
        day: The installation day.
        as_of: The day work counts from.
    """
    if day is None:
        return None
    items = task_items(worksheet.tasks, worksheet.people, worksheet.path, as_of)
    items += arrangement_items(arrangements, worksheet.tasks, as_of)
    return timetable(items, day, as_of, days)


def timetable(items: Sequence[Item], day: date, as_of: date, days: WorkingDays) -> Timetable:
    """Time everything back from the installation day and on from today.

    Args:
        items: Tasks and arrangements; their ids differ.
        day: The installation day.
        as_of: The day work counts from.
        days: The working calendar.

    Raises:
        ValueError: Items wait for each other in a circle; reading a worksheet refuses that.
    """
    by_id = {item.id: item for item in _linked(items)}
    later = _later(by_id)
    activities = [_activity(item, day, days) for item in by_id.values() if item.id not in later]
    found = schedule(activities, as_of, days)
    return Timetable(day, as_of, days, by_id, found.timings, found.path, later)


def _linked(items: Sequence[Item]) -> list[Item]:
    """Items whose ``after`` names items; an id that several profiles use means each of theirs."""
    ids = {item.id for item in items}
    several: dict[str, list[str]] = {}
    for item in items:
        if not item.task:
            several.setdefault(_bare(item.id), []).append(item.id)

    def meant(name: str) -> list[str]:
        return [name] if name in ids else several.get(name, [])

    return [item._replace(after=tuple(one for name in item.after for one in meant(name))) for item in items]


def _activity(item: Item, day: date, days: WorkingDays) -> Activity:
    return Activity(
        id=item.id,
        due=due(day, item.needed, days),
        lead=None if item.on_the_day else item.lead,
        after=item.after,
        stage=item.stage,
        finish=end_of(item, days),
    )


def end_of(item: Item, days: WorkingDays) -> date | None:
    """The day on which what is begun is to be there; None where that is not known."""
    if item.promised or item.stage is not Stage.BEGUN:
        return item.promised
    if item.since is None or item.lead is None:
        return None
    return finish_from(days.forward(item.since, 0), item.lead, days)


def _later(items: Mapping[str, Item]) -> frozenset[str]:
    """What waits, at once or by way of others, for a task of the day, and is none itself."""
    behind: dict[str, list[str]] = {}
    for item in items.values():
        for before in item.after:
            behind.setdefault(before, []).append(item.id)
    open_ends = [item.id for item in items.values() if item.on_the_day]
    found = set()
    while open_ends:
        for name in behind.get(open_ends.pop(), ()):
            if not items[name].on_the_day and name not in found:
                found.add(name)
                open_ends.append(name)
    return frozenset(found)
