"""A backup plan in tables: what, where, when, how many, how much, and how it comes back."""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.core.plan.backup_findings import full_day
from pcaudit.core.plan.contents import Contents
from pcaudit.core.plan.copies import Copy, named
from pcaudit.core.plan.horizon import Horizon
from pcaudit.core.plan.rotation import Cycle, Kept
from pcaudit.core.plan.route import Route, Times
from pcaudit.core.plan.section import Curve, Table
from pcaudit.core.plan.size_words import SI_NOTE, short_size
from pcaudit.core.plan.transfer import seconds, show_time
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.backup import Backup
from pcaudit.core.worksheet.term import Term

UNKNOWN: Final = "?"
"""What stands in a cell that is not known."""

_POINTS: Final = 40
_YEARS_SHOWN: Final = (1, 2, 5, 10)
_EVERY: Final = {"day": "every day", "week": "every week", "month": "every month"}


def _yes(flag: bool | None) -> str:
    return UNKNOWN if flag is None else "yes" if flag else "no"


def _size(size: int | None, down: bool = False) -> str:
    return UNKNOWN if size is None else short_size(size, down)


def contents_table(data: Contents) -> Table:
    """What is to be backed up, and how much it is."""
    rows = [(part.title, part.inside or _size(part.size), visible(part.basis, 200)) for part in data.parts]
    rows.append(("All of it: a full copy now", _size(data.full.base if data.full else None), "sum"))
    daily = "per run x runs per day"
    rows.append(("Added on each day with runs", _size(data.daily), daily))
    values = [
        {"what": part.title, "bytes": part.size, "basis": visible(part.basis, 200)} for part in data.parts
    ]
    return Table("What is to be backed up", ("What", "Size", "From"), tuple(rows), tuple(values), SI_NOTE)


def copies_table(found: tuple[Copy, ...]) -> Table:
    """Each destination, and whether what lies there is a copy."""
    rows, values = [], []
    for copy in found:
        one = copy.destination
        flags = (_yes(one.offsite), _yes(one.offline), _yes(one.encrypted))
        rows.append((named(one), one.kind or UNKNOWN, _yes(copy.counts), *flags))
        values.append({"id": one.id, "kind": one.kind, "counts": copy.counts, "why": copy.why})
    head = ("Destination", "Kind", "A copy", "Off-site", "Offline", "Encrypted")
    note = "The original on the PC is a copy too. RAID, synchronised folders and snapshots never are."
    return Table("Copies", head, tuple(rows), tuple(values), note)


def copy_notes(found: tuple[Copy, ...]) -> tuple[str, ...]:
    """Why a destination holds no copy."""
    return tuple(
        f"{named(copy.destination)} ({copy.destination.kind}) is no copy: {copy.why}."
        for copy in found
        if copy.counts is False
    )


class _Job(NamedTuple):
    """One kind of copy: how often, its size on the PC, and compressed."""

    what: str
    every: str
    size: int | None = None
    stored: int | None = None


def schedule_table(backup: Backup, data: Contents, routes: tuple[Route, ...], ahead: Horizon) -> Table:
    """What is copied when, how large it is within a year and how long that takes."""
    rows, values = [], []
    for route in routes:
        for job in _jobs(backup, data, route.of, ahead.first):
            times = _job_times(job, route)
            rows.append((route.name, job.what, job.every, _size(job.size), *_pair(times)))
            one = {"id": route.destination.id, "what": job.what, "every": job.every, "bytes": job.size}
            values.append({**one, "least": _seconds(times)["least"], "cautious": _seconds(times)["first"]})
    window = f"Window: {backup.window.shown()}. " if backup.window else ""
    note = (
        f"{window}Sizes at the end of the first year, not compressed. A full takes the place of that day's "
        "other copy. Days without runs are copied too: that keeps the interval, and takes next to nothing."
    )
    head = ("To", "What", "How often", "Size", "At least", "Cautious")
    return Table("Schedule", head, tuple(rows), tuple(values), f"{note} {SI_NOTE}")


def _jobs(backup: Backup, data: Contents, of: Cycle | None, days: int) -> list[_Job]:
    if of is None:
        return [_Job("full", UNKNOWN)]
    full, stored = data.full, data.stored_full
    sizes = (full.at(days), stored.at(days)) if full and stored else (None, None)
    jobs = [_Job("full", _EVERY[of.full_every], *sizes)]
    if of.partials:
        change, packed = data.change, data.stored_change
        sizes = (change.largest(of), packed.largest(of)) if change and packed else (None, None)
        jobs.append(_Job(backup.scheme, _EVERY[of.every], *sizes))
    return jobs


def _job_times(job: _Job, route: Route) -> Times:
    speeds = route.rates
    if job.size is None or job.stored is None or speeds is None:
        return Times()
    least = seconds(job.size if speeds.measured else job.stored, speeds.fastest)
    return Times(least, None if speeds.cautious is None else seconds(job.size, speeds.cautious))


def kept_table(backup: Backup) -> Table:
    """How many copies of each kind are kept."""
    names = ("Daily (sons)", "Weekly (fathers)", "Monthly (grandfathers)", "Yearly")
    counts = [getattr(backup, key) for key in Kept._fields]
    rows = [
        (name, UNKNOWN if count is None else str(count)) for name, count in zip(names, counts, strict=True)
    ]
    total = None if None in counts else Kept(*counts).sets
    rows.append(("Sets in all, each on its own medium", UNKNOWN if total is None else str(total)))
    values = tuple({"kind": key, "number": getattr(backup, key)} for key in Kept._fields)
    note = (
        "A copy kept for one kind is not counted for the next. A chain of incremental copies is kept whole, "
        "and the oldest goes only once the newest is written."
    )
    if backup.weekly == 4:
        note += " Where each week of a month with five has its own medium, weekly is 5."
    return Table("Copies kept (grandfather, father, son)", ("Kind", "Number"), tuple(rows), values, note)


def _days_shown(ahead: Horizon) -> list[tuple[str, int]]:
    """Years to show the space after, and the end of the retention."""
    days = [
        (f"{years} y", (Term(months=12 * years).after(ahead.start) - ahead.start).days)
        for years in _YEARS_SHOWN
    ]
    if ahead.end is None:
        return days[:1]
    return [*((name, day) for name, day in days if day < ahead.end), ("end", ahead.end)]


def space_table(routes: tuple[Route, ...], ahead: Horizon) -> Table:
    """The space the rotation takes at each destination over time."""
    shown = _days_shown(ahead)
    rows, values = [], []
    for route in routes:
        sizes = [None if route.space is None else route.space.at(days) for _, days in shown]
        last = full_day(route, ahead)
        until = UNKNOWN if last is None else _until(last, ahead)
        rows.append((route.name, _size(route.destination.capacity, down=True), *(map(_size, sizes)), until))
        space = [
            {"day": ahead.day(days).isoformat(), "bytes": size}
            for (_, days), size in zip(shown, sizes, strict=True)
        ]
        values.append({"id": route.destination.id, "capacity": route.destination.capacity, "space": space})
    head = (
        "Destination",
        "Capacity",
        *(f"After {name}" if name != "end" else "At the end" for name, _ in shown),
    )
    note = f"Counted from {ahead.start.isoformat()}, just before the oldest copy is dropped. {SI_NOTE}"
    return Table("Space at each destination", (*head, "Enough until"), tuple(rows), tuple(values), note)


def _until(last: int, ahead: Horizon) -> str:
    if last < 0:
        return "too small"
    return "the end" if ahead.end is not None and last >= ahead.end else ahead.day(last).isoformat()


def loss_table(routes: tuple[Route, ...]) -> Table:
    """Worst loss and restore at each destination."""
    rows, values = [], []
    for route in routes:
        sets = UNKNOWN if route.of is None else str(route.of.sets_to_restore)
        rows.append((route.name, *_pair(route.loss), sets, *_pair(route.restore)))
        values.append(
            {
                "id": route.destination.id,
                "loss": _seconds(route.loss),
                "restore": _seconds(route.restore),
                "job": _seconds(route.job),
            }
        )
    head = ("Destination", "Loss at least", "Loss, cautious", "Sets", "Restore at least", "Restore, cautious")
    note = (
        "Within the first year. At least: a lower bound, disks and protocols are slower. Cautious: half of "
        "that rate, 400 Mbit/s at most (common practice, no source); both are the measured rate where there "
        "is one. Reinstalling is not counted."
    )
    return Table("Loss and restore", head, tuple(rows), tuple(values), note)


def _pair(times: Times) -> tuple[str, str]:
    least = UNKNOWN if times.least is None else show_time(times.least, down=True)
    return least, UNKNOWN if times.first is None else show_time(times.first)


def _seconds(times: Times) -> dict[str, float | None]:
    named = {"least": times.least, "first": times.first, "end": times.end}
    return {name: None if value is None else float(value) for name, value in named.items()}


def space_curves(routes: tuple[Route, ...], ahead: Horizon) -> tuple[Curve, ...]:
    """The space taken at each destination over time, under its capacity."""
    far = ahead.far()
    step = max(-(-far // _POINTS), 1)
    days = [*range(0, far, step), far]
    return tuple(
        Curve(
            f"Space taken at {route.name}",
            "bytes",
            tuple((ahead.day(day).isoformat(), float(route.space.at(day))) for day in days),
            () if route.destination.capacity is None else (("capacity", float(route.destination.capacity)),),
        )
        for route in routes
        if route.space is not None
    )
