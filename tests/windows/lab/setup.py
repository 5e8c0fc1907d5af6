"""Sets up the lab: a real Windows CPython, its packages and a Wine prefix to copy PCs from.

    python3 -m tests.windows.lab.setup [FOLDER]

FOLDER is ``$PCAUDIT_WINDOWS_LAB``, else ``~/.cache/pcaudit-windows``. What is there already is kept. Wine
itself is not installed here: that takes an administrator, and .ci/run does it.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from tests.windows.lab.wine import TIMEOUT, WINE, Machine, missing

TOP: Final = Path(__file__).resolve().parent.parent.parent.parent
FETCH: Final = TOP / ".ci" / "portable" / "fetch.py"

_LIBRARIES: Final = Path("/usr/lib/x86_64-linux-gnu/wine/x86_64-windows")
_STAMP: Final = ".complete-1"


def folder() -> Path:
    """Where the lab is kept."""
    named = os.environ.get("PCAUDIT_WINDOWS_LAB")
    return Path(named).resolve() if named else Path.home() / ".cache" / "pcaudit-windows"


@contextmanager
def _alone(lab: Path) -> Iterator[None]:
    """One set-up at a time: two test runs may start together."""
    lab.mkdir(parents=True, exist_ok=True)
    with open(lab / ".lock", "w", encoding="utf-8") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _fetch(lab: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(FETCH), str(fetched(lab))],
        capture_output=True,
        text=True,
        check=False,
        timeout=900,
    )
    if done.returncode:
        raise SystemExit(done.stderr.strip() or f"{FETCH.name} ended with {done.returncode}")


def fetched(lab: Path) -> Path:
    """Where CPython and packages lie as they were published; the portable folder is built from them."""
    return lab / "fetched"


def _adapt_python(lab: Path) -> None:
    new = lab / ".python"
    shutil.rmtree(new, ignore_errors=True)
    shutil.copytree(fetched(lab) / "python", new)
    # Wine 8 lacks VariantToString, without which _wmi ends the process; platform does without it.
    (new / "_wmi.pyd").unlink()
    # With a ._pth CPython sees no PYTHONPATH, through which the tests give it this checkout.
    for path in new.glob("*._pth"):
        path.unlink()
    new.rename(lab / "python")


def _link_libraries(prefix: Path) -> None:
    """Replace Wine's own 690 MB of libraries by links, which makes a prefix cheap to copy."""
    for file in (prefix / "drive_c").rglob("*"):
        original = _LIBRARIES / file.name
        if file.is_symlink() or not file.is_file() or not original.is_file():
            continue
        if file.stat().st_size > 3000 and file.read_bytes() == original.read_bytes():
            file.unlink()
            file.symlink_to(original)


def _make_prefix(lab: Path) -> None:
    prefix = lab / "prefix"
    if (prefix / _STAMP).exists():
        return
    shutil.rmtree(prefix, ignore_errors=True)
    one = Machine(prefix, lab)
    code = one.quietly([WINE, "wineboot", "--init"], 3 * TIMEOUT)
    one.quietly(["wineserver", "-w"], TIMEOUT)
    if code or not (prefix / "system.reg").exists():
        raise SystemExit(f"wineboot --init ended with {code} and made no registry")
    # Documents and the like lead to the host's own; a test may write into none of them.
    for link in (prefix / "drive_c" / "users").glob("*/*"):
        if link.is_symlink():
            link.unlink()
            link.mkdir()
    _link_libraries(prefix)
    (prefix / _STAMP).touch()


def _prove(lab: Path) -> None:
    """Run one program whose answer and exit code only a Windows Python gives."""
    one = Machine(lab / "prefix", lab)
    one.start()
    try:
        done = one.python(
            "-c", "import sys, rich, typer; print(sys.platform, sys.version_info[:2]); sys.exit(7)"
        )
    finally:
        one.stop()
    if (done.code, done.text.strip()) != (7, "win32 (3, 13)"):
        raise SystemExit(f"Windows Python under Wine gave exit code {done.code}: {done.text} {done.err}")


def set_up(lab: Path) -> Path:
    """Make the lab, or mend what is missing of it.

    Returns:
        Its folder.

    Raises:
        SystemExit: Something is missing or fails; the message says what.
    """
    why = missing()
    if why:
        raise SystemExit(why)
    with _alone(lab):
        _fetch(lab)
        stamps = sorted(fetched(lab).glob(".*.made-from"))
        pins = "".join(path.read_text(encoding="utf-8") for path in stamps)
        proven = lab / ".proven"
        if not proven.is_file() or proven.read_text(encoding="utf-8") != pins:
            shutil.rmtree(lab / "python", ignore_errors=True)
            shutil.rmtree(lab / "compiled", ignore_errors=True)
            _adapt_python(lab)
            _make_prefix(lab)
            _prove(lab)
            proven.write_text(pins, encoding="utf-8")
    return lab


if __name__ == "__main__":
    print(set_up(Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else folder()))  # noqa: T201
