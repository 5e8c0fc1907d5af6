"""A curve, read at any day: what its drawings on a terminal and on a page have in common."""

from __future__ import annotations

from datetime import date
from math import floor, log10
from typing import Final, NamedTuple

from pcaudit.core.plan.section import Curve

LINES: Final = 4
"""Amounts beside the axis, without the 0."""

_ROUND: Final = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5, 10.0)


class Scale(NamedTuple):
    """First and last day, and the round amount at the top, which is above everything drawn."""

    first: date
    last: date
    top: float


def scale_of(curve: Curve) -> Scale | None:
    """The scale a curve is drawn to; None where there is nothing to draw."""
    days = [date.fromisoformat(day) for day, _ in curve.points]
    top = max((amount for _, amount in (*curve.points, *curve.limits)), default=0.0)
    if len(days) < 2 or days[0] >= days[-1] or top <= 0:
        return None
    return Scale(days[0], days[-1], LINES * _round_up(top * 1.02 / LINES))


def _round_up(step: float) -> float:
    """The next step of an axis that people count in: 300, 400, 500, not 437."""
    power = 10.0 ** floor(log10(step))
    return next(power * one for one in _ROUND if power * one >= step)


def at(curve: Curve, share: float) -> float:
    """The amount at a share of the time, 0 to 1, on straight lines between the points."""
    days = [date.fromisoformat(day).toordinal() for day, _ in curve.points]
    wanted = days[0] + (days[-1] - days[0]) * share
    for index in range(1, len(days)):
        if wanted <= days[index]:
            before, after = curve.points[index - 1][1], curve.points[index][1]
            span = days[index] - days[index - 1]
            return after if span == 0 else before + (after - before) * (wanted - days[index - 1]) / span
    return curve.points[-1][1]
