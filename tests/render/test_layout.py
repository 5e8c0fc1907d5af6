"""Folding and columns."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st
from rich.cells import cell_len

from pcaudit.render.interface import Screen
from pcaudit.render.layout import Cell, Page, cells, fold
from pcaudit.render.paint import painter

_SHOWN = st.text(st.characters(exclude_categories=("C", "Zl", "Zp")))


@given(text=_SHOWN, width=st.integers(2, 30))
def test_folding_loses_nothing(text: str, width: int) -> None:
    """Folded text holds every character but white space, in lines that fit."""
    lines = fold(text, width)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(cell_len(line) <= width for line in lines)
    assert lines


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("", 5, [""]),
        ("one two", 7, ["one two"]),
        ("one two", 6, ["one", "two"]),
        ("abcdefgh ij", 4, ["abcd", "efgh", "ij"]),
        ("a abcdef", 4, ["a", "abcd", "ef"]),
        ("\u5b9f\u9a13\u5ba4", 4, ["\u5b9f\u9a13", "\u5ba4"]),  # each two columns wide
        ("e\u0301e\u0301e\u0301", 2, ["e\u0301e\u0301", "e\u0301"]),  # combining: no column of its own
    ],
)
def test_folding(text: str, width: int, lines: list[str]) -> None:
    """Lines break at spaces, within a word only where it is too wide for the column."""
    assert fold(text, width) == lines


@given(text=_SHOWN)
def test_widths_are_the_library_s(text: str) -> None:
    """The short way of measuring agrees with the library's."""
    assert cells(text) == cell_len(text)


def test_columns_stay_in_line() -> None:
    """A folded column does not move the next one, also beside characters two columns wide."""
    page = Page(Screen(40), painter(0))
    page.row([Cell("one two three"), Cell("\u5b9f\u9a13"), Cell("end here now")], [6, 6, 8])
    assert str(page) == "one     \u5b9f\u9a13    end here\ntwo             now\nthree\n"


def test_a_narrow_screen_is_laid_out_for_40_columns() -> None:
    """Below 40 columns the page stays 40 wide rather than one letter a line."""
    page = Page(Screen(3), painter(0))
    page.heading("Title")
    assert max(map(len, str(page).splitlines())) == 40
