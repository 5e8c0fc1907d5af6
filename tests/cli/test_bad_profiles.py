"""Profiles that are none: one clear block each, exit 2, nothing on standard output, no file.

Mistakes of meaning, one by one, are in tests/core/test_broken_profiles.py.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.program import FIT, PROFILES, PROGRAM, SMALL, TOP, environ, pcaudit, refused

HEAD = 'format = 1\ntitle = "A profile"\n'
GOOD = HEAD + '[memory.installed]\nminimum = "16 GB"\n'


def _refused(folder: Path, profile: bytes, *words: str) -> None:
    """Assert that a profile of these bytes is refused by assess, and that no file comes of it."""
    path = folder / "profile.toml"
    path.write_bytes(profile)
    done = pcaudit("assess", str(path), FIT, "--output", str(folder / "report.txt"))
    refused(done, *words)
    assert os.listdir(folder) == ["profile.toml"]


@pytest.mark.parametrize(
    ("profile", "words"),
    [
        (b"", ("profile.toml is empty",)),
        (b" \n\t\r\n", ("profile.toml is empty",)),
        (bytes(range(256)) * 8, ("profile.toml is not text",)),
        (b"\x7fELF\x02\x01\x01" + bytes(64), ("profile.toml is not text",)),
        (b'format = 1\ntitle = "caf\xe9"\n', ("profile.toml:2: byte 23 (0xe9) is not UTF-8", "UTF-8")),
        (b"\xff\xfef\0o", ("damaged UTF-16",)),
        (b"format = 1\ntitle = \n", ("profile.toml:2:", "title =", "in quotes")),
        (b'format = 1\ntitle = "open\n', ("profile.toml:2:", "not closed")),
        (b"format = 1\nformat = 1\n", ("profile.toml:2: format is given twice", "line 1")),
        (b'format = 1\ntitle = "C:\\Data"\n', ("profile.toml:2:", "single quotes")),
        (b"[" * 5000, ("profile.toml:1:",)),
        (b"a" + b".a" * 5000 + b" = 1\n", ("profile.toml:1:",)),
        (b"a = " + b"[" * 5000, ("profile.toml:1:",)),
        (b"a = " + b"9" * 5000, ("profile.toml:1:", "thousands of digits")),
        (b'{"kind": "snapshot"}', ("profile.toml is JSON",)),
        (b"MZ\x90\x00\x03", ("profile.toml is not text",)),
    ],
    ids=lambda value: value[:12].hex() if isinstance(value, bytes) else "",
)
def test_what_is_no_profile_at_all(tmp_path: Path, profile: bytes, words: tuple[str, ...]) -> None:
    """Empty, binary, not UTF-8 or not TOML: refused with the place, as far as there is one."""
    _refused(tmp_path, profile, *words)


def test_a_missing_profile(tmp_path: Path) -> None:
    """A profile that is not there is refused by its name, with the folder that was searched."""
    refused(pcaudit("assess", "no.toml", FIT, cwd=tmp_path), "no.toml: no such file", str(tmp_path))
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("path", ["/dev/zero", "/dev/urandom", str(PROFILES)])
def test_what_is_no_file(path: str) -> None:
    """A device or a folder is refused before it is read."""
    refused(pcaudit("assess", path, FIT), "device" if path.startswith("/dev") else "folder")


# The limit is the address space, so only where that can be set.
_LIMITED = """
import resource, runpy, sys
resource.setrlimit(resource.RLIMIT_AS, (600 << 20, 600 << 20))
sys.argv = ["pcaudit", *sys.argv[1:]]
runpy.run_module("pcaudit", run_name="__main__")
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="needs RLIMIT_AS")
@pytest.mark.parametrize(
    "make",
    [
        lambda: b"a" * (10 << 20),
        lambda: b"#" + b"x" * (10 << 20),
        lambda: b"\0" * (10 << 20),
        lambda: HEAD.encode() + b"[memory.installed]\n" * (10 << 16),
        lambda: HEAD.encode() + b'[[arrangements]]\nid = "a"\n' * 38_000,
        lambda: HEAD.encode() + b"x = [" + b"1," * 500_000,
    ],
    ids=["one word", "comment", "zeros", "ten megabytes", "one megabyte of tables", "an open list"],
)
def test_huge_profiles_cost_little(tmp_path: Path, make: object) -> None:
    """Ten megabytes, or one of what is dear to read, are refused in bounded time and memory."""
    assert callable(make)
    path = tmp_path / "huge.toml"
    path.write_bytes(make())
    began = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-c", _LIMITED, "assess", str(path), FIT],
        cwd=TOP,
        env=environ(),
        capture_output=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout) == (2, b"")
    assert time.monotonic() - began < 20
    assert b"Traceback" not in done.stderr and b"huge.toml" in done.stderr
    assert len(done.stderr) < 20_000


@pytest.mark.parametrize(
    "profile",
    [
        b"\xef\xbb\xbf" + GOOD.encode(),
        b"\xff\xfe" + GOOD.encode("utf-16-le"),
        b"\xfe\xff" + GOOD.encode("utf-16-be"),
        GOOD.replace("\n", "\r\n").encode(),
    ],
    ids=["UTF-8", "UTF-16 little", "UTF-16 big", "CRLF"],
)
def test_what_editors_do_is_accepted(tmp_path: Path, profile: bytes) -> None:
    """Byte-order marks and the line ends of other systems change nothing."""
    path = tmp_path / "profile.toml"
    path.write_bytes(profile)
    done = pcaudit("assess", str(path), FIT)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("READY: CDS-0007\nA profile\n1 met\n")


def test_all_mistakes_are_told_at_once(tmp_path: Path) -> None:
    """Every mistake of meaning is named in one run, in the order of the file, and counted."""
    path = tmp_path / "profile.toml"
    path.write_text(
        HEAD + '[memory.installed]\nminimum = 16\n[cpu.coers]\nminimum = 1\n[power]\nusb_suspend = "x"\n',
        encoding="utf-8",
    )
    done = pcaudit("assess", str(path), FIT)
    lines = [line for line in done.err.splitlines() if not line.startswith(" ")]
    assert [line.removeprefix(f"{path}:").split(":")[0] for line in lines] == ["4", "5", "8", " 3 mistakes"]
    assert (done.code, done.out) == (2, "")


def test_a_mark_stands_under_the_mistake(tmp_path: Path) -> None:
    """The line itself is shown, and under it a mark where the mistake begins."""
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + 'memory = { installed = { minimun = "1 GB" } }\n', encoding="utf-8")
    lines = pcaudit("assess", str(path), FIT).err.splitlines()
    assert lines[1].strip() == 'memory = { installed = { minimun = "1 GB" } }'
    assert lines[2].index("^") == lines[1].index("minimun")


@pytest.mark.parametrize("path", sorted(PROFILES.iterdir()), ids=lambda path: path.name)
def test_the_examples_are_valid_profiles(path: Path) -> None:
    """requirements_profiles/ holds profiles only, every one of them valid."""
    done = pcaudit("profile", "validate", str(path))
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith(f"{path}: valid, ")


def test_the_example_workstation_is_a_full_profile() -> None:
    """The larger example has 30 conditions and more, over all ten groups, each with reason and remedy."""
    import tomllib

    from pcaudit.app import load_profile
    from pcaudit.core.catalogue import GROUPS

    path = PROFILES / "acquisition-workstation.toml"
    profile = load_profile(str(path))
    assert len(profile.conditions) >= 30
    assert set(GROUPS) <= set(tomllib.loads(path.read_text(encoding="utf-8")))
    assert len(profile.arrangements) >= 3


def test_a_profile_from_standard_input_is_named_so() -> None:
    """A mistake in a profile that came through standard input is placed there."""
    done = pcaudit("profile", "validate", "-", stdin=HEAD.encode() + b"[cpu.cores]\nminimum = nan\n")
    assert done.code == 2 and done.err.startswith("standard input:4: cpu.cores.minimum")


def test_no_profile_is_read_from_a_closed_pipe() -> None:
    """Standard input without a byte is an empty profile, not a wait."""
    done = subprocess.run(
        [*PROGRAM, "profile", "validate", "-"],
        cwd=TOP,
        env=environ(),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=30,
    )
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"standard input is empty")


def test_a_profile_that_may_not_be_read(tmp_path: Path) -> None:
    """A file this account may not read is refused as that, not as missing."""
    path = tmp_path / "profile.toml"
    path.write_bytes(Path(SMALL).read_bytes())
    path.chmod(0)
    if os.access(path, os.R_OK):  # an administrator reads everything
        path.unlink()
        path.mkdir()
        refused(pcaudit("profile", "validate", str(path)), "is a folder")
    else:
        refused(pcaudit("profile", "validate", str(path)), "may not be read")


def test_thousands_of_mistakes_are_counted_not_listed(tmp_path: Path) -> None:
    """Of very many mistakes the first fifty are shown, and all are counted."""
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + "".join(f"[wrong-{n}]\n" for n in range(60)), encoding="utf-8")
    lines = [line for line in pcaudit("profile", "validate", str(path)).err.splitlines() if line[0] != " "]
    assert len(lines) == 51
    assert lines[-1] == f"{path}: 60 mistakes, the first 50 shown"
