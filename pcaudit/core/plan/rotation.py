"""Which copies a rotation keeps, and the space they take.

Grandfather-father-son: so many daily copies (sons), weekly (fathers), monthly (grandfathers) and
yearly ones. A copy that is kept for one of them is not counted for the next; a copy that a kept one
is built on is never dropped; and the oldest goes only once the newest is written.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import Final, NamedTuple

from pcaudit.core.plan.growth import Growth, run_days
from pcaudit.core.worksheet.backup import INTERVALS

LONGEST: Final = {"day": 1, "week": 7, "month": 31}
"""Most days from one copy to the next."""

_SHORTEST: Final = {"day": 1, "week": 7, "month": 28}
_MONTHS_APART: Final = 28  # last copies of two months: four weeks at least
_YEARS_APART: Final = 364  # last copies of two years: 52 weeks at least
# Copies between two fulls at most; five weekly ones begin in a month of 29 days or more.
_PARTIALS: Final = {("day", "week"): 6, ("day", "month"): 30, ("week", "month"): 5}


class Kept(NamedTuple):
    """Copies kept of each kind, as the worksheet asks."""

    daily: int
    weekly: int
    monthly: int
    yearly: int

    @property
    def sets(self) -> int:
        """Sets of media, where each copy has its own: 4 + 4 + 12 make 20."""
        return sum(self)


class Cycle(NamedTuple):
    """What goes to a destination from one full to the next.

    Attributes:
        every: How often something goes there.
        full_every: How often everything does.
        partials: Incremental or differential copies between two fulls, at most.
        chained: Whether each of them is built on the one before it (incremental).
    """

    every: str
    full_every: str
    partials: int
    chained: bool

    @property
    def interval(self) -> int:
        """Most days from one copy to the next."""
        return LONGEST[self.every]

    @property
    def sets_to_restore(self) -> int:
        """Most sets that a restore reads, in order: the full and what is built on it."""
        return 1 + (self.partials if self.chained else min(self.partials, 1))


def cycle(every: str, full_every: str, takes_partials: bool, chained: bool) -> Cycle:
    """What goes to a destination.

    Args:
        every: How often a copy goes there: day, week or month.
        full_every: How often a full is made.
        takes_partials: Whether the destination takes more than fulls.
        chained: Whether what is copied between is incremental.
    """
    full = max(every, full_every, key=INTERVALS.index)
    every = every if takes_partials else full
    return Cycle(every, full, _PARTIALS.get((every, full), 0), chained)


class Change(NamedTuple):
    """What a copy between two fulls holds.

    Attributes:
        daily: Bytes of a day with runs.
        days_per_week: Days with runs in a week.
        rate: Share of ``changing`` that changes each day.
        changing: Bytes of what changes.
    """

    daily: int
    days_per_week: Fraction
    rate: Fraction
    changing: int

    def over(self, days: int) -> int:
        """Most bytes that are new or changed after so many days; nothing counts twice."""
        changed = min(self.rate * days, Fraction(1)) * self.changing
        return ceil(run_days(days, self.days_per_week) * self.daily + changed)

    def chain(self, of: Cycle) -> int:
        """Bytes of all copies of a cycle, or of the largest where each is built on the full alone."""
        if not of.chained:
            return self.over(of.partials * of.interval) if of.partials else 0
        new = run_days(of.partials * of.interval, self.days_per_week) * self.daily
        changed = min(self.rate * of.interval, Fraction(1)) * self.changing
        return ceil(new + of.partials * changed)

    def largest(self, of: Cycle) -> int:
        """Bytes of the largest single copy of a cycle; 0 where it has only the full."""
        if not of.partials:
            return 0
        return self.over(of.interval if of.chained else of.partials * of.interval)

    def newest(self, of: Cycle, number: int) -> int:
        """Bytes of the newest ``number`` copies at the end of a cycle, by whole chains where chained."""
        if not of.partials:
            return 0
        if of.chained:
            return ceil(Fraction(number, of.partials)) * self.chain(of)
        cycles, rest = divmod(number, of.partials)
        sizes = [self.over(place * of.interval) for place in range(of.partials, 0, -1)]
        return cycles * sum(sizes) + sum(sizes[:rest])


def partials_wanted(of: Cycle, kept: Kept) -> int:
    """Copies between fulls that a rotation keeps; the newest one always is."""
    if not of.partials:
        return 0
    if of.every == "week":
        wanted = kept.weekly
    elif of.full_every == "month":
        wanted = max(kept.daily, 7 * kept.weekly)
    else:
        wanted = kept.daily
    return max(wanted, 1)


def full_ages(of: Cycle, kept: Kept, peak: bool = True) -> list[int]:
    """Least age in days of each full that is kept.

    Args:
        of: What goes to the destination.
        kept: The rotation.
        peak: Just before the oldest is dropped; otherwise at the end of a cycle.
    """
    return list(_ages(of, kept, 1 if peak else 0))


def _ages(of: Cycle, kept: Kept, more: int) -> Iterator[int]:
    wanted = partials_wanted(of, kept)
    cycles = ceil(Fraction(wanted, of.partials)) + more if wanted else 0
    counts = {"day": kept.daily, "week": kept.weekly, "month": kept.monthly}
    base = max(counts[of.full_every] + more, cycles, 1 + more)
    for index in range(base):
        yield index * _SHORTEST[of.full_every]
    age = base * _SHORTEST[of.full_every]
    if of.full_every == "day":
        # The last day of a month need not end a week: months are counted beside weeks, not behind.
        yield from (age + index * 7 for index in range(kept.weekly))
    if of.full_every != "month":
        yield from (age + index * _MONTHS_APART for index in range(kept.monthly))
        age += kept.monthly * _MONTHS_APART
    yield from (age + index * _YEARS_APART for index in range(kept.yearly))


class Space(NamedTuple):
    """Space a rotation takes at a destination as time goes by.

    Attributes:
        of: What goes there.
        kept: The rotation.
        full: Bytes of a full, as they lie there.
        change: What copies between fulls hold, as they lie there.
    """

    of: Cycle
    kept: Kept
    full: Growth
    change: Change

    def partials(self, peak: bool = True) -> int:
        """Bytes of all copies between fulls."""
        number = partials_wanted(self.of, self.kept)
        if peak and number:
            number += self.of.partials if self.of.chained else 1
        return self.change.newest(self.of, number)

    def kept_at(self, days: int) -> int:
        """Bytes at the end of a cycle, so many days after the first copy."""
        return self._at(days, full_ages(self.of, self.kept, peak=False), self.partials(peak=False))

    def at(self, days: int) -> int:
        """Most bytes at once until so many days after the first copy."""
        return self._at(days, full_ages(self.of, self.kept), self.partials())

    def _at(self, days: int, ages: list[int], partials: int) -> int:
        return sum(self.full.at(days - age) for age in ages if age <= days) + partials

    def last_day(self, limit: int, end: int) -> int:
        """The last day, up to ``end``, on which no more than ``limit`` is taken; -1 for none."""
        ages, partials = full_ages(self.of, self.kept), self.partials()
        if self._at(end, ages, partials) <= limit:
            return end
        low, high = -1, end
        while high - low > 1:
            middle = (low + high) // 2
            if self._at(middle, ages, partials) <= limit:
                low = middle
            else:
                high = middle
        return low
