"""The file a command's modules are loaded from: only what Python itself would load, and nothing stale."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest

from pcaudit import bundle

TOP: Final = Path(__file__).resolve().parent.parent

# What the program does on Windows, here with a reading by which to tell which code ran.
PROGRAM: Final = """
import sys
from pcaudit import bundle
kept = bundle.Bundle("probe")
kept.use()
from pcaudit.core.visible import visible
import pcaudit.core.units
from pcaudit import files
print(len(kept.held) > 0, type(pcaudit.core.units.__spec__.loader).__name__, pcaudit.core.units.NEVER)
print(len(files.knowledge_file("os.toml")) > 0, pcaudit.core.units.__file__)
kept.keep()
"""


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A folder with a copy of the package, of which nothing is compiled."""
    shutil.copytree(TOP / "pcaudit", tmp_path / "pcaudit", ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def run(folder: Path, *options: str, program: str = PROGRAM) -> list[str]:
    """Run a program with a copy of the package; its lines."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    done = subprocess.run(
        [sys.executable, *options, "-c", program],
        cwd=folder,
        env=kept,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    return done.stdout.splitlines()


def made(folder: Path) -> list[Path]:
    """Every bundle in a copy of the package."""
    return sorted(folder.rglob("*.probe*"))


def test_the_second_run_loads_what_the_first_one_kept(checkout: Path) -> None:
    """A bundle is made where there is none, and then used; modules are what they were, with the same file."""
    assert run(checkout)[0] == "False SourceFileLoader never"
    assert [path.parent.name for path in made(checkout)] == ["__pycache__"]
    units = checkout / "pcaudit" / "core" / "units.py"
    assert run(checkout) == ["True _Loader never", f"True {units}"]


def change(path: Path) -> None:
    """Change a source: other text of the same length, and an older date."""
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('NEVER: Final = "never"', 'NEVER: Final = "NEVER"'), encoding="utf-8")
    os.utime(path, ns=(10**18, 10**18))


def test_a_source_that_was_changed_is_loaded_anew(checkout: Path) -> None:
    """One source of another date makes the bundle count no more, and the next one has the new code."""
    run(checkout)
    change(checkout / "pcaudit" / "core" / "units.py")
    assert run(checkout)[0] == "False SourceFileLoader NEVER"
    assert run(checkout)[0] == "True _Loader NEVER"


@pytest.mark.parametrize("what", ["longer", "gone", "added"])
def test_any_change_of_sources_counts(checkout: Path, what: str) -> None:
    """A source of another size, one that is gone and one that was added make the bundle count no more."""
    run(checkout)
    path = checkout / "pcaudit" / "core" / "visible.py"
    date = path.stat().st_mtime_ns
    if what == "longer":
        path.write_bytes(path.read_bytes() + b"\n")
        os.utime(path, ns=(date, date))
    elif what == "gone":
        (checkout / "pcaudit" / "core" / "drift.py").unlink()
    else:
        (checkout / "pcaudit" / "core" / "units_of_mine.py").touch()
    assert run(checkout)[0].startswith("False SourceFileLoader")


@pytest.mark.parametrize("first", [True, False])
def test_a_source_that_changes_while_the_command_runs_makes_no_stale_bundle(
    checkout: Path, first: bool
) -> None:
    """Neither a first bundle nor one that grows holds the old code under the new date."""
    if not first:
        run(checkout)
    path = checkout / "pcaudit" / "core" / "units.py"
    during = f"""
import os, pathlib, pcaudit.core.truth
path = pathlib.Path({str(path)!r})
path.write_text(path.read_text(encoding="utf-8").replace('"never"', '"NEVER"'), encoding="utf-8")
os.utime(path, ns=(10**18, 10**18))
kept.keep()
"""
    run(checkout, program=PROGRAM.replace("kept.keep()", during))
    assert run(checkout)[0].endswith("NEVER")
    assert run(checkout)[0] == "True _Loader NEVER"


@pytest.mark.parametrize("content", [b"", b"rubbish", b"N", bytes(1000)])
def test_a_damaged_bundle_is_none(checkout: Path, content: bytes) -> None:
    """What is no bundle is passed over, and replaced."""
    run(checkout)
    (path,) = made(checkout)
    path.write_bytes(content)
    assert run(checkout)[0] == "False SourceFileLoader never"
    assert run(checkout)[0] == "True _Loader never"


def test_a_bundle_of_another_place_or_python_is_none(checkout: Path, tmp_path: Path) -> None:
    """A bundle that was copied along with its folder does not count there: its files are elsewhere."""
    run(checkout)
    other = tmp_path / "other"
    shutil.copytree(checkout / "pcaudit", other / "pcaudit", copy_function=shutil.copy2)
    assert run(other)[0] == "False SourceFileLoader never"
    assert run(other, "-O")[0] == "False SourceFileLoader never"


def test_nothing_is_written_where_python_may_not_write_compiled_files(checkout: Path) -> None:
    """With -B, or in a folder that cannot be written, there is no bundle and no complaint."""
    assert run(checkout, "-B")[0] == "False SourceFileLoader never"
    assert made(checkout) == []
    (checkout / "pcaudit" / "__pycache__").write_text("in the way", encoding="ascii")
    assert run(checkout)[0] == "False SourceFileLoader never"
    assert made(checkout) == []


def test_modules_that_were_missing_are_added(checkout: Path) -> None:
    """What another run of the command needs besides joins what is held."""
    run(checkout)
    run(checkout, program=PROGRAM.replace("import files", "import files; import pcaudit.core.truth"))
    (line,) = run(
        checkout, program="from pcaudit import bundle as b; c = b.Bundle('probe'); c.use(); print({*c.held})"
    )
    assert "pcaudit.core.truth" in line and "pcaudit.core.units" in line


def test_the_bundle_is_loaded_by_what_every_python_has_loaded(checkout: Path) -> None:
    """What loads the bundle is not loaded from it, and brings nothing along."""
    program = "import os, sys; b = {*sys.modules}; import pcaudit.bundle; print(sorted({*sys.modules} - b))"
    assert run(checkout, program=program) == ["['pcaudit', 'pcaudit.bundle']"]


def test_commands_have_a_module() -> None:
    """What has a bundle is a command."""
    from pcaudit.cli.commands import COMMANDS

    assert set(bundle.COMMANDS) <= set(COMMANDS)
