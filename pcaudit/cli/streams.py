"""The process's own streams: what they take, and what is done when they take no more."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from typing import TextIO


def ready() -> None:
    """UTF-8 into pipes and files; on a terminal whatever it takes, the rest as escapes."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is None:
            continue
        if stream.isatty():
            reconfigure(errors="backslashreplace")
        else:
            reconfigure(encoding="utf-8", errors="backslashreplace")


def hush(stream: TextIO) -> None:
    """Send what a stream still holds nowhere, or Python complains of it when it ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def tell(text: str) -> None:
    """Say something beside the result, on standard error, if anybody listens there."""
    if not sys.stderr:  # closed by whoever started this; print would fall back to the result's stream
        return
    try:
        print(text, file=sys.stderr, flush=True)  # noqa: T201
    except (OSError, ValueError):
        hush(sys.stderr)
