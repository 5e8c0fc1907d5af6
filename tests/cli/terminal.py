"""Runs the program under a terminal of its own, as at a keyboard."""

from __future__ import annotations

import os
import select
import subprocess
import time
from collections.abc import Mapping

from tests.cli.program import PROGRAM, TOP, environ

COLOURFUL = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8", "PYTHONUTF8": "1"}


def _drain(controller: int, process: subprocess.Popen[bytes]) -> bytes:
    seen = b""
    until = time.monotonic() + 60
    while time.monotonic() < until:
        if select.select([controller], [], [], 0.1)[0]:
            try:
                piece = os.read(controller, 1 << 16)
            except OSError:  # Linux: the other end is closed
                break
            if not piece:
                break
            seen += piece
        elif process.poll() is not None:
            break
    return seen


def at_a_terminal(
    *arguments: str, columns: int = 80, changes: Mapping[str, str] | None = None
) -> tuple[int, str]:
    """Run the program with a terminal on all three streams.

    Args:
        arguments: As on the command line.
        columns: Width of the terminal.
        changes: Of its environment, over a terminal that shows every colour and UTF-8.

    Returns:
        The exit code and what the screen got, line ends as line feeds.
    """
    import fcntl
    import pty
    import struct
    import termios

    controller, terminal = pty.openpty()
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    process = subprocess.Popen(
        [*PROGRAM, *arguments],
        cwd=TOP,
        env=environ(**{**COLOURFUL, **(changes or {})}),
        stdin=terminal,
        stdout=terminal,
        stderr=terminal,
    )
    os.close(terminal)
    try:
        seen = _drain(controller, process)
        code = process.wait(timeout=60)
    finally:
        os.close(controller)
        process.kill()
    return code, seen.decode().replace("\r\n", "\n")
