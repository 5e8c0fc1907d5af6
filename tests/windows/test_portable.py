"""The portable folder: built as people get it, run by double-click and from a command line, on a stick."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.program import BLIND, FIT, TIRED, TOP, WORKSTATION
from tests.windows.lab.setup import fetched
from tests.windows.lab.wine import Done, Machine, machine, windows_path

BUILD = TOP / ".ci" / "portable" / "build.py"
WORKSHEET = str(TOP / "fixtures" / "worksheets" / "lab4-worksheet.toml")
STARTERS = ("Assess this PC.cmd", "Take a snapshot.cmd", "pcaudit.cmd")
# None with a per cent sign or a semicolon: in a program's own path Wine takes them for a variable and for
# the end of a folder in a search path, which Windows does not.
ODD_NAMES = ("PC Audit (USB)", "Säule & Söhne!", "Čeština ^ 日本", "a, b = c")
DAYS = ("--on", "2026-12-07", "--as-of", "2026-11-26")


def _build(output: Path, lab: Path, prefix: Path) -> Path:
    """Build the folder; where it is."""
    environ = {**os.environ, "WINEPREFIX": str(prefix)}
    command = [sys.executable, str(BUILD), "--output", str(output), "--cache", str(fetched(lab))]
    done = subprocess.run(command, env=environ, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 0, done.stderr
    assert "not compiled" not in done.stdout
    return next(path for path in output.iterdir() if path.is_dir())


@pytest.fixture(scope="module")
def pc(windows: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machine]:
    """A PC of this module's own, since starters write into its user's Documents."""
    with machine(tmp_path_factory.mktemp("stick") / "pc", windows) as one:
        yield one


@pytest.fixture(scope="module")
def built(windows: Path, pc: Machine, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The portable folder as it is shipped."""
    return _build(tmp_path_factory.mktemp("built"), windows, pc.prefix)


@pytest.fixture(scope="module")
def stick(built: Path) -> Path:
    """The portable folder as Wine can run it: Wine lacks what _wmi.pyd calls, and pcaudit uses none of it."""
    place = built.parent.parent / "stick" / "pcaudit"
    shutil.copytree(built, place)
    (place / "python" / "_wmi.pyd").unlink()
    return place


def _start(
    pc: Machine, folder: Path, starter: str, *arguments: str, stdin: bytes = b"", **environ: str
) -> Done:
    return pc.run(str(folder / starter), *arguments, stdin=stdin, cwd=folder.parent, environ=environ)


def _content(folder: Path) -> dict[str, tuple[int, int]]:
    found = {}
    for path in folder.rglob("*"):
        seen = path.stat()
        found[path.relative_to(folder).as_posix()] = (seen.st_size, seen.st_mtime_ns)
    return found


@pytest.fixture
def documents(pc: Machine) -> Path:
    """The user's Documents folder on the PC, empty."""
    folders = [path for path in pc.prefix.glob("drive_c/users/*") if path.name != "Public"]
    (home,) = folders
    folder = home / "Documents"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    return folder


# -- what is in it


def test_two_builds_are_the_same_byte_for_byte(
    built: Path, windows: Path, pc: Machine, tmp_path: Path
) -> None:
    """The zip depends on the checkout and the pins alone."""
    again = _build(tmp_path, windows, pc.prefix)
    first, second = (hashlib.sha256(Path(f"{path}.zip").read_bytes()) for path in (built, again))
    assert first.hexdigest() == second.hexdigest()


def test_the_zip_holds_the_folder(built: Path) -> None:
    """What is in the zip is what is in the folder, under one folder of its own."""
    with zipfile.ZipFile(f"{built}.zip") as archive:
        names = archive.namelist()
    assert names == sorted(names)
    files = {f"{built.name}/{p.relative_to(built).as_posix()}" for p in built.rglob("*") if p.is_file()}
    assert set(names) == files


def test_every_module_is_compiled(built: Path) -> None:
    """Each module is there compiled, by the Python that ships, and never checked by time; and as source."""
    names = {}
    for part in ("pcaudit", "packages", "sources"):
        with zipfile.ZipFile(built / "app" / f"{part}.zip") as archive:
            names[part] = set(archive.namelist())
    with zipfile.ZipFile(built / "app" / "pcaudit.zip") as archive:
        head = archive.read("pcaudit/app.pyc")[:8]
    assert len(names["sources"]) > 100
    imported = names["pcaudit"] | names["packages"]
    assert {f"{name}c" for name in names["sources"]} == {name for name in imported if name.endswith(".pyc")}
    assert not any(name.endswith(".py") for name in imported)
    tops = {name.partition("/")[0] for name in names["pcaudit"]}
    assert tops == {"pcaudit", "double_click.pyc"}
    # PEP 552: bit 0 says found by hash, bit 1 that the hash is to be checked.
    assert head[4:] == b"\x01\0\0\0"
    # CPython 3.13, Lib/importlib/_bootstrap_external.py: 3571.
    assert int.from_bytes(head[:2], "little") == 3571


@pytest.mark.parametrize("name", STARTERS)
def test_starters_are_what_every_command_interpreter_reads(built: Path, name: str) -> None:
    """Starters are ASCII with the line ends cmd.exe needs."""
    raw = (built / name).read_bytes()
    assert raw.isascii()
    assert raw.count(b"\n") == raw.count(b"\r\n") > 3


def test_every_package_comes_with_its_licence(built: Path) -> None:
    """Python, pcaudit and each package pinned have a licence text in the folder."""
    lock = (BUILD.parent / "requirements.txt").read_text(encoding="utf-8")
    packages = {line.partition("==")[0].replace("-", "_") for line in lock.splitlines() if "==" in line}
    texts = {path.stem for path in (built / "licences").glob("*.txt") if path.stat().st_size > 500}
    assert texts == {"pcaudit", "python", "click"} | packages


def test_cpython_files_are_as_they_were_published(built: Path, windows: Path) -> None:
    """Every file of CPython but the list of paths is unchanged, so that its signature holds."""
    published = fetched(windows) / "python"
    for path in (built / "python").iterdir():
        if path.suffix != "._pth":
            assert path.read_bytes() == (published / path.name).read_bytes(), path.name


# -- the command line

# As with -m, which starts with runpy.
ALONE = """
import runpy, sys
from pcaudit.bundle import Bundle
Bundle(sys.argv[1]).use()
before = {*sys.modules}
from pcaudit.cli.main import run
code = run(sys.argv[1:])
loaders = {name: getattr(sys.modules[name], '__loader__', None) for name in {*sys.modules} - before}
alone = sorted(name for name, loader in loaders.items() if type(loader).__name__ == 'zipimporter')
print(code, alone, file=sys.stderr)
"""


@pytest.mark.parametrize("words", [("probe",), ("assess", windows_path(WORKSTATION), *DAYS)])
def test_what_people_wait_for_comes_from_the_bundle(pc: Machine, stick: Path, words: tuple[str, ...]) -> None:
    """Neither a probe nor an assessment reads a single module from an archive on its own."""
    python = str(stick / "python" / "python.exe")
    done = pc.run(python, "-I", "-B", "-X", "utf8", "-c", ALONE, *words)
    code, _, alone = done.err.strip().partition(" ")
    assert (alone, int(code) in (0, 3, 4)) == ("[]", True), done.err


def test_it_says_its_version(pc: Machine, stick: Path) -> None:
    """``pcaudit.cmd --version`` answers."""
    done = _start(pc, stick, "pcaudit.cmd", "--version")
    assert (done.code, done.err) == (0, "")
    assert done.text.startswith("pcaudit ")


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("assess", windows_path(WORKSTATION), windows_path(FIT), *DAYS), 0),
        (("assess", windows_path(WORKSTATION), windows_path(FIT), "--format", "nonsense"), 2),
        (("assess", windows_path(WORKSTATION), windows_path(TIRED), *DAYS), 3),
        (("assess", windows_path(WORKSTATION), windows_path(BLIND), *DAYS), 4),
    ],
)
def test_exit_codes_are_passed_on(pc: Machine, stick: Path, arguments: tuple[str, ...], code: int) -> None:
    """The starter ends with pcaudit's own exit code."""
    assert _start(pc, stick, "pcaudit.cmd", *arguments).code == code


@pytest.mark.parametrize(
    "arguments",
    [
        ("--help",),
        ("assess", "--help"),
        ("probe",),
        ("readings",),
        ("readings", "os.version"),
        ("readings", "--snapshot", windows_path(FIT), "--format", "json"),
        ("profile", "--help"),
        ("profile", "validate", windows_path(WORKSTATION)),
        ("assess", windows_path(WORKSTATION), windows_path(TIRED), "--format", "json"),
        ("assess", windows_path(WORKSTATION), windows_path(TIRED), "--format", "html"),
        ("plan", windows_path(WORKSHEET), "--format", "ics"),
    ],
    ids=" ".join,
)
def test_every_command_finds_what_it_imports(pc: Machine, stick: Path, arguments: tuple[str, ...]) -> None:
    """Nothing that was left out of the folder is missed by any command."""
    done = _start(pc, stick, "pcaudit.cmd", *arguments)
    assert done.code in (0, 3)
    assert (done.err, bool(done.out.strip())) == ("", True)


@pytest.mark.parametrize("name", ODD_NAMES)
@pytest.mark.parametrize("starter", STARTERS)
def test_it_runs_from_folders_with_odd_names_and_writes_nothing_there(
    pc: Machine, stick: Path, tmp_path: Path, documents: Path, name: str, starter: str
) -> None:
    """Spaces, brackets, ampersands and other letters do no harm, and its folder stays as it was."""
    folder = tmp_path / name
    shutil.copytree(stick, folder)
    shutil.copyfile(WORKSTATION, folder / "profiles" / "one.toml")
    for path in [folder, *folder.rglob("*")]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    before = _content(folder)
    arguments = ("probe",) if starter == "pcaudit.cmd" else ("--do-not-open",)
    done = _start(pc, folder, starter, *arguments)
    assert done.code in (0, 3, 4), done
    assert done.err == ""
    assert _content(folder) == before


def test_arguments_arrive_as_they_were_given(pc: Machine, stick: Path, tmp_path: Path) -> None:
    """A file name with spaces, an ampersand and other letters reaches the program whole."""
    name = "Größe & Maß (日本).json"
    done = _start(pc, stick, "pcaudit.cmd", "probe", "--output", windows_path(tmp_path / name))
    assert done.code == 0
    assert json.loads((tmp_path / name).read_bytes())["kind"] == "snapshot"


def test_a_hostile_folder_or_environment_changes_nothing(pc: Machine, stick: Path, tmp_path: Path) -> None:
    """Modules and programs lying in the current folder, or named by the environment, are never run."""
    for name in ("typer", "rich", "json", "pcaudit", "double_click", "sitecustomize", "usercustomize"):
        (tmp_path / f"{name}.py").write_text("print('HOSTILE')\nraise SystemExit(77)\n", encoding="utf-8")
    for name in ("python.exe", "python.cmd", "python313.dll", "cmd.exe"):
        (tmp_path / name).write_bytes(b"@echo HOSTILE\r\n@exit 77\r\n")
    (tmp_path / "pyvenv.cfg").write_text(f"home = {windows_path(tmp_path)}\n", encoding="utf-8")
    here = windows_path(tmp_path)
    environ = {
        "PYTHONPATH": here,
        "PYTHONHOME": here,
        "PYTHONSTARTUP": f"{here}\\json.py",
        "PYTHONUSERBASE": here,
        "PYTHONINSPECT": "1",
        "PYTHONIOENCODING": "ascii",
        "ERRORLEVEL": "0",
        "CODE": "0",
    }
    command = (str(stick / "pcaudit.cmd"), "assess", windows_path(WORKSTATION), windows_path(TIRED), *DAYS)
    done = pc.run(*command, cwd=tmp_path, environ=environ)
    assert (done.code, done.err) == (3, "")
    assert done.text.startswith("NOT READY: LAB2-ALTPLATZ-03")
    assert "HOSTILE" not in done.text


# -- the double-click


def test_assessing_writes_report_and_snapshot_into_documents(
    pc: Machine, stick: Path, tmp_path: Path, documents: Path
) -> None:
    """With one profile a double-click asks nothing: report and snapshot are in Documents, and it says so."""
    folder = tmp_path / "stick"
    shutil.copytree(stick, folder)
    shutil.copyfile(WORKSTATION, folder / "profiles" / "one.toml")
    done = _start(pc, folder, "Assess this PC.cmd", "--do-not-open")
    report, snapshot = sorted(documents.iterdir(), key=lambda path: path.suffix, reverse=True)
    assert (report.suffix, snapshot.suffix) == (".txt", ".json")
    first = report.read_text(encoding="utf-8").splitlines()[0]
    assert {3: "NOT READY", 4: "INCONCLUSIVE"}[done.code] in first
    assert json.loads(snapshot.read_bytes())["kind"] == "snapshot"
    assert report.name in done.text and snapshot.name in done.text
    assert "Which profile" not in done.text


def test_several_profiles_are_asked_for_by_number(
    pc: Machine, stick: Path, tmp_path: Path, documents: Path
) -> None:
    """With several profiles it shows their titles and takes the number typed, once it is one of them."""
    folder = tmp_path / "stick"
    shutil.copytree(stick, folder)
    for path in (stick / "examples").glob("s*.toml"):
        shutil.copyfile(path, folder / "profiles" / path.name)
    done = _start(pc, folder, "Assess this PC.cmd", "--do-not-open", stdin=b"0\r\nx\r\n1\r\n")
    assert "1  Tarnbeck Store 6, shared server (shared-server.toml)" in done.text
    assert "by shared-server.toml" in done.text
    assert len(list(documents.iterdir())) == 2


def test_without_a_profile_it_says_where_one_belongs(pc: Machine, stick: Path, documents: Path) -> None:
    """Without a profile nothing is read or written, and the folder to put one into is named."""
    done = _start(pc, stick, "Assess this PC.cmd", "--do-not-open")
    assert done.code == 2
    assert f"There is no profile in {windows_path(stick / 'profiles')}" in done.text
    assert list(documents.iterdir()) == []


def test_a_snapshot_is_taken_without_a_profile(pc: Machine, stick: Path, documents: Path) -> None:
    """``Take a snapshot`` writes one file into Documents and names it."""
    done = _start(pc, stick, "Take a snapshot.cmd", "--do-not-open")
    assert done.code == 0
    (snapshot,) = documents.iterdir()
    assert snapshot.suffix == ".json" and snapshot.name in done.text


def test_where_documents_cannot_be_written_the_temporary_folder_is_used(
    pc: Machine, stick: Path, documents: Path
) -> None:
    """With no Documents folder the result goes where temporary files go, and it says where that is."""
    documents.rmdir()
    done = _start(pc, stick, "Take a snapshot.cmd")
    assert done.code == 0
    (snapshot,) = documents.parent.glob("Temp/pcaudit *.json")
    assert f"\\Temp\\{snapshot.name}" in done.text


def test_the_window_waits_for_a_key(pc: Machine, stick: Path, documents: Path) -> None:
    """After a double-click the window stays until a key is pressed."""
    assert "Press any key" in _start(pc, stick, "Take a snapshot.cmd").text
