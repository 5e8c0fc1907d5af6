"""The wheel installed by pip, pipx and uv: each gives the same command, with what it depends on."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from tests.cli.program import DAYS, TIRED, WORKSTATION, environ, pcaudit
from tests.packaging.built import Built
from tests.packaging.tools import BIN, WHEELS

FROM: Final = ("--no-index", "--find-links", str(WHEELS))
"""No index: what the wheel depends on was fetched when the tools were."""


def _do(*command: str, **changes: str) -> str:
    done = subprocess.run(command, env=environ(**changes), capture_output=True, text=True, timeout=180)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def _pip(wheel: Path, place: Path) -> Path:
    _do(str(BIN / "python"), "-m", "venv", "--without-pip", str(place))
    pip = (str(BIN / "pip"), "--disable-pip-version-check", "--python", str(place / "bin" / "python"))
    _do(*pip, "install", "-q", "--no-compile", *FROM, str(wheel))
    assert "No broken requirements" in _do(*pip, "check")
    return place / "bin"


def _pipx(wheel: Path, place: Path) -> Path:
    changes = {"PIPX_HOME": str(place / "home"), "PIPX_BIN_DIR": str(place / "bin")}
    more = ("--pip-args", " ".join(FROM))
    _do(str(BIN / "pipx"), "install", *more, str(wheel), PIPX_MAN_DIR=str(place / "man"), **changes)
    return place / "bin"


def _uv(wheel: Path, place: Path) -> Path:
    changes = {name: str(place / name) for name in ("UV_TOOL_DIR", "UV_CACHE_DIR", "HOME")}
    command = ("tool", "install", "--offline", "--python", str(BIN / "python"), *FROM, str(wheel))
    _do(str(BIN / "uv"), *command, UV_TOOL_BIN_DIR=str(place / "bin"), **changes)
    return place / "bin"


@pytest.mark.parametrize("install", [_pip, _pipx, _uv], ids=["pip", "pipx", "uv"])
def test_an_installed_wheel_gives_the_command(
    distributions: Built, tmp_path: Path, install: Callable[[Path, Path], Path]
) -> None:
    """After installing ``pcaudit`` runs from anywhere and judges as the checkout does."""
    folder = install(distributions.wheel, tmp_path / "installed")
    assert [path.name for path in folder.glob("pcaudit*")] == ["pcaudit"]
    command = (str(folder / "pcaudit"), "assess", WORKSTATION, TIRED, *DAYS, "--format", "html")
    done = subprocess.run(command, env=environ(PYTHONPATH=""), cwd=tmp_path, capture_output=True, timeout=60)
    assert (done.returncode, done.stderr) == (3, b"")
    assert done.stdout.decode() == pcaudit(*command[1:]).out
