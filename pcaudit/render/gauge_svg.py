"""The gauges of the HTML report, drawn: a level against a limit.

Each verdict has its own shape, so that the drawing says the same in black and white: past the
limit with an arrow (met), at it (marginal), short of it (unmet), a broken outline with a question
mark (unverified), a level in brackets (accepted), a broken line without a limit (does not apply).
Where the amounts are known the level and the limits stand to scale.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.core.report import Verdict

WIDTH: Final = 120
HEIGHT: Final = 20
"""Size of a finding's gauge, in CSS pixels."""

_START: Final = 2.0
_ROOM: Final = 104.0  # the longest level with the limits beside it; the arrow takes the rest
_GAP: Final = 6.0  # between a level and the limit it falls short of, wide enough to see
_FARTHEST: Final = 4.0  # times the largest limit; a level beyond would press the limits together


class Level(NamedTuple):
    """Amounts in one unit: what was found, the least required, and what is recommended, if anything."""

    found: float
    minimum: float
    recommended: float | None = None


_BASE: Final = '<path class="b" d="M2 16.5H118"/>'
_MIDDLE: Final = 66.0


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _limit(x: float) -> str:
    return f'<path class="t" d="M{_number(x)} 1V19"/>'


def _wished(x: float) -> str:
    return f'<path class="r" d="M{_number(x)} 4V19"/>'


def _bar(start: float, end: float) -> str:
    return f'<path class="l" d="M{_number(start)} 6H{_number(end)}V14H{_number(start)}z"/>'


def _arrow(end: float) -> str:
    """A level that ends in a point: past the limit."""
    neck, tip = _number(max(end - 9, _START)), _number(end)
    return f'<path class="l" d="M2 6H{neck}V2.5L{tip} 10L{neck} 17.5V14H2z"/>'


def _brackets(start: float, end: float) -> str:
    first, last = _number(start), _number(end)
    return f'<path class="o" d="M{first} 2q-5 8 0 16M{last} 2q5 8 0 16"/>'


_QUESTION: Final = (
    '<path class="d" d="M3 3H60V17H3z"/>'
    '<path class="o" d="M28 7.8a3.4 3 0 1 1 5 2.5q-1.6.8-1.6 2"/><path class="l" d="M30.2 13.6h2.4v2h-2.4z"/>'
)
_DASHES: Final = '<path class="d" d="M3 10H62"/>'

_SIGNS: Final = {
    Verdict.MET: _BASE + _arrow(104) + _limit(_MIDDLE),
    Verdict.MARGINAL: _BASE + _bar(_START, _MIDDLE) + _limit(_MIDDLE) + _wished(96),
    Verdict.UNMET: _BASE + _bar(_START, 36) + _limit(_MIDDLE),
    Verdict.UNVERIFIED: _QUESTION + _limit(_MIDDLE),
    Verdict.ACCEPTED: _BASE + _brackets(8, 44) + _bar(11, 41) + _limit(_MIDDLE),
    Verdict.NOT_APPLICABLE: _DASHES,
}


def _name(verdict: Verdict) -> str:
    return f"g-{verdict.name.lower().replace('_', '-')}"


def signs() -> str:
    """The gauges without amounts, defined once for a page; they show nothing themselves."""
    shapes = "".join(
        f'<symbol id="{_name(verdict)}" viewBox="0 0 {WIDTH} {HEIGHT}">{shape}</symbol>'
        for verdict, shape in _SIGNS.items()
    )
    return f'<svg class="signs" width="0" height="0" aria-hidden="true">{shapes}</svg>'


def drawn(shape: str) -> str:
    """A shape of this size as an element of its own."""
    return (
        f'<svg class="g" width="{WIDTH}" height="{HEIGHT}" viewBox="0 0 {WIDTH} {HEIGHT}"'
        f' aria-hidden="true">{shape}</svg>'
    )


def sign(verdict: Verdict) -> str:
    """A verdict's gauge without amounts, on a page that has ``signs``."""
    return drawn(f'<use href="#{_name(verdict)}"/>')


def _positions(level: Level, beside: float) -> tuple[float, float, float | None]:
    """Where the level, the limit and the recommendation stand, left to right in pixels."""
    largest = max(level.minimum, level.recommended or 0)
    end = max(largest * 1.2, min(max(level.found, beside), largest * _FARTHEST))
    found, minimum = (
        _START + _ROOM * max(0.0, min(amount, end)) / end for amount in (level.found, level.minimum)
    )
    recommended = None if level.recommended is None else _START + _ROOM * level.recommended / end
    return found, minimum, recommended


def _shape(verdict: Verdict, found: float, minimum: float, wished: float | None) -> str:
    """A level beside its limits; on which side of them is the verdict's to say, not rounding's."""
    if verdict is Verdict.MET:
        return _arrow(max(found, (wished or minimum) + 11))
    if verdict is Verdict.MARGINAL:
        return _bar(_START, max(minimum, min(found, (wished or found) - _GAP)))
    if verdict is Verdict.ACCEPTED:
        end = max(min(found, minimum - 12), 14.0)
        return _brackets(7, end + 3) + _bar(9, end)
    return _bar(_START, max(min(found, minimum - _GAP), _START + 2))


_TO_SCALE: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.UNMET, Verdict.ACCEPTED)
_LEAST_LIMIT: Final = 30.0  # left of it there is no room for a level that falls short
_APART: Final = 10.0  # the recommended limit from the required one, to be seen as two


def scaled(verdict: Verdict, level: Level, beside: float = 0.0) -> str:
    """A verdict's gauge with level and limits to scale.

    Args:
        verdict: Which; unverified and not applicable have no level, so their sign is drawn.
        level: The amounts; a minimum of nothing has no scale, so the sign is drawn.
        beside: The largest level of the gauges it is read beside, so that all have one scale.

    Returns:
        An SVG element. The level never ends on the other side of a limit than the verdict says, and
        one far beyond every limit ends at the edge.
    """
    if verdict not in _TO_SCALE or level.minimum <= 0 or not level.found < float("inf"):
        return sign(verdict)
    found, minimum, recommended = _positions(level, beside)
    minimum = max(minimum, _LEAST_LIMIT)
    if recommended is not None:
        recommended = max(recommended, minimum + _APART)
    limits = _limit(minimum) + ("" if recommended is None else _wished(recommended))
    return drawn(_BASE + _shape(verdict, found, minimum, recommended) + limits)


_LONG: Final = 600.0
_MOST_MARKS: Final = 60


def _graduation(count: int) -> str:
    step = -(-count // _MOST_MARKS)
    places = (4 + 520 * number / count for number in range(step, count, step))
    return f'<path class="b" d="{"".join(f"M{_number(x)} 44v6" for x in places)}"/>'


def outcome(held: int, unknown: int, short: int) -> str:
    """The gauge of a whole report: a scale with one mark for each binding condition.

    Args:
        held: How many hold.
        unknown: How many cannot be known: a broken outline after the level.
        short: How many fall short: a gap before the limit.

    Returns:
        An SVG element that fills the width it is given; empty where there is no condition.
    """
    count = held + unknown + short
    if not count:
        return ""
    limit = 524
    level = 4 + 520 * held / count
    doubt = level + 520 * unknown / count
    shape = '<path class="b" d="M4 44H596"/>' + _graduation(count)
    if held == count:
        shape += '<path class="l" d="M4 16H566V8L590 27L566 46V38H4z"/>'
    elif held:
        shape += f'<path class="l" d="M4 16H{_number(level)}V38H4z"/>'
    if unknown:
        shape += (
            f'<path class="d" d="M{_number(level + 2)} 17H{_number(doubt - 2)}V37H{_number(level + 2)}z"/>'
        )
    shape += f'<path class="t" d="M{limit} 2V54"/>'
    return f'<svg class="whole" viewBox="0 0 {_number(_LONG)} 56" aria-hidden="true">{shape}</svg>'
