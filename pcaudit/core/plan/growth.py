"""Data that grows by a fixed amount on each day with runs."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import NamedTuple


def run_days(days: int, days_per_week: Fraction) -> Fraction | int:
    """Most days with runs in so many days on end.

    The days with runs of each week come first: no other order gives more data earlier.
    """
    weeks, rest = divmod(days, 7)
    whole = days_per_week.numerator if days_per_week.denominator == 1 else days_per_week
    return weeks * whole + min(rest, whole)


class Growth(NamedTuple):
    """An amount that grows with runs.

    Attributes:
        base: Bytes on the first day, before any run.
        daily: Bytes of a day with runs.
        days_per_week: Days with runs in a week.
    """

    base: int
    daily: int
    days_per_week: Fraction

    def at(self, days: int) -> int:
        """Bytes after so many days, rounded up."""
        # In whole numbers: a rotation asks this hundreds of times, and fractions take ten times as long.
        weeks, rest = divmod(days, 7)
        runs, part = self.days_per_week.numerator, self.days_per_week.denominator
        return self.base - (-self.daily * (weeks * runs + min(rest * part, runs)) // part)

    def weekly(self) -> int:
        """Bytes of a week, rounded up."""
        return ceil(self.daily * self.days_per_week)

    def last_day(self, limit: int) -> int:
        """The most days after which it is not above ``limit``; -1 where it is at the start.

        Formula: weeks = room // (daily x days per week), days = rest // daily.
        """
        room = limit - self.base
        if room < 0:
            return -1
        weeks, rest = divmod(room, self.daily * self.days_per_week)
        return int(weeks) * 7 + int(rest // self.daily)
