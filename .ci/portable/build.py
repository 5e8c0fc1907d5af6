"""Builds the portable Windows folder and its zip: pcaudit with a Python of its own, run without installing.

    python3 .ci/portable/build.py [--output FOLDER] [--profile FILE]...

The result depends on the checkout and the pins alone: files in order, dates fixed, modules compiled without
times. Compiling needs a Windows Python of the shipped release: on Windows the shipped one itself, elsewhere
the same under Wine; without either the folder works too, and starts more slowly.
"""

from __future__ import annotations

import argparse
import marshal
import os
import re
import shutil
import subprocess
import sys
import tempfile
import urllib.request
import zipfile
from collections.abc import Callable, Iterator
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
FROM_PYTHON: Final = (
    # What of Python's own archive `pcaudit probe` and `pcaudit assess` load, and a bare start does not.
    *("__future__", "_weakrefset", "bisect", "collections", "contextlib", "copyreg", "ctypes"),
    *(
        "ctypes._endian",
        "datetime",
        "decimal",
        "encodings.utf_16_le",
        "encodings.utf_8_sig",
        "enum",
        "fnmatch",
    ),
    *("fractions", "functools", "hashlib", "ipaddress", "json", "json.decoder", "json.encoder"),
    *("json.scanner", "keyword", "numbers", "operator", "re", "re._casefix", "re._compiler", "re._constants"),
    *("re._parser", "reprlib", "string", "struct", "threading", "tomllib", "tomllib._parser", "tomllib._re"),
    *("tomllib._types", "typing", "warnings"),
)
NOT_IN_BUNDLE: Final = (
    *("__init__", "__main__", "bundle", "probes.linux", "probes.macos"),
    *("core.plan", "core.worksheet", "core.compare", "core.drift", "core.explain", "core.profile_schema"),
    *("core.smallest_change", "core.starter", "cli.completion", "cli.profile_new", "cli.worksheet_new"),
)
"""What of pcaudit is loaded before the bundle, never on Windows, or mostly by other commands."""
FOR_PROBE: Final = (
    *("app", "errors", "files", "probes", "cli.declared", "cli.exits", "cli.main"),
    *("cli.options", "cli.probe", "cli.progress", "cli.quick", "cli.streams"),
    *("core.catalogue", "core.json_text", "core.snapshot", "core.units", "core.visible"),
)
"""What of pcaudit a plain ``pcaudit probe`` loads."""
NOT_FOR_PROBE: Final = (
    "bisect",
    "decimal",
    "fnmatch",
    "fractions",
    "hashlib",
    "numbers",
    "string",
    "tomllib",
)
"""What of Python it does without."""

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


def write_zip(
    folder: Path,
    target: Path,
    root: str = "",
    method: int = zipfile.ZIP_DEFLATED,
    wanted: Callable[[Path], bool] = Path.is_file,
) -> None:
    """Write a folder, or what is wanted of it, as a zip whose bytes depend on its content alone."""
    with zipfile.ZipFile(target, "w", method) as archive:
        for path in filter(wanted, files(folder)):
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
    lines = (f"{pth.stem}.zip", ".", r"..\app\pcaudit.zip", r"..\app\packages.zip")
    pth.write_bytes("".join(f"{line}\r\n" for line in lines).encode("ascii"))


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


def _run(runner: list[str], python: Path, arguments: list[str], folder: Path) -> None:
    """Run the shipped Python in a folder; it says nothing, for Wine's own processes would keep its pipes."""
    with tempfile.TemporaryDirectory() as place:
        environ = {
            **os.environ,
            "WINEPREFIX": os.environ.get("WINEPREFIX", place),
            "WINEDEBUG": "-all",
            "WINEDLLOVERRIDES": "mscoree,mshtml=;winemenubuilder.exe=",
        }
        done = subprocess.run(  # noqa: S603 - its arguments are written here
            [*runner, str(python / "python.exe"), "-I", "-B", *arguments],
            cwd=folder,
            env=environ,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
        if runner and "WINEPREFIX" not in os.environ:
            subprocess.run(["wineserver", "-k"], env=environ, check=False)  # noqa: S607
    if done.returncode:
        raise SystemExit(f"{arguments[1]} ended with exit code {done.returncode}")


def compile_modules(python: Path, sources: Path) -> bool:
    """Compile every module beside its source, by the Python that will run it, and bundle what a start needs.

    Returns:
        Whether that Python could be run here.
    """
    runner = _runner()
    if runner is None:
        return False
    options = ["-q", "-b", "--invalidation-mode", "unchecked-hash", "-s", sources.name, "-p", "pcaudit.zip"]
    _run(runner, python, ["-m", "compileall", *options, sources.name], sources.parent)
    tell = "import sys; open('version.txt', 'w', encoding='utf-8').write(sys.version)"
    _run(runner, python, ["-c", tell], sources.parent)
    version = (sources.parent / "version.txt").read_text(encoding="utf-8")
    held = dict([*_own_modules(sources), *_python_modules(python)])
    for_probe = {name: one for name, one in held.items() if _is_for_probe(name)}
    for command, needed in (("assess", held), ("probe", for_probe)):
        (sources / "pcaudit" / f"bundle.{command}").write_bytes(_bundle(needed, version))
    return True


# A module in a bundle, as pcaudit/bundle.py reads it: name, archive and place in it, code.
_Module = tuple[str, tuple[str, str, bytes]]
_HEAD: Final = 16  # bytes before the code in a compiled file (PEP 552)


def _within(name: str, several: tuple[str, ...]) -> bool:
    """Whether a module is one of several or lies in one."""
    return any(f"{name}.".startswith(f"{one}.") for one in several)


def _is_for_probe(name: str) -> bool:
    if name.startswith("pcaudit."):
        inner = name.removeprefix("pcaudit.")
        return inner in ("cli", "core") or _within(inner, FOR_PROBE)
    return not _within(name, NOT_FOR_PROBE)


def _own_modules(sources: Path) -> Iterator[_Module]:
    for path in files(sources / "pcaudit"):
        inner = path.relative_to(sources)
        name = ".".join(inner.with_suffix("").parts)
        if path.suffix == ".pyc" and not _within(name.removeprefix("pcaudit."), NOT_IN_BUNDLE):
            place = "\\".join(inner.parts)
            yield name.removesuffix(".__init__"), ("pcaudit.zip", place, path.read_bytes()[_HEAD:])


def _python_modules(python: Path) -> Iterator[_Module]:
    (path,) = python.glob("python3*.zip")
    with zipfile.ZipFile(path) as archive:
        names = set(archive.namelist())
        for name in FROM_PYTHON:
            inner = name.replace(".", "/")
            found = f"{inner}.pyc" if f"{inner}.pyc" in names else f"{inner}/__init__.pyc"
            yield name, (path.name, found.replace("/", "\\"), archive.read(found)[_HEAD:])


def _bundle(held: dict[str, tuple[str, str, bytes]], version: str) -> bytes:
    """A bundle of an archive: one file for what is otherwise a hundred reads (pcaudit/bundle.py)."""
    empty: dict[str, tuple[int, int]] = {}  # nothing to check: all of it is one archive
    # Version 2 has no references, which depend on what else is alive.
    return marshal.dumps([(version, 0, ""), list(empty), empty, held], 2)


def _archives(sources: Path, folder: Path, compiled: bool) -> None:
    """Write what is imported into archives, and beside them the sources of what is compiled.

    Python reads the whole list of an archive before it imports anything from it: pcaudit's is kept short.
    """

    def imported(path: Path) -> bool:
        return not (compiled and path.suffix == ".py")

    def own(path: Path) -> bool:
        return path.relative_to(sources).parts[0].partition(".")[0] in ("pcaudit", "double_click")

    folder.mkdir()
    # Stored, not packed: what is imported need not be unpacked first.
    for name, wanted in (
        ("pcaudit.zip", lambda path: imported(path) and own(path)),
        ("packages.zip", lambda path: imported(path) and not own(path)),
    ):
        write_zip(sources, folder / name, method=zipfile.ZIP_STORED, wanted=wanted)
    if compiled:
        write_zip(sources, folder / "sources.zip", wanted=lambda path: not imported(path))


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
    with tempfile.TemporaryDirectory() as place:
        sources = Path(place) / "sources"
        _sources(sources, packages)
        compiled = compile_modules(target / "python", sources)
        _archives(sources, target / "app", compiled)
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
