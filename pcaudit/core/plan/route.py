"""One destination: what goes there, how long that takes, what may be lost, how it comes back."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Final, NamedTuple

from pcaudit.core.plan.contents import Contents
from pcaudit.core.plan.copies import Copy, named
from pcaudit.core.plan.growth import Growth
from pcaudit.core.plan.horizon import Horizon
from pcaudit.core.plan.rotation import Change, Cycle, Kept, Space, cycle
from pcaudit.core.plan.transfer import Rates, rates, seconds
from pcaudit.core.plan.volume import blank
from pcaudit.core.report import Verdict
from pcaudit.core.worksheet.backup import INTERVALS, Backup, Destination

_DAY: Final = 86400
_TIME_IT: Final = (
    "within the limit by the lower bound alone: time a copy there and write its rate as `measured`"
)


class Lengthening(NamedTuple):
    """How a time grows with the data.

    Attributes:
        full: Bytes of a full, which is copied or restored.
        rate: At which, bit/s.
        ahead: The days it grows over.
        beside: Seconds that come on top, and do not grow.
    """

    full: Growth
    rate: Fraction
    ahead: Horizon
    beside: Fraction = Fraction(0)

    def longer_from(self, limit: Fraction | int) -> date:
        """The first day on which it takes longer than ``limit`` seconds."""
        size = int((limit - self.beside) * self.rate / 8)
        return self.ahead.day(self.full.last_day(size) + 1)


class Times(NamedTuple):
    """How long something takes, in seconds; None where that is not known.

    Attributes:
        least: Within the first year, at the fastest.
        first: Within the first year, by a cautious estimate or the measured rate.
        end: The same at the end of the retention.
        grows: How it comes from ``first`` to ``end``; None where one of them is not known.
    """

    least: Fraction | None = None
    first: Fraction | None = None
    end: Fraction | None = None
    grows: Lengthening | None = None


class Route(NamedTuple):
    """What is known of the copies at one destination.

    Attributes:
        copy: The destination, and whether what lies there counts.
        of: What goes there from one full to the next; None where that is not known.
        rates: Of copies to it; None where they are not known.
        space: What the rotation takes there; None where that is not known.
        job: The longest copy.
        loss: The worst loss: from one copy to the next, and the time of that.
        restore: Of the newest state.
        missing: Why ``job``, ``loss`` or ``restore`` is not known.
        missing_space: Why the space, or whether it suffices, is not known.
    """

    copy: Copy
    of: Cycle | None
    rates: Rates | None
    space: Space | None
    job: Times
    loss: Times
    restore: Times
    missing: tuple[str, ...]
    missing_space: tuple[str, ...]

    @property
    def destination(self) -> Destination:
        """Where it leads."""
        return self.copy.destination

    @property
    def name(self) -> str:
        """The destination for people."""
        return named(self.copy.destination)

    @property
    def line(self) -> int:
        """Line of the destination where it leaves open how long a copy takes; 0 where it does not."""
        one, speeds = self.copy.destination, self.rates
        answered = one.kind and one.every and speeds is not None and speeds.cautious is not None
        return 0 if answered else one.line


def route(backup: Backup, data: Contents, copy: Copy, ahead: Horizon) -> Route:
    """Work out one destination."""
    destination = copy.destination
    blanks = _blanks(backup, destination)
    of = None if blanks else _cycle(backup, destination)
    speeds = rates(destination)
    partial = data.missing_change if of and of.partials else ()
    sizes = tuple(dict.fromkeys((*data.missing, *partial)))
    space, missing_space = _space(backup, data, destination, of, (*blanks, *sizes))
    missing = (*blanks, *sizes, *_unknown_rate(destination, speeds))
    job, restore = (Times(), Times()) if of is None or sizes else _times(data, of, speeds, ahead)
    return Route(
        copy,
        of,
        speeds,
        space,
        job,
        _loss(of, job),
        restore,
        missing,
        missing_space,
    )


def _blanks(backup: Backup, destination: Destination) -> tuple[str, ...]:
    """Keys that say what goes there, where they are blank."""
    reasons = []
    if not backup.full_every:
        reasons.append(blank("backup.full_every"))
    if not destination.every:
        reasons.append(blank("every", named(destination)))
    if not reasons and not backup.scheme and destination.partials:
        places = [INTERVALS.index(one) for one in (destination.every, backup.full_every)]
        if places[0] < places[1]:
            reasons.append(blank("backup.scheme"))
    return tuple(reasons)


def _cycle(backup: Backup, destination: Destination) -> Cycle:
    chained = backup.scheme != "differential"
    return cycle(destination.every, backup.full_every, destination.partials, chained)


def _unknown_rate(destination: Destination, speeds: Rates | None) -> tuple[str, ...]:
    if speeds is None:
        return (blank("link", named(destination)),)
    if speeds.cautious is None:
        return (f"{blank('measured', named(destination))}: only a timed copy shows its rate",)
    return ()


def _space(
    backup: Backup, data: Contents, destination: Destination, of: Cycle | None, missing: tuple[str, ...]
) -> tuple[Space | None, tuple[str, ...]]:
    counts = {key: getattr(backup, key) for key in Kept._fields}
    missing = (*missing, *(blank(f"backup.{key}") for key, count in counts.items() if count is None))
    space = None
    if of is not None and not missing:
        space = Space(of, Kept(**counts), *_sizes(data, of, stored=True))
    if destination.capacity is None:
        missing = (*missing, blank("capacity", named(destination)))
    return space, missing


def _sizes(data: Contents, of: Cycle, stored: bool) -> tuple[Growth, Change]:
    full, change = (data.stored_full, data.stored_change) if stored else (data.full, data.change)
    assert full is not None
    if change is None:
        assert not of.partials
        change = Change(full.daily, full.days_per_week, Fraction(0), 0)
    return full, change


def job_bytes(data: Contents, of: Cycle, days: int, stored: bool) -> int:
    """Bytes of the largest copy so many days after the first."""
    full, change = _sizes(data, of, stored)
    return max(full.at(days), change.largest(of))


def restore_bytes(data: Contents, of: Cycle, days: int, stored: bool) -> int:
    """Bytes that a restore of the newest state reads, so many days after the first copy."""
    full, change = _sizes(data, of, stored)
    return full.at(days) + change.chain(of)


def _times(data: Contents, of: Cycle, speeds: Rates | None, ahead: Horizon) -> tuple[Times, Times]:
    """Of the longest copy, and of a restore."""
    if speeds is None:
        return Times(), Times()
    full, change = _sizes(data, of, stored=False)
    both = []
    for amount, beside in ((job_bytes, 0), (restore_bytes, change.chain(of))):
        least = seconds(amount(data, of, ahead.first, not speeds.measured), speeds.fastest)
        first = end = grows = None
        if speeds.cautious is not None:
            first = seconds(amount(data, of, ahead.first, False), speeds.cautious)
            if ahead.end is not None:
                end = seconds(amount(data, of, ahead.end, False), speeds.cautious)
                grows = Lengthening(full, speeds.cautious, ahead, seconds(beside, speeds.cautious))
        both.append(Times(least, first, end, grows))
    return both[0], both[1]


def _loss(of: Cycle | None, job: Times) -> Times:
    """From the start of one copy to the end of the next: until then only the first can be restored."""
    if of is None:
        return Times()
    interval = of.interval * _DAY
    return Times(
        interval + (job.least or Fraction(0)),
        None if job.first is None else interval + job.first,
        None if job.end is None else interval + job.end,
        None if job.grows is None else job.grows._replace(beside=job.grows.beside + interval),
    )


def held(limit: Fraction | int, times: Times, missing: tuple[str, ...]) -> tuple[Verdict, str]:
    """Hold a time against a limit.

    Args:
        limit: Seconds.
        times: What it takes.
        missing: Why it is not known.

    Returns:
        Unmet where even the least time is longer; met where the cautious time at the end of the
        retention is not; marginal where only that is longer; else unverified, and why.
    """
    if times.least is not None and times.least > limit:
        return Verdict.UNMET, ""
    if times.first is None:
        return Verdict.UNVERIFIED, "; ".join(missing)
    if times.first > limit:
        return Verdict.UNVERIFIED, _TIME_IT
    if times.end is None:
        return Verdict.UNVERIFIED, blank("data.retention")
    return (Verdict.MET if times.end <= limit else Verdict.MARGINAL), ""
