"""Where results go, whole or not at all, and how wide they are."""

from __future__ import annotations

import json
import os
import re
import subprocess
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from pcaudit.render.layout import cells
from tests.cli.program import (
    BLIND,
    DAYS,
    FIT,
    LINUX,
    PROGRAM,
    SMALL,
    TIRED,
    TOP,
    WORKSTATION,
    environ,
    pcaudit,
    refused,
    verdicts,
)
from tests.render.schemas import read

# Every character of the report's own text, gauges and rules in ASCII.
_ESCAPE = "\x1b"


@pytest.mark.parametrize("snapshot", [FIT, TIRED, BLIND, LINUX])
def test_a_report_in_json_is_valid(snapshot: str) -> None:
    """--format json gives a document that the shipped schema finds valid, with the exit code's outcome."""
    done = pcaudit("assess", WORKSTATION, snapshot, "--format", "json", *DAYS)
    report = json.loads(done.out)
    Draft202012Validator(read("report")).validate(report)
    assert {"ready": 0, "not ready": 3, "inconclusive": 4}[report["outcome"]] == done.code
    assert (report["on"], report["as_of"]) == ("2026-12-07", "2026-11-26")


def test_readings_in_json_are_valid() -> None:
    """Readings --format json is valid by the shipped schema, with a snapshot's values and without."""
    for arguments in ((), ("--snapshot", TIRED)):
        done = pcaudit("readings", *arguments, "--format", "json")
        Draft202012Validator(read("readings")).validate(json.loads(done.out))
        assert done.code == 0


def test_a_snapshot_of_this_pc_is_valid_and_can_be_assessed() -> None:
    """What probe writes into a pipe is valid by the shipped schema, and assess reads it from one."""
    taken = pcaudit("probe")
    assert taken.code == 0
    Draft202012Validator(read("snapshot")).validate(json.loads(taken.out))
    done = pcaudit("assess", SMALL, "-", "--format", "json", stdin=taken.out.encode())
    assert done.code in (0, 3, 4)
    assert json.loads(done.out)["snapshot"] == json.loads(taken.out)


def test_another_day_gives_the_same_findings() -> None:
    """The same snapshot judged for another day has the same findings, though the days differ."""
    reports = [
        json.loads(pcaudit("assess", WORKSTATION, TIRED, "--format", "json", "--on", day).out)
        for day in ("2026-12-07", "2027-03-01")
    ]
    assert reports[0]["findings"] == reports[1]["findings"]
    assert [report["on"] for report in reports] == ["2026-12-07", "2027-03-01"]


def test_the_same_run_gives_the_same_bytes() -> None:
    """Profile, snapshot and days decide every byte of a report."""
    first, second = (pcaudit("assess", WORKSTATION, TIRED, *DAYS).out for _ in range(2))
    assert first == second and first


def test_a_profile_comes_through_standard_input() -> None:
    """A profile read from standard input gives the findings it gives from its file."""
    arguments = (FIT, "--format", "json", *DAYS)
    piped = pcaudit("assess", "-", *arguments, stdin=Path(WORKSTATION).read_bytes())
    named = pcaudit("assess", WORKSTATION, *arguments)
    assert verdicts(json.loads(piped.out)) == verdicts(json.loads(named.out))
    assert piped.code == named.code


# -- into files


def test_a_report_goes_into_a_file(tmp_path: Path) -> None:
    """--output writes what standard output would have got, and says so on standard error."""
    path = tmp_path / "report.txt"
    done = pcaudit("assess", WORKSTATION, TIRED, *DAYS, "--output", str(path))
    assert (done.code, done.out) == (3, "")
    assert done.err == f"not ready: written to {path}\n"
    text = path.read_text(encoding="utf-8")
    # A file may be read anywhere, so gauges and rules are in ASCII there.
    assert text.splitlines()[0] == "NOT READY: LAB2-ALTPLATZ-03"
    assert text.isascii() and len(text.splitlines()) > 100
    assert os.listdir(tmp_path) == ["report.txt"]


def test_quiet_says_nothing_beside_the_result(tmp_path: Path) -> None:
    """--quiet leaves out the remark, nothing else."""
    done = pcaudit("assess", WORKSTATION, TIRED, "--quiet", "--output", str(tmp_path / "r"))
    assert (done.code, done.out, done.err) == (3, "", "")


def test_dash_is_standard_output() -> None:
    """--output - is the same as no --output."""
    arguments = ("assess", WORKSTATION, FIT, *DAYS)
    assert pcaudit(*arguments, "--output", "-") == pcaudit(*arguments)


@pytest.mark.parametrize("command", ["assess", "probe", "readings"])
def test_a_missing_folder_is_refused(tmp_path: Path, command: str) -> None:
    """A file in a folder that is not there is refused, and neither is made."""
    arguments = {"assess": ["assess", WORKSTATION, FIT], "probe": ["probe"], "readings": ["readings"]}
    path = tmp_path / "nowhere" / "out"
    refused(pcaudit(*arguments[command], "--output", str(path)), "there is no folder", str(path.parent))
    assert os.listdir(tmp_path) == []


def test_a_folder_is_refused(tmp_path: Path) -> None:
    """A folder as output is refused."""
    refused(pcaudit("assess", WORKSTATION, FIT, "--output", str(tmp_path)), "is a folder")
    assert os.listdir(tmp_path) == []


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full")
@pytest.mark.parametrize("unbuffered", ["", "1"])
@pytest.mark.parametrize(
    "arguments",
    [
        ("assess", WORKSTATION, FIT),
        ("probe",),
        ("readings",),
        ("profile", "validate", SMALL),
        ("--help",),
        ("--version",),
    ],
    ids=lambda arguments: arguments[0],
)
def test_a_full_disk_is_no_outcome(arguments: tuple[str, ...], unbuffered: str) -> None:
    """Standard output that takes no more is exit 2 with one sentence, whatever was to be written."""
    environment = environ(PYTHONUNBUFFERED=unbuffered)
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [*PROGRAM, *arguments], cwd=TOP, env=environment, stdout=full, stderr=subprocess.PIPE, timeout=60
        )
    assert done.returncode == 2
    assert done.stderr.startswith(b"standard output cannot be written: no space left on device\n")
    assert b"Traceback" not in done.stderr and b"fault" not in done.stderr


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full")
def test_a_file_on_a_full_disk_is_refused() -> None:
    """--output to where no byte fits is refused."""
    refused(pcaudit("assess", WORKSTATION, FIT, "--output", "/dev/full"), "no space left on device")


def test_a_refused_report_leaves_the_file_before(tmp_path: Path) -> None:
    """When the input is refused, a file of the output's name stays what it was."""
    path = tmp_path / "report.txt"
    path.write_text("before", encoding="utf-8")
    refused(pcaudit("assess", str(tmp_path / "no.toml"), FIT, "--output", str(path)), "no such file")
    assert path.read_text(encoding="utf-8") == "before"
    assert os.listdir(tmp_path) == ["report.txt"]


# -- into pipes and closed streams


def _without_reader(*arguments: str) -> tuple[int, bytes]:
    """Run with nobody reading standard output."""
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        done = subprocess.run(
            [*PROGRAM, *arguments],
            cwd=TOP,
            env=environ(),
            stdout=write_end,
            stderr=subprocess.PIPE,
            timeout=60,
        )
    finally:
        os.close(write_end)
    return done.returncode, done.stderr


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("assess", WORKSTATION, FIT), 0),
        (("assess", WORKSTATION, TIRED), 3),
        (("assess", WORKSTATION, TIRED, "--format", "json"), 3),
        (("assess", WORKSTATION, BLIND), 4),
        (("probe",), 0),
        (("readings",), 0),
        (("profile", "validate", SMALL), 0),
        (("--help",), 0),
        (("--version",), 0),
    ],
)
def test_a_reader_that_goes_away_changes_nothing(arguments: tuple[str, ...], code: int) -> None:
    """A report cut short, as by head, ends quietly and with the outcome: never as ready when it is not."""
    assert _without_reader(*arguments) == (code, b"")


@pytest.mark.skipif(os.name == "nt", reason="needs a POSIX shell")
@pytest.mark.parametrize(
    ("line", "code", "err"),
    [
        ("assess {profile} {tired} >&-", 2, "there is no standard output here"),
        ("probe >&-", 2, "there is no standard output here"),
        ("assess {profile} - <&-", 2, "there is no standard input here"),
        ("assess {profile} {tired} 2>&-", 3, ""),
        ("assess missing.toml 2>&-", 2, ""),
    ],
)
def test_closed_streams(line: str, code: int, err: str) -> None:
    """A stream that whoever started the program closed is missed only where it is needed."""
    command = f"{' '.join(PROGRAM)} {line.format(profile=WORKSTATION, tired=TIRED)}"
    done = subprocess.run(["sh", "-c", command], cwd=TOP, env=environ(), capture_output=True, timeout=60)
    assert done.returncode == code
    assert done.stderr.decode().startswith(err) and (err or not done.stderr)
    if code == 2:
        assert done.stdout == b""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full")
def test_an_error_nobody_can_be_told_is_still_one() -> None:
    """Where standard error takes nothing, the exit code still says it."""
    with open("/dev/full", "wb") as full:
        command = [*PROGRAM, "assess", "missing.toml"]
        done = subprocess.run(
            command, cwd=TOP, env=environ(), stdout=subprocess.PIPE, stderr=full, timeout=60
        )
    assert (done.returncode, done.stdout) == (2, b"")


# -- width and colour


@pytest.mark.parametrize("columns", [40, 80, 140])
@pytest.mark.parametrize("snapshot", [FIT, TIRED, BLIND, LINUX])
def test_nothing_is_wider_than_the_page(columns: int, snapshot: str) -> None:
    """No line of a report is wider than COLUMNS, and no colour code is in what goes to a pipe."""
    out = pcaudit("assess", WORKSTATION, snapshot, *DAYS, COLUMNS=str(columns), TERM="xterm-256color").out
    lines = out.splitlines()
    assert max(map(cells, lines)) <= columns
    assert _ESCAPE not in out
    # The page is used, not merely kept to.
    assert max(map(cells, lines)) > columns - 5


@pytest.mark.parametrize("arguments", [("readings",), ("readings", "--snapshot", TIRED)])
@pytest.mark.parametrize("columns", [40, 80, 140])
def test_lists_keep_to_the_page(columns: int, arguments: tuple[str, ...]) -> None:
    """No line of the catalogue or of a snapshot's values is wider than COLUMNS."""
    out = pcaudit(*arguments, COLUMNS=str(columns)).out
    assert out.strip() and max(map(cells, out.splitlines())) <= columns


@pytest.mark.parametrize("columns", ["", "0", "-5", "wide", "1e9", "99999999999999999999"])
def test_a_width_that_is_none(columns: str) -> None:
    """A COLUMNS that says nothing sensible gives a page that can be read, and no fault."""
    done = pcaudit("assess", WORKSTATION, FIT, COLUMNS=columns)
    assert done.code == 0 and done.err == ""
    assert 60 < max(map(cells, done.out.splitlines())) <= 160


def test_every_condition_of_the_profile_is_in_the_report() -> None:
    """Each condition written in the profile has its finding in the report, and no other has."""
    conditions = re.findall(r"valid, (\d+) conditions", pcaudit("profile", "validate", WORKSTATION).out)
    report = json.loads(pcaudit("assess", WORKSTATION, TIRED, "--format", "json").out)
    assert [str(len(report["findings"]))] == conditions
    assert len(verdicts(report)) == len(report["findings"])


def test_a_result_never_overwrites_what_it_is_made_from(tmp_path: Path) -> None:
    """--output naming the snapshot or the profile is refused, and the file is as it was."""
    path = tmp_path / "pc.json"
    path.write_bytes(Path(FIT).read_bytes())
    refused(pcaudit("assess", WORKSTATION, str(path), "--output", str(path)), "would be lost")
    assert path.read_bytes() == Path(FIT).read_bytes()
