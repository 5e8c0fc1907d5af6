"""Concessions, options and parameters on the command line of the real program."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pytest

from tests.cli.program import DAYS, PROFILES, TIRED, Done, pcaudit, refused, snapshot

CLIENT: Final = str(PROFILES / "data-review-client.toml")
ID: Final = "computer.model"
PROFILE: Final = 'format = 1\ntitle = "One model"\n\n[computer.model]\nequal = "Benchline 90"\n'


def _assess(folder: Path, *arguments: str) -> Done:
    path = folder / "profile.toml"
    path.write_text(PROFILE, encoding="utf-8")
    return pcaudit("assess", str(path), TIRED, *DAYS, *arguments)


def _concession(folder: Path, **changes: str) -> str:
    """A concession for what the report finds, copied from the report."""
    finding: dict[str, Any] = json.loads(_assess(folder, "--format", "json").out)["findings"][0]
    serial = snapshot(TIRED)["readings"]["computer.serial_number"]["value"]
    words = {
        "condition": ID,
        "digest": finding["digest"],
        "found": finding["found"],
        "pc": serial,
        "because": "replaced in summer",
        "by": "A. Example",
    }
    until = changes.pop("until", "2027-06-30")
    lines = [f"{key} = {json.dumps(value)}" for key, value in {**words, **changes}.items()]
    path = folder / "concessions.toml"
    text = ["format = 1", 'title = "Laboratory 2"', "[[concessions]]", *lines, f"until = {until}"]
    path.write_text("\n".join(text), encoding="utf-8")
    return str(path)


def test_a_concession_copied_from_the_report_covers_its_finding(tmp_path: Path) -> None:
    """What is unmet is accepted, the PC ready with one concession, and the report says by whom."""
    assert _assess(tmp_path).code == 3
    done = _assess(tmp_path, "--concessions", _concession(tmp_path))
    assert done.code == 0
    assert done.out.startswith("READY, WITH 1 CONCESSION")
    words = " ".join(done.out.split())
    assert "unmet without the concession by A. Example until 2027-06-30: replaced in summer" in words


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"pc": "SN-OTHER"}, "it is for the PC SN-OTHER"),
        ({"until": "2026-12-06"}, "it ended on 2026-12-06"),
        ({"digest": "0000000000000000"}, "the condition has changed"),
        ({"found": "Benchline 10"}, "Benchline 10"),
        ({"condition": "computer.chassis"}, "no condition of that id"),
    ],
)
def test_a_concession_that_does_not_fit_is_told(tmp_path: Path, changes: dict[str, str], why: str) -> None:
    """It changes no verdict, and the report's first page says why it was not applied."""
    done = _assess(tmp_path, "--concessions", _concession(tmp_path, **changes))
    words = " ".join(done.out.split())
    assert done.code == 3
    assert "not applied" in words and why in words


def test_a_chosen_option_asks_more() -> None:
    """The report names an option as not asked until it is chosen, and then asks its conditions."""
    without, chosen = (
        json.loads(pcaudit("assess", CLIENT, TIRED, "--format", "json", *DAYS, *more).out)
        for more in ((), ("--option", "reprocessing"))
    )
    ids = [{finding["id"] for finding in report["findings"]} for report in (without, chosen)]
    assert ids[1] - ids[0] == {"cpu.cores"}
    assert [any("--option reprocessing" in line for line in r["not_asked"]) for r in (without, chosen)] == [
        True,
        False,
    ]
    assert chosen["options"] == ["reprocessing"]


def test_a_parameter_is_counted_in() -> None:
    """With more runs open more memory is asked for, and the finding shows the arithmetic."""
    report = json.loads(
        pcaudit("assess", CLIENT, TIRED, "--format", "json", *DAYS, "--set", "open_runs=20").out
    )
    memory = next(finding for finding in report["findings"] if finding["id"] == "memory.installed")
    assert memory["required"].startswith("at least 18 GB = 8 GB + 20 x 512 MB (open_runs)")
    assert report["parameters"] == {"open_runs": 20}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--option", "reprocesing"), ("reprocesing", "reprocessing")),
        (("--set", "open_runs=41"), ("outside the range of", "from 1 to 40")),
        (("--set", "open_runs=2", "--set", "open_runs=4"), ("open_runs is set twice", "once")),
        (("--set", "open_runs=1.5"), ("whole number",)),
        (("--set", "open_runs"), ("NAME=VALUE",)),
    ],
)
def test_a_wrong_choice_is_refused(arguments: tuple[str, str], words: tuple[str, ...]) -> None:
    """An option or parameter that is none of the profile's, or out of range, is told with what would do."""
    refused(pcaudit("assess", CLIENT, TIRED, *arguments), *words)
