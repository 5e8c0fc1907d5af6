"""docs/records.md shows what the program prints, and names what there is."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Final

from pcaudit import app
from pcaudit.cli.commands import COMMANDS
from tests.cli.program import DAYS, FIT, TOP, WORKSTATION, pcaudit, saved, snapshot
from tests.core.kept import record_of, report_of

PAGE: Final = (TOP / "docs" / "records.md").read_text(encoding="utf-8")


def _record(folder: Path) -> str:
    report = str(folder / "report.json")
    assert pcaudit("assess", WORKSTATION, FIT, *DAYS, "--format", "json", "--output", report).code == 0
    return app.keep_report(report, app.Entering("A. Example", "approved"), str(folder)).path


def test_the_page_shows_what_drift_prints(tmp_path: Path) -> None:
    """Every part of the example between two [...] stands in the output, in that order."""
    document = snapshot(FIT)
    document["readings"]["power.sleep_after"]["value"] = 1800
    document["readings"]["storage.system_free"]["value"] -= 10**9
    done = pcaudit("drift", _record(tmp_path), saved(tmp_path, document))
    assert done.code == 5
    example = re.search(r"^```\n(DRIFTED: .*?)\n```$", PAGE, re.M | re.S)
    assert example
    position = 0
    for part in example[1].split("[...]"):
        position = done.out.find(part.strip("\n"), position)
        assert position >= 0, part


def test_the_page_shows_what_verify_prints(tmp_path: Path) -> None:
    """The example has the lines of a real run, but for names, times and digests."""
    _record(tmp_path)
    done = pcaudit(
        "verify",
        app.keep_report(
            str(tmp_path / "report.json"), app.Entering("B. Example", "approved"), str(tmp_path)
        ).path,
    )
    example = re.search(r"^```\n(VERIFIES: .*?)\n```$", PAGE, re.M | re.S)
    assert example

    def plain(text: str) -> str:
        text = re.sub(r"[0-9]{4}-[0-9-]{5}T[0-9:]{8}[+-][0-9:]{5}", "TIME", text)
        return re.sub(r"[0-9a-f]{64}|LM40-28813_[0-9-]{10}_[0-9a-f]{8}", "NAME", text)

    assert plain(done.out).startswith(plain(example[1]))


def test_the_page_names_every_key_of_a_record() -> None:
    """The table says what each key of a record holds; kind and format are every document's."""
    named = set(re.findall(r"^\| `([a-z_]+)` \|", PAGE, re.M))
    assert named == set(record_of(report_of({"memory.installed": 1 << 35}))) - {"kind", "format"}


def test_the_commands_are_there() -> None:
    """The commands of the page are commands of the program."""
    commands = set(re.findall(r"^pcaudit ([a-z]+) ", PAGE, re.M))
    assert commands == {"assess", "record", "verify", "drift"} <= set(COMMANDS)


def test_json_of_the_page_s_case_says_the_same(tmp_path: Path) -> None:
    """The JSON of the example names the one reading that counts."""
    document = snapshot(FIT)
    document["readings"]["power.sleep_after"]["value"] = 1800
    found = json.loads(pcaudit("drift", _record(tmp_path), saved(tmp_path, document), "-f", "json").out)
    assert [one["reading"] for one in found["changes"]] == ["power.sleep_after"]
