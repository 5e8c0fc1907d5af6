"""Runs the program as people do, in a process of its own, and says what came of it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, NamedTuple

TOP: Final = Path(__file__).parent.parent.parent
SNAPSHOTS: Final = TOP / "fixtures" / "snapshots"
PROFILES: Final = TOP / "requirements_profiles"

WORKSTATION: Final = str(PROFILES / "acquisition-workstation.toml")
SMALL: Final = str(PROFILES / "small-bench-controller.toml")
FIT: Final = str(SNAPSHOTS / "fit-workstation.json")
TIRED: Final = str(SNAPSHOTS / "tired-desktop.json")
BLIND: Final = str(SNAPSHOTS / "blind-probe.json")
LINUX: Final = str(SNAPSHOTS / "small-linux.json")
DAYS: Final = ("--on", "2026-12-07", "--as-of", "2026-11-26")

PROGRAM: Final = (sys.executable, "-m", "pcaudit")
_OF_THE_TERMINAL: Final = ("COLUMNS", "LINES", "NO_COLOR", "TERM", "COLORTERM", "FORCE_COLOR", "WT_SESSION")


def heed_interrupts() -> None:
    """Let a program that is started hear of Ctrl-C: what a shell runs in the background does not."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


class Done(NamedTuple):
    """What came of a run.

    Attributes:
        code: Exit code.
        out: Standard output.
        err: Standard error.
    """

    code: int
    out: str
    err: str


def environ(**changes: str) -> dict[str, str]:
    """The environment of a run: this one's, without what terminals set, with ``changes``."""
    kept = {name: value for name, value in os.environ.items() if name not in _OF_THE_TERMINAL}
    return {**kept, "PYTHONPATH": str(TOP), **changes}


def pcaudit(*arguments: str, stdin: bytes = b"", cwd: Path = TOP, **changes: str) -> Done:
    """Run the program.

    Args:
        arguments: As on the command line.
        stdin: What it reads from standard input.
        cwd: Where it runs.
        changes: Of its environment.
    """
    done = subprocess.run(
        [*PROGRAM, *arguments],
        input=stdin,
        cwd=cwd,
        env=environ(**changes),
        capture_output=True,
        timeout=120,
    )
    return Done(done.returncode, done.stdout.decode(), done.stderr.decode())


def refused(done: Done, *words: str) -> None:
    """Assert that a run was refused as wrong use: one clear block, and nothing else.

    Args:
        done: The run.
        words: What the block must hold.
    """
    assert done.code == 2, done
    assert done.out == ""
    assert "Traceback" not in done.err
    assert "fault of its own" not in done.err
    lines = done.err.splitlines()
    assert lines and lines[0].strip() and not lines[0].startswith(" ")
    assert "" not in lines
    # One block: what follows its first line is indented under it.
    assert all(line.startswith("    ") for line in lines[1:]), done.err
    for word in words:
        assert word in done.err, done.err


def snapshot(path: str = FIT) -> dict[str, Any]:
    """A fixture's snapshot, to be changed."""
    document: dict[str, Any] = json.loads(Path(path).read_text(encoding="utf-8"))
    return document


def saved(folder: Path, document: Mapping[str, Any], name: str = "snapshot.json") -> str:
    """Write a document as JSON into a folder; its path."""
    path = folder / name
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


def verdicts(report: Mapping[str, Any]) -> dict[str, str]:
    """The verdict of each finding of a report in JSON, by its id."""
    return {finding["id"]: finding["verdict"] for finding in report["findings"]}
