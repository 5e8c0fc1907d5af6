"""Wheel and sdist: what is in them, that it is what git knows, and that every build gives the same bytes."""

from __future__ import annotations

import os
import shutil
import tarfile
from pathlib import Path
from typing import Final

import pytest

from tests.packaging import built

IN_SDIST: Final = (
    *("pcaudit/", "requirements_profiles/", "tests/", "fixtures/", "docs/"),
    *("README.md", "DEVELOPERS.md", "pyproject.toml", ".gitignore"),
)
LITTER: Final = (
    *("pcaudit/__pycache__/app.cpython-311.pyc", "pcaudit/core/report.pyc", ".venv/lib/typer.py"),
    *("build/lib/pcaudit/app.py", "dist/pcaudit-0.0.9.tar.gz", "pcaudit.egg-info/PKG-INFO", ".coverage"),
    *(".pytest_cache/README.md", "tests/.hypothesis/examples", ".mypy_cache/missing_stubs"),
)


def _about(wheel: Path) -> str:
    """Folder in a wheel that describes it."""
    return f"{'-'.join(wheel.name.split('-')[:2])}.dist-info"


@pytest.fixture(scope="module")
def again(distributions: built.Built, tmp_path_factory: pytest.TempPathFactory) -> built.Built:
    """The same built elsewhere: other folder, dates, time zone, language, permissions, and litter about."""
    place = tmp_path_factory.mktemp("again") / "of another name" / "deeper"
    source = place / "checkout"
    shutil.copytree(distributions.source, source)
    for name in LITTER:
        (source / name).parent.mkdir(parents=True, exist_ok=True)
        (source / name).write_text("litter\n", encoding="utf-8")
    for path in source.rglob("*"):
        path.chmod(path.stat().st_mode & 0o700)  # for nobody else
        os.utime(path, (1_500_000_001, 1_500_000_001))
    changes = {"TZ": "Pacific/Auckland", "LC_ALL": "C", "PYTHONHASHSEED": "7", "HOME": str(place)}
    return built.build(source, place / "dist", "--sdist", "--wheel", **changes)


def test_wheels_of_two_builds_are_the_same_byte_for_byte(
    distributions: built.Built, again: built.Built
) -> None:
    """Made from the sdist or from another copy of the checkout, with litter about, the wheel is the same."""
    assert distributions.wheel.name == again.wheel.name
    built.same(built.zip_content(distributions.wheel), built.zip_content(again.wheel))
    assert distributions.wheel.read_bytes() == again.wheel.read_bytes()


def test_sdists_of_two_builds_are_the_same_byte_for_byte(
    distributions: built.Built, again: built.Built
) -> None:
    """Another folder, date, time zone, permissions and litter change nothing in the sdist."""
    assert distributions.sdist.name == again.sdist.name
    built.same(built.tar_content(distributions.sdist), built.tar_content(again.sdist))
    assert distributions.sdist.read_bytes() == again.sdist.read_bytes()


def test_the_wheel_holds_the_package_and_nothing_else(distributions: built.Built) -> None:
    """Its files are the package's that git knows, with their bytes, and those that describe it."""
    found, about = built.zip_content(distributions.wheel), _about(distributions.wheel)
    package = {name: data for name, data in found.items() if name.startswith("pcaudit/")}
    built.same(package, built.content(distributions.source, "pcaudit/"))
    # PyPA, "Binary distribution format": the files of .dist-info.
    names = {"METADATA", "WHEEL", "RECORD", "entry_points.txt", "licenses/docs/LICENSE.txt"}
    assert set(found) - set(package) == {f"{about}/{name}" for name in names}


def test_the_wheel_is_what_its_record_says(distributions: built.Built) -> None:
    """RECORD lists every file with its SHA-256, and no other; for itself it gives none."""
    found, about = built.zip_content(distributions.wheel), _about(distributions.wheel)
    said = built.record(found[f"{about}/RECORD"])
    assert len(said) > 200
    expected = {name: built.recorded_hash(data) for name, data in found.items()}
    assert said == {**expected, f"{about}/RECORD": ""}


def test_the_wheel_fits_every_computer(distributions: built.Built) -> None:
    """It is tagged as Python only, for any system."""
    found, about = built.zip_content(distributions.wheel), _about(distributions.wheel)
    assert distributions.wheel.name.endswith("-py3-none-any.whl")
    assert b"Root-Is-Purelib: true" in found[f"{about}/WHEEL"]


def test_the_sdist_holds_what_git_knows_and_nothing_else(distributions: built.Built) -> None:
    """Its files are the tracked ones of the folders people need, with their bytes, and PKG-INFO."""
    found = built.tar_content(distributions.sdist)
    assert b"Name: pcaudit" in found.pop("PKG-INFO")
    built.same(found, built.content(distributions.source, *IN_SDIST))


def test_the_sdist_says_nothing_of_who_built_it(distributions: built.Built) -> None:
    """Owners and dates in it are those of nobody."""
    with tarfile.open(distributions.sdist) as archive:
        members = archive.getmembers()
    assert {(m.uid, m.gid, m.uname, m.gname) for m in members} == {(0, 0, "", "")}
    assert len({m.mtime for m in members}) == 1
    assert {m.mode & 0o777 for m in members} <= {0o644, 0o755}


def test_the_archives_hold_no_path_of_the_builder(distributions: built.Built) -> None:
    """No file in them was written by the build with the folder it ran in."""
    place = str(distributions.source.parent).encode()
    contents = [
        *built.zip_content(distributions.wheel).items(),
        *built.tar_content(distributions.sdist).items(),
    ]
    assert [name for name, data in contents if place in data] == []
