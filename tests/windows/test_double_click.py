"""What a double-click in the portable folder does, tried on any system with nobody at the window."""

from __future__ import annotations

import importlib.util
import json
import shutil
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.cli.program import PROFILES, TOP

SCRIPT = TOP / ".ci" / "portable" / "starters" / "double_click.py"


def _loaded() -> Any:
    spec = importlib.util.spec_from_file_location("double_click", SCRIPT)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


double_click = _loaded()


def _answers(*answers: str) -> Callable[[str], str]:
    """Stands for a person who gives these answers and then leaves."""
    left = list(answers)

    def ask(_question: str) -> str:
        if not left:
            raise EOFError
        return left.pop(0)

    return ask


@pytest.fixture
def stick(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with starters, and a user with a Documents folder."""
    (tmp_path / "home" / "Documents").mkdir(parents=True)
    monkeypatch.setenv("USERPROFILE", str(tmp_path / "home"))
    monkeypatch.setenv("COMPUTERNAME", "CDS-0007")
    (tmp_path / "stick" / "profiles").mkdir(parents=True)
    return tmp_path / "stick"


def _put(stick: Path, *names: str) -> list[Path]:
    for name in names:
        shutil.copyfile(PROFILES / "small-bench-controller.toml", stick / "profiles" / name)
    return [stick / "profiles" / name for name in names]


def test_only_profiles_in_the_folder_itself_are_offered(stick: Path) -> None:
    """What a profile is based on may lie in a folder below, and other files beside it."""
    two, one = _put(stick, "Zwei.TOML", "eins.toml")
    (stick / "profiles" / "base").mkdir()
    (stick / "profiles" / "base" / "base.toml").touch()
    (stick / "profiles" / "note.txt").touch()
    assert double_click.profiles(stick / "profiles") == [one, two]


def test_a_missing_folder_of_profiles_has_none(stick: Path) -> None:
    """Where somebody deleted the folder, there is nothing to offer and no failure."""
    assert double_click.profiles(stick / "nowhere") == []


@pytest.mark.parametrize(
    ("answers", "chosen"),
    [
        (("2",), 1),
        ((" 1 ",), 0),
        (("", "x", "0", "3", "2"), 1),
        (("²", "1"), 0),
        (("9",) * 5, None),
        ((), None),
    ],
)
def test_a_profile_is_chosen_by_its_number(stick: Path, answers: tuple[str, ...], chosen: int | None) -> None:
    """A number of the list is taken; anything else is asked again, five times, and then nothing is done."""
    found = _put(stick, "a.toml", "b.toml")
    picked = double_click.choose(found, _answers(*answers))
    assert picked == (None if chosen is None else found[chosen])


def test_the_only_profile_is_taken_without_asking(stick: Path) -> None:
    """One profile needs no question."""
    (one,) = _put(stick, "a.toml")
    assert double_click.choose([one], _answers()) == one


def test_titles_are_shown_without_what_a_window_would_obey(
    stick: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Titles come from files: what would steer the window is made visible, and no title is no failure."""
    titled, broken = stick / "profiles" / "a.toml", stick / "profiles" / "b.toml"
    titled.write_text('title = "Balance \\u001b[31m"', encoding="utf-8")
    broken.write_bytes(b"\xff\xfe\x00title =")
    double_click.choose([titled, broken], _answers())
    said = capsys.readouterr().out
    assert "1  Balance " in said and "\x1b" not in said
    assert "2  profile that cannot be read (b.toml)" in said


def test_assessing_keeps_report_and_snapshot_and_opens_the_report(
    stick: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both files are in Documents under the PC's name, and the report is what is opened."""
    _put(stick, "a.toml")
    opened: list[Path] = []
    code = double_click.work("assess", stick, _answers(), opened.append)
    documents = stick.parent / "home" / "Documents"
    (report,), (snapshot,) = (
        documents.glob("pcaudit CDS-0007 *.txt"),
        documents.glob("pcaudit CDS-0007 *.json"),
    )
    assert code in (0, 3, 4)
    assert opened == [report]
    assert json.loads(snapshot.read_bytes())["kind"] == "snapshot"
    assert report.read_text(encoding="utf-8").startswith(
        capsys.readouterr().out.split("\n\n")[1].split(",")[0]
    )


def test_a_profile_with_a_mistake_leaves_the_snapshot_and_says_where(
    stick: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """A mistake in the profile is exit 2 with its place; the snapshot is kept, and nothing opened."""
    (stick / "profiles" / "a.toml").write_text("format = 1\ntitle = 'x'\nmemmory = 1\n", encoding="utf-8")
    opened: list[Path] = []
    assert double_click.work("assess", stick, _answers(), opened.append) == 2
    out, err = capfd.readouterr()
    assert "a.toml:3" in err
    assert "Snapshot: " in out and "Report" not in out
    assert opened == []


def test_nothing_is_done_where_nobody_chooses(stick: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without an answer the PC is not read."""
    _put(stick, "a.toml", "b.toml")
    assert double_click.work("assess", stick, _answers(), lambda _path: None) == 2
    assert "nothing was done" in capsys.readouterr().out
    assert list((stick.parent / "home" / "Documents").iterdir()) == []


def test_without_a_folder_to_write_to_nothing_is_done(
    stick: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where neither Documents nor a temporary folder takes a file, it says so and ends with 2."""
    monkeypatch.setenv("USERPROFILE", str(stick / "nobody"))
    monkeypatch.setenv("TEMP", str(stick / "nothing"))
    monkeypatch.delenv("TMP", raising=False)
    assert double_click.work("snapshot", stick, _answers(), lambda _path: None) == 2
    assert "can be written to" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("CDS-0007", "pcaudit CDS-0007 2026-11-25 090503"),
        ("a/b:ü", "pcaudit a-b-ü 2026-11-25 090503"),
        ("", "pcaudit PC 2026-11-25 090503"),
    ],
)
def test_results_are_named_after_the_pc_and_the_moment(name: str, stem: str) -> None:
    """The name is one every file system takes, whatever the PC is called."""
    assert double_click.stem({"COMPUTERNAME": name}, datetime(2026, 11, 25, 9, 5, 3)) == stem
