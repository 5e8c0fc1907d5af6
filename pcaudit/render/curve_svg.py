"""A curve drawn for a page: inline SVG, its words beside it as text."""

from __future__ import annotations

from typing import Final

from pcaudit.core.plan.section import Curve
from pcaudit.render.amounts import amount_words
from pcaudit.render.curve_points import LINES, Scale, scale_of

WIDTH: Final = 720
HEIGHT: Final = 220
"""Size of a drawing, in its own units; a page lets it shrink."""

_LEFT: Final = 74.0
_TOP: Final = 8.0
_BOTTOM: Final = 194.0
_RIGHT: Final = 712.0
_DASHES: Final = ("7 4", "2 3", "11 3 2 3", "4 8")
_MOST: Final = 400  # points drawn; more than there are columns would only fill the file


def _x(day: str, scale: Scale) -> float:
    from datetime import date

    gone = (date.fromisoformat(day) - scale.first).days
    return _LEFT + (_RIGHT - _LEFT) * gone / (scale.last - scale.first).days


def _y(amount: float, scale: Scale) -> float:
    return _BOTTOM - (_BOTTOM - _TOP) * max(0.0, min(amount, scale.top)) / scale.top


def _label(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text class="cl" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{text}</text>'


def _axis(curve: Curve, scale: Scale) -> str:
    out = ""
    for number in range(LINES + 1):
        amount = scale.top * number / LINES
        y = _y(amount, scale)
        out += f'<path class="b" d="M{_LEFT:.1f} {y:.1f}H{_RIGHT:.1f}"/>'
        out += _label(_LEFT - 8, y + 4, amount_words(amount, curve.unit, 1), "end")
    out += _label(_LEFT, HEIGHT - 6, scale.first.isoformat(), "start")
    return out + _label(_RIGHT, HEIGHT - 6, scale.last.isoformat(), "end")


def draw(curve: Curve) -> str:
    """The drawing; empty where there is nothing to draw.

    Everything in it is numbers and days: names and what they mean stand beside it on the page.
    """
    scale = scale_of(curve)
    if scale is None:
        return ""
    step = -(-len(curve.points) // _MOST)
    points = [*curve.points[:-1:step], curve.points[-1]]
    path = " ".join(f"{_x(day, scale):.1f} {_y(amount, scale):.1f}" for day, amount in points)
    limits = "".join(
        f'<path class="cm" stroke-dasharray="{_DASHES[number % len(_DASHES)]}"'
        f' d="M{_LEFT:.1f} {_y(amount, scale):.1f}H{_RIGHT:.1f}"/>'
        for number, (_, amount) in enumerate(curve.limits)
    )
    return (
        f'<svg class="curve" viewBox="0 0 {WIDTH} {HEIGHT}" aria-hidden="true">{_axis(curve, scale)}'
        f'<path class="ca" d="M{_LEFT:.1f} {_BOTTOM:.1f} L{path} L{_RIGHT:.1f} {_BOTTOM:.1f}z"/>'
        f'<path class="cc" d="M{path}"/>{limits}</svg>'
    )


def dash(number: int) -> str:
    """A short piece of the line that a limit is drawn with, for the words beside the drawing."""
    return (
        '<svg class="dash" width="34" height="8" viewBox="0 0 34 8" aria-hidden="true">'
        f'<path class="cm" stroke-dasharray="{_DASHES[number % len(_DASHES)]}" d="M0 4H34"/></svg>'
    )
