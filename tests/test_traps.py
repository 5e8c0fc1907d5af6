"""Known traps: docs/traps.md names tests that exist, and those that no other test stages are staged here."""

from __future__ import annotations

import ast
import re
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

import pytest

from pcaudit.cli.commands import build
from pcaudit.core.evaluate import evaluate
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, Snapshot
from pcaudit.core.truth import Truth
from pcaudit.core.versions import contains, read_range
from pcaudit.probes.linux import memory, software
from pcaudit.probes.linux.all import probes
from pcaudit.probes.runner import run
from tests.core.builders import MET, UNMET, UNVERIFIED, profile_of
from tests.probes.hosts import host
from tests.probes.recorded import recorded

TOP: Final = Path(__file__).parent.parent
PAGE: Final = TOP / "docs" / "traps.md"
_PACKAGE: Final = sorted((TOP / "pcaudit").rglob("*.py"))


def _rows() -> list[list[str]]:
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")]
    return [row for row in cells if row[0] not in {"trap", "---"}]


def _named() -> list[str]:
    return sorted({name for row in _rows() for name in re.findall(r"`([\w/]+\.py::\w+)`", row[2])})


def _tests_in(file: Path) -> set[str]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    return {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


@pytest.mark.parametrize("name", _named())
def test_a_test_the_page_names_exists(name: str) -> None:
    """Every test named as staging a trap is there."""
    file, _, function = name.partition("::")
    assert function in _tests_in(TOP / "tests" / file)


def test_every_trap_is_staged_or_says_why_not() -> None:
    """Each row has four cells: the trap, what is done, a test or a reason, and a source."""
    rows = _rows()
    assert len(rows) >= 85
    for row in rows:
        assert len(row) == 4, row
        assert all(row), row
        assert "::" in row[2] or row[2].startswith("not staged: "), row


# -- What looks met and is not: recorded hosts held against conditions that a naive reading would meet.

_WIRED: Final = '[[network.adapters]]\nid = "a"\nmedium = "wired"\nspeed = { minimum = "1 Gbit/s" }\n'
_DEBIAN: Final = '[os]\ntype = "linux"\nproduct = "Debian GNU/Linux"\n'
_OLD_SUITE: Final = '[[software.packages]]\nid = "a"\nname = "old-suite"\n'


@pytest.mark.parametrize(
    ("name", "asked", "verdict"),
    [
        ("debian-desktop", '[memory.installed]\nminimum = "16 GB"\n', MET),
        ("debian-desktop", '[memory.usable]\nminimum = "16 GB"\n', UNMET),
        ("container", '[memory.installed]\nminimum = "16 GB"\n', UNVERIFIED),
        ("container", '[memory.usable]\nminimum = "16 GB"\n', UNMET),
        ("wsl2", '[memory.installed]\nmaximum = "16 GB"\n', UNVERIFIED),
        ("wsl2", '[storage.system_free]\nminimum = "500 GB"\n', UNVERIFIED),
        ("wsl2", "[power]\nusb_suspend = false\n", UNVERIFIED),
        ("wsl2", "[power]\nfast_startup = false\n", UNVERIFIED),
        ("wsl2", '[power]\nsleep_after = "never"\n', UNVERIFIED),
        ("container", '[power]\nsleep_after = "never"\n', UNVERIFIED),
        ("wsl2", _WIRED, UNVERIFIED),
        ("wsl2", "[computer]\nvirtual = false\n", UNVERIFIED),
        ("debian-desktop", _WIRED, MET),
        ("debian-desktop", _WIRED + "count = { minimum = 2 }\n", UNVERIFIED),
        ("debian-desktop", _WIRED + "count = { minimum = 3 }\n", UNMET),
        ("debian-desktop", _OLD_SUITE, UNMET),
        ("debian-desktop", _OLD_SUITE + "count = 0\n", MET),
        ("notebook-docked", _OLD_SUITE + "count = 0\n", UNVERIFIED),
        ("debian-desktop", '[power]\nsleep_after = "never"\n', UNVERIFIED),
        ("rpm-server", '[storage]\nsystem_media = "ssd"\n', UNVERIFIED),
        ("arm-board", '[storage]\nsystem_media = "ssd"\n', UNVERIFIED),
        ("rpm-server", "[display.primary_width]\nminimum = 1920\n", UNVERIFIED),
        ("debian-desktop", "[display.primary_width]\nminimum = 1920\n", UNVERIFIED),
        ("wsl2", "[os]\nclock_synchronised = true\n", UNMET),
        ("arm-board", "[os]\nclock_synchronised = true\n", UNMET),
    ],
)
def test_what_looks_met_is_not(name: str, asked: str, verdict: Verdict) -> None:
    """On recorded hosts each condition has the verdict the hardware deserves, not the one a trap suggests."""
    snapshot = _snapshot(name)
    (finding,) = evaluate(profile_of(asked), snapshot)
    assert finding.verdict is verdict, finding


@pytest.mark.parametrize(
    ("name", "verdict"),
    [("debian-desktop", MET), ("notebook-docked", UNVERIFIED), ("wsl2", UNMET), ("rpm-server", UNMET)],
)
def test_what_looks_met_is_not_by_version(name: str, verdict: Verdict) -> None:
    """A release without a version, a derivative and another distribution do not pass for Debian 12."""
    found = {
        one.id: one.verdict for one in evaluate(profile_of(f'{_DEBIAN}version = ">=12"\n'), _snapshot(name))
    }
    assert found["os.version"] is verdict


def _snapshot(name: str) -> Snapshot:
    return run(probes(recorded(name)), "0.1.0", lambda: datetime(2025, 11, 25, 10, tzinfo=UTC))[0]


def test_swap_is_no_memory() -> None:
    """What the kernel can swap out to is not counted as memory that can be used."""
    seen = memory.probe(host({"/proc/meminfo": "MemTotal: 8000000 kB\nSwapTotal: 64000000 kB\n"}))
    assert seen["memory.usable"].value == 8_000_000 << 10
    assert seen["memory.installed"].form is Form.AT_LEAST


# -- What is known to mislead is not used at all.

_BANNED_MODULES: Final = {"platform", "cpuinfo", "wmi", "pkg_resources", "GPUtil"}
_OF_PROCESSES: Final = {"get_context", "active_children"}
"""What a survey takes of multiprocessing, whose count of processors misleads."""


def _taken_of(module: str, file: Path) -> Iterator[str]:
    """Names that a file takes of a module; ``*`` where it takes the module itself."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module == module:
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.Import) and any(alias.name == module for alias in node.names):
            yield "*"


def _imported(file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module.partition(".")[0]


def _attributes_of(name: str, file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == name:
            yield node.attr


def test_no_module_uses_what_is_known_to_mislead() -> None:
    """Nothing imports platform or py-cpuinfo, and psutil is asked for addresses only."""
    for file in _PACKAGE:
        assert not _BANNED_MODULES & set(_imported(file)), file
        assert set(_attributes_of("psutil", file)) <= {"net_if_addrs"}, file
        assert set(_taken_of("multiprocessing", file)) <= _OF_PROCESSES, file


def _constants(file: Path) -> Iterator[str]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    documented = ast.Module | ast.ClassDef | ast.FunctionDef
    docstrings = {
        ast.get_docstring(node, clean=False) for node in ast.walk(tree) if isinstance(node, documented)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value not in docstrings:
            yield node.value


def test_windows_is_asked_by_its_functions_alone() -> None:
    """The Windows probe starts no program and asks no WMI class, of which one repairs what it lists."""
    files = [file for file in _PACKAGE if "windows" in file.parts]
    assert len(files) > 20
    for file in files:
        assert not {"subprocess", "os.popen", "wmi", "win32com"} & set(_imported(file)), file
        assert not {"system", "popen", "startfile"} & set(_attributes_of("os", file)), file
        for text in _constants(file):
            assert not re.search(r"\bWin32_[A-Z]|\bwmic\b|powershell\.exe", text), f"{file}: {text}"


def test_the_distribution_is_read_from_files_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library that knows old release files is told to run neither lsb_release nor uname."""
    import distro

    asked: dict[str, object] = {}

    class Spy(distro.LinuxDistribution):
        def __init__(self, **options: object) -> None:
            asked.update(options)
            super().__init__(include_lsb=False, include_uname=False, root_dir="/nowhere")

    monkeypatch.setattr(distro, "LinuxDistribution", Spy)
    run(probes(host({})), "0.1.0", lambda: datetime(2025, 11, 25, tzinfo=UTC))
    assert asked["include_lsb"] is asked["include_uname"] is False


def test_pre_releases_are_chosen_and_not_left_to_the_library() -> None:
    """A pre-release counts by the order of PEP 440, whatever the library's default is."""
    newer = read_range(">=1.0", "pep440")
    assert contains(newer, "1.1rc1").truth is Truth.TRUE
    assert contains(newer, "1.0rc1").truth is Truth.FALSE
    for call in _calls_of_contains():
        assert "prereleases" in {keyword.arg for keyword in call.keywords}


def _calls_of_contains() -> list[ast.Call]:
    tree = ast.parse((TOP / "pcaudit/core/versions.py").read_text(encoding="utf-8"))
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    found = [call for call in calls if isinstance(call.func, ast.Attribute) and call.func.attr == "contains"]
    assert found
    return found


def test_a_program_that_hangs_is_left_in_time() -> None:
    """A program whose child holds its output open is given up at its time, and not later."""
    began = time.monotonic()
    with pytest.raises(OSError, match="timed out"):
        software.execute(("/bin/sh", "-c", "sleep 20 & sleep 20"), 0.3)
    assert time.monotonic() - began < 5


def test_a_program_is_run_in_the_c_locale(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the session's language is, a program that is asked answers in the C locale."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    monkeypatch.setenv("LANGUAGE", "de")
    said = software.execute(("/bin/sh", "-c", "echo $LC_ALL $LANGUAGE."), 5)
    assert said == b"C .\n"


def test_the_command_line_shows_no_variables() -> None:
    """Neither a trace with variables nor shell completion is left to the command line library."""
    app = build()
    assert app.pretty_exceptions_enable is False
    assert app._add_completion is False
