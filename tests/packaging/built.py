"""Builds what people get from copies of this checkout that differ in everything but their content."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Final, NamedTuple

from tests.packaging.tools import BIN, TOP

SCRIPT: Final = TOP / ".ci" / "zipapp" / "single_file.py"


class Built(NamedTuple):
    """Wheel and sdist of one build, and the copy of the checkout they were made from."""

    source: Path
    wheel: Path
    sdist: Path


def copy_checkout(target: Path) -> Path:
    """Copy every file of this checkout that git knows and that is there.

    Args:
        target: Where to; must not exist.

    Raises:
        OSError: There is no git here.
        CalledProcessError: This is no git checkout.
    """
    done = subprocess.run(["git", "ls-files", "-z"], cwd=TOP, capture_output=True, check=True)
    for name in filter(None, done.stdout.decode().split("\0")):
        if (TOP / name).is_file():
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(TOP / name, target / name)
            shutil.copymode(TOP / name, target / name)
    return target


def content(folder: Path, *under: str) -> dict[str, bytes]:
    """The files below a folder, by name.

    Args:
        folder: Where to look.
        under: Names, or beginnings of names, of those wanted; without any all.
    """
    found = {p.relative_to(folder).as_posix(): p for p in folder.rglob("*") if p.is_file()}
    return {name: path.read_bytes() for name, path in found.items() if name.startswith(under or "")}


def build(source: Path, output: Path, *kinds: str, **environ: str) -> Built:
    """Build wheel and sdist.

    Args:
        source: The copy.
        output: Where to.
        kinds: Options of ``build``; without any the wheel is made from the sdist.
        environ: Changes of the environment.
    """
    command = [str(BIN / "python"), "-m", "build", "--no-isolation", "--outdir", str(output), *kinds]
    done = subprocess.run(
        [*command, str(source)], env={**os.environ, **environ}, capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return Built(source, next(output.glob("*.whl")), next(output.glob("*.tar.gz")))


def single_file(wheel: Path, output: Path, cache: Path, **environ: str) -> Path:
    """Build the single file.

    Raises:
        OSError: What it carries cannot be fetched.
    """
    command = [sys.executable, str(SCRIPT), str(wheel), "--output", str(output), "--cache", str(cache)]
    done = subprocess.run(
        command, env={**os.environ, **environ}, capture_output=True, text=True, timeout=300, cwd=output.parent
    )
    if "cannot download" in done.stderr:
        raise OSError(done.stderr.strip())
    assert done.returncode == 0, done.stderr
    return next(output.glob("*.pyz"))


def zip_content(path: Path) -> dict[str, bytes]:
    """The files of a zip, by name; none twice."""
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        assert len(names) == len(set(names))
        return {name: archive.read(name) for name in names}


def tar_content(path: Path) -> dict[str, bytes]:
    """The files of a source distribution, by name below its one folder."""
    found = {}
    with tarfile.open(path) as archive:
        for member in archive.getmembers():
            folder, _, name = member.name.partition("/")
            assert folder == path.name.removesuffix(".tar.gz")
            assert member.isfile()
            file = archive.extractfile(member)
            assert file
            found[name] = file.read()
    return found


def record(text: bytes) -> dict[str, str]:
    """What a RECORD says: the hash of each file as ``sha256=...``, empty where it gives none.

    The form is that of the PyPA specification "Recording installed projects": CSV of path, hash and size,
    the hash as URL-safe base64 without padding.
    """
    return {row[0]: row[1] for row in csv.reader(io.StringIO(text.decode("utf-8")))}


def recorded_hash(data: bytes) -> str:
    """The hash of a file as a RECORD writes it."""
    digest = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=")
    return f"sha256={digest.decode()}"


def same(first: Mapping[str, bytes], second: Mapping[str, bytes]) -> None:
    """Assert that two sets of files are the same, and name what differs."""
    assert sorted(first) == sorted(second)
    assert [name for name in first if first[name] != second[name]] == []
