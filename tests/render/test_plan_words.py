"""What a plan says in few words: arrangements in a line, parts at a glance, columns of its tables."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.finding import Arrangement, Outcome, Verdict
from pcaudit.core.plan.section import Section, Table, finding
from pcaudit.render import plan_html, plan_text
from pcaudit.render.interface import PLAIN
from pcaudit.render.layout import Page
from pcaudit.render.paint import painter
from pcaudit.render.plan_arrangements import answer_words, draw
from pcaudit.render.plan_html_words import column_class, row_head
from pcaudit.render.sections.plan_section import balanced, glances, without_repeats
from tests.render.plan_samples import plan
from tests.render.samples import ARRANGEMENTS


def _arrangement(verdict: Verdict, **said: Any) -> Arrangement:
    base = ARRANGEMENTS[0]._replace(due="2027-03-12", latest_start="2027-02-19")
    return base._replace(verdict=verdict, **said)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (
            _arrangement(
                Verdict.MET,
                state="in hand",
                holder="I. Fallow",
                deputy="S. Teal",
                kept="room C 201",
                expires="2038-01-31",
                note="order 12",
            ),
            "in hand: I. Fallow; else S. Teal; kept: room C 201; expires: 2038-01-31; order 12",
        ),
        (
            _arrangement(
                Verdict.UNVERIFIED,
                state="requested",
                requested="2026-12-01",
                expected="2027-02-01",
                open=True,
            ),
            "requested 2026-12-01: promised for 2027-02-01; due 2027-03-12; by facilities",
        ),
        (
            _arrangement(Verdict.UNVERIFIED, state="missing", open=True),
            "missing: begin by 2027-02-19; due 2027-03-12; by facilities",
        ),
        (_arrangement(Verdict.NOT_APPLICABLE, state="not needed", why="not needed: x, says y"), None),
        (
            _arrangement(Verdict.MET, state="in hand", required="at most 25 °C", found="21 °C"),
            "in hand: measured: 21 °C (asked: at most 25 °C)",
        ),
        (
            _arrangement(Verdict.UNMET, state="in hand", holder="lab", why="expires on 2027-03-12, before"),
            "in hand: lab; expires on 2027-03-12, before",
        ),
    ],
    ids=["in hand", "requested", "missing", "not needed", "measured", "expired"],
)
def test_an_answer_in_a_line(said: Arrangement, words: str | None) -> None:
    """Who, where and until when of what is there; the days that count of what is not; else the reason."""
    assert answer_words(said) == (said.why if words is None else words)


def test_credentials_stand_first_and_are_no_place_for_secrets() -> None:
    """The list begins with credentials and licences, and says that no secret belongs there."""
    page = Page(PLAIN, painter(PLAIN.colours))
    draw(page, plan().arrangements)
    text = str(page)
    assert text.index("Licence certificate") < text.index("Patched network port")
    assert "Never write the secret itself" in text


def test_nothing_to_arrange_is_said() -> None:
    """A plan without arrangements does not leave an empty list."""
    page = Page(PLAIN, painter(PLAIN.colours))
    draw(page, ())
    assert "answers no arrangement" in str(page)
    assert "answers no arrangement" in plan_html.render(plan()._replace(arrangements=()))


def test_what_is_open_is_told_from_what_is_not_known() -> None:
    """At a glance, work that can still be begun in time is open; what nobody answered is unverified."""
    open_ = _arrangement(Verdict.UNVERIFIED, id="a", state="missing", open=True)
    unknown = _arrangement(Verdict.UNVERIFIED, id="b", state="not answered")
    late = _arrangement(Verdict.UNMET, id="c", state="missing")
    (glance,) = glances([open_, unknown, late], [])
    assert (glance.verdict, glance.counts) == (Verdict.UNMET, "1 unmet, 1 open, 1 unverified")
    (glance,) = glances([open_], [])
    assert (glance.verdict, glance.counts) == (Verdict.UNVERIFIED, "1 open")


def test_a_caution_is_said_once() -> None:
    """Where several parts share one it stands in the first; nothing else of a part is lost."""
    first = Section("a", "A", cautions=("mind the step", "keep it dry"))
    second = Section("b", "B", notes=("mind the step",), cautions=("keep it dry", "mind the gap"))
    assert without_repeats([first, second]) == (first, second._replace(cautions=("mind the gap",)))


def test_the_counts_are_those_of_what_binds() -> None:
    """An advised point that falls short is none of the points that decide."""
    sure, short = (
        finding("x", name, name, verdict, required="", found="", file="w", line=1, binding=binds)
        for name, verdict, binds in (("a", Verdict.MET, True), ("b", Verdict.UNMET, False))
    )
    made = plan()._replace(arrangements=(), sections=(Section("x", "X", (sure, short)),))
    assert plan_text.counts_words(made) == "1 of 1 point holds"
    made = made._replace(sections=(Section("x", "X", (sure, short._replace(binding=True))),))
    assert plan_text.counts_words(made) == "1 of 2 points holds; 1 falls short"
    assert plan_text.counts_words(made._replace(sections=())) == "Nothing was asked"


def test_a_plan_without_a_day_names_none() -> None:
    """Neither text nor page makes a day of the installation out of the day that is counted from."""
    made = plan()._replace(day_known=False, outcome=Outcome.INCONCLUSIVE)
    assert plan_text.render(made).startswith("INCONCLUSIVE: no installation day\n")
    page = plan_html.render(made)
    assert "installation on" not in page and "no day was said" in page


@pytest.mark.parametrize(
    ("columns", "rows", "head"),
    [
        (
            ("Begin", "Slack", "What", "Who"),
            (("", "8 *", "Order", "IT"), ("2027-03-01", "", "Set up", "")),
            2,
        ),
        (("Step", "What"), (("1", "Call"), ("2", "Start")), 1),
        (("From", "What"), (("08:30", "Probe"), ("", "Bring")), 1),
        (("Due", "Done on"), (("2027-03-15", ""), ("2027-06-15", "")), 0),
        (("Kind", "Number"), (("Daily", "5"),), 0),
    ],
)
def test_a_row_is_named_by_what_it_is_about(
    columns: tuple[str, ...], rows: tuple[tuple[str, ...], ...], head: int
) -> None:
    """Its head is the first column filled in every row with words; not a day, a time or a number."""
    assert row_head(Table("T", columns, rows)) == head


def test_columns_know_what_they_hold() -> None:
    """Numbers stand under each other, days and amounts are not folded, addresses are no numbers."""
    rows = (("41.2", "2027-03-05", "10.20.30.44", "a rather long text"), ("300", "", "192.168.40.1", "x"))
    table = Table("T", ("W", "Done by", "Address", "What"), rows)
    assert [column_class(table, number) for number in range(4)] == ["figures", "short", "short", ""]


def test_a_long_word_is_not_cut_where_there_is_room() -> None:
    """A range of addresses stays whole beside other columns as long as they keep their own words."""
    word = "10.20.30.100-10.20.30.199"
    widths = balanced([["Addresses given out on the network"], [word]], 58)
    assert widths is not None and widths[1] >= len(word) and sum(widths) + 2 <= 58
    widths = balanced([["Addresses"], [word], [word], [word]], 80)
    assert widths is not None and sum(widths) + 6 <= 80
    assert balanced([[word]] * 6, 80) is None


def test_what_an_arrangement_says_is_not_repeated_by_the_calendar() -> None:
    """One thing to do stands there once; where the calendar alone makes it late both do."""
    said = _arrangement(Verdict.UNVERIFIED, id="a", state="not answered")
    late = finding(
        "calendar",
        "arrangements[a]",
        "A",
        Verdict.UNVERIFIED,
        required="",
        found="not answered",
        file="w",
        line=1,
    )
    made = plan()._replace(arrangements=(said,), sections=(Section("calendar", "Calendar", (late,)),))
    assert [one.id for one in plan_text.to_do(made)] == ["arrangements.a"]
    made = made._replace(sections=(Section("calendar", "Calendar", (late._replace(verdict=Verdict.UNMET),)),))
    assert len(plan_text.to_do(made)) == 2
    made = made._replace(arrangements=(said._replace(verdict=Verdict.MET),))
    assert len(plan_text.to_do(made)) == 2
