"""Working days: which days count, and counting them from a day."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final, NamedTuple

MONDAY_TO_FRIDAY: Final = frozenset(range(5))
"""Weekdays that count unless the lab says otherwise; 0 is Monday."""

_ONE: Final = timedelta(days=1)
_WEEK: Final = 7


class WorkingDays(NamedTuple):
    """The days on which work is done.

    Work that takes n working days and begins on the morning of a day is done on the evening of
    the n-th: ``back`` and ``forward`` count that way. Beyond the first and last day of the
    calendar (years 1 and 9999) the count ends there.

    Attributes:
        weekdays: Days of the week, 0 is Monday; at least one.
        holidays: Days on which no work is done all the same.
    """

    weekdays: frozenset[int] = MONDAY_TO_FRIDAY
    holidays: frozenset[date] = frozenset()

    def works(self, day: date) -> bool:
        """Whether a day is a working day."""
        return day.weekday() in self.weekdays and day not in self.holidays

    def back(self, day: date, number: int) -> date:
        """The morning on which work must begin that takes this many days and is done before ``day``.

        Args:
            day: Itself not counted.
            number: Working days; 0 gives the last one on or before ``day``.
        """
        return self._step(day, number, -_ONE)

    def forward(self, day: date, number: int) -> date:
        """The working day that is this many after ``day``, itself not counted; 0 as for ``back``."""
        return self._step(day, number, _ONE)

    def between(self, first: date, last: date) -> int:
        """Working days from ``first`` up to ``last``, which is not counted; negative where it is earlier."""
        if last < first:
            return -self.between(last, first)
        weeks, rest = divmod((last - first).days, _WEEK)
        days = sum(self.works(first + timedelta(days=n)) for n in range(rest))
        return days + self._in_weeks(first + timedelta(days=rest), weeks)

    def _in_weeks(self, first: date, weeks: int) -> int:
        """Working days of so many whole weeks from ``first`` on."""
        # Not day by day: a lead time may be of thousands, and a worksheet have thousands of them.
        if not weeks:
            return 0
        last = first + timedelta(days=weeks * _WEEK - 1)
        lost = sum(first <= day <= last and day.weekday() in self.weekdays for day in self.holidays)
        return weeks * len(self.weekdays) - lost

    def _step(self, day: date, number: int, step: timedelta) -> date:
        if number == 0 and self.works(day):
            return day
        left = max(number, 1)
        edge = date.min if step < timedelta(0) else date.max
        weeks = (left - 1) // len(self.weekdays)
        if abs((edge - day).days) < weeks * _WEEK:
            return edge  # whole weeks never hold more working days than that
        if weeks:
            whole = weeks * _WEEK * step
            left -= self._in_weeks(day + (whole if step < timedelta(0) else _ONE), weeks)
            day += whole
        while left and day != edge:
            day += step
            left -= self.works(day)
        return day
