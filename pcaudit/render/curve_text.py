"""A curve drawn with the characters of a terminal."""

from __future__ import annotations

from typing import Final

from pcaudit.core.plan.section import Curve
from pcaudit.core.visible import visible
from pcaudit.render.amounts import amount_words
from pcaudit.render.curve_points import LINES, Scale, at, scale_of

ROWS: Final = 8
"""Lines a curve takes, without its axis."""

_EIGHTHS: Final = " \u2581\u2582\u2583\u2584\u2585\u2586\u2587\u2588"
_AXIS: Final = 10  # columns of the amounts beside it
INDENT: Final = _AXIS + 2
"""Empty columns before what stands below a drawing."""

_LETTERS: Final = "abcdefgh"
_APART: Final = 9  # columns from one letter of a limit to the next


def _cell(filled: float, mark: str, drawn: bool) -> str:
    """One character: how far up its line the curve reaches, or what is above it."""
    if drawn and filled > 0:
        return _EIGHTHS[max(1, min(8, round(filled * 8)))]
    return "#" if not drawn and filled >= 0.5 else mark


def _marks(curve: Curve, low: float, high: float, width: int, drawn: bool) -> str:
    """A line of the drawing above the curve: empty, or with the letters of the limits in it."""
    names = "".join(_LETTERS[i] for i, (_, amount) in enumerate(curve.limits) if low <= amount < high)
    dash = "\u254c" if drawn else "-"
    return ((names + dash * (_APART - len(names))) * (width // _APART + 1))[:width] if names else " " * width


def _line(curve: Curve, scale: Scale, row: int, width: int, drawn: bool) -> str:
    step = scale.top / ROWS
    low = step * row
    marks = _marks(curve, low, low + step, width, drawn)
    return "".join(
        _cell((at(curve, column / (width - 1)) - low) / step, marks[column], drawn) for column in range(width)
    )


def draw(curve: Curve, width: int, drawn: bool) -> list[str]:
    """The lines of a drawing; none where there is nothing to draw.

    Args:
        curve: What is drawn.
        width: Columns it may take, 40 or more.
        drawn: Whether block characters may be used.
    """
    scale = scale_of(curve)
    if scale is None:
        return []
    room = width - _AXIS - 2
    side, corner, floor = ("\u2502", "\u2514", "\u2500") if drawn else ("|", "+", "-")
    lines = []
    for row in reversed(range(ROWS)):
        label = (
            amount_words(scale.top / ROWS * (row + 1), curve.unit, 1)
            if row % (ROWS // LINES) == ROWS // LINES - 1
            else ""
        )
        lines.append(f"{label:>{_AXIS}} {side}{_line(curve, scale, row, room, drawn)}")
    lines.append(f"{amount_words(0, curve.unit, 1):>{_AXIS}} {corner}{floor * room}")
    first, last = scale.first.isoformat(), scale.last.isoformat()
    lines.append(f"{' ' * INDENT}{first}{' ' * (room - len(first) - len(last))}{last}")
    return lines


def legend(curve: Curve) -> list[tuple[str, str]]:
    """The letter of each limit in the drawing, and what it is."""
    return [
        (letter, f"{visible(name, 120)}: {amount_words(amount, curve.unit)}")
        for letter, (name, amount) in zip(_LETTERS, curve.limits, strict=False)
    ]
