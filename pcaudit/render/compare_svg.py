"""What is drawn of a comparison: places, and headroom on one scale."""

from __future__ import annotations

from collections.abc import Iterable
from math import isinf

from pcaudit.core.compare import Headroom
from pcaudit.core.ranking import Place
from pcaudit.core.report import Verdict
from pcaudit.render import gauge_svg

_START, _END = 2, 118


def places(place: Place, count: int) -> str:
    """The places a candidate may take, first place at the left.

    Args:
        place: A certain one is a full bar, several are a broken outline.
        count: Of candidates.

    Returns:
        An SVG element of the size of a gauge.
    """

    def at(number: int) -> str:
        return f"{_START + (_END - _START) * number / count:.1f}".removesuffix(".0")

    bar = f"M{at(place.best - 1)} 5H{at(place.worst)}V15H{at(place.best - 1)}z"
    ticks = "".join(f"M{at(number)} 17v3" for number in range(count + 1))
    shape = f'<path class="{"l" if place.best == place.worst else "d"}" d="{bar}"/>'
    return gauge_svg.drawn(f'{shape}<path class="b" d="M{_START} 18.5H{_END}{ticks}"/>')


def widest(rooms: Iterable[Headroom]) -> float:
    """The largest ratio that is drawn, so that gauges beside each other have one scale."""
    return max((one.least for one in rooms if not isinf(one.least)), default=0.0)


def headroom(verdict: Verdict, one: Headroom, beside: float) -> str:
    """How far a reading exceeds its minimum.

    Args:
        verdict: Of the condition.
        one: The ratio. Where it falls on the other side of the minimum than the verdict, another
            condition decided that, and the verdict's sign is drawn without a scale.
        beside: The largest ratio in the row.

    Returns:
        An SVG element.
    """
    short = verdict in (Verdict.UNMET, Verdict.ACCEPTED)
    if short != (one.least < 1):
        return gauge_svg.sign(verdict)
    return gauge_svg.scaled(verdict, gauge_svg.Level(one.least, 1.0), beside)
