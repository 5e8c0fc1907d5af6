"""Arrangements that a worksheet answered, in every form of a report."""

from __future__ import annotations

import csv
import io
import json
from typing import Final

import pytest

from pcaudit.core.finding import Outcome, Verdict
from pcaudit.core.report import Arrangement, Report
from pcaudit.render import console, csv_text, html, json as report_json, junit, markdown
from pcaudit.render.sections.arrangements import days_words, measured_words, state_words
from pcaudit.render.sections.head import statement
from tests.render.golden import HOSTILE, LONG
from tests.render.samples import ARRANGEMENTS, FINDINGS, report

OPEN: Final = ARRANGEMENTS[0]._replace(
    id="port",
    state="requested",
    verdict=Verdict.UNVERIFIED,
    open=True,
    due="2027-03-12",
    latest_start="2027-02-19",
    requested="2026-12-01",
    expected="2027-01-15",
    why="due by 2027-03-12, promised for 2027-01-15 (facilities)",
)
EXPIRED: Final = ARRANGEMENTS[1]._replace(
    verdict=Verdict.UNMET,
    deputy="Q. Specht",
    expires="2027-03-01",
    due="2027-03-15",
    latest_start="2027-03-15",
    why="expires on 2027-03-01, before 2027-03-15",
    note="order 4500123",
)
ROOM: Final = ARRANGEMENTS[0]._replace(
    id="room",
    kind="place",
    title="Room temperature",
    state="in hand",
    verdict=Verdict.MET,
    required="at most 25 °C",
    found="22 °C",
)


def _report(*arrangements: Arrangement) -> Report:
    return report(FINDINGS[:1], arrangements=arrangements, arrangements_outcome=Outcome.NOT_READY)


ALL: Final = _report(OPEN, EXPIRED, ROOM)


def _words(text: str) -> str:
    return " ".join(text.split())


def test_words_of_days_and_states() -> None:
    """Days stand with what they are; of what is in hand only those that were entered."""
    assert state_words(OPEN) == "requested, open"
    assert days_words(OPEN) == (
        "requested 2026-12-01, expected 2027-01-15, begin by 2027-02-19, due by 2027-03-12"
    )
    assert (state_words(EXPIRED), days_words(EXPIRED)) == ("in hand", "")
    assert measured_words(ROOM) == "22 °C (asked: at most 25 °C)"
    assert measured_words(ROOM._replace(found="")) == "not measured (asked: at most 25 °C)"
    assert measured_words(OPEN) == ""


def test_text_shows_what_was_answered_and_what_it_comes_to() -> None:
    """Mark, verdict, state, deputy, days, measured value and reason stand with each arrangement."""
    shown = console.render(ALL)
    checklist = _words(shown.partition("-- Credentials and licences")[2])
    assert "= | unmet Licence certificate for the" in checklist
    assert "deputy Q. Specht" in checklist and "note order 4500123" in checklist
    assert "verdict expires on 2027-03-01, before 2027-03-15" in checklist
    assert "? | unverified Patched network port at the" in checklist
    assert "days requested 2026-12-01, expected 2027-01-15" in checklist
    assert "measured 22 °C (asked: at most 25 °C)" in checklist
    assert max(map(len, shown.splitlines())) <= 80


def test_what_people_must_do_stands_with_what_is_to_be_done() -> None:
    """An arrangement that is unmet or open is told under its owner, with the day."""
    todo = _words(console.render(ALL).partition("-- What to do")[2].partition("-- Cred")[0])
    assert "facilities: 1" in todo
    assert ": requested; due by 2027-03-12, promised for 2027-01-15 (facilities); required" in todo
    assert "lab: 1" in todo and "expires on 2027-03-01, before 2027-03-15" in todo


@pytest.mark.parametrize(
    ("outcome", "says"),
    [
        (Outcome.READY, "what was asked of people is arranged"),
        (Outcome.NOT_READY, "something that was asked of people is not arranged"),
        (Outcome.INCONCLUSIVE, "open or not known"),
        (None, ""),
    ],
)
def test_the_first_lines_say_what_is_arranged(outcome: Outcome | None, says: str) -> None:
    """The sentence on the outcome speaks of people too where a worksheet answered."""
    text = statement(report(FINDINGS[:1], arrangements_outcome=outcome))
    assert says in text
    assert ("By the worksheet" in text) is (outcome is not None)


def test_the_page_shows_the_same() -> None:
    """Verdict, days, deputy and reason stand in the table of the page."""
    page = html.render(ALL)
    for text in (
        "requested, open",
        "expires on 2027-03-01, before 2027-03-15",
        "Q. Specht",
        "22 °C (asked: at most 25 °C)",
        "begin by 2027-02-19",
    ):
        assert text in page


def test_dashboards_see_what_is_unmet_and_what_is_open() -> None:
    """In JUnit XML unmet is a failure, open an error, met a pass."""
    text = junit.render(ALL)
    cases = {name: text.partition(f'name="arrangement.{name}"')[2][:400] for name in ("port", "room")}
    assert "<error" in cases["port"].partition("</testcase>")[0]
    assert "<failure" not in cases["room"].partition("</testcase>")[0]
    licence = text.partition(f'name="arrangement.{EXPIRED.id}"')[2].partition("</testcase>")[0]
    assert "<failure" in licence and "expires on 2027-03-01" in licence


def test_tickets_and_tables_have_them_too() -> None:
    """Markdown and CSV name verdict and reason of each arrangement."""
    assert "- unmet: in hand: expires on 2027-03-01, before 2027-03-15" in markdown.render(ALL)
    rows = list(csv.DictReader(io.StringIO(csv_text.render(ALL).lstrip("\ufeff"))))
    verdicts = {row["id"]: row["verdict"] for row in rows}
    assert verdicts[f"arrangements.{EXPIRED.id}"] == "unmet"
    assert verdicts["arrangements.port"] == "unverified"


def test_json_holds_the_verdict_of_each() -> None:
    """The verdict is null without a worksheet."""
    found = json.loads(report_json.render(ALL))["arrangements"]
    assert [one["verdict"] for one in found] == ["unverified", "unmet", "met"]
    assert json.loads(report_json.render(report()))["arrangements"][0]["verdict"] is None


@pytest.mark.parametrize("text", [HOSTILE, LONG], ids=["hostile", "long"])
def test_text_of_a_worksheet_does_no_harm(text: str) -> None:
    """Whatever people write is shown as text, within the page, in every form."""
    bad = EXPIRED._replace(
        deputy=text, note=text, why=text, found=text, required=text, state=text, requested=text, holder=text
    )
    made = _report(bad, OPEN._replace(title=text, owner=text))
    shown = console.render(made)
    assert max(map(len, shown.splitlines())) <= 80
    assert "\x1b" not in shown and "\u202e" not in shown
    for render in (html.render, junit.render, markdown.render, csv_text.render):
        assert "\x1b" not in render(made)
