"""A rotation played through day by day: code of its own, to hold the closed form against."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from functools import cache
from typing import NamedTuple

START = date(2027, 3, 1)
"""A Monday."""


class Lab(NamedTuple):
    """What a lab acquires and keeps; sizes in bytes, runs on the first weekdays of a week."""

    base: int
    daily: int
    run_days: int
    changed_daily: int
    every: str
    full_every: str
    chained: bool
    sons: int
    fathers: int
    grandfathers: int
    years: int


class Copy(NamedTuple):
    """One copy: when, whether it is a full, how large, and the copies it is built on."""

    day: date
    full: bool
    size: int
    built_on: tuple[date, ...]


class Evening(NamedTuple):
    """A day's end: copies there before the oldest went, and after."""

    before: tuple[Copy, ...]
    after: tuple[Copy, ...]


def _period(day: date, interval: str) -> object:
    """What is the same for all days of one day, ISO week or month."""
    return {"day": day, "week": day.isocalendar()[:2], "month": (day.year, day.month)}[interval]


def _copy(lab: Lab, day: date, history: list[Copy], acquired: dict[date, int]) -> Copy:
    """The first copy of a period is a full, every other one is built on what came before."""
    fulls = [copy for copy in history if copy.full]
    if not fulls or _period(day, lab.full_every) != _period(fulls[-1].day, lab.full_every):
        return Copy(day, True, lab.base + acquired[day], ())
    chain = [fulls[-1], *(copy for copy in history if not copy.full and copy.day > fulls[-1].day)]
    since = chain[-1].day if lab.chained else fulls[-1].day
    size = acquired[day] - acquired[since] + (day - since).days * lab.changed_daily
    return Copy(day, False, size, tuple(copy.day for copy in (chain if lab.chained else chain[:1])))


def _of_each(copies: list[Copy], period: Callable[[date], object], number: int, keep: set[date]) -> None:
    """Keep the newest of each period, of the newest ``number`` periods not already served."""
    seen = None
    for copy in reversed(copies):
        if number and period(copy.day) != seen:
            seen = period(copy.day)
            if copy.day not in keep:
                keep.add(copy.day)
                number -= 1


def _wanted(lab: Lab, copies: list[Copy]) -> set[date]:
    fulls = [copy for copy in copies if copy.full]
    sons = fulls if lab.full_every == "day" else [copy for copy in copies if not copy.full]
    number = lab.sons
    if lab.full_every == "month" and lab.every != "month":
        number = max(number, 7 * lab.fathers) if lab.every == "day" else lab.fathers
    keep = {copy.day for copy in sons[len(sons) - min(number, len(sons)) :]}
    if lab.full_every != "month":
        _of_each(fulls, lambda day: _period(day, "week"), lab.fathers, keep)
    _of_each(fulls, lambda day: _period(day, "month"), lab.grandfathers, keep)
    _of_each(fulls, lambda day: day.year, lab.years, keep)
    keep.add(copies[-1].day)
    return keep | {day for copy in copies if copy.day in keep for day in copy.built_on}


@cache
def play(lab: Lab, days: int) -> tuple[Evening, ...]:
    """What lies at the destination on each day; copies are made before the day's runs."""
    history: list[Copy] = []
    there: list[Copy] = []
    acquired = {START: 0}
    evenings = []
    for number in range(days):
        day = START + timedelta(days=number)
        acquired[day + timedelta(days=1)] = acquired[day] + (lab.daily if day.weekday() < lab.run_days else 0)
        before = there
        if not history or _period(day, lab.every) != _period(history[-1].day, lab.every):
            history = [*history[-40:], _copy(lab, day, history, acquired)]
            before = [*there, history[-1]]
            keep = _wanted(lab, before)
            there = [copy for copy in before if copy.day in keep]
        evenings.append(Evening(tuple(before), tuple(there)))
    return tuple(evenings)


def taken(copies: tuple[Copy, ...]) -> int:
    """Bytes of copies."""
    return sum(copy.size for copy in copies)


def share(lab: Lab, changing: int) -> Fraction:
    """The change rate of a lab as a share of what changes."""
    return Fraction(lab.changed_daily, changing) if changing else Fraction(0)
