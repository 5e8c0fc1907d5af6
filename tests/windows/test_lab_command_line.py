"""The whole command line on Windows: the real program, run by a real Windows Python."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path
from typing import Any

import pytest

from tests.cli.program import BLIND, FIT, SMALL, TIRED, TOP, WORKSTATION
from tests.windows.lab.wine import Done, Machine, windows_path

DAYS = ("--on", "2026-12-07", "--as-of", "2026-11-26")


def _on(path: str | Path) -> str:
    return windows_path(path)


def _quiet(done: Done) -> Any:
    """What a run wrote as JSON, when it said nothing else."""
    assert done.err == ""
    assert b"\r" not in done.out
    return json.loads(done.text)


@pytest.mark.parametrize(
    ("snapshot", "code", "first"),
    [
        (FIT, 0, "READY: CDS-0007"),
        (TIRED, 3, "NOT READY: LAB2-ALTPLATZ-03"),
        (BLIND, 4, "INCONCLUSIVE: CDS-0012"),
    ],
)
def test_the_outcome_is_the_exit_code_on_windows_too(
    plain: Machine, snapshot: str, code: int, first: str
) -> None:
    """A saved snapshot gives the same outcome, first line and exit code on Windows."""
    done = plain.pcaudit("assess", _on(WORKSTATION), _on(snapshot), *DAYS)
    assert (done.code, done.err) == (code, "")
    assert done.text.splitlines()[0] == first


def test_a_report_is_the_same_on_windows_and_here(plain: Machine) -> None:
    """The same files and days give the same report in JSON, byte for byte, on either system."""
    from tests.cli.program import pcaudit

    names = (
        "assess",
        "requirements_profiles/acquisition-workstation.toml",
        "fixtures/snapshots/tired-desktop.json",
    )
    here = pcaudit(*names, *DAYS, "--format", "json")
    there = plain.pcaudit(*names, *DAYS, "--format", "json", cwd=TOP)
    assert (there.code, there.err) == (here.code, "")
    assert there.text == here.out


def test_probing_into_a_pipe_gives_a_snapshot(plain: Machine) -> None:
    """``pcaudit probe`` into a pipe is a snapshot in UTF-8 with line feeds, and a newline at its end."""
    done = plain.pcaudit("probe")
    assert done.code == 0
    document = _quiet(done)
    assert document["kind"] == "snapshot"
    assert document["readings"]["os.type"]["value"] == "windows"
    assert done.out.endswith(b"}\n")


def test_probing_into_a_file_with_a_name_of_other_letters(plain: Machine, tmp_path: Path) -> None:
    """A file in a folder with spaces and letters outside ASCII is written, and named in the remark."""
    place = tmp_path / "Prüfung & Söhne (Labor) 日本"
    place.mkdir()
    file = place / "mein PC.json"
    done = plain.pcaudit("probe", "--output", _on(file))
    assert (done.code, done.out) == (0, b"")
    assert "Prüfung & Söhne (Labor) 日本\\mein PC.json" in done.err
    assert b"\r" not in file.read_bytes()
    assert json.loads(file.read_bytes())["kind"] == "snapshot"
    assert os.listdir(place) == ["mein PC.json"]


def test_an_existing_file_is_replaced_whole(plain: Machine, tmp_path: Path) -> None:
    """A file that was there is replaced, and no temporary one stays beside it."""
    file = tmp_path / "report.txt"
    file.write_text("yesterday's", encoding="utf-8")
    done = plain.pcaudit("assess", _on(SMALL), _on(FIT), *DAYS, "--output", _on(file))
    assert done.code in (0, 3, 4)
    assert "yesterday" not in file.read_text(encoding="utf-8")
    assert os.listdir(tmp_path) == ["report.txt"]


def test_a_folder_that_does_not_exist_is_refused(plain: Machine, tmp_path: Path) -> None:
    """An output in a folder that is not there is exit 2 with the path as it was given."""
    done = plain.pcaudit("probe", "--output", _on(tmp_path / "nowhere" / "x.json"))
    assert (done.code, done.out) == (2, b"")
    assert "nowhere\\x.json" in done.err and "Traceback" not in done.err


def test_a_file_that_is_write_protected_keeps_its_content(plain: Machine, tmp_path: Path) -> None:
    """Windows refuses to replace a file with the read-only attribute: exit 2, and it stays as it was."""
    file = tmp_path / "kept.txt"
    file.write_text("kept", encoding="utf-8")
    file.chmod(stat.S_IREAD)
    done = plain.pcaudit("assess", _on(SMALL), _on(FIT), *DAYS, "--output", _on(file))
    assert (done.code, done.out) == (2, b""), done
    assert "kept.txt" in done.err
    assert file.read_text(encoding="utf-8") == "kept"
    assert os.listdir(tmp_path) == ["kept.txt"]


def test_a_missing_file_is_named_with_its_backslashes(plain: Machine) -> None:
    """A profile that is not there is exit 2, and its path is shown as it was typed."""
    done = plain.pcaudit("assess", r"Z:\nowhere\profile.toml")
    assert (done.code, done.out) == (2, b"")
    assert done.err.startswith(r"Z:\nowhere\profile.toml: no such file")


def test_a_mistake_is_shown_with_a_windows_path_and_its_line(plain: Machine, tmp_path: Path) -> None:
    """FILE:LINE keeps the drive's colon and the backslashes apart from the line."""
    file = tmp_path / "mein profil.toml"
    file.write_bytes(b'format = 1\r\ntitle = "x"\r\n\r\n[memory.installed]\r\nminimun = "1 GB"\r\n')
    done = plain.pcaudit("profile", "validate", _on(file))
    assert (done.code, done.out) == (2, b"")
    assert f"{_on(file)}:5" in done.err
    assert "minimum" in done.err


def test_a_profile_is_validated(plain: Machine) -> None:
    """A profile without mistakes is exit 0."""
    assert plain.pcaudit("profile", "validate", _on(WORKSTATION)).code == 0


def test_readings_of_a_snapshot(plain: Machine) -> None:
    """``pcaudit readings`` shows a snapshot's values, derived ones too."""
    done = plain.pcaudit("readings", "--snapshot", _on(FIT), "--format", "json")
    assert done.code == 0
    assert _quiet(done)["readings"]["cpu.level"]["derived"] is True


def test_a_profile_from_standard_input(plain: Machine) -> None:
    """``-`` is standard input on Windows too."""
    done = plain.pcaudit("assess", "-", _on(FIT), *DAYS, stdin=Path(WORKSTATION).read_bytes())
    assert (done.code, done.err) == (0, "")


def test_pipes_are_in_the_code_page_of_the_pc(plain: Machine) -> None:
    """The lab gives what a PC gives where nobody asked for UTF-8, or the next test would show nothing."""
    done = plain.python("-c", "import sys; print(sys.stdout.encoding)", environ={"PYTHONUTF8": "0"})
    assert done.text.strip() == "cp1252"


@pytest.mark.parametrize("page", ["0", "1"])
def test_names_outside_the_code_page_come_through(plain: Machine, tmp_path: Path, page: str) -> None:
    """With the PC's own code page and with UTF-8, a name the code page lacks reaches pipe and file."""
    name = "Gerät Ω “Größe” 測定"
    file = tmp_path / f"{name}.toml"
    file.write_text(f'format = 1\ntitle = "{name}"\n[os]\ntype = "windows"\n', encoding="utf-8")
    environ = {"PYTHONUTF8": page}
    done = plain.pcaudit("assess", _on(file), environ=environ)
    assert (done.code, done.err) == (0, "")
    assert name in done.text
    written = tmp_path / "report.txt"
    done = plain.pcaudit("assess", _on(file), "--output", _on(written), environ=environ)
    assert done.code == 0
    assert name in written.read_text(encoding="utf-8")
    refused = plain.pcaudit("assess", _on(tmp_path / f"{name}-none.toml"), environ=environ)
    assert refused.code == 2
    assert f"{name}-none.toml" in refused.err


def test_wrong_use_is_exit_2(plain: Machine) -> None:
    """An option there is not is exit 2, with nothing on standard output."""
    done = plain.pcaudit("assess", "--nonsense")
    assert (done.code, done.out) == (2, b"")
    assert "--nonsense" in done.err
