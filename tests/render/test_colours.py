"""Colours and marks of the verdicts."""

from __future__ import annotations

import colorsys

import pytest

from pcaudit.core.report import Verdict
from pcaudit.render import gauge
from pcaudit.render.colours import PUBLISHED, VERDICTS, Rgb, web
from tests.render.vision import contrast, linear


def test_contrast_formula() -> None:
    """The formula gives what WCAG says of black on white, and the well-known edge case of grey."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    # Common practice, no source: #767676 is the lightest grey that passes on white, #777777 fails.
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) >= 4.5
    assert contrast((0x77, 0x77, 0x77), (255, 255, 255)) < 4.5


@pytest.mark.parametrize("verdict", Verdict)
@pytest.mark.parametrize("background", [(255, 255, 255), (0, 0, 0)])
def test_contrast(verdict: Verdict, background: Rgb) -> None:
    """Every verdict's colour reaches 4.5:1 on white and on black (WCAG 2.2, 1.4.3)."""
    assert contrast(VERDICTS[verdict], background) >= 4.5


@pytest.mark.parametrize("verdict", PUBLISHED)
def test_hue_is_the_palette_s(verdict: Verdict) -> None:
    """Scaling a colour's light keeps the proportions of its channels."""
    published, used = (list(map(linear, table[verdict])) for table in (PUBLISHED, VERDICTS))
    factor = sum(used) / sum(published)
    assert used == pytest.approx([channel * factor for channel in published], abs=0.004)


def test_published_values() -> None:
    """The palette's values are those its authors give (Okabe and Ito, 2008)."""
    assert web(PUBLISHED[Verdict.MET]) == "#0072b2"
    assert web(PUBLISHED[Verdict.MARGINAL]) == "#e69f00"
    assert web(PUBLISHED[Verdict.UNMET]) == "#cc79a7"
    assert web(PUBLISHED[Verdict.ACCEPTED]) == "#009e73"


def test_grey_has_no_hue() -> None:
    """What is not known or does not apply has no colour of its own."""
    for verdict in (Verdict.UNVERIFIED, Verdict.NOT_APPLICABLE):
        assert colorsys.rgb_to_hsv(*VERDICTS[verdict])[1] == 0


@pytest.mark.parametrize("drawn", [False, True])
def test_marks_differ_and_line_up(drawn: bool) -> None:
    """Every verdict has its own mark, and all take the same number of columns."""
    marks = [gauge.mark(verdict, drawn) for verdict in Verdict]
    assert len(set(marks)) == len(Verdict)
    assert {len(mark) for mark in marks} == {gauge.WIDTH}
    assert drawn or all(mark.isascii() for mark in marks)


def test_marks_are_the_agreed_ones() -> None:
    """The ASCII marks are those the documents show."""
    shown = {verdict: gauge.mark(verdict, drawn=False).strip() for verdict in Verdict}
    assert shown == {
        Verdict.MET: "=|=>",
        Verdict.MARGINAL: "=|",
        Verdict.UNMET: "= |",
        Verdict.UNVERIFIED: "? |",
        Verdict.ACCEPTED: "(=)|",
        Verdict.NOT_APPLICABLE: "-",
    }
