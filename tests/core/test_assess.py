"""Putting a report together."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from pcaudit.core.assess import make_report
from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.report import Outcome, Report
from pcaudit.core.snapshot import OLD_AFTER_DAYS
from tests.core.builders import profile_of, snapshot_of, unknown, value

DAY = date(2026, 11, 25)


def _report(text: str, readings: dict[str, Any], as_of: date = DAY) -> Report:
    asked, snapshot = ask([profile_of(text)]), snapshot_of(readings)
    return make_report(
        asked, snapshot, evaluate_all(asked, snapshot), on=as_of, as_of=as_of, tool_version="0.1.0"
    )


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (0, ""),
        (OLD_AFTER_DAYS, ""),
        (OLD_AFTER_DAYS + 1, "8 days old"),
        (-1, ""),
        (-2, "2 days after"),
    ],
)
def test_an_old_snapshot_is_warned_of(days: int, said: str) -> None:
    """A snapshot of more than a week, or from the future, is named as such and no other."""
    warnings = _report("cpu.cores = { minimum = 4 }", {}, DAY + timedelta(days=days)).warnings
    assert bool(warnings) is bool(said)
    assert said in "".join(warnings)


def _arrangement(name: str) -> str:
    return f'[[arrangements]]\nid = "{name}"\nkind = "licence"\ntitle = "A licence"\n'


@pytest.mark.parametrize(("count", "said"), [(0, ""), (1, "1 arrangement not"), (2, "2 arrangements not")])
def test_arrangements_that_were_not_asked_are_counted(count: int, said: str) -> None:
    """The report says first how many arrangements nobody answered."""
    text = "cpu.cores = { minimum = 4 }\n" + "".join(_arrangement(f"a{i}") for i in range(count))
    report = _report(text, {"cpu.cores": value(4)})
    assert [line for line in report.not_asked if "arrangement" in line] == (
        [f"{said} asked: no worksheet was given"] if said else []
    )
    assert report.arrangements_outcome is None
    assert report.outcome is Outcome.READY


ONLY_NAMED = """
[options.shared]
title = "Shared"
[[os.any_of]]
type = "windows"
edition = "pro"
[[os.any_of]]
title = "A server"
type = "windows"
edition = "server"
when = { shared = true }
"""


def test_an_option_that_only_limits_is_named_without_a_count() -> None:
    """An option with nothing but a title may limit tables; left out, it says so, and so do they."""
    report = _report(ONLY_NAMED, {"os.type": value("windows"), "os.edition": value("server")})
    assert report.outcome is Outcome.NOT_READY
    assert report.not_asked == ("option shared not chosen: --option shared",)
    assert report.findings[0].required.endswith("or A server (only with --option shared)")


@pytest.mark.parametrize(
    ("why", "said"),
    [
        ("needs administrator rights", "without administrator rights"),
        ("run at the console", "at the console"),
        ("the drive is asleep", ""),
    ],
)
def test_what_could_not_be_read_and_decides_is_named(why: str, said: str) -> None:
    """A binding finding left open for want of rights or of a console stands in the first lines."""
    readings = {"computer.serial_number": unknown(why), "computer.model": unknown(why)}
    text = '[computer]\nserial_number = "1"\nmodel = { equal = "X", advised = true }\n'
    lines = _report(text, readings).not_asked
    assert bool(lines) is bool(said)
    if said:
        assert said in lines[0]
        assert lines[0].endswith("decides: Serial number")


def test_owners_are_as_written_or_the_lab() -> None:
    """An arrangement without an owner is the lab's."""
    text = "cpu.cores = { minimum = 4 }\n" + _arrangement("a") + _arrangement("b") + 'owner = "IT"\n'
    assert [one.owner for one in _report(text, {}).arrangements] == ["lab", "IT"]


def test_what_was_asked_is_told_by_its_position() -> None:
    """Each profile asked for is named by its place among all files, in the order asked, twice if it was."""
    base, other = profile_of("cpu.cores = { minimum = 4 }"), profile_of("cpu.threads = { minimum = 4 }")
    other = other._replace(path="o.toml", sources=(*base.sources, base.sources[0]._replace(path="o.toml")))
    snapshot = snapshot_of({})
    for profiles, positions in (([other], (1,)), ([other, base], (1, 0)), ([base, other, base], (0, 1, 0))):
        asked = ask(profiles)
        report = make_report(
            asked, snapshot, evaluate_all(asked, snapshot), on=DAY, as_of=DAY, tool_version="0.1.0"
        )
        assert report.asked == positions
        assert [report.profiles[at].path for at in report.asked] == [one.path for one in profiles]


def test_parameters_that_were_set_are_told_from_defaults() -> None:
    """A report names the parameters that were given, and no other."""
    profile = profile_of(
        "cpu.cores = { minimum = 4 }\n[parameters]\n"
        "analysts = { default = 1, minimum = 1 }\ninstruments = { default = 2, minimum = 1 }\n"
    )
    asked, snapshot = ask([profile], (), {"instruments": "2"}), snapshot_of({})
    report = make_report(
        asked, snapshot, evaluate_all(asked, snapshot), on=DAY, as_of=DAY, tool_version="0.1.0"
    )
    assert report.given == ("instruments",)
    assert report.parameters == {"analysts": 1, "instruments": 2}
