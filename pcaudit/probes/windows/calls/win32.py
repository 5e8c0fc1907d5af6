"""Reaching functions of the Windows API that may not be there, and telling why they fail."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache
from threading import Lock
from typing import Any, Final, TypeVar

ERROR_ACCESS_DENIED: Final = 5
ERROR_INSUFFICIENT_BUFFER: Final = 122
ERROR_MORE_DATA: Final = 234
_LARGEST: Final = 16 << 20


Kind = TypeVar("Kind")


class NoAnswerError(OSError):
    """Windows gave no answer; the text says which function and why."""


@cache
def _loaded(library: str) -> Any:
    load_from_system32 = 0x00000800  # LoadLibraryEx: LOAD_LIBRARY_SEARCH_SYSTEM32
    return getattr(ctypes, "WinDLL")(f"{library}.dll", use_last_error=True, winmode=load_from_system32)  # noqa: B009


@cache  # asked for hundreds of times, and each time would load the library anew
def function(library: str, name: str, result: Any, *arguments: Any) -> Callable[..., Any]:
    """A function of a Windows library.

    Args:
        library: Such as ``"kernel32"``; loaded from the system folder only, so that a file of that
            name in another folder is never run.
        name: Of the function.
        result: ctypes type of what it returns.
        arguments: ctypes types of its arguments.

    Raises:
        NoAnswerError: This Windows has no such library or function.
    """
    try:
        # By index each caller has a function of its own: its types are not another's.
        found: Callable[..., Any] = _loaded(library)[name]
    except (OSError, AttributeError) as error:
        raise NoAnswerError(f"this Windows has no {name} ({library}.dll)") from error
    found.restype = result  # type: ignore[attr-defined]
    found.argtypes = arguments  # type: ignore[attr-defined]
    return found


def once(ask: Callable[[], Kind]) -> Callable[[], Kind]:
    """A question that several probes ask, asked of Windows once; whoever asks meanwhile waits for its answer.

    Args:
        ask: The question. Where it raises, the next one asks again.
    """
    lock = Lock()
    answers: list[Kind] = []

    def answer() -> Kind:
        with lock:
            if not answers:
                answers.append(ask())
            return answers[0]

    return answer


def last_error() -> int:
    """The code Windows left for the last call made through ``function``."""
    code: int = getattr(ctypes, "get_last_error")()  # noqa: B009
    return code


def failed(name: str, code: int) -> OSError:
    """The error to raise for a code of winerror.h."""
    if code == ERROR_ACCESS_DENIED:
        return PermissionError(13, f"{name}: access denied")
    return NoAnswerError(f"{name} failed with Windows error {code}")


def filled(name: str, call: Callable[[Any, int], int], size: int = 4096) -> bytes:
    """The bytes a call writes into a buffer, which is enlarged while Windows asks for more.

    Args:
        name: Of the function, for messages.
        call: Takes a buffer and its size; returns the number of bytes wanted or written, or a
            negative Windows error code.
        size: Of the first buffer.

    Raises:
        PermissionError, NoAnswerError: It fails, or asks for more than 16 MiB.
    """
    while size <= _LARGEST:
        buffer = ctypes.create_string_buffer(size)
        wanted = call(buffer, size)
        if wanted < 0:
            raise failed(name, -wanted)
        if wanted <= size:
            return buffer.raw[:wanted]
        size = wanted
    raise NoAnswerError(f"{name} asks for {size} bytes")
