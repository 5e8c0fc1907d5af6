"""Records on Windows: kept, chained and verified by a real Windows Python, and read on either system."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from pcaudit import app, store
from tests.cli.program import FIT, TIRED, WORKSTATION, pcaudit
from tests.windows.lab.wine import Done, Machine, windows_path

DAYS = ("--on", "2026-12-07", "--as-of", "2026-11-26")
BY = ("--by", "A. Example", "--meaning", "reviewed")


@pytest.fixture
def report(tmp_path: Path) -> Path:
    """A report made here."""
    path = tmp_path / "report.json"
    done = pcaudit("assess", WORKSTATION, FIT, *DAYS, "--format", "json", "--output", str(path))
    assert done.code == 0
    return path


def _record(pc: Machine, report: Path, folder: Path) -> Done:
    return pc.pcaudit("record", windows_path(report), *BY, "--store", windows_path(folder))


def test_a_store_is_shared_by_both_systems(plain: Machine, report: Path, tmp_path: Path) -> None:
    """A record entered here is followed by one entered on Windows and the other way, in one chain."""
    folder = tmp_path / "Laboratory 2"
    app.keep_report(str(report), app.Entering("A. Example", "approved"), str(folder))
    done = _record(plain, report, folder)
    assert done.code == 0 and done.err.startswith("the same report is kept already: ")
    last = app.keep_report(str(report), app.Entering("A. Example", "approved"), str(folder)).path
    assert [len(chain.records) for chain in [store.verify(last)] if not chain.fault] == [3]
    there = plain.pcaudit("verify", windows_path(last))
    assert there.code == 0
    assert there.text.startswith("VERIFIES: ")


def test_drift_is_the_same_on_windows_and_here(plain: Machine, report: Path, tmp_path: Path) -> None:
    """A record made on Windows and a snapshot give the same result on either system."""
    assert _record(plain, report, tmp_path).code == 0
    (path,) = tmp_path.glob("*.record.json")
    arguments = ("--as-of", "2026-11-26", "--format", "json")
    there = plain.pcaudit("drift", windows_path(path), windows_path(TIRED), *arguments)
    here = pcaudit("drift", str(path), TIRED, *arguments)
    assert (there.code, there.err) == (here.code, "") == (5, "")
    assert json.loads(there.text) == json.loads(here.out)


def test_several_writers_on_windows_make_one_chain(plain: Machine, report: Path, tmp_path: Path) -> None:
    """Programs that enter records at the same time wait for each other by the lock of Windows."""
    with ThreadPoolExecutor(3) as pool:
        done = list(pool.map(lambda _number: _record(plain, report, tmp_path), range(3)))
    assert [(one.code, one.err) for one in done if one.code] == []
    paths = list(tmp_path.glob("*.record.json"))
    assert sorted(len(store.verify(str(path)).records) for path in paths) == [1, 2, 3]
