"""Copies a rotation keeps, and the space they take."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.plan.growth import Growth, run_days
from pcaudit.core.plan.rotation import Change, Cycle, Kept, Space, cycle, full_ages
from pcaudit.core.worksheet.backup import INTERVALS
from tests.core.plan.rotation_by_days import Lab, play, share, taken

GB = 10**9
WEEK = Fraction(7)
TEN_YEARS = 3653

WEEKLY = cycle("day", "week", True, True)
DIFFERENTIAL = cycle("day", "week", True, False)
DAILY_FULL = cycle("day", "day", True, True)


def _space(of: Cycle, kept: Kept) -> Space:
    """200 GB that do not grow, 4 GB new or changed each day."""
    return Space(of, kept, Growth(200 * GB, 0, WEEK), Change(4 * GB, WEEK, Fraction(0), 0))


# Worked by hand: 200 GB, 4 GB of changes a day, a weekly full and six more copies, kept four weeks.
# Incremental: 4 x (200 + 6 x 4); differential: 4 x (200 + 4 + 8 + ... + 24); daily fulls: 28 x 200.
@pytest.mark.parametrize(
    ("of", "kept", "expected", "sets"),
    [
        (WEEKLY, Kept(24, 4, 0, 0), 896, 7),
        (DIFFERENTIAL, Kept(24, 4, 0, 0), 1136, 2),
        (DAILY_FULL, Kept(28, 0, 0, 0), 5600, 1),
    ],
)
def test_four_weeks_of_each_scheme(of: Cycle, kept: Kept, expected: int, sets: int) -> None:
    """Four whole weeks take what the sum by hand gives, and a restore reads so many sets."""
    assert _space(of, kept).kept_at(TEN_YEARS) == expected * GB
    assert of.sets_to_restore == sets


def test_the_oldest_goes_once_the_newest_is_written() -> None:
    """A fifth chain is complete before the first is dropped: 5 x (200 + 24) GB at once."""
    assert _space(WEEKLY, Kept(24, 4, 0, 0)).at(TEN_YEARS) == 1120 * GB
    assert _space(DAILY_FULL, Kept(28, 0, 0, 0)).at(TEN_YEARS) == 5800 * GB


def test_sets_of_the_handbook_example() -> None:
    """Monday to Thursday, four Fridays and twelve months make 20 sets; 21 with five Fridays.

    A common worked example of grandfather-father-son (handbooks of tape drives; from memory).
    """
    assert Kept(4, 4, 12, 0).sets == 20
    assert Kept(4, 5, 12, 0).sets == 21


@pytest.mark.parametrize(
    ("every", "full_every", "partials", "expected"),
    [
        ("day", "day", True, ("day", "day", 0, 1)),
        ("day", "week", True, ("day", "week", 6, 1)),
        ("day", "month", True, ("day", "month", 30, 1)),
        ("week", "day", True, ("week", "week", 0, 7)),
        ("week", "month", True, ("week", "month", 5, 7)),
        ("month", "week", True, ("month", "month", 0, 31)),
        ("day", "week", False, ("week", "week", 0, 7)),
        ("week", "day", False, ("week", "week", 0, 7)),
    ],
)
def test_what_goes_to_a_destination(
    every: str, full_every: str, partials: bool, expected: tuple[str, str, int, int]
) -> None:
    """What takes only fulls gets one no more often than there is one, and as often as it is reached."""
    of = cycle(every, full_every, partials, True)
    assert (of.every, of.full_every, of.partials, of.interval) == expected


def test_a_chain_is_kept_whole() -> None:
    """One incremental copy asked for keeps the six of its chain; of differential ones it keeps one."""
    chained = _space(WEEKLY, Kept(1, 1, 0, 0))
    assert chained.partials(peak=False) == 24 * GB
    assert _space(DIFFERENTIAL, Kept(1, 1, 0, 0)).partials(peak=False) == 24 * GB
    assert _space(DIFFERENTIAL, Kept(2, 1, 0, 0)).partials(peak=False) == (24 + 20) * GB


def test_what_changes_never_exceeds_what_there_is() -> None:
    """Forty days of 3 % do not change more than all of it."""
    change = Change(0, WEEK, Fraction(3, 100), 100)
    assert change.over(10) == 30
    assert change.over(40) == 100


LABS = {
    "daily fulls": Lab(100, 7, 5, 0, "day", "day", True, 7, 4, 12, 10),
    "weekly fulls, incremental": Lab(1000, 7, 5, 3, "day", "week", True, 4, 4, 12, 10),
    "incremental, four weeks of sons": Lab(1000, 7, 7, 3, "day", "week", True, 24, 4, 0, 0),
    "weekly fulls, differential": Lab(1000, 7, 5, 3, "day", "week", False, 4, 4, 12, 10),
    "differential, no fathers": Lab(1000, 7, 5, 3, "day", "week", False, 13, 0, 6, 2),
    "monthly fulls, incremental": Lab(1000, 7, 5, 3, "day", "month", True, 10, 4, 12, 5),
    "monthly fulls, weekly copies": Lab(1000, 7, 5, 3, "week", "month", False, 10, 6, 12, 5),
    "weekly fulls only": Lab(1000, 7, 5, 3, "week", "week", True, 4, 4, 12, 10),
    "monthly fulls only": Lab(1000, 7, 5, 3, "month", "month", True, 4, 4, 12, 10),
    "few of each": Lab(1000, 50, 3, 0, "day", "week", True, 1, 1, 1, 1),
    "years without months": Lab(1000, 50, 3, 0, "week", "week", True, 0, 2, 0, 3),
}


def _closed(lab: Lab) -> Space:
    days = Fraction(lab.run_days)
    of = cycle(lab.every, lab.full_every, True, lab.chained)
    kept = Kept(lab.sons, lab.fathers, lab.grandfathers, lab.years)
    change = Change(lab.daily, days, share(lab, lab.base), lab.base)
    return Space(of, kept, Growth(lab.base, lab.daily, days), change)


@pytest.mark.parametrize("name", LABS)
def test_ten_years_day_by_day_never_need_more(name: str) -> None:
    """On no day of ten years does the rotation, played through, take more than the closed form says."""
    lab = LABS[name]
    space = _closed(lab)
    for day, evening in enumerate(play(lab, TEN_YEARS)):
        assert taken(evening.before) <= space.at(day)


@pytest.mark.parametrize("name", LABS)
def test_ten_years_day_by_day_need_hardly_less(name: str) -> None:
    """The closed form is hardly (15 %) above the most that the last year, played through, takes."""
    lab = LABS[name]
    most = max(taken(evening.before) for evening in play(lab, TEN_YEARS)[-365:])
    assert _closed(lab).at(TEN_YEARS - 1) <= most * 1.15


@pytest.mark.parametrize("name", ["daily fulls", "weekly fulls only", "monthly fulls only"])
def test_a_full_rotation_holds_as_many_sets_as_it_names(name: str) -> None:
    """Once it has run long enough, each evening holds just the sets asked for."""
    lab = LABS[name]
    space = _closed(lab)
    expected = len(full_ages(space.of, space.kept, peak=False))
    counts = {"day": lab.sons + lab.fathers, "week": lab.fathers, "month": 0}
    assert expected == counts[lab.full_every] + lab.grandfathers + lab.years
    long_enough = play(lab, TEN_YEARS + 800)[-60:]
    assert {len(evening.after) for evening in long_enough} == {expected}


@pytest.mark.parametrize("name", LABS)
def test_what_is_kept_can_always_be_restored(name: str) -> None:
    """In the rotation played through, no copy ever lies there without what it is built on."""
    for evening in play(LABS[name], 800):
        there = {copy.day for copy in evening.after}
        assert all(there.issuperset(copy.built_on) for copy in evening.after)


# -- properties

COUNTS = st.integers(0, 15)
KEPT = st.builds(Kept, COUNTS, COUNTS, COUNTS, COUNTS)
CYCLES = st.builds(
    cycle, st.sampled_from(INTERVALS), st.sampled_from(INTERVALS), st.booleans(), st.booleans()
)
DAYS_PER_WEEK = st.integers(1, 70).map(lambda tenths: Fraction(tenths, 10))
SIZES = st.integers(0, 10**6)
RATES = st.integers(0, 100).map(lambda percent: Fraction(percent, 100))


@st.composite
def spaces(draw: st.DrawFn) -> Space:
    """Any rotation of any data."""
    days = draw(DAYS_PER_WEEK)
    daily = draw(st.integers(1, 10**6))
    return Space(
        draw(CYCLES),
        draw(KEPT),
        Growth(draw(SIZES), daily, days),
        Change(daily, days, draw(RATES), draw(SIZES)),
    )


@given(space=spaces(), day=st.integers(0, 4000), more=st.integers(0, 400))
def test_space_never_shrinks_as_time_goes_by(space: Space, day: int, more: int) -> None:
    """What is needed later is no less."""
    assert space.at(day) <= space.at(day + more)
    assert space.kept_at(day) <= space.at(day)


@given(space=spaces(), limit=st.integers(0, 10**9), more=st.integers(0, 10**9), end=st.integers(0, 4000))
def test_a_larger_capacity_never_lasts_shorter(space: Space, limit: int, more: int, end: int) -> None:
    """More capacity is never worse, and the day found is the last one on which it suffices."""
    day = space.last_day(limit, end)
    assert day <= space.last_day(limit + more, end)
    assert day == -1 or space.at(day) <= limit
    assert day == end or space.at(day + 1) > limit


@given(space=spaces(), more=st.integers(1, 10**6), limit=st.integers(0, 10**9), end=st.integers(0, 4000))
def test_more_data_never_lasts_longer_at_a_destination(space: Space, more: int, limit: int, end: int) -> None:
    """With more data a day the destination is full no later."""
    fuller = space._replace(
        full=space.full._replace(daily=space.full.daily + more),
        change=space.change._replace(daily=space.change.daily + more),
    )
    assert fuller.last_day(limit, end) <= space.last_day(limit, end)


@given(space=spaces(), day=st.integers(0, 4000), which=st.sampled_from(Kept._fields))
def test_keeping_more_never_takes_less(space: Space, day: int, which: str) -> None:
    """One more copy of any kind takes at least as much space."""
    more = space._replace(kept=space.kept._replace(**{which: getattr(space.kept, which) + 1}))
    assert more.at(day) >= space.at(day)


GROWTHS = st.builds(Growth, SIZES, st.integers(1, 10**6), DAYS_PER_WEEK)


@given(growth=GROWTHS, days=st.integers(0, 40_000))
def test_data_is_what_the_run_days_add(growth: Growth, days: int) -> None:
    """What is there is what was there, and each day with runs, part of a byte counted as a whole one."""
    assert growth.at(days) == growth.base + ceil(run_days(days, growth.days_per_week) * growth.daily)


@given(growth=GROWTHS, limit=st.integers(0, 10**8))
def test_the_last_day_is_the_last(growth: Growth, limit: int) -> None:
    """Up to the day found the data stays within the limit, on the next it does not."""
    day = growth.last_day(limit)
    assert day == -1 or growth.at(day) <= limit
    assert growth.at(day + 1) > limit


@given(growth=GROWTHS, limit=st.integers(0, 10**8), more=st.integers(1, 10**6))
def test_more_data_never_lasts_longer(growth: Growth, limit: int, more: int) -> None:
    """Larger runs, or more to begin with, never move the day the limit is reached to a later one."""
    day = growth.last_day(limit)
    assert growth._replace(daily=growth.daily + more).last_day(limit) <= day
    assert growth._replace(base=growth.base + more).last_day(limit) <= day
    assert growth.last_day(limit + more) >= day


@given(first=st.integers(0, 6), days=st.integers(0, 400), runs=st.integers(1, 7))
def test_no_week_has_more_days_with_runs(first: int, days: int, runs: int) -> None:
    """On whatever weekday counting begins, no more days have runs than the closed form says."""
    counted = sum((first + day) % 7 < runs for day in range(days))
    assert counted <= run_days(days, Fraction(runs))
