"""Running the utilities of macOS: by full path, in the C locale, for a limited time and output."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Sequence
from typing import Any

LIMIT = 32 << 20
"""Bytes taken of one utility's output at most; no utility a probe runs honestly writes more."""
_CHUNK = 1 << 16


class ToolError(OSError):
    """A utility that is missing, failed, took too long or wrote too much.

    Attributes:
        output: What it had written when it ended by itself, without success.
    """

    def __init__(self, message: str, output: bytes = b"") -> None:
        super().__init__(message)
        self.output = output


def _environment() -> dict[str, str]:
    # SYSTEM_VERSION_COMPAT=0: no stand-in version for programs built long ago (CPython issue 135675).
    fixed = {
        "LC_ALL": "C",
        "LANG": "C",
        "PATH": "/usr/bin:/bin:/usr/sbin:/sbin",
        "SYSTEM_VERSION_COMPAT": "0",
    }
    return fixed | {name: os.environ[name] for name in ("HOME", "USER", "LOGNAME") if name in os.environ}


def _read(descriptor: int, end: float, name: str) -> bytes:
    """Everything a utility writes until it closes its output.

    Raises:
        ToolError: The time is over, or the output is larger than ``LIMIT``.
    """
    import select

    parts: list[bytes] = []
    size = 0
    while True:
        left = end - time.monotonic()
        if left <= 0 or not select.select([descriptor], [], [], left)[0]:
            raise ToolError(f"{name} gave no answer in time")
        chunk = os.read(descriptor, _CHUNK)
        if not chunk:
            return b"".join(parts)
        parts.append(chunk)
        size += len(chunk)
        if size > LIMIT:
            raise ToolError(f"{name} wrote more than {LIMIT} bytes")


def _stop(process: Any) -> None:
    """End a process and all it has started."""
    import contextlib
    import signal

    with contextlib.suppress(OSError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def execute(command: Sequence[str], seconds: float) -> bytes:
    """The standard output of a utility.

    Args:
        command: Its full path and its arguments; no shell sees them.
        seconds: After which it is ended, with every process it has started.

    Raises:
        ToolError: It is missing, failed, took too long or wrote too much.
        PermissionError: The account may not run it.
    """
    import subprocess

    name = command[0]
    end = time.monotonic() + seconds
    try:
        process = subprocess.Popen(  # noqa: S603 (absolute path, fixed arguments)
            list(command),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_environment(),
            cwd="/",
            start_new_session=True,
        )
    except FileNotFoundError as error:
        raise ToolError(f"this system has no {name}") from error
    assert process.stdout is not None
    with process.stdout as pipe:
        try:
            output = _read(pipe.fileno(), end, name)
            status = process.wait(max(0.1, end - time.monotonic()))
        except subprocess.TimeoutExpired as error:
            _stop(process)
            raise ToolError(f"{name} gave no answer in time") from error
        except BaseException:
            _stop(process)
            raise
    if status:
        raise ToolError(f"{name} failed (status {status})", output)
    return output


class _Answer:
    """What one command gave, once it has been run."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.output: bytes | None = None
        self.error: Exception | None = None


def once(run: Callable[[Sequence[str], float], bytes]) -> Callable[[Sequence[str], float], bytes]:
    """Run each command a single time, whichever probes ask for it, and give all of them its answer."""
    answers: dict[tuple[str, ...], _Answer] = {}
    door = threading.Lock()

    def asked(command: Sequence[str], seconds: float) -> bytes:
        with door:
            answer = answers.setdefault(tuple(command), _Answer())
        with answer.lock:
            if answer.output is None and answer.error is None:
                try:
                    answer.output = run(command, seconds)
                except Exception as error:  # whatever it is, every probe that asks gets it
                    answer.error = error
        if answer.error is not None:
            raise answer.error
        assert answer.output is not None
        return answer.output

    return asked
