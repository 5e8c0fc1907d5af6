"""``pcaudit assess --worksheet``: what a manager types, and what comes of it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pytest
from jsonschema import Draft202012Validator

from tests.cli.program import FIT, SMALL, TIRED, Done, pcaudit, refused
from tests.render.schemas import read as schema

PROFILE: Final = """\
format = 1
title = "Data system"
[cpu.cores]
minimum = 2
[options.mass-detector.cpu.cores]
minimum = 4
[parameters]
instruments = { default = 1, maximum = 4 }
[[arrangements]]
id = "licence"
kind = "licence"
title = "Licence of the data system"
lead_time = "10 working days"
owner = "purchasing"
[[arrangements]]
id = "administrator"
kind = "credential"
title = "Local administrator"
owner = "IT"
lead_time = "3 working days"
[[arrangements]]
id = "medium"
kind = "medium"
title = "Installation medium"
"""

IN_HAND: Final = """\
[arrangements.licence]
state = "in hand"
holder = "purchasing"
kept = "safe"
expires = 2040-01-31
[arrangements.administrator]
state = "in hand"
holder = "R. Amsel"
deputy = "Q. Specht"
[arrangements.medium]
state = "in hand"
"""

REQUESTED: Final = """\
[arrangements.licence]
state = "requested"
requested = 2026-12-14
expected = 2027-01-15
[arrangements.administrator]
state = "missing"
[arrangements.medium]
state = "in hand"
"""

DAY: Final = "[installation]\nday = 2027-03-15\n"
USE: Final = '[use]\nprofiles = ["p.toml"]\n'
TWELVE_WEEKS: Final = ("--as-of", "2026-12-21")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a profile."""
    (tmp_path / "p.toml").write_text(PROFILE, encoding="utf-8")
    return tmp_path


def _sheet(folder: Path, text: str) -> str:
    path = folder / "w.toml"
    path.write_text(f'format = 1\ntitle = "W"\n{text}', encoding="utf-8")
    return str(path)


def _assess(folder: Path, text: str, *more: str) -> Done:
    return pcaudit("assess", FIT, "--worksheet", _sheet(folder, text), *more, cwd=folder)


def _report(folder: Path, text: str, *more: str) -> dict[str, Any]:
    done = _assess(folder, text, "--format", "json", *more)
    assert done.code in (0, 3, 4), done
    report: dict[str, Any] = json.loads(done.out)
    Draft202012Validator(schema("report")).validate(report)
    return report


def _said(report: dict[str, Any]) -> dict[str, tuple[str, bool]]:
    return {one["id"]: (one["verdict"], one["open"]) for one in report["arrangements"]}


def test_everything_in_hand_is_ready(folder: Path) -> None:
    """A PC that fits and arrangements in hand are ready, on the day of the worksheet."""
    report = _report(folder, DAY + USE + IN_HAND, *TWELVE_WEEKS)
    outcomes = [report[key] for key in ("outcome", "pc_outcome", "arrangements_outcome")]
    assert outcomes == ["ready"] * 3
    assert (report["on"], report["worksheet"]["day"]) == ("2027-03-15", "2027-03-15")


def test_a_licence_that_expires_before_the_day_is_not_ready(folder: Path) -> None:
    """A perfect PC is not ready, and the report says who must do what by which date."""
    text = DAY + USE + IN_HAND.replace("2040-01-31", "2027-03-01")
    report = _report(folder, text, *TWELVE_WEEKS)
    assert [report[key] for key in ("outcome", "pc_outcome")] == ["not ready", "ready"]
    assert _said(report)["licence"] == ("unmet", False)
    done = _assess(folder, text, *TWELVE_WEEKS)
    assert done.code == 3
    assert done.out.startswith("NOT READY: ")
    todo = done.out.partition("-- What to do")[2].partition("\n-- ")[0]
    assert "purchasing: 1" in todo
    assert "expires on 2027-03-01, before 2027-03-15" in " ".join(todo.split())
    assert "by 2027-03-12" in " ".join(todo.split())


def test_twelve_weeks_ahead_what_is_requested_in_time_is_open(folder: Path) -> None:
    """With everything requested or still to begin it is inconclusive, not a failure, and says by when."""
    report = _report(folder, DAY + USE + REQUESTED, *TWELVE_WEEKS)
    assert [report[key] for key in ("outcome", "pc_outcome")] == ["inconclusive", "ready"]
    assert _said(report) == {
        "licence": ("unverified", True),
        "administrator": ("unverified", True),
        "medium": ("met", False),
    }
    done = _assess(folder, DAY + USE + REQUESTED, *TWELVE_WEEKS)
    assert done.code == 4
    assert ": missing; begin by 2027-03-09 (IT)" in " ".join(done.out.split())


def test_the_same_worksheet_past_its_latest_start_is_not_ready(folder: Path) -> None:
    """Nobody began: from the day after the latest start it is unmet."""
    on_time = _report(folder, DAY + USE + REQUESTED, "--as-of", "2027-03-09")
    late = _report(folder, DAY + USE + REQUESTED, "--as-of", "2027-03-10")
    assert _said(on_time)["administrator"] == ("unverified", True)
    assert _said(late)["administrator"] == ("unmet", False)
    assert late["outcome"] == "not ready"


def test_a_pc_that_falls_short_is_not_ready_whatever_is_arranged(folder: Path) -> None:
    """The outcome is the worse of the two."""
    (folder / "p.toml").write_text(PROFILE.replace("minimum = 2", "minimum = 500"), encoding="utf-8")
    report = _report(folder, DAY + USE + IN_HAND, *TWELVE_WEEKS)
    assert [report[key] for key in ("outcome", "arrangements_outcome")] == ["not ready", "ready"]


def test_without_a_worksheet_arrangements_are_not_judged(folder: Path) -> None:
    """The exit code is the PC's alone, and the report says how many arrangements were not asked."""
    done = pcaudit("assess", "p.toml", FIT, "--format", "json", "--as-of", "2026-11-26", cwd=folder)
    report = json.loads(done.out)
    assert done.code == 0
    assert report["arrangements_outcome"] is None and "worksheet" not in report
    assert {one["verdict"] for one in report["arrangements"]} == {None}
    assert "3 arrangements not asked: no worksheet was given" in report["not_asked"]


def test_blanks_are_counted_in_the_first_lines(folder: Path) -> None:
    """What the worksheet leaves blank stands among what was not asked."""
    report = _report(folder, DAY + USE, *TWELVE_WEEKS)
    assert "3 arrangements not answered in the worksheet" in report["not_asked"]
    assert report["outcome"] == "inconclusive"


# -- days


@pytest.mark.parametrize(
    ("text", "more", "on", "warning"),
    [
        (DAY, (), "2027-03-15", ""),
        (DAY, ("--on", "2027-04-01"), "2027-04-01", "judged for 2027-04-01, not for the worksheet's"),
        ("", ("--on", "2027-04-01"), "2027-04-01", ""),
        (DAY.replace("2027", "2026"), (), "2026-03-15", "the day judged for, 2026-03-15, is past"),
    ],
)
def test_the_day_judged_for(folder: Path, text: str, more: tuple[str, ...], on: str, warning: str) -> None:
    """`--on` goes before the installation day; another day, and one in the past, are warned of."""
    report = _report(folder, text + USE + IN_HAND, *more, *TWELVE_WEEKS)
    assert report["on"] == on
    assert any(warning in line for line in report["warnings"]) if warning else True


def test_without_any_day_nothing_is_late(folder: Path) -> None:
    """Where nobody says a day, what is missing is not late, and the day work counts from is judged for."""
    report = _report(folder, USE + REQUESTED, "--as-of", "2030-01-01")
    assert report["worksheet"]["day"] is None
    assert (report["on"], report["as_of"]) == ("2030-01-01", "2030-01-01")
    assert report["outcome"] == "inconclusive"
    assert "the worksheet has no installation day: what is late cannot be told" in report["warnings"]


def test_a_plan_judges_for_the_same_day(folder: Path) -> None:
    """Without an installation day a plan too is made for the day work counts from."""
    path = _sheet(folder, USE + REQUESTED)
    plan = json.loads(pcaudit("plan", path, "--format", "json", "--as-of", "2030-01-01", cwd=folder).out)
    assert (plan["on"], plan["as_of"]) == ("2030-01-01", "2030-01-01")


# -- what is asked


def test_choices_come_from_the_worksheet(folder: Path) -> None:
    """Options and parameters of [use] count as chosen."""
    text = USE + 'options = ["mass-detector"]\nparameters = { instruments = 3 }\n' + DAY
    report = _report(folder, text, *TWELVE_WEEKS)
    assert (report["options"], report["parameters"], report["given"]) == (
        ["mass-detector"],
        {"instruments": 3},
        ["instruments"],
    )
    assert not any("mass-detector" in line or "instruments" in line for line in report["not_asked"])


def test_the_command_line_adds_and_overrides_and_that_is_said(folder: Path) -> None:
    """--option and --also add, --set goes before the worksheet's value, and the warnings say so."""
    text = USE + "parameters = { instruments = 3 }\n" + DAY
    more = ("--option", "mass-detector", "--set", "instruments=2", "--also", SMALL)
    report = _report(folder, text, *more, *TWELVE_WEEKS)
    assert (report["options"], report["parameters"]["instruments"]) == (["mass-detector"], 2)
    assert len(report["profiles"]) == 2
    assert {
        f"{SMALL} was asked for, and the worksheet does not name it",
        "option mass-detector was chosen, and the worksheet does not name it",
        "parameter instruments was set to 2, and the worksheet says 3",
    } <= set(report["warnings"])


def test_a_profile_on_the_command_line_stands_in_the_place_of_the_worksheets(folder: Path) -> None:
    """It is used instead, and the one left out is named."""
    path = _sheet(folder, USE + DAY)
    done = pcaudit("assess", SMALL, FIT, "--worksheet", path, "--format", "json", cwd=folder)
    report = json.loads(done.out)
    assert [one["path"] for one in report["profiles"]] == [SMALL]
    assert f"{folder / 'p.toml'} is named by the worksheet, and was left out" in report["warnings"]


def test_files_are_told_by_content(folder: Path) -> None:
    """The one file beside a worksheet is a snapshot if it is JSON, and from standard input."""
    path = _sheet(folder, USE + DAY + IN_HAND)
    as_file = pcaudit("assess", FIT, "--worksheet", path, *TWELVE_WEEKS, cwd=folder)
    as_input = pcaudit(
        "assess", "-", "--worksheet", path, *TWELVE_WEEKS, cwd=folder, stdin=Path(FIT).read_bytes()
    )
    assert as_file.code == as_input.code == 0
    assert as_file.out == as_input.out
    other = pcaudit("assess", TIRED, "--worksheet", path, *TWELVE_WEEKS, cwd=folder)
    assert as_file.out != other.out


def test_the_worksheet_may_come_from_standard_input(folder: Path) -> None:
    """Its files are then seen from the current folder."""
    text = f'format = 1\ntitle = "W"\n{USE}{DAY}{IN_HAND}'
    done = pcaudit("assess", FIT, "--worksheet", "-", *TWELVE_WEEKS, cwd=folder, stdin=text.encode())
    assert done.code == 0, done


def test_concessions_of_the_worksheet_are_used(folder: Path) -> None:
    """The concessions file that [use] names is read, and one on the command line goes before it."""
    text = USE + 'concessions = "missing.toml"\n' + DAY
    assert "w.toml:5: use.concessions: there is no file missing.toml" in _assess(folder, text).err
    (folder / "c.toml").write_text('format = 1\ntitle = "C"\n', encoding="utf-8")
    named = _assess(folder, text, "--concessions", "c.toml")
    assert "missing.toml" not in named.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), ("nothing is named that the PC is held against", "--worksheet FILE")),
        (("--worksheet", "w.toml"), ("w.toml names no profile", "[use]")),
        (("-", "--worksheet", "-"), ("standard input cannot be several files",)),
        (("--worksheet", "w.toml", "--output", "w.toml"), ("is also an input",)),
        (("--worksheet", "p.toml"), ("p.toml is a profile, not a worksheet", "worksheet new")),
        (("w.toml",), ("w.toml is a worksheet, not a profile", "assess --worksheet FILE")),
        (("w.toml", "--worksheet", "w.toml"), ("w.toml is a worksheet, not a profile",)),
    ],
)
def test_wrong_use_is_refused(folder: Path, arguments: tuple[str, ...], words: tuple[str, ...]) -> None:
    """Nothing to hold the PC against, and files that would be lost, end with code 2."""
    _sheet(folder, DAY)
    done = pcaudit("assess", *arguments, cwd=folder)
    assert (done.code, done.out) == (2, ""), done
    assert all(word in done.err for word in words), done.err


def test_a_profile_of_the_worksheet_is_not_written_over(folder: Path) -> None:
    """The report is never written over what it is made from."""
    refused(_assess(folder, USE + DAY, "--output", "p.toml"), "is also an input")
    assert (folder / "p.toml").read_text(encoding="utf-8") == PROFILE


# -- kept


def test_a_report_with_a_worksheet_can_be_kept(folder: Path) -> None:
    """Its record holds the worksheet, verifies, and a drift is held against it."""
    _assess(folder, DAY + USE + IN_HAND, *TWELVE_WEEKS, "--format", "json", "--output", "r.json")
    by = ("--by", "Q. Specht", "--meaning", "approved", "--store", "store")
    done = pcaudit("record", "r.json", *by, cwd=folder)
    assert done.code == 0, done
    path = done.out.strip()
    record = json.loads((folder / path).read_text(encoding="utf-8"))
    Draft202012Validator(schema("record")).validate(record)
    assert record["worksheet"]["text"] == (folder / "w.toml").read_text(encoding="utf-8")
    assert {"role": "worksheet", "path": str(folder / "w.toml")}.items() <= record["inputs"][-1].items()
    assert pcaudit("verify", path, cwd=folder).code == 0
    assert pcaudit("drift", path, FIT, *TWELVE_WEEKS, cwd=folder).code == 0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"arrangements_outcome": "ready", "outcome": "ready"}, "arrangements_outcome"),
        ({"worksheet": None}, "judged again, say otherwise"),
    ],
)
def test_an_outcome_of_arrangements_must_follow_from_the_worksheet(
    folder: Path, change: dict[str, Any], words: str
) -> None:
    """A report in which somebody changed what was answered is not kept."""
    report = {**_report(folder, DAY + USE + REQUESTED, *TWELVE_WEEKS), **change}
    (folder / "r.json").write_text(json.dumps(report), encoding="utf-8")
    by = ("--by", "Q. Specht", "--meaning", "approved", "--store", "store")
    refused(pcaudit("record", "r.json", *by, cwd=folder), words)


def test_a_worksheet_changed_in_the_report_is_refused(folder: Path) -> None:
    """The text of the worksheet must have the digest it is kept with."""
    report = _report(folder, DAY + USE + REQUESTED, *TWELVE_WEEKS)
    report["worksheet"]["text"] = report["worksheet"]["text"].replace("missing", "in hand")
    (folder / "r.json").write_text(json.dumps(report), encoding="utf-8")
    by = ("--by", "Q. Specht", "--meaning", "approved", "--store", "store")
    refused(pcaudit("record", "r.json", *by, cwd=folder), "does not match its SHA-256")


def test_without_a_worksheet_none_of_its_modules_is_loaded(folder: Path) -> None:
    """Who assesses without a worksheet does not pay for reading one."""
    import subprocess
    import sys

    from tests.cli.program import environ

    script = (
        "import sys\nfrom pcaudit.cli.main import run\n"
        f"run(['assess', 'p.toml', {FIT!r}, '--quiet', '--output', 'r.txt'])\n"
        "print([m for m in sys.modules if m.startswith(('pcaudit.core.worksheet', 'pcaudit.core.plan',"
        " 'pcaudit.worksheets', 'pcaudit.core.measured', 'pcaudit.core.site_units'))])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=folder, env=environ(), capture_output=True, text=True, check=True
    )
    assert done.stdout == "[]\n"
