"""Curves: the same amounts on a terminal and on a page, and nothing where there is nothing to draw."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.plan.section import Curve
from pcaudit.render import curve_svg, curve_text
from pcaudit.render.curve_points import at, scale_of
from tests.render.plan_samples import curve

STRAIGHT = Curve("s", "bytes", (("2027-01-01", 0.0), ("2027-01-11", 100e9)), (("full", 50e9),))


@pytest.mark.parametrize(("share", "amount"), [(0, 0), (0.25, 25e9), (0.5, 50e9), (1, 100e9)])
def test_between_its_points_a_curve_is_straight(share: float, amount: float) -> None:
    """Amounts are read off straight lines."""
    assert at(STRAIGHT, share) == pytest.approx(amount)


@pytest.mark.parametrize(
    "nothing",
    [
        STRAIGHT._replace(points=()),
        STRAIGHT._replace(points=STRAIGHT.points[:1]),
        STRAIGHT._replace(points=(("2027-01-01", 1.0), ("2027-01-01", 2.0))),
        STRAIGHT._replace(points=(("2027-01-01", 0.0), ("2028-01-01", 0.0)), limits=()),
    ],
)
def test_nothing_is_drawn_of_nothing(nothing: Curve) -> None:
    """No days, one day or no amounts give no drawing."""
    assert scale_of(nothing) is None
    assert curve_text.draw(nothing, 80, True) == []
    assert curve_svg.draw(nothing) == ""


@pytest.mark.parametrize("drawn", [True, False])
@pytest.mark.parametrize("width", [40, 80, 132])
def test_a_drawing_keeps_within_its_width(width: int, drawn: bool) -> None:
    """No line is wider than the page, and without block characters it is plain ASCII."""
    lines = curve_text.draw(curve(), width, drawn)
    assert max(map(len, lines)) <= width
    assert drawn or all(line.isascii() for line in lines)


def test_a_rising_curve_fills_more_of_each_line() -> None:
    """From left to right a line of a rising curve never becomes emptier, and lower lines are fuller."""
    rows = [line[12:] for line in curve_text.draw(STRAIGHT._replace(limits=()), 60, False)[:8]]
    counts = [row.count("#") for row in rows]
    assert counts == sorted(counts)
    assert all(re.fullmatch(r" *#*", row.rstrip()) for row in rows)
    # The axis ends at 120 GB, and half of a rectangle 100 GB high lies under its diagonal.
    assert sum(counts) / (8 * 48) == pytest.approx(0.5 * 100 / 120, abs=0.03)


def test_a_limit_is_named_and_drawn_at_its_amount() -> None:
    """Each limit has a letter, on the line of its amount and beside its name."""
    lines = curve_text.draw(curve(), 80, False)
    assert curve_text.legend(curve())[0] == ("a", "reserve begins: 850 GB")
    (row,) = [line for line in lines if "a--" in line]
    assert row.startswith("    900 GB"), "850 GB lie below the top of the line that is labelled 900 GB"


@given(
    st.lists(st.floats(0, 1e15), min_size=2, max_size=30),
    st.lists(st.floats(0, 1e15), max_size=3),
    st.integers(40, 120),
    st.booleans(),
)
def test_any_amounts_can_be_drawn(amounts: list[float], limits: list[float], width: int, drawn: bool) -> None:
    """Whatever the amounts, the drawing keeps its width and is well-formed, its shapes inside the frame."""
    points = tuple((f"20{10 + n}-01-01", amount) for n, amount in enumerate(amounts))
    one = Curve("c", "bytes", points, tuple((f"limit {n}", amount) for n, amount in enumerate(limits)))
    assert all(len(line) <= width for line in curve_text.draw(one, width, drawn))
    svg = curve_svg.draw(one)
    if not svg:
        return
    root = ElementTree.fromstring(svg)  # noqa: S314
    numbers = [
        float(number)
        for path in root.iter("path")
        if path.get("class") in ("cc", "cm")
        for number in re.findall(r"[0-9.]+", str(path.get("d")))
    ]
    assert all(0 <= number <= curve_svg.WIDTH for number in numbers)
