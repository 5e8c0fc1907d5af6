"""A comparison as text."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings as settings_of, strategies as st
from rich.cells import cell_len

from pcaudit.core.compare import Comparison, Headroom
from pcaudit.core.ranking import Place
from pcaudit.core.report import Verdict
from pcaudit.core.visible import hidden
from pcaudit.errors import UsageError
from pcaudit.render.compare_interface import FORMATS, renderer
from pcaudit.render.compare_text import SIGNS, render
from pcaudit.render.compare_words import headroom_words, place_words
from pcaudit.render.interface import Screen
from tests.core.builders import unknown, value
from tests.core.candidates import BLIND, FOUR, GOOD, PROFILE, compared, pc
from tests.render import compare_golden
from tests.render.golden import path

# ECMA-48: CSI sequences; the only ones painting uses are SGR ("m").
_SGR = re.compile(r"\x1b\[[0-9;]*m")


@pytest.mark.parametrize("name", compare_golden.SCREENS)
def test_whole_comparison(name: str) -> None:
    """The whole page looks as it was last looked at and found good."""
    expected = path(name).read_text(encoding="utf-8")
    assert render(compare_golden.golden_comparison(), compare_golden.SCREENS[name]) == expected


GOLDEN: Comparison = compare_golden.golden_comparison()


@settings_of(max_examples=40)
@given(text=st.text(min_size=1, max_size=40), width=st.integers(20, 160), drawn=st.booleans())
def test_no_text_is_obeyed_and_no_line_too_wide(text: str, width: int, drawn: bool) -> None:
    """Whatever text stands in whatever field, it is not obeyed, and lines fit."""
    page = render(compare_golden.overgrown(text), Screen(width, unicode=drawn))
    for line in page.split("\n"):
        assert cell_len(line) <= max(width, 40)
        assert not hidden("\x00-\x1f").search(line)
        assert line == line.rstrip()


def test_painting_changes_no_text() -> None:
    """With colours the page says what it says without."""
    painted = render(GOLDEN, Screen(80, 256))
    assert painted != render(GOLDEN, Screen(80))
    lines = [line.rstrip() for line in _SGR.sub("", painted).split("\n")]
    assert lines == render(GOLDEN, Screen(80)).split("\n")


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_eight_stay_in_their_columns(width: int) -> None:
    """At any width each verdict stands under the letter of its candidate."""
    lines = render(GOLDEN, Screen(width)).splitlines()
    (header,) = (line for line in lines if line.startswith("Condition"))
    columns = [header.rindex(letter) for letter in "ABCDEFGH"]
    row = next(line for line in lines if line.startswith("Cores"))
    marks = [row[column : column + 1] for column in columns]
    assert marks == (["x"] + ["+"] * 7 if width < 72 else ["="] * 8)
    assert row[columns[0] : columns[0] + 4].rstrip() in ("x + +"[:4].rstrip(), "= |")


def test_every_verdict_has_a_sign() -> None:
    """Where there is no room for marks, no two verdicts look alike."""
    assert set(SIGNS) == set(Verdict)
    assert len(set(SIGNS.values())) == len(SIGNS)


def test_a_ready_pc_stands_before_one_that_may_be() -> None:
    """Where both may take the same places, what is known to pass is named first."""
    page = render(compared(PROFILE, {"blind.json": BLIND, "ready.json": pc(**GOOD)}))
    places = [line for line in page.splitlines() if line.startswith("place")]
    assert [line.split("  ")[1] for line in places] == ["B", "A"]
    assert "No order between A and B: what is not known of A may decide" in page


def test_what_differs_stands_before_what_is_alike() -> None:
    """Rows that differ come first, with what was found; the others follow under their own title."""
    page = render(compared(PROFILE, {"a.json": FOUR["a.json"], "d.json": FOUR["d.json"]}))
    differ, alike = page.index("Where they differ (2 of 9"), page.index("All alike (7)")
    assert differ < page.index("Cores  ") < page.index("Memory installed  ") < alike
    assert alike < page.index("Sleep after  ")


def test_nothing_differs() -> None:
    """Two that are alike in every row say so."""
    page = render(compared(PROFILE, {"a.json": pc(**GOOD), "b.json": pc(**GOOD)}))
    assert "Every condition comes to the same on all of them." in page
    assert "A and B are the same PC" in page


def test_without_prices_no_price_is_spoken_of() -> None:
    """Parts without a prices file are named and counted, and nothing is said of their price."""
    page = render(compared(PROFILE, FOUR))
    assert "memory 16 GB" in page and "price" not in page


def test_what_is_short_of_a_minimum_does_not_look_enough() -> None:
    """A ratio just below one is not rounded up to it."""
    room = Headroom("memory.installed", "Memory", 0.9999, 0.9999, "16 GB", "15.99 GB")
    assert headroom_words(room) == "0.99 times"
    assert headroom_words(room._replace(most=float("inf"))) == "at least 0.99 times"
    assert headroom_words(room._replace(least=0.0, most=float("inf"))) == "not known"
    assert headroom_words(room._replace(least=float("inf"), most=float("inf"))) == "without limit"


@pytest.mark.parametrize(("best", "worst", "words"), [(1, 1, "1"), (2, 4, "2 to 4")])
def test_places_in_words(best: int, worst: int, words: str) -> None:
    """One place is a number, several are a span."""
    assert place_words(Place("A", best, worst)) == words


def test_the_remedy_of_what_is_not_known_is_told() -> None:
    """What would make it readable stands beside what is not known."""
    comparison = compared(
        PROFILE, {"a.json": pc(**{**GOOD, "cpu__cores": unknown("x")}), "b.json": pc(**GOOD)}
    )
    first = comparison.candidates[0]
    open_ = tuple(one._replace(remedy="Probe as administrator.") for one in first.mending.unread)
    first = first._replace(mending=first.mending._replace(unread=open_))
    page = render(comparison._replace(candidates=(first, comparison.candidates[1])))
    assert "do   Probe as administrator." in page


def test_a_candidate_that_rests_on_a_concession_is_told_apart() -> None:
    """A candidate that is ready by a concession does not stand there as ready alone."""
    comparison = compared(PROFILE, {"a.json": pc(**GOOD), "b.json": pc(**GOOD)})
    first = comparison.candidates[0]
    accepted = first.report.findings[0]._replace(verdict=Verdict.ACCEPTED)
    conceded = first.report._replace(findings=(accepted, *first.report.findings[1:]))
    first = first._replace(report=conceded)
    page = render(comparison._replace(candidates=(first, comparison.candidates[1])))
    assert re.search(r"^A  ready, with ", page, re.M) and re.search(r"^B  ready  ", page, re.M)
    assert "1 concession" in page


def test_what_one_part_mends_is_named() -> None:
    """A part that mends several conditions names them by their titles."""
    text = '[storage]\nsystem_media = "ssd"\nsystem_free.minimum = "100 GB"\n'
    page = render(compared(text, {"a.json": pc(), "b.json": pc(storage__system_free=value(1))}))
    assert "mends: System drive media, System volume free" in page


def test_formats() -> None:
    """Each format gives something, and one that is none is refused with those there are."""
    assert [bool(renderer(name)(GOLDEN)) for name in FORMATS] == [True] * len(FORMATS)
    with pytest.raises(UsageError) as caught:
        renderer("html5")
    assert "text, json" in caught.value.next_step
