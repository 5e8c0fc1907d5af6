"""A part of a plan as text: everything it holds stands there, and nothing obeys what files say."""

from __future__ import annotations

import pytest

from pcaudit.core.plan.section import Section, Table
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Page, cells
from pcaudit.render.paint import painter
from pcaudit.render.sections.plan_section import column_widths, draw, draw_figures
from tests.render.hostile import HOSTILE
from tests.render.plan_samples import section


def _text(one: Section, screen: Screen = PLAIN) -> str:
    page = Page(screen, painter(screen.colours))
    draw(page, one)
    draw_figures(page, [one])
    return str(page)


def test_everything_a_part_holds_is_shown() -> None:
    """Findings, figures with formula and inputs, tables, curves, notes and cautions."""
    text = " ".join(_text(section()).split())
    for words in (
        "Storage forecast",
        "per_run of the second instrument",
        "unmet",
        "`volume` in [data] is blank",
        "Data each working day 24 GB",
        "= per run x runs, with per run 1.2 GB, runs 20",
        "before compression; by arithmetic",
        "2027 1.2 TB 3.4 TB",
        "rounded up",
        "reserve begins: 850 GB",
        "Runs on holidays are not counted",
        "A snapshot on the same PC is no copy",
    ):
        assert words in text


def test_a_part_that_was_not_asked_says_only_that() -> None:
    """An empty part is its title and what the worksheet leaves blank."""
    text = _text(Section("place", "Place and power", not_asked=("the worksheet has no [place]",)))
    assert text.split("\n", 2)[2] == "Not asked\n  -  the worksheet has no [place]\n"


@pytest.mark.parametrize("width", [40, 60, 80, 132])
@pytest.mark.parametrize("hostile", ["", *HOSTILE])
def test_no_line_is_wider_than_the_screen(width: int, hostile: str) -> None:
    """Whatever texts hold, lines keep their width and carry no control character."""
    text = _text(section(hostile), Screen(width, 0, True))
    assert all(cells(line) <= width for line in text.splitlines())
    assert not any((ord(c) < 32 and c != "\n") or c in "\x7f\u202e" for c in text)


def test_a_table_too_wide_for_the_page_is_stacked() -> None:
    """Where columns would be too narrow to read, each row becomes lines with the column's title."""
    wide = Table(
        "Wide", tuple(f"Column {n}" for n in range(9)), (tuple("a rather long text" for _ in range(9)),)
    )
    assert column_widths(wide, 60) is None
    text = _text(Section("x", "X", tables=(wide,)), Screen(60, 0, False))
    assert text.count("a rather long text") == 9
    assert "Column 8" in text
