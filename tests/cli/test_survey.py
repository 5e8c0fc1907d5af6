"""``pcaudit survey``, as people run it, on folders as they are found."""

from __future__ import annotations

import copy
import csv
import io
import json
import os
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

import duckdb
import pytest
from jsonschema import Draft202012Validator

from pcaudit.cli import survey
from tests.cli.program import (
    BLIND,
    FIT,
    LINUX,
    PROGRAM,
    SMALL,
    TIRED,
    TOP,
    WORKSTATION,
    Done,
    environ,
    heed_interrupts,
    pcaudit,
    refused,
    saved,
    snapshot,
    verdicts,
)
from tests.cli.terminal import at_a_terminal
from tests.render.schemas import read

DAYS = ("--on", "2026-12-07", "--as-of", "2026-11-26")
GB = 1 << 30
RULES = 'format = 1\ntitle = "A bench PC"\n[memory.installed]\nminimum = "16 GB"\n[cpu.cores]\nminimum = 4\n'


def _pc(number: int, **readings: Any) -> dict[str, Any]:
    document = snapshot(FIT)
    document["readings"]["computer.serial_number"] = {"value": f"INV-{number}", "source": "a test"}
    document["readings"]["computer.host_name"] = {"value": f"bench-{number}", "source": "a test"}
    for name, value in readings.items():
        document["readings"][name.replace("__", ".")] = {"value": value, "source": "a test"}
    return document


@pytest.fixture
def rules(tmp_path: Path) -> str:
    """A profile of two conditions."""
    file = tmp_path / "rules.toml"
    file.write_text(RULES, encoding="utf-8")
    return str(file)


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    """Twelve PCs: every second one has too little memory, every third too few cores."""
    folder = tmp_path / "pcs"
    folder.mkdir()
    for number in range(12):
        memory, cores = (8 if number % 2 else 32) * GB, 8 if number % 3 else 2
        saved(folder, _pc(number, memory__installed=memory, cpu__cores=cores), f"pc-{number:02}.json")
    return folder


def _json(*arguments: str) -> Any:
    done = pcaudit("survey", *arguments, *DAYS, "--quiet", "--format", "json")
    assert done.code == 0, done
    document = json.loads(done.out)
    Draft202012Validator(read("survey")).validate(document)
    return document


def test_every_pc_is_judged_as_alone(tmp_path: Path) -> None:
    """Each PC of a survey has the outcome and the verdicts that ``assess`` gives it."""
    for number, path in enumerate((FIT, TIRED, BLIND, LINUX)):
        saved(tmp_path, snapshot(path), f"{number}.json")
    document = _json(WORKSTATION, str(tmp_path))
    for one in document["pcs"]:
        alone = json.loads(pcaudit("assess", WORKSTATION, one["file"], *DAYS, "--format", "json").out)
        assert one["outcome"] == alone["pc_outcome"]
        assert verdicts(one) == verdicts(alone)
        assert one["computer"] == alone["computer"]


def test_counts_are_those_of_the_same_question_in_sql(fleet: Path, rules: str) -> None:
    """DuckDB, asked over the same files, counts as many PCs that pass and that fail each condition."""
    document = _json(rules, str(fleet))
    (row,) = (
        duckdb.connect()
        .execute(
            f"""
        with pc as (
            select (readings->'memory.installed'->>'value')::bigint as memory,
                   (readings->'cpu.cores'->>'value')::int as cores
            from read_json('{fleet}/*.json', columns = {{readings: 'json'}})
        )
        select count(*) filter (memory >= 16 * 1024 ** 3 and cores >= 4),
               count(*) filter (not (memory >= 16 * 1024 ** 3 and cores >= 4)),
               count(*) filter (memory < 16 * 1024 ** 3), count(*) filter (cores < 4)
        from pc
        """  # noqa: S608
        )
        .fetchall()
    )
    unmet = {one["id"]: one["unmet"] for one in document["fails"]}
    counts = document["counts"]
    assert row == (
        counts["ready"],
        counts["not ready"],
        unmet["memory.installed"],
        unmet["cpu.cores"],
    )
    assert min(row) > 0


def test_lines_of_json_are_snapshots_too(fleet: Path, rules: str, tmp_path: Path) -> None:
    """A file with one snapshot in each line gives what the folder gives, and each PC its line."""
    lines = tmp_path / "all.jsonl"
    texts = [json.dumps(json.loads(one.read_text())) for one in sorted(fleet.iterdir())]
    lines.write_text("\n".join([*texts[:6], "", "{torn", *texts[6:]]) + "\n")
    whole, listed = _json(rules, str(fleet)), _json(rules, str(lines))
    assert listed["counts"] == whole["counts"]
    assert [one["file"] for one in listed["pcs"]][5:7] == [f"{lines}:6", f"{lines}:9"]
    assert [one["file"] for one in listed["not_read"]] == [f"{lines}:8"]


def test_one_change_is_named_with_the_pcs_it_makes_ready(fleet: Path, rules: str) -> None:
    """Memory makes ready whoever lacks nothing else; each was judged ready with it."""
    document = _json(rules, str(fleet))
    (change,) = document["changes"]
    assert (change["kind"], change["what"], change["makes_ready"]) == ("part", "memory 16 GB", 4)
    assert change["files"] == [str(fleet / f"pc-{number:02}.json") for number in (1, 5, 7, 11)]
    assert _json(rules, str(fleet), "--no-changes")["changes"] == []


def test_what_is_supposed_makes_as_many_ready(fleet: Path, rules: str) -> None:
    """Memory supposed of every PC that has less makes those ready that only lack it, and is marked."""
    document = _json(rules, str(fleet), "--what-if", "memory.installed=16 GB")
    assert document["what_if"]["counts"] == {"ready": 8, "not ready": 4, "inconclusive": 0}
    assert len(document["what_if"]["makes_ready"]) == 4
    assert document["counts"] == {"ready": 4, "not ready": 8, "inconclusive": 0}
    done = pcaudit("survey", rules, str(fleet), *DAYS, "--quiet", "--what-if", "memory.installed=16 GB")
    assert "Supposed, not seen" in done.out and "4 PCs more would be ready" in " ".join(done.out.split())


def test_another_edition_costs_those_that_pass_today(fleet: Path, rules: str, tmp_path: Path) -> None:
    """Which PCs pass today and not the new edition, and why."""
    new = tmp_path / "new.toml"
    new.write_text(RULES.replace("16 GB", "64 GB"), encoding="utf-8")
    document = _json(rules, str(fleet), "--against", str(new))
    ready = [one["file"] for one in document["pcs"] if one["outcome"] == "ready"]
    assert document["against"]["turned"] == ready and len(ready) == 4
    done = pcaudit("survey", rules, str(fleet), *DAYS, "--quiet", "--against", str(new))
    assert "4 PCs that pass today will not pass the other edition" in done.out
    assert "bench-2: Memory installed" in done.out


def test_only_limits_the_list_and_nothing_else(fleet: Path, rules: str) -> None:
    """PCs of one outcome are listed; what is counted is counted of all."""
    document = _json(rules, str(fleet), "--only", "ready")
    assert {one["outcome"] for one in document["pcs"]} == {"ready"} and len(document["pcs"]) == 4
    assert document["counts"]["not ready"] == 8


def test_the_newest_snapshot_of_a_pc_counts(tmp_path: Path, rules: str) -> None:
    """By serial number, else by host name; the older ones are named with the one that counts."""
    old, new = _pc(1, memory__installed=8 * GB), _pc(1, memory__installed=32 * GB)
    old["taken_at"] = "2026-11-20T23:30:00-05:00"
    new["taken_at"] = "2026-11-21T04:31:00+00:00"  # a minute later
    saved(tmp_path, new, "a.json")
    saved(tmp_path, old, "b.json")
    document = _json(rules, str(tmp_path))
    # The profile lies in the same folder, and is no snapshot.
    assert [one["file"] for one in document["not_read"]] == [rules]
    (pc,) = document["pcs"]
    assert pc["outcome"] == "ready" and pc["age_days"] == 5
    assert document["superseded"] == [{"file": str(tmp_path / "b.json"), "by": str(tmp_path / "a.json")}]


def _bad(folder: Path) -> dict[str, str]:
    """Fill a folder with what goes wrong; words that the reason must hold, by name."""
    whole = json.dumps(_pc(90))
    (folder / "torn.json").write_text(whole[: len(whole) // 2])
    (folder / "empty.json").write_bytes(b"")
    (folder / "blank.json").write_text(" \n")
    (folder / "noise.json").write_bytes(b"\x00\x01\x02\xff" * 50)
    (folder / "latin.json").write_bytes(b'{"kind": "caf\xe9"}')
    (folder / "report.json").write_text('{"kind": "report", "format": 1}')
    (folder / "list.json").write_text("[1, 2]")
    (folder / "newer.json").write_text(json.dumps({**_pc(91), "format": 99}))
    (folder / "twice.json").write_text(whole.replace('"kind"', '"kind": "snapshot", "kind"', 1))
    (folder / "deep.json").write_text('{"a":' * 3000 + "1" + "}" * 3000)
    (folder / "notes.txt").write_text("see the cupboard")
    with (folder / "huge.json").open("wb") as file:
        file.truncate(100 << 20)
    (folder / "loop.json").symlink_to(folder / "loop-2.json")
    (folder / "loop-2.json").symlink_to(folder / "loop.json")
    (folder / "inside").mkdir()
    (folder / "inside" / "up").symlink_to(folder)
    os.mkfifo(folder / "pipe.json")
    return {
        "torn.json": "not JSON",
        "empty.json": "empty",
        "blank.json": "empty",
        "noise.json": "not text",
        "latin.json": "not UTF-8",
        "report.json": "not a snapshot",
        "list.json": "not a snapshot",
        "newer.json": "newer",
        "twice.json": "given twice",
        "deep.json": "deep",
        "notes.txt": "not JSON",
        "huge.json": "64 MiB",
        "loop.json": "links",
        "loop-2.json": "links",
        "up": "link to a folder",
        "pipe.json": "pipe",
    }


@pytest.mark.skipif(os.name == "nt", reason="links and pipes as POSIX has them")
def test_what_is_broken_is_named_and_costs_nothing_else(fleet: Path, rules: str) -> None:
    """Torn, empty, foreign, newer, huge and looping files, each with its reason; all others are judged."""
    before = _json(rules, str(fleet))
    expected = _bad(fleet)
    utf16 = json.dumps(_pc(40, memory__installed=32 * GB, cpu__cores=8))
    (fleet / "shell.json").write_bytes(b"\xff\xfe" + utf16.encode("utf-16-le"))
    after = _json(rules, str(fleet))
    assert after["counts"] == {**before["counts"], "ready": before["counts"]["ready"] + 1}
    why = {Path(one["file"]).name: one["why"] for one in after["not_read"]}
    assert why.keys() == expected.keys()
    for name, word in expected.items():
        assert word in why[name], (name, why[name])


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="optional(rights): root may read all")
@pytest.mark.optional("root may read all")
def test_what_may_not_be_read_is_named(fleet: Path, rules: str) -> None:
    """A file and a folder this account may not read are named, and nothing else is lost."""
    (fleet / "pc-00.json").chmod(0)
    (fleet / "shut").mkdir(mode=0)
    document = _json(rules, str(fleet))
    assert sum(document["counts"].values()) == 11
    assert len(document["not_read"]) == 2


def test_processes_do_not_change_what_is_said(tmp_path: Path, rules: str) -> None:
    """One process or several give the same bytes."""
    folder = tmp_path / "many"
    folder.mkdir()
    for number in range(160):
        memory = (8 if number % 7 else 32) * GB
        saved(folder, _pc(number, memory__installed=memory), f"{number:03}.json")
    runs = [
        pcaudit("survey", rules, str(folder), *DAYS, "-q", "--format", "json", "--jobs", jobs).out
        for jobs in ("1", "3")
    ]
    assert runs[0] == runs[1] and json.loads(runs[0])["counts"]["not ready"] > 100


def test_a_table_for_spreadsheets_has_a_row_for_each_pc(fleet: Path, rules: str) -> None:
    """CSV with the ids that fall short, and nothing a spreadsheet takes for a formula."""
    evil = _pc(50)
    evil["readings"]["computer.model"]["value"] = "=cmd|'/c calc'!A1"
    saved(fleet, evil, "zz.json")
    done = pcaudit("survey", rules, str(fleet), *DAYS, "-q", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(done.out.removeprefix("\ufeff"))))
    assert len(rows) == 13
    assert rows[3]["unmet"] == "memory.installed cpu.cores" and rows[3]["outcome"] == "not ready"
    assert rows[12]["model"].startswith("'=")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("nowhere",), "no such folder or file"),
        (("-",), "read from files"),
        ((".", "--only", "good"), "no outcome"),
        ((".", "--jobs", "0"), "no number of processes"),
        ((".", "--format", "xml"), "not a format of a survey"),
        ((".", "--what-if", "memory.installed"), "NAME=VALUE"),
        ((".", "--what-if", "memory.instaled=1 GB"), "did you mean"),
        ((".", "--what-if", "memory.installed=many"), "--what-if"),
        ((".", "--what-if", "os.support_ends=2030-01-01"), "follows from"),
        ((".", "--what-if", "software.packages=x"), "is a list"),
        ((".", "--what-if", "cpu.cores=2", "--what-if", "cpu.cores=4"), "twice"),
        ((".", "--against", "nowhere.toml"), "no such file"),
    ],
)
def test_wrong_use_is_refused(rules: str, arguments: tuple[str, ...], words: str) -> None:
    """What cannot be used is said in one block, before anything is judged."""
    refused(pcaudit("survey", rules, *arguments), words)


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    """Nothing to judge is told, not counted as nothing wrong."""
    (tmp_path / "pcs").mkdir()
    refused(pcaudit("survey", SMALL, str(tmp_path / "pcs")), "holds no snapshot", "pcaudit probe")


@pytest.mark.skipif(os.name == "nt", reason="signals as POSIX has them")
def test_an_interrupt_ends_it_cleanly(tmp_path: Path, rules: str) -> None:
    """Ctrl-C ends with 130, without a traceback and without a process left behind."""
    folder = tmp_path / "many"
    folder.mkdir()
    programs = [{"name": f"Program {number}", "version": "1.0"} for number in range(20_000)]
    first = Path(saved(folder, _pc(1, software__packages=programs), "first.json"))
    for number in range(3_000):  # seconds of work for any processor
        (folder / f"{number}.json").hardlink_to(first)
    process = subprocess.Popen(
        [*PROGRAM, "survey", rules, str(folder), "--jobs", "2"],
        cwd=TOP,
        env=environ(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        preexec_fn=heed_interrupts,
    )
    with pytest.raises(subprocess.TimeoutExpired):
        process.wait(1.2)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=30)
    done = Done(process.returncode, out.decode(), err.decode())
    assert done.code == 130 and done.out == "" and "Traceback" not in done.err, done
    until = time.monotonic() + 10  # what watches over shared memory ends a moment after the others
    with pytest.raises(ProcessLookupError):
        while time.monotonic() < until:
            os.killpg(process.pid, 0)
            time.sleep(0.05)


def test_more_may_stand_in_a_survey_and_less_may_not() -> None:
    """Readers accept keys they do not know; each key the design names is required."""
    schema = Draft202012Validator(read("survey"))
    Draft202012Validator.check_schema(read("survey"))
    done = pcaudit("survey", SMALL, FIT, *DAYS, "-q", "--format", "json")
    document = json.loads(done.out)
    assert schema.is_valid({**document, "more": 1})
    for key in ("counts", "pcs", "not_read"):
        assert not schema.is_valid({name: one for name, one in document.items() if name != key})
    for key in ("file", "computer", "outcome", "findings"):
        less = copy.deepcopy(document)
        del less["pcs"][0][key]
        assert not schema.is_valid(less)


@pytest.mark.skipif(os.name == "nt", reason="terminals as POSIX has them")
def test_a_bar_shows_how_far_it_is_on_a_terminal_only(fleet: Path, rules: str) -> None:
    """It is there while it works, taken back at the end, and not there in pipes or when quiet is asked."""
    code, shown = at_a_terminal("survey", rules, str(fleet), *DAYS, changes={"NO_COLOR": "1"})
    assert code == 0
    before, _, _ = shown.partition("SURVEY OF")
    assert before.rpartition("\r")[2] == "" and before.strip("\r ") == ""
    done = pcaudit("survey", rules, str(fleet), *DAYS)
    assert "snapshots\r" not in done.err and "#" not in done.err


def test_the_bar_grows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half the snapshots are half the bar, and nothing of it is left at the end."""

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    stream = Terminal()
    monkeypatch.setattr("sys.stderr", stream)
    monkeypatch.setenv("TERM", "xterm")
    show = survey._bar(quiet=False)
    show(50, 100)
    assert stream.getvalue() == f"\r{'#' * 15}{'.' * 15} 50 of 100 snapshots"
    show(100, 100)
    assert stream.getvalue().split("\r")[-1] == ""
    survey._bar(quiet=True)(50, 100)
    monkeypatch.setenv("TERM", "dumb")
    survey._bar(quiet=False)(50, 100)
    assert stream.getvalue().count("of 100") == 1
