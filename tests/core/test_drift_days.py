"""What ended between the day a drift is judged for and the day it is looked at."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from pcaudit.core.drift_days import run_out
from pcaudit.core.report import Acceptance, Finding, Part, Verdict
from pcaudit.core.snapshot import absent, known, unknown
from tests.render.samples import finding, report

ON, LAST, AS_OF = date(2026, 12, 7), date(2027, 6, 30), date(2027, 7, 1)
NONE = unknown("no table names this release")


def _conceded(until: date) -> Finding:
    acceptance = Acceptance(Verdict.UNMET, "on order", "A. Example", until)
    return finding("cpu.cores", Verdict.ACCEPTED, acceptance=acceptance)


def _said(findings: tuple[Finding, ...], support: Any = NONE, on: date = ON, as_of: date = AS_OF) -> str:
    return run_out(report(findings)._replace(on=on, as_of=as_of), support)


@pytest.mark.parametrize(
    ("on", "until", "as_of", "ended"),
    [
        (ON, LAST, AS_OF, True),
        (ON, LAST, LAST, False),  # the last day is included
        (LAST, LAST, AS_OF, True),
        (AS_OF, LAST, AS_OF, False),  # judged for a day on which it had ended: the verdict says so
        (ON, AS_OF, AS_OF, False),
        (AS_OF, AS_OF, ON, False),
    ],
)
def test_a_concession_ends_after_its_day(on: date, until: date, as_of: date, ended: bool) -> None:
    """A concession that held on the day judged for, and on the day counted from no longer, is named."""
    words = _said((_conceded(until),), on=on, as_of=as_of)
    assert ("the concession for cpu.cores" in words) is ended
    assert bool(words) is ended


def test_support_ends_likewise() -> None:
    """The end of updates is named where it lies between the days, and where it is known only."""
    words = _said((), known("2027-01-12", "os.toml"))
    assert words == (
        "judged for 2026-12-07; ended since, by 2027-07-01: support of the operating system (2027-01-12): "
        "to judge for that day give --on 2027-07-01"
    )
    assert _said((), known("2027-12-31", "os.toml")) == ""
    assert _said((), NONE) == _said((), absent("no end is planned")) == ""


def test_all_that_ended_stands_in_one_line() -> None:
    """A concession of one of several conditions counts too, and everything is in one line."""
    part = Part("at least 8", Verdict.ACCEPTED, True, "", "", "base.toml", 3, "ab")
    accepted = part._replace(acceptance=_conceded(LAST).acceptance)
    several = finding("memory.installed", Verdict.ACCEPTED, parts=(part, accepted))
    words = _said((several, _conceded(LAST)), known("2027-06-01", "os.toml"))
    assert words.count("memory.installed") == words.count("cpu.cores") == words.count("support") == 1
    assert "\n" not in words
