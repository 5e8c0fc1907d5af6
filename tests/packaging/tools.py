"""Build and install tools and Ansible in an environment of their own, and the wheels pcaudit needs.

    python3 -m tests.packaging.tools

puts them into ``$PCAUDIT_PACKAGING_TOOLS``, else ``~/.cache/pcaudit-packaging``, unless they are there. Tests
look for them there and fetch nothing. Because of their size, 125 MB, the test extra does not ask for them.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Final

TOP: Final = Path(__file__).resolve().parent.parent.parent
FOLDER: Final = Path(
    os.environ.get("PCAUDIT_PACKAGING_TOOLS") or Path.home() / ".cache" / "pcaudit-packaging"
)
BIN: Final = FOLDER / "venv" / "bin"
WHEELS: Final = FOLDER / "wheels"

_PINS: Final = TOP / ".ci" / "packaging" / "tools.txt"
_STAMP: Final = FOLDER / "made-from"


def _wanted() -> str:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return "\n".join([_PINS.read_text(encoding="utf-8"), *project["dependencies"]])


def missing() -> str:
    """Why the tools cannot be used, for the reason of a skipped test; empty where they can."""
    if _STAMP.is_file() and _STAMP.read_text(encoding="utf-8") == _wanted():
        return ""
    return f"{FOLDER} is not set up: python3 -m tests.packaging.tools"


def set_up() -> None:
    """Fetch everything anew, unless it is there.

    Raises:
        CalledProcessError: pip cannot get it.
    """
    if not missing():
        return
    for made in (BIN.parent, WHEELS):
        shutil.rmtree(made, ignore_errors=True)
    subprocess.run([sys.executable, "-m", "venv", str(BIN.parent)], check=True)
    pip = [str(BIN / "pip"), "--disable-pip-version-check", "-q"]
    subprocess.run([*pip, "install", "-r", str(_PINS)], check=True)
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    subprocess.run([*pip, "download", "-d", str(WHEELS), *project["dependencies"]], check=True)
    _STAMP.write_text(_wanted(), encoding="utf-8")


if __name__ == "__main__":
    set_up()
