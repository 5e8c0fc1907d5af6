"""Where the commands of a guide run: a folder, a day and a PC of the guide's story.

The program itself runs, in this process. Three things are stood in for, because they differ from
run to run: the PC that is probed (a snapshot of ``fixtures/guides``), the clock, and the random
secret of pseudonyms. Digests of records follow from every word of a report, remedies too; in the
pages ``DIGEST-1`` stands for the first eight digits of the first record's, ``DIGEST-2`` for the next.
"""

from __future__ import annotations

import io
import json
import os
import re
import shlex
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, tzinfo
from pathlib import Path
from types import SimpleNamespace
from typing import Any, Final, NamedTuple, cast
from unittest.mock import patch

from pcaudit import app
from pcaudit.cli import options
from pcaudit.cli.main import run
from pcaudit.core.snapshot import from_mapping
from pcaudit.probes.interface import Timing
from pcaudit.probes.windows.all import probes

TOP: Final = Path(__file__).parent.parent.parent.parent
FIXTURES: Final = TOP / "fixtures" / "guides"
SECRET: Final = b"a secret for the guides, not more"
WIDTH: Final = 80

_OF_THE_TERMINAL: Final = ("LINES", "TERM", "COLORTERM", "FORCE_COLOR", "WT_SESSION")
_LONGEST_PROBE: Final = 0.0214


class Ran(NamedTuple):
    """What came of a command: its exit code, and what the screen got."""

    code: int
    text: str


class _Screen(io.TextIOWrapper):
    """A stream that is a terminal, or none."""

    terminal = False

    def isatty(self) -> bool:
        return self.terminal


def _timings() -> tuple[Timing, ...]:
    """The probes of Windows with times of no meaning: no guide may show one."""
    asked = probes(cast("Any", SimpleNamespace()))
    return tuple(
        Timing(probe.name, _LONGEST_PROBE / number, reads=probe.reads)
        for number, probe in enumerate(asked, start=1)
    )


def _taken(file: str, now: datetime) -> Callable[[], app.Taken]:
    def take_snapshot() -> app.Taken:
        document = json.loads((FIXTURES / file).read_text(encoding="utf-8"))
        assert document["taken_at"] == now.isoformat(), f"{file} was not taken at {now.isoformat()}"
        return app.Taken(from_mapping(document), _timings())

    return take_snapshot


@contextmanager
def _stood_in_for(now: datetime, pc: str, folder: Path) -> Iterator[None]:
    """The story's day, PC and folder in place of this one's."""

    class Today(date):
        @classmethod
        def today(cls) -> Today:
            return cls(now.year, now.month, now.day)

    class Clock(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> Clock:
            return cls.fromisoformat(now.isoformat()).astimezone(tz or now.tzinfo)

        def astimezone(self, tz: tzinfo | None = None) -> Clock:
            return super().astimezone(tz or now.tzinfo)

    environ = {name: text for name, text in os.environ.items() if name not in _OF_THE_TERMINAL}
    environ |= {"COLUMNS": str(WIDTH), "NO_COLOR": "1"}
    before = Path.cwd()
    os.chdir(folder)
    try:
        with (
            patch.dict(os.environ, environ, clear=True),
            patch.object(options, "date", Today),
            patch.object(app, "datetime", Clock),
            patch.object(app, "redaction_key", lambda *_: SECRET),
            patch.object(app, "take_snapshot", _taken(pc, now)),
        ):
            yield
    finally:
        os.chdir(before)


def _run(arguments: list[str], terminal: bool) -> Ran:
    screen = io.BytesIO()
    streams = [_Screen(screen, encoding="utf-8", newline="\n", write_through=True) for _ in range(2)]
    for stream in streams:
        stream.terminal = terminal
    with patch.object(sys, "stdout", streams[0]), patch.object(sys, "stderr", streams[1]):
        code = run(arguments)
    text = screen.getvalue().decode("utf-8")
    for stream in streams:
        stream.detach()
    return Ran(code, text)


def _put(lines: list[str], at: int, line: str) -> int:
    """Put a key where its table, which begins at or before a line, has it; and say where that is."""
    key = line.partition(" = ")[0]
    start = max(n for n in range(at + 1) if lines[n].startswith("["))
    rest = range(start + 1, len(lines))
    end = next((n for n in rest if lines[n].removeprefix("#").startswith("[")), len(lines))
    for number in range(start + 1, end):
        if lines[number].removeprefix("#").startswith(f"{key} = "):
            lines[number] = line
            return number
    lines.insert(at + 1, line)
    return at + 1


class Stage:
    """The folder a guide is followed in, and what it is there.

    Attributes:
        folder: With a copy of ``fixtures/guides``.
        now: The moment of the story.
        pc: The snapshot that stands for the PC at hand, a file of ``fixtures/guides``.
    """

    def __init__(self, folder: Path) -> None:
        shutil.copytree(FIXTURES, folder, dirs_exist_ok=True)
        self.folder = folder
        self.now = datetime.fromisoformat("2026-11-27T09:00:00+00:00")
        self.pc = "spare-user.json"
        self._digests: dict[str, str] = {}

    def run(self, command: str, *, terminal: bool = False) -> Ran:
        """Run one command line.

        Args:
            command: Beginning with ``pcaudit``; ``DIGEST-1`` stands in it as in the pages.
            terminal: Whether the program is to see a terminal.

        Returns:
            Exit code and what was printed, with digests of records as the pages show them.

        Raises:
            ValueError: It is another program's command.
        """
        for digest, shown in self._digests.items():
            command = command.replace(shown, digest[:8])
        program, *arguments = shlex.split(command)
        if program != "pcaudit":
            raise ValueError(f"a guide runs pcaudit only, not {command}")
        with _stood_in_for(self.now, self.pc, self.folder):
            done = _run(arguments, terminal)
        self._note_records()
        return done._replace(text=self._shown(done.text))

    def _note_records(self) -> None:
        for path in sorted(self.folder.glob("**/*.record.json"), key=lambda one: one.stat().st_mtime_ns):
            digest = path.name.removesuffix(".record.json").rpartition("_")[2]
            known = {one[:8] for one in self._digests}
            if digest not in known:
                whole = json.loads(path.read_text(encoding="utf-8"))["digest"]
                self._digests[whole] = f"DIGEST-{len(self._digests) + 1}"

    def _shown(self, text: str) -> str:
        for digest, shown in self._digests.items():
            text = re.sub(digest, f"{shown}...", text).replace(digest[:8], shown)
        return text

    def append(self, file: str, text: str) -> None:
        """Add lines to the end of a file."""
        path = self.folder / file
        path.write_text(f"{path.read_text(encoding='utf-8')}\n{text}", encoding="utf-8", newline="\n")

    def write(self, file: str, text: str) -> None:
        """Write a file that is not there yet.

        Raises:
            ValueError: It is there.
        """
        path = self.folder / file
        if path.exists():
            raise ValueError(f"{file} is there already")
        path.write_text(text, encoding="utf-8", newline="\n")

    def uncomment(self, file: str, text: str) -> None:
        """Take the ``#`` away before each of some lines, which stand in the file in that order.

        Raises:
            ValueError: A line is not there.
        """
        path = self.folder / file
        lines, at = path.read_text(encoding="utf-8").splitlines(), 0
        for line in filter(None, text.splitlines()):
            at = lines.index(f"#{line}", at)
            lines[at] = line
        path.write_text("\n".join([*lines, ""]), encoding="utf-8", newline="\n")

    def fill(self, file: str, text: str) -> None:
        """Put values into a worksheet: into blanks and examples, else below what was put in last.

        Raises:
            ValueError: It has no such table, not even as an example.
        """
        path = self.folder / file
        lines, at = path.read_text(encoding="utf-8").splitlines(), 0
        for line in filter(None, text.splitlines()):
            if line.startswith("["):
                at = next((n for n, one in enumerate(lines) if one.removeprefix("#") == line), -1)
                if at < 0:
                    raise ValueError(f"there is no table {line} in {file}")
                lines[at] = line
            else:
                at = _put(lines, at, line)
        path.write_text("\n".join([*lines, ""]), encoding="utf-8", newline="\n")

    def replace(self, file: str, old: str, new: str) -> None:
        """Put other words in the place of some that stand once in a file.

        Raises:
            ValueError: They do not stand in it once.
        """
        for digest, shown in self._digests.items():
            file = file.replace(shown, digest[:8])
        path = self.folder / file
        text = path.read_text(encoding="utf-8")
        if text.count(old) != 1:
            raise ValueError(f"{old!r} stands {text.count(old)} times in {file}")
        path.write_text(text.replace(old, new), encoding="utf-8", newline="")

    def copy(self, source: str, target: str) -> None:
        """Copy a folder."""
        shutil.copytree(self.folder / source, self.folder / target)
