"""``pcaudit compare``, as people run it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tests.cli.program import (
    BLIND,
    DAYS,
    FIT,
    LINUX,
    SMALL,
    TIRED,
    TOP,
    WORKSTATION,
    environ,
    pcaudit,
    refused,
    saved,
    snapshot,
)
from tests.render.schemas import read

ALL = (FIT, TIRED, BLIND, LINUX)
PRICES = 'format = 1\ntitle = "Prices"\n[prices]\ncurrency = "EUR"\n"memory 16 GB" = 60\n"ssd 1 TB" = 85.5\n'


def _prices(folder: Path, text: str = PRICES) -> str:
    file = folder / "prices.toml"
    file.write_text(text, encoding="utf-8")
    return str(file)


def test_it_ends_with_0_whatever_it_says(tmp_path: Path) -> None:
    """The comparison was made, so the exit code is 0, and nothing is on standard error."""
    done = pcaudit("compare", WORKSTATION, *ALL, *DAYS, "--quiet")
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("COMPARISON OF 4 CANDIDATES\n")
    for host in ("CDS-0007", "LAB2-ALTPLATZ-03", "CDS-0012", "balance-2"):
        assert host in done.out


def test_the_same_input_gives_the_same_output() -> None:
    """Twice the same command for the same days writes the same bytes."""
    runs = {pcaudit("compare", WORKSTATION, *ALL, *DAYS, "--format", "json").out for _ in range(2)}
    assert len(runs) == 1


def test_json_is_valid_by_its_schema(tmp_path: Path) -> None:
    """What is written to a file is one JSON document of the kind compare."""
    output = tmp_path / "compared.json"
    arguments = ("--prices", _prices(tmp_path), "--format", "json", "--output", str(output))
    done = pcaudit("compare", WORKSTATION, *ALL, *DAYS, *arguments)
    assert (done.code, done.out) == (0, "") and f"comparison written to {output}" in done.err
    document = json.loads(output.read_text(encoding="utf-8"))
    Draft202012Validator(read("compare")).validate(document)
    assert document["currency"] == "EUR"
    tired = document["candidates"][1]
    assert {one["part"]: one["price"] for one in tired["changes"] if one["kind"] == "part"} == {
        "memory 16 GB": 60.0,
        "ssd 1 TB": 85.5,
        "ssd 500 GB": 85.5,
        "network card 1 Gbit/s": None,
    }
    assert tired["price"] == {"known": 231.0, "parts": 4, "without_price": 1}


def test_options_parameters_products_and_concessions_count(tmp_path: Path) -> None:
    """What was chosen is asked of every candidate."""
    profile = tmp_path / "p.toml"
    profile.write_text(
        'format = 1\ntitle = "P"\n[parameters]\nn = { default = 1, minimum = 1 }\n'
        '[memory.installed]\nper = { n = "8 GB" }\n[options.x.cpu.cores]\nminimum = 64\n',
        encoding="utf-8",
    )
    chosen = ("--set", "n=4", "--option", "x", "--also", SMALL, "--format", "json")
    document = json.loads(pcaudit("compare", str(profile), FIT, TIRED, *DAYS, *chosen).out)
    rows = {row["id"]: row for row in document["rows"]}
    assert document["parameters"] == {"n": 4} and document["options"] == ["x"]
    assert rows["cpu.cores"]["cells"]["A"]["verdict"] == "unmet"
    assert rows["memory.installed"]["cells"]["A"]["verdict"] == "met"
    assert [one["title"] for one in document["profiles"]] == ["P", "benchd, small bench controller"]


def test_a_concession_makes_a_candidate_ready(tmp_path: Path) -> None:
    """A shortfall that is accepted on one candidate asks for no change there."""
    profile = tmp_path / "p.toml"
    profile.write_text('format = 1\ntitle = "P"\ncpu.cores.minimum = 6\n', encoding="utf-8")
    report = json.loads(pcaudit("assess", str(profile), TIRED, *DAYS, "--format", "json").out)
    (finding,) = report["findings"]
    granted = tmp_path / "c.toml"
    granted.write_text(
        f'format = 1\ntitle = "C"\n[[concessions]]\ncondition = "cpu.cores"\npc = "LM20-10452"\n'
        f'because = "b"\nby = "A. Example"\nuntil = 2027-06-30\ndigest = "{finding["digest"]}"\n'
        f'found = "{finding["found"]}"\n',
        encoding="utf-8",
    )
    arguments = (*DAYS, "--concessions", str(granted), "--format", "json")
    document = json.loads(pcaudit("compare", str(profile), TIRED, FIT, *arguments).out)
    assert [one["outcome"] for one in document["candidates"]] == ["ready", "ready"]
    assert document["rows"][0]["cells"]["A"]["verdict"] == "accepted"


def test_one_candidate_may_come_from_standard_input() -> None:
    """A dash is standard input, once."""
    raw = Path(TIRED).read_bytes()
    done = pcaudit("compare", WORKSTATION, FIT, "-", *DAYS, stdin=raw)
    assert done.code == 0 and "LAB2-ALTPLATZ-03" in done.out
    refused(pcaudit("compare", WORKSTATION, "-", "-"), "standard input")


@pytest.mark.parametrize("number", [1, 9])
def test_too_few_or_too_many(number: int) -> None:
    """One PC is nothing to compare, and nine have no letters."""
    refused(pcaudit("compare", WORKSTATION, *[FIT] * number), f"{number} snapshot", "from 2 to 8")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--format", "xml"), ("not a format", "text, json")),
        (("--on", "tomorrow"), ("--on", "no day")),
        (("--prices", "missing.toml"), ("no such file",)),
        (("--prices", FIT), ("fit-workstation.json:1",)),
        (("--option", "x"), ("no option",)),
        (("--output", FIT), ("also an input",)),
    ],
)
def test_wrong_use_is_refused(arguments: tuple[str, ...], words: tuple[str, ...]) -> None:
    """Wrong use ends with 2 and one message, and nothing is written."""
    refused(pcaudit("compare", WORKSTATION, FIT, TIRED, *arguments), *words)


def test_wrong_prices_are_all_told(tmp_path: Path) -> None:
    """Every mistake of a prices file is told with its line."""
    file = _prices(tmp_path, PRICES + '"mouse" = 3\n"hdd 4 TB" = "many"\n')
    done = pcaudit("compare", WORKSTATION, FIT, TIRED, "--prices", file)
    assert done.code == 2 and done.out == ""
    assert "prices.toml:7" in done.err and "prices.toml:8" in done.err


def test_a_result_is_never_written_over_prices(tmp_path: Path) -> None:
    """The prices file is an input like the others."""
    file = _prices(tmp_path)
    refused(pcaudit("compare", WORKSTATION, FIT, TIRED, "--prices", file, "--output", file), "also an input")


def test_a_file_that_is_no_snapshot_is_named(tmp_path: Path) -> None:
    """Among several files the one that is wrong is named."""
    report = saved(tmp_path, {**snapshot(FIT), "kind": "report"}, "report.json")
    refused(pcaudit("compare", WORKSTATION, FIT, report), "report.json", "not a snapshot")


def test_what_only_comparing_needs_is_not_loaded_to_assess() -> None:
    """Judging one PC does not pay for comparing several."""
    code = (
        "import sys\nfrom pcaudit.cli.main import run\n"
        f"run(['assess', {WORKSTATION!r}, {FIT!r}, '--output', '/dev/null', '--quiet'])\n"
        "print([m for m in sys.modules if m.startswith('pcaudit.') and m.rpartition('.')[2] in "
        "('compare', 'smallest_change', 'repairs', 'parts', 'prices', 'ranking', 'mending', 'changes')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environ(), cwd=TOP
    )
    assert done.stdout.strip() == "[]", done
