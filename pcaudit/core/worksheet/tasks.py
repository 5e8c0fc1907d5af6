"""Work to be done for the installation, and what must be done before what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.lead_time import LeadTime, read_lead_time
from pcaudit.core.places import Path
from pcaudit.core.texts import did_you_mean
from pcaudit.core.units import DURATION
from pcaudit.core.worksheet.people import People, people_named, who
from pcaudit.core.worksheet.reader import Reader

_KEYS: Final = ("id", "title", "owner", "takes", "after", "before", "begun", "done", "on_the_day", "note")
_MOST_CIRCLES: Final = 5
_MOST_HINTS: Final = 50
_DAY_SECONDS: Final = 86400


class OnTheDay(NamedTuple):
    """Work on the installation day itself: minutes after midnight, and how many; None where not said."""

    start: int | None
    minutes: int | None


class Task(NamedTuple):
    """One piece of work.

    Attributes:
        id: Its name in ``after`` and ``before``.
        title: What is done.
        owner: Id of a person, or a text such as IT.
        takes: How long it takes; None where not said.
        after: Ids of tasks and arrangements that are done before it begins, other tasks' ``before`` too.
        begun: Day it was begun; True where only that is said.
        done: Day it was done; True where only that is said.
        on_the_day: When on the installation day; None for work on other days.
        note: For whoever does it.
        line: Where it stands in the worksheet.
    """

    id: str
    title: str = ""
    owner: str = ""
    takes: LeadTime | None = None
    after: tuple[str, ...] = ()
    begun: date | bool = False
    done: date | bool = False
    on_the_day: OnTheDay | None = None
    note: str = ""
    line: int = 0

    @property
    def shown(self) -> str:
        """Title for people."""
        return self.title or self.id


class Tasks(NamedTuple):
    """Every task, and what must be done before arrangements.

    Attributes:
        asked: Whether the section is there.
        tasks: In the order of the worksheet.
        before: For each arrangement, ids of what is done before it begins.
    """

    asked: bool = False
    tasks: tuple[Task, ...] = ()
    before: Mapping[str, tuple[str, ...]] = {}


class Link(NamedTuple):
    """``first`` must be done before ``then`` begins, as said at ``path``."""

    first: str
    then: str
    path: Path


def read_tasks(reader: Reader, data: Mapping[str, Any]) -> Tasks:
    """Read ``[[tasks]]``, and check what is named before or after what, in arrangements too."""
    people = people_named(data)
    seen: dict[str, int] = {}
    tasks, links = [], list(_of_arrangements(data))
    arrangements = _arrangements(data)
    for table, path in reader.tables(data, "tasks"):
        task = _task(reader, table, path, seen, people)
        if task.id in arrangements:
            hint = f"an arrangement in line {reader.line(('arrangements', task.id))} has it: choose another"
            reader.wrong((*path, "id"), f"the id `{task.id}` is used twice", hint)
        if task.id:
            tasks.append(task)
            links += _links(reader, table, path, task)
    links = _known(reader, links, [*seen, *arrangements])
    _refuse_circles(reader, links)
    needed: dict[str, list[str]] = {}
    for link in links:
        needed.setdefault(link.then, []).append(link.first)
    first = {then: tuple(dict.fromkeys(names)) for then, names in needed.items()}
    return Tasks(
        asked="tasks" in data,
        tasks=tuple(task._replace(after=first.get(task.id, ())) for task in tasks),
        before={name: first[name] for name in arrangements if name in first},
    )


def _arrangements(data: Mapping[str, Any]) -> Mapping[str, Any]:
    raw = data.get("arrangements")
    return raw if isinstance(raw, Mapping) else {}


def _of_arrangements(data: Mapping[str, Any]) -> Iterator[Link]:
    for name, table in _arrangements(data).items():
        raw = table.get("after", []) if isinstance(table, Mapping) else []
        for index, first in enumerate(
            [raw] if isinstance(raw, str) else raw if isinstance(raw, list) else []
        ):
            path: Path = ("arrangements", name, "after")
            if isinstance(first, str) and first.strip() and first.strip() != name:
                yield Link(first.strip(), name, (*path, index) if isinstance(raw, list) else path)


def _task(reader: Reader, table: Mapping[str, Any], path: Path, seen: dict[str, int], people: People) -> Task:
    reader.known(table, path, _KEYS)
    return Task(
        id=reader.id(table, path, seen, "task"),
        title=reader.text(table, path, "title"),
        owner=who(reader, people, table, path, "owner"),
        takes=_takes(reader, table, path),
        begun=_since(reader, table, path, "begun"),
        done=_since(reader, table, path, "done"),
        on_the_day=_on_the_day(reader, table, path),
        note=reader.text(table, path, "note"),
        line=reader.line((*path, "id") if "id" in table else path),
    )


def _takes(reader: Reader, table: Mapping[str, Any], path: Path) -> LeadTime | None:
    text = reader.text(table, path, "takes")
    lead = read_lead_time(text) if text else None
    if text and lead is None:
        hint = 'write "2 working days"; hours on the installation day go into on_the_day'
        reader.wrong((*path, "takes"), f"{text!r:.60} is no number of days, weeks or months", hint)
    return lead


def _since(reader: Reader, table: Mapping[str, Any], path: Path, key: str) -> date | bool:
    value = table.get(key)
    if isinstance(value, bool):
        return value
    if value is None or value == "" or isinstance(value, date):
        return reader.day(table, path, key) or False
    reader.wrong((*path, key), f"`{key}` is a day, or true", f"write {key} = 2026-11-02, without quotes")
    return False


def _on_the_day(reader: Reader, table: Mapping[str, Any], path: Path) -> OnTheDay | None:
    value = table.get("on_the_day")
    if value is None or value is False or value == "":
        return None
    if value is True:
        return OnTheDay(None, None)
    here = (*path, "on_the_day")
    if not isinstance(value, Mapping):
        reader.wrong(here, "`on_the_day` says when", 'write on_the_day = { from = "09:00", takes = "2 h" }')
        return None
    reader.known(value, here, ("from", "takes"))
    start = reader.clock(value, here, "from")
    seconds = reader.quantity(value, here, "takes", DURATION, 60, _DAY_SECONDS)
    minutes = None if seconds is None else -int(-seconds // 60)
    return OnTheDay(start, minutes)


def _links(reader: Reader, table: Mapping[str, Any], path: Path, task: Task) -> Iterator[Link]:
    for key in ("after", "before"):
        listed = isinstance(table.get(key), list)
        for index, name in enumerate(reader.texts(table, path, key)):
            here: Path = (*path, key, index) if listed else (*path, key)
            if name == task.id:
                reader.wrong(here, f"`{name}` cannot come {key} itself", f"name another task in `{key}`")
            else:
                yield Link(*((name, task.id) if key == "after" else (task.id, name)), here)


def _known(reader: Reader, links: list[Link], names: list[str]) -> list[Link]:
    """The links between what there is; of the others, mistakes."""
    there = set(names)
    good = []
    for link in links:
        lost = [name for name in (link.first, link.then) if name not in there]
        if lost:
            # Finding what was meant takes a while: of thousands that are lost the first ones will do.
            hint = did_you_mean(lost[0], names) if len(reader.mistakes) < _MOST_HINTS else ""
            if not hint.startswith("did you mean"):
                hint = f"name a task, or answer the arrangement: [arrangements.{lost[0]:.60}]"
            reader.wrong(link.path, f"there is no task or arrangement `{lost[0]:.60}`", hint)
        else:
            good.append(link)
    return good


def _refuse_circles(reader: Reader, links: list[Link]) -> None:
    for circle in circles(links)[:_MOST_CIRCLES]:
        way = " before ".join(f"{link.first} (line {reader.line(link.path)})" for link in circle)
        reader.wrong(
            circle[0].path,
            f"these come before each other in a circle: {way} before {circle[0].first}",
            "take one of them out of `after` or `before`",
        )


def circles(links: list[Link]) -> list[list[Link]]:
    """Circles among links, each as the links it is made of; every link that closes one is in one of them."""
    ahead: dict[str, list[Link]] = {}
    for link in links:
        ahead.setdefault(link.first, []).append(link)
    found: list[list[Link]] = []
    done: set[str] = set()
    for start in ahead:
        if start not in done:
            _walk(start, ahead, done, found)
    return found


def _walk(start: str, ahead: dict[str, list[Link]], done: set[str], found: list[list[Link]]) -> None:
    # With a stack of its own: a chain of thousands of tasks is deeper than Python goes.
    way: list[Link] = []
    on_way = {start: 0}
    open_links = [iter(ahead.get(start, ()))]
    while open_links:
        link = next(open_links[-1], None)
        if link is None:
            open_links.pop()
            ended = way.pop().then if way else start
            done.add(ended)
            del on_way[ended]
        elif link.then in on_way:
            found.append([*way[on_way[link.then] :], link])
        elif link.then not in done:
            way.append(link)
            on_way[link.then] = len(way)
            open_links.append(iter(ahead.get(link.then, ())))
