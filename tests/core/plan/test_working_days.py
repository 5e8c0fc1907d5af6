"""Counting working days, held against numpy's ``busday_offset`` and ``busday_count``."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, strategies as st

from pcaudit.core.plan.working_days import WorkingDays

_DAYS = st.dates(date(2020, 1, 1), date(2032, 12, 31))
_CALENDARS = st.builds(
    WorkingDays,
    st.frozensets(st.integers(0, 6), min_size=1),
    st.frozensets(_DAYS, max_size=20),
)


def _offset(days: WorkingDays, day: date, number: int, roll: str) -> date:
    mask = [weekday in days.weekdays for weekday in range(7)]
    holidays = np.array(sorted(days.holidays), dtype="datetime64[D]")
    found = np.busday_offset(day, number, roll=roll, weekmask=mask, holidays=holidays)  # type: ignore[call-overload]
    result = found.astype("O")
    assert isinstance(result, date)
    return result


@given(_CALENDARS, _DAYS, st.integers(1, 60))
def test_counting_agrees_with_numpy(days: WorkingDays, day: date, number: int) -> None:
    """Counting back begins before the day, counting forward behind it, over any week and holidays."""
    assert days.back(day, number) == _offset(days, day, -number, "forward")
    assert days.forward(day, number) == _offset(days, day, number, "backward")


@given(_CALENDARS, _DAYS)
def test_nothing_to_count_gives_the_nearest_working_day(days: WorkingDays, day: date) -> None:
    """Zero working days give the day itself, or the nearest working day on that side of it."""
    assert days.back(day, 0) == _offset(days, day, 0, "backward")
    assert days.forward(day, 0) == _offset(days, day, 0, "forward")


@given(_CALENDARS, _DAYS, _DAYS)
def test_days_between_agree_with_numpy(days: WorkingDays, first: date, last: date) -> None:
    """Working days between two days are those numpy counts, and negative backwards."""
    mask = [weekday in days.weekdays for weekday in range(7)]
    low, high = sorted((first, last))
    count = int(np.busday_count(low, high, weekmask=mask, holidays=sorted(days.holidays)))
    assert days.between(low, high) == count
    assert days.between(high, low) == -count


@given(_CALENDARS, _DAYS, st.integers(1, 40))
def test_work_that_begins_in_time_is_done_before_the_day(days: WorkingDays, day: date, number: int) -> None:
    """From the morning counted back to, exactly that many working days lie before the day."""
    assert days.between(days.back(day, number), day) == number


@pytest.mark.parametrize(
    ("day", "number", "expected"),
    [
        (date(2027, 3, 15), 10, date(2027, 3, 1)),  # a Monday, two weeks before
        (date(2027, 3, 13), 1, date(2027, 3, 12)),  # a Saturday
        (date(2027, 1, 4), 3, date(2026, 12, 29)),  # over New Year's Day
    ],
)
def test_known_days(day: date, number: int, expected: date) -> None:
    """Weekends and a holiday are stepped over."""
    assert WorkingDays(holidays=frozenset({date(2027, 1, 1)})).back(day, number) == expected


def test_the_count_ends_with_the_calendar() -> None:
    """Before the first day and after the last one there is nothing to count."""
    assert WorkingDays().back(date.min + timedelta(days=3), 50) == date.min
    assert WorkingDays().forward(date.max - timedelta(days=3), 50) == date.max
