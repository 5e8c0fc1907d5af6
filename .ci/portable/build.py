"""Builds the portable Windows folder and its zip: pcaudit with a Python of its own, run without installing.

    python3 .ci/portable/build.py [--output FOLDER] [--profile FILE]...

The result depends on the checkout and the pins alone: files in order, dates fixed, modules compiled without
times. Compiling needs a Windows Python of the shipped release: on Windows the shipped one itself, elsewhere
the same under Wine; without either the folder works too, and starts more slowly.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import urllib.request
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).resolve().parent))
import fetch

HERE: Final = Path(__file__).resolve().parent
TOP: Final = HERE.parent.parent
STARTERS: Final = HERE / "starters"

EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""Date of everything in the zips: the first a zip can hold."""

LEFT_OUT: Final = (
    # What pcaudit never does: TLS and networks beyond plain sockets (and OpenSSL with them: hashlib has
    # its own SHA-256), databases, event loops, processes of its own, sounds, windows without a console.
    *("_ssl.pyd", "_hashlib.pyd", "libssl-3.dll", "libcrypto-3.dll", "_sqlite3.pyd", "sqlite3.dll"),
    *("_asyncio.pyd", "_overlapped.pyd", "_multiprocessing.pyd", "winsound.pyd", "pythonw.exe"),
)
WINE: Final = "/usr/lib/wine/wine64"


def version() -> str:
    """The version of pcaudit in this checkout."""
    text = (TOP / "pcaudit" / "__init__.py").read_text(encoding="utf-8")
    found = re.search(r'__version__ = "([^"]+)"', text)
    assert found
    return found[1]


# -- zips


def files(folder: Path) -> list[Path]:
    """Every file below a folder, in an order that is the same everywhere."""
    return sorted(
        (p for p in folder.rglob("*") if p.is_file()), key=lambda p: p.relative_to(folder).as_posix()
    )


def write_zip(folder: Path, target: Path, root: str = "", method: int = zipfile.ZIP_DEFLATED) -> None:
    """Write a folder as a zip whose bytes depend on its content alone."""
    with zipfile.ZipFile(target, "w", method) as archive:
        for path in files(folder):
            entry = zipfile.ZipInfo(root + path.relative_to(folder).as_posix(), EPOCH)
            entry.compress_type = method
            entry.create_system = 0  # the same from Windows and elsewhere
            archive.writestr(entry, path.read_bytes(), compresslevel=9)


# -- what goes in


def _python(folder: Path, source: Path) -> None:
    folder.mkdir()
    for path in files(source):
        if path.name not in LEFT_OUT:
            shutil.copyfile(path, folder / path.name)
    (pth,) = folder.glob("*._pth")
    # With this file CPython is isolated: no PYTHONPATH, no registry, no folder of the caller's.
    pth.write_bytes(f"{pth.stem}.zip\r\n.\r\n..\\app\\pcaudit.zip\r\n".encode("ascii"))


def _sources(folder: Path, packages: Path) -> None:
    hidden = shutil.ignore_patterns("__pycache__", "*.pyc", "py.typed", "tests")
    shutil.copytree(TOP / "pcaudit", folder / "pcaudit", ignore=hidden)
    for package in sorted(packages.iterdir()):
        if package.is_dir() and package.suffix != ".dist-info":
            shutil.copytree(package, folder / package.name, ignore=hidden)
        elif package.suffix == ".py":
            shutil.copyfile(package, folder / package.name)
    shutil.copyfile(STARTERS / "double_click.py", folder / "double_click.py")


def _licences(folder: Path, python: Path, packages: Path) -> None:
    folder.mkdir()
    shutil.copyfile(TOP / "docs" / "LICENSE.txt", folder / "pcaudit.txt")
    shutil.copyfile(python / "LICENSE.txt", folder / "python.txt")
    # typer carries click within itself.
    shutil.copyfile(packages / "typer" / "_click" / "LICENSE.txt", folder / "click.txt")
    for about in sorted(packages.glob("*.dist-info")):
        name = about.name.partition("-")[0]
        texts = [p for p in files(about) if re.match(r"(?i)licen[cs]e|copying|notice", p.name)]
        if not texts:
            raise SystemExit(f"{name} comes without a licence")
        with open(folder / f"{name}.txt", "wb") as out:
            for text in texts:
                out.write(text.read_bytes().rstrip() + b"\n\n")


def _words(folder: Path, chosen: list[Path]) -> None:
    for name in ("Assess this PC.cmd", "Take a snapshot.cmd", "pcaudit.cmd", "READ ME.txt"):
        text = (STARTERS / name).read_text(encoding="ascii")
        (folder / name).write_bytes(text.replace("\n", "\r\n").encode("ascii"))
    (folder / "profiles").mkdir()
    (folder / "profiles" / "PUT PROFILES HERE.txt").write_bytes(
        b'Requirements profiles (.toml) in this folder are offered by "Assess this PC.cmd".\r\n'
        b"Put profiles they are based on into a folder in here: those are not offered.\r\n"
    )
    for path in chosen:
        shutil.copyfile(path, folder / "profiles" / path.name)
    shutil.copytree(TOP / "requirements_profiles", folder / "examples")


# -- compiling


def _runner() -> list[str] | None:
    if os.name == "nt":
        return []
    return [WINE] if os.access(WINE, os.X_OK) else None


def compile_modules(python: Path, sources: Path) -> bool:
    """Compile every module beside its source, by the Python that will run it.

    Returns:
        Whether that Python could be run here.
    """
    runner = _runner()
    if runner is None:
        return False
    command = [*runner, str(python / "python.exe"), "-I", "-B", "-m", "compileall", "-q", "-b"]
    options = ["--invalidation-mode", "unchecked-hash", "-s", "SOURCES", "-p", "pcaudit.zip", "SOURCES"]
    with tempfile.TemporaryDirectory() as place:
        environ = {
            **os.environ,
            "WINEPREFIX": os.environ.get("WINEPREFIX", place),
            "WINEDEBUG": "-all",
            "WINEDLLOVERRIDES": "mscoree,mshtml=;winemenubuilder.exe=",
        }
        done = subprocess.run(  # noqa: S603 - its arguments are written here
            [*command, *(sources.name if word == "SOURCES" else word for word in options)],
            cwd=sources.parent,
            env=environ,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
        if runner and "WINEPREFIX" not in os.environ:
            subprocess.run(["wineserver", "-k"], env=environ, check=False)  # noqa: S607
    if done.returncode:
        raise SystemExit(f"compiling ended with exit code {done.returncode}")
    return True


# -- all of it


def build(target: Path, python: Path, packages: Path, chosen: list[Path]) -> bool:
    """Make the portable folder.

    Args:
        target: Where; must not exist.
        python: An embeddable CPython.
        packages: What pcaudit imports.
        chosen: Profiles to offer on a double-click.

    Returns:
        Whether its modules are compiled.
    """
    target.mkdir(parents=True)
    _python(target / "python", python)
    _licences(target / "licences", python, packages)
    _words(target, chosen)
    (target / "app").mkdir()
    with tempfile.TemporaryDirectory() as place:
        sources = Path(place) / "sources"
        _sources(sources, packages)
        compiled = compile_modules(target / "python", sources)
        # Stored, not packed: what is imported need not be unpacked first.
        write_zip(sources, target / "app" / "pcaudit.zip", method=zipfile.ZIP_STORED)
    return compiled


def _cpython(chosen: argparse.Namespace, place: Path) -> Path:
    if not chosen.python:
        return fetch.python(chosen.cache)
    if not chosen.sha256:
        raise SystemExit("--python needs --sha256, as the page of that file says")
    file = Path(chosen.python)
    if chosen.python.startswith("https://"):
        file = place / "python.zip"
        urllib.request.urlretrieve(chosen.python, file)  # noqa: S310 - https, and held against its hash
    fetch.python_from_zip(file, chosen.sha256, place / "python")
    return place / "python"


def _arguments() -> Iterator[tuple[tuple[str, ...], dict[str, object]]]:
    cache = os.environ.get("PCAUDIT_PORTABLE_CACHE") or Path.home() / ".cache" / "pcaudit-portable"
    yield ("--output",), {"type": Path, "default": TOP / "dist", "help": "folder to build in"}
    yield ("--profile",), {"type": Path, "action": "append", "default": [], "help": "profile to offer"}
    yield ("--cache",), {"type": Path, "default": Path(cache), "help": "folder to keep downloads in"}
    yield ("--python",), {"default": "", "help": "embeddable CPython 3.13 zip, 64-bit: file or https URL"}
    yield ("--sha256",), {"default": "", "help": "SHA-256 of that zip"}


def main() -> None:
    """Build folder and zip, and say how large they are."""
    parser = argparse.ArgumentParser(description="Build the portable Windows folder and its zip.")
    for names, options in _arguments():
        parser.add_argument(*names, **options)  # type: ignore[arg-type]
    chosen = parser.parse_args()
    name = f"pcaudit-{version()}-windows-x64"
    target = chosen.output / name
    if target.exists():
        shutil.rmtree(target)
    with tempfile.TemporaryDirectory() as place:
        python = _cpython(chosen, Path(place))
        compiled = build(target, python, fetch.packages(chosen.cache), chosen.profile)
    archive = target.with_name(f"{name}.zip")
    write_zip(target, archive, root=f"{name}/")
    found = files(target)
    size = sum(path.stat().st_size for path in found)
    sys.stdout.write(
        f"{target}: {len(found)} files, {size / 1e6:.1f} MB\n"
        f"{archive}: {archive.stat().st_size / 1e6:.1f} MB\n"
    )
    if not compiled:
        sys.stdout.write(
            "Neither Windows nor Wine here: modules are not compiled, so it starts more slowly.\n"
        )


if __name__ == "__main__":
    main()
