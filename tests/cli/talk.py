"""Somebody who types at a terminal that the program runs at."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path

from tests.cli.program import PROGRAM, TOP, environ, heed_interrupts


class Talk:
    """The program at a terminal, with somebody who types."""

    def __init__(self, *arguments: str, cwd: Path) -> None:
        import pty

        self._controller, terminal = pty.openpty()
        self.process = subprocess.Popen(
            [*PROGRAM, *arguments],
            cwd=cwd,
            env=environ(TERM="dumb", PYTHONPATH=str(TOP)),
            stdin=terminal,
            stdout=terminal,
            stderr=terminal,
            start_new_session=True,
            preexec_fn=heed_interrupts,
        )
        os.close(terminal)
        self.seen = ""

    def wait_for(self, words: str) -> None:
        """Read on until the screen shows some words that it did not before."""
        start, until = len(self.seen), time.monotonic() + 120
        while words not in self.seen[start:]:
            assert time.monotonic() < until, self.seen
            if not self._read():
                raise AssertionError(self.seen)

    def _read(self) -> bool:
        ended = self.process.poll() is not None
        if not select.select([self._controller], [], [], 0.1)[0]:
            return not ended
        try:
            piece = os.read(self._controller, 1 << 16).decode().replace("\r\n", "\n")
        except OSError:  # Linux: the other end is closed
            return False
        self.seen += piece
        return bool(piece)

    def type(self, text: str) -> None:
        """Type something, Enter behind it."""
        os.write(self._controller, f"{text}\n".encode())

    def interrupt(self) -> None:
        """Send what Ctrl-C sends, again where it came just before the program waited for a line."""
        for _ in range(5):
            self.process.send_signal(signal.SIGINT)
            until = time.monotonic() + 2
            while time.monotonic() < until:
                if not self._read():
                    return

    def end(self) -> int:
        """Read to the end; the exit code."""
        until = time.monotonic() + 120
        try:
            while self._read():
                assert time.monotonic() < until, self.seen
            return self.process.wait(timeout=30)
        finally:
            os.close(self._controller)
            self.process.kill()


def converse(talk: Talk, turns: Sequence[tuple[str, str]]) -> None:
    """Wait for each prompt and type the answer to it."""
    for prompt, answer in turns:
        talk.wait_for(prompt)
        talk.type(answer)
