"""The single file: what it carries, that every build gives the same bytes, and that it needs nothing else."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any, Final, NamedTuple

import pytest

from tests.cli.program import BLIND, DAYS, FIT, TIRED, TOP, WORKSTATION, environ, pcaudit
from tests.packaging import built

BARE: Final = (sys.executable, "-I", "-S", "-B")
"""This Python without packages of its own."""

WORKSHEET: Final = str(TOP / "fixtures" / "worksheets" / "lab4-worksheet.toml")
LEFT_OUT: Final = (".pyd", ".c", ".pyi")
"""Endings of files of wheels that the file carries none of, or need not: machine code and its source."""


class Done(NamedTuple):
    """What came of a run."""

    code: int
    out: str
    err: str


def run(*command: str, cwd: Path = TOP, **changes: str) -> Done:
    """Run a command, in an environment as ``tests.cli.program`` gives it."""
    done = subprocess.run(command, cwd=cwd, env=environ(**changes), capture_output=True, timeout=120)
    return Done(done.returncode, done.stdout.decode(), done.stderr.decode())


# -- what is in it


def test_two_builds_are_the_same_byte_for_byte(
    distributions: built.Built, single_file: Path, cache: Path, tmp_path: Path
) -> None:
    """The file depends on the wheel and the pins alone."""
    changes = {"TZ": "Pacific/Auckland", "LC_ALL": "C", "PYTHONHASHSEED": "7", "HOME": str(tmp_path)}
    again = built.single_file(distributions.wheel, tmp_path / "another folder", cache, **changes)
    built.same(built.zip_content(single_file), built.zip_content(again))
    assert single_file.read_bytes() == again.read_bytes()


def test_everything_in_it_is_what_the_records_say(single_file: Path) -> None:
    """Each file but the first to run is listed in one package's RECORD, with its SHA-256."""
    found = built.zip_content(single_file)
    records = {name: built.record(data) for name, data in found.items() if name.endswith("/RECORD")}
    lock = (TOP / ".ci" / "portable" / "requirements.txt").read_text(encoding="utf-8")
    assert len(records) == lock.count("==") + 1  # without colorama, with distro and pcaudit
    said = {name: digest for one in records.values() for name, digest in one.items()}
    assert len(said) == sum(map(len, records.values()))
    of_packages = {n: data for n, data in found.items() if n != "__main__.py" and n not in records}
    assert len(of_packages) > 500
    assert {n: said.get(n) for n in of_packages} == {
        n: built.recorded_hash(d) for n, d in of_packages.items()
    }


def test_it_carries_its_packages_whole(single_file: Path) -> None:
    """What RECORDs list and the file has not is machine code, its source, or tests."""
    found = built.zip_content(single_file)
    records = [built.record(data) for name, data in found.items() if name.endswith("/RECORD")]
    left_out = {name for one in records for name in one} - set(found)
    assert {n for n in left_out if not n.endswith(LEFT_OUT) and "tests" not in n.split("/")} == set()
    assert not [name for name in found if name.endswith((".so", ".pyd", ".pyc", ".dylib"))]


def test_it_carries_what_the_wheel_does(distributions: built.Built, single_file: Path) -> None:
    """Pcaudit in it is the wheel, file by file."""
    found = built.zip_content(single_file)
    wheel = built.zip_content(distributions.wheel)
    built.same({name: data for name, data in found.items() if name in wheel}, wheel)


def test_every_package_comes_with_its_licence(single_file: Path) -> None:
    """Each package's description has its licence text beside it."""
    names = [name for name in built.zip_content(single_file) if ".dist-info/" in name]
    packages = {name.partition("/")[0] for name in names}
    licensed = {n.partition("/")[0] for n in names if "licen" in n.rpartition(".dist-info/")[2].lower()}
    assert packages - licensed == set()


# -- how it runs


@pytest.mark.parametrize(
    "arguments",
    [
        ("readings", "--snapshot", FIT),
        ("profile", "schema"),
        ("worksheet", "new", WORKSTATION),
        ("assess", WORKSTATION, FIT, *DAYS, "--format", "json"),
        ("assess", WORKSTATION, TIRED, *DAYS, "--format", "html"),
        ("assess", WORKSTATION, BLIND, *DAYS, "--format", "junit"),
        ("compare", WORKSTATION, FIT, TIRED, *DAYS),
        ("plan", WORKSHEET, *DAYS, "--format", "html"),
        ("assess", WORKSTATION, FIT, "--format", "nonsense"),
    ],
    ids=lambda arguments: " ".join(Path(one).name for one in arguments),
)
def test_it_says_what_the_checkout_says(single_file: Path, arguments: tuple[str, ...]) -> None:
    """With no package but those it carries every command gives the same bytes and exit code."""
    here = pcaudit(*arguments)
    done = run(*BARE, str(single_file), *arguments)
    assert (done.code, done.out, done.err) == (here.code, here.out, here.err)


@pytest.mark.parametrize(
    "arguments",
    [("--version",), ("assess", "--help"), ("plan", WORKSHEET, "--format", "ics")],
    ids=lambda arguments: " ".join(Path(one).name for one in arguments),
)
def test_it_answers_where_the_bytes_depend_on_clock_and_libraries(
    single_file: Path, arguments: tuple[str, ...]
) -> None:
    """Version, help and a calendar file come too; their first line is what the checkout says."""
    here = pcaudit(*arguments)
    done = run(*BARE, str(single_file), *arguments)
    assert (done.code, done.err) == (0, "")
    assert done.out.splitlines()[0] == here.out.splitlines()[0]


def _forms(text: str) -> dict[str, tuple[str, ...]]:
    readings: dict[str, dict[str, Any]] = json.loads(text)["readings"]
    return {name: tuple(sorted(reading)) for name, reading in readings.items()}


def test_it_reads_as_much_of_a_pc(single_file: Path) -> None:
    """Without psutil, of which it carries none, no reading of this PC is lost."""
    done = run(*BARE, str(single_file), "probe")
    assert (done.code, done.err) == (0, "")
    assert _forms(done.out) == _forms(pcaudit("probe").out)


def test_it_starts_by_its_name(single_file: Path, tmp_path: Path) -> None:
    """It may be executed, and takes the python3 that the search path names first."""
    (tmp_path / "python3").symlink_to(sys.executable)
    done = run(str(single_file), "--version", PATH=f"{tmp_path}:{os.environ['PATH']}")
    assert (done.code, done.err) == (0, "")
    assert done.out == pcaudit("--version").out


def test_it_writes_nothing_beside_what_is_asked_for(single_file: Path, tmp_path: Path) -> None:
    """Neither its folder, nor the home or the folder for temporary files, holds anything new after a run."""
    shutil.copyfile(single_file, tmp_path / "pcaudit.pyz")
    for name in ("home", "temporary"):
        (tmp_path / name).mkdir()
    changes = {"HOME": str(tmp_path / "home"), "TMPDIR": str(tmp_path / "temporary")}
    done = run(sys.executable, "pcaudit.pyz", "probe", "--output", "s.json", "-q", cwd=tmp_path, **changes)
    assert done == Done(0, "", "")
    found = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*")}
    assert found == {"pcaudit.pyz", "s.json", "home", "temporary"}


def test_modules_in_the_current_folder_are_not_run(single_file: Path, tmp_path: Path) -> None:
    """A file of the name of something it imports, lying where it is started, changes nothing."""
    for name in ("typer", "rich", "json", "pcaudit", "psutil", "distro", "tomllib"):
        (tmp_path / f"{name}.py").write_text("raise SystemExit(77)\n", encoding="utf-8")
    done = run(*BARE, str(single_file), "assess", WORKSTATION, TIRED, *DAYS, cwd=tmp_path)
    assert (done.code, done.err) == (3, "")


# -- an old Python


def test_an_old_python_is_told_in_a_sentence(single_file: Path) -> None:
    """By a Python before 3.11 it says which is needed and how to start it, and ends with 2."""
    pretend = (
        "import runpy, sys; sys.version_info = (3, 10, 12, 'final', 0); sys.argv = sys.argv[1:];"
        "runpy.run_path(sys.argv[0], run_name='__main__')"
    )
    done = run(*BARE, "-c", pretend, str(single_file), "probe")
    assert (done.code, done.out) == (2, "")
    assert done.err == (
        "pcaudit needs Python 3.11 or newer; this is Python 3.10.\n"
        f"    Start it with a newer one, such as: python3.11 {single_file}\n"
    )


@pytest.mark.optional("a host need not have an old Python")
@pytest.mark.parametrize("version", ["2.7", "3.6", "3.8", "3.9", "3.10"])
def test_real_old_pythons_can_read_the_sentence(single_file: Path, version: str) -> None:
    """Pythons of former years read where the file starts, and say what is needed."""
    beside = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")).glob(
        f"versions/{version}.*/bin/python"
    )
    old = shutil.which(f"python{version}", path="/usr/bin:/usr/local/bin") or next(map(str, beside), None)
    if not old:
        pytest.skip(f"there is no Python {version} here")
    done = run(old, str(single_file), "probe")
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith(f"pcaudit needs Python 3.11 or newer; this is Python {version}.\n")


def test_the_start_is_readable_by_python_2() -> None:
    """Where the file starts is ASCII and prints by a method, which Python 2.7 and 3 read alike."""
    text = (TOP / ".ci" / "zipapp" / "start.py").read_text(encoding="ascii")
    before = text.partition("from pcaudit")[0]
    assert "print" not in before
    assert 'f"' not in before
