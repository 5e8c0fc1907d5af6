"""Builds the single file for Linux and macOS: pcaudit and what it imports in one zip that Python runs.

    python3 .ci/zipapp/single_file.py WHEEL [--output FOLDER]

WHEEL is pcaudit's own, as ``python3 -m build`` makes it. The result depends on that wheel and the pins
alone: files in order, dates fixed. The packages are those of the portable folder, as ``.ci/portable`` pins
them, less what is for Windows only, and distro; they are Python only, so the file fits every processor.
"""

from __future__ import annotations

import argparse
import io
import os
import shutil
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "portable"))
import fetch

HERE: Final = Path(__file__).resolve().parent
TOP: Final = HERE.parent.parent
PACKAGES: Final = HERE / "packages.txt"
START: Final = HERE / "start.py"

INTERPRETER: Final = b"#!/usr/bin/env python3\n"
"""First line, by which Linux and macOS start the file (as the standard library's zipapp writes it)."""

EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""Date of everything in the file: the first a zip can hold."""

WINDOWS_ONLY: Final = ("colorama",)

NOT_RUN: Final = ("tests", "__pycache__")
"""Folders of wheels that no command runs from."""


def more_wheels(cache: Path) -> Path:
    """Folder of the wheels that the portable folder does not carry; fetched if they are not there.

    Args:
        cache: Where downloads are kept.

    Raises:
        SystemExit: pip cannot get one, or a hash is not the pinned one.
    """
    folder = cache / "single-file"
    stamp = folder / PACKAGES.name
    if not (stamp.is_file() and stamp.read_bytes() == PACKAGES.read_bytes()):
        cache.mkdir(parents=True, exist_ok=True)
        new = Path(tempfile.mkdtemp(prefix=".new-", dir=cache))
        fetch.download(PACKAGES, new, "--only-binary", ":all:")
        shutil.copyfile(PACKAGES, new / PACKAGES.name)
        shutil.rmtree(folder, ignore_errors=True)
        new.rename(folder)
    return folder


def _of_folder(folder: Path) -> Iterator[tuple[str, bytes]]:
    for path in folder.rglob("*"):
        if path.is_file():
            yield path.relative_to(folder).as_posix(), path.read_bytes()


def _of_wheel(wheel: Path) -> Iterator[tuple[str, bytes]]:
    with zipfile.ZipFile(wheel) as archive:
        for name in archive.namelist():
            yield name, archive.read(name)


def _wanted(name: str) -> bool:
    parts = name.split("/")
    package = parts[0].partition("-")[0]
    return package not in WINDOWS_ONLY and not any(folder in NOT_RUN for folder in parts[:-1])


def contents(wheel: Path, cache: Path) -> dict[str, bytes]:
    """What goes into the file, by name: packages as their wheels hold them, and where to start.

    Args:
        wheel: pcaudit's.
        cache: Where downloads are kept.

    Raises:
        SystemExit: Two packages hold a file of the same name, or machine code would go in.
    """
    found = {"__main__.py": START.read_bytes()}
    wheels = [wheel, *sorted(more_wheels(cache).glob("*.whl"))]
    for source in (_of_folder(fetch.packages(cache)), *map(_of_wheel, wheels)):
        for name, data in source:
            if not _wanted(name):
                continue
            if name in found:
                raise SystemExit(f"{name} is in two packages")
            if name.endswith((".so", ".pyd", ".dylib")):
                raise SystemExit(f"{name} is machine code, which Python cannot run from a zip")
            found[name] = data
    return found


def single_file(found: dict[str, bytes]) -> bytes:
    """The file as bytes, which depend on what goes in alone."""
    out = io.BytesIO(INTERPRETER)
    out.seek(0, os.SEEK_END)
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(found):
            entry = zipfile.ZipInfo(name, EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3  # Unix, wherever it is built
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, found[name], compresslevel=9)
    return out.getvalue()


def main() -> None:
    """Build the file, and say how large it is."""
    parser = argparse.ArgumentParser(description="Build the single file.")
    cache = os.environ.get("PCAUDIT_PORTABLE_CACHE") or Path.home() / ".cache" / "pcaudit-portable"
    parser.add_argument("wheel", type=Path, help="pcaudit's wheel")
    parser.add_argument("--output", type=Path, default=TOP / "dist", help="folder to build in")
    parser.add_argument("--cache", type=Path, default=Path(cache), help="folder to keep downloads in")
    chosen = parser.parse_args()
    chosen.output.mkdir(parents=True, exist_ok=True)
    target = chosen.output / f"pcaudit-{chosen.wheel.name.split('-')[1]}.pyz"
    new = target.with_suffix(".new")
    new.write_bytes(single_file(contents(chosen.wheel, chosen.cache)))
    new.chmod(0o755)
    new.replace(target)
    sys.stdout.write(f"{target}: {target.stat().st_size / 1e6:.1f} MB\n")


if __name__ == "__main__":
    main()
