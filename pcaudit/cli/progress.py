"""A sign of life while this PC is probed, for somebody who waits at a terminal."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final, TextIO

if TYPE_CHECKING:
    from threading import Event

AFTER: Final = 0.3
"""Seconds before anything is shown: most PCs have answered by then."""

_EVERY: Final = 0.2


def _waits_here(stream: TextIO | None) -> bool:
    """Whether a person sees the stream, and it can take a line back."""
    try:
        return bool(stream) and stream.isatty() and os.environ.get("TERM") != "dumb"  # type: ignore[union-attr]
    except ValueError:  # closed
        return False


def _show(stream: TextIO, done: Event) -> None:
    waited = AFTER
    shown = ""
    try:
        while not done.wait(_EVERY if shown else AFTER):
            shown = f"reading this PC ... {waited:.0f} s"
            stream.write(f"\r{shown}")
            stream.flush()
            waited += _EVERY
        if shown:
            stream.write(f"\r{' ' * len(shown)}\r")
            stream.flush()
    except (OSError, ValueError):  # the terminal went away: nobody waits any more
        return


@contextmanager
def probing(quiet: bool) -> Iterator[None]:
    """Show on standard error that something is going on, once it takes longer than ``AFTER``.

    Nothing is shown without a terminal, on one that cannot take a line back, or when quiet is
    asked; the line is gone before anything else is written.
    """
    stream = sys.stderr
    if quiet or not _waits_here(stream):
        yield
        return
    from threading import Event, Thread

    done = Event()
    thread = Thread(target=_show, args=(stream, done), daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
