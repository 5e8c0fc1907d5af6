"""Running Windows programs under Wine, each PC in a prefix of its own.

Wine's wineserver, services and explorer inherit the descriptors of the process that starts them, so that
a caller reading a pipe to its end would wait for them: they are started first, with none of the caller's.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final, NamedTuple

WINE: Final = "/usr/lib/wine/wine64"
"""Where Debian's package wine64 puts the loader."""

TIMEOUT: Final = 120.0
"""Seconds a program may take; a probe's longest deadline is a sixth of that."""

_OF_THE_HOST: Final = (
    *("DISPLAY", "WAYLAND_DISPLAY", "PYTHONHOME", "PYTHONSTARTUP", "PYTHONPATH", "PYTHONWARNINGS"),
    "PYTHONDONTWRITEBYTECODE",
    *("COLUMNS", "LINES", "NO_COLOR", "TERM", "COLORTERM", "FORCE_COLOR"),
)


class Done(NamedTuple):
    """What came of a run.

    Attributes:
        code: Exit code, its low 8 bits.
        out: Standard output as written.
        err: Standard error, without what Wine itself says there.
    """

    code: int
    out: bytes
    err: str

    @property
    def text(self) -> str:
        """Standard output, which pcaudit writes in UTF-8 whatever the code page."""
        return self.out.decode("utf-8")


def missing() -> str:
    """Why Windows programs cannot run here; empty where they can."""
    if not os.access(WINE, os.X_OK) or shutil.which("wineserver") is None:
        return "no Wine: apt-get install wine wine64 (as .ci/run does)"
    return ""


def windows_path(path: Path | str) -> str:
    r"""A path of this host as Windows programs see it: Wine shows ``/`` as drive ``Z:``."""
    return "Z:" + str(path).replace("/", "\\")


def _said(err: bytes) -> str:
    lines = err.decode("utf-8", "replace").splitlines(keepends=True)
    # Wine speaks of host devices that it may not read, whatever WINEDEBUG says.
    return "".join(line for line in lines if not line.startswith("wine: "))


class Machine(NamedTuple):
    """One Windows PC.

    Attributes:
        prefix: The folder that is its drives and registry.
        lab: The lab's folder, as ``setup.py`` makes it.
    """

    prefix: Path
    lab: Path

    def environ(self, changes: Mapping[str, str] | None = None) -> dict[str, str]:
        """The environment of its programs: this one's, without what terminals and Pythons set."""
        kept = {name: value for name, value in os.environ.items() if name not in _OF_THE_HOST}
        return {
            **kept,
            "WINEPREFIX": str(self.prefix),
            "WINEARCH": "win64",
            "WINEDEBUG": "-all",
            "WINELOADER": WINE,
            "WINEDLLOVERRIDES": "mscoree,mshtml=;winemenubuilder.exe=;winedbg.exe=",
            # Wine takes host file names by the C library's locale: with C, names outside ASCII break.
            "LC_ALL": "C.UTF-8",
            **(changes or {}),
        }

    def drive(self, path: str) -> Path:
        """Where a path of this PC's drive C: lies on this host."""
        return self.prefix / "drive_c" / path.removeprefix("C:\\").replace("\\", "/")

    def start(self) -> None:
        """Start Wine's background processes."""
        for command in (["wineserver", "-p60"], [WINE, "cmd", "/c", "exit"]):
            self.quietly(command, TIMEOUT)

    def quietly(self, command: list[str], seconds: float) -> int:
        """Run a program with none of the caller's descriptors; its exit code."""
        return subprocess.run(
            command,
            env=self.environ(),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=seconds,
            check=False,
        ).returncode

    def stop(self) -> None:
        """End everything that runs on this PC, and wait until its registry is written."""
        for option in ("-k", "-w"):
            self.quietly(["wineserver", option], TIMEOUT)

    def run(
        self,
        *command: str,
        stdin: bytes = b"",
        cwd: Path | None = None,
        environ: Mapping[str, str] | None = None,
        timeout: float = TIMEOUT,
    ) -> Done:
        """Run a Windows program.

        Args:
            command: The program, as Windows or this host names it, and its arguments.
            stdin: What it reads from standard input.
            cwd: Folder of this host it runs in.
            environ: What differs in its environment.
            timeout: Seconds it may take.

        Raises:
            subprocess.TimeoutExpired: It takes longer; it is then killed.
        """
        done = subprocess.run(
            [WINE, *command],
            input=stdin,
            cwd=cwd,
            env=self.environ(environ),
            capture_output=True,
            timeout=timeout,
            check=False,
        )
        return Done(done.returncode, done.stdout, _said(done.stderr))

    def checkout(self) -> dict[str, str]:
        """What in the environment lets the lab's Python find this checkout and its packages."""
        top = Path(__file__).resolve().parent.parent.parent.parent
        return {
            "PYTHONPATH": f"{windows_path(top)};{windows_path(self.lab / 'fetched' / 'packages')}",
            "PYTHONPYCACHEPREFIX": windows_path(self.lab / "compiled"),
        }

    def python(
        self,
        *arguments: str,
        stdin: bytes = b"",
        cwd: Path | None = None,
        environ: Mapping[str, str] | None = None,
    ) -> Done:
        """Run the lab's Windows Python, which finds this checkout and its packages.

        Its pipes are in the PC's own code page (cp1252), as on a PC where nobody set anything.
        """
        program = str(self.lab / "python" / "python.exe")
        return self.run(
            program, *arguments, stdin=stdin, cwd=cwd, environ={**self.checkout(), **(environ or {})}
        )

    def pcaudit(
        self,
        *arguments: str,
        stdin: bytes = b"",
        cwd: Path | None = None,
        environ: Mapping[str, str] | None = None,
    ) -> Done:
        """Run ``pcaudit`` from this checkout on this PC."""
        return self.python("-m", "pcaudit", *arguments, stdin=stdin, cwd=cwd, environ=environ)


@contextmanager
def machine(prefix: Path, lab: Path) -> Iterator[Machine]:
    """A PC with a prefix copied from the lab's, running until the block ends.

    Args:
        prefix: Where its prefix is made; must not exist.
        lab: The lab's folder.
    """
    shutil.copytree(lab / "prefix", prefix, symlinks=True)
    one = Machine(prefix, lab)
    one.start()
    try:
        yield one
    finally:
        one.stop()
        shutil.rmtree(prefix, ignore_errors=True)
