"""What the stream a result goes to can show."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from typing import Final, TextIO

from pcaudit.render.interface import PLAIN, TRUE_COLOUR, Screen

_WIDEST: Final = 160  # beyond this, lines are too long to read, whatever the window


def _is_terminal(stream: TextIO) -> bool:
    try:
        return stream.isatty()
    except ValueError:  # closed
        return False


def _colours(environ: Mapping[str, str], platform: str) -> int:
    term = environ.get("TERM", "")
    if environ.get("NO_COLOR") or term == "dumb":  # no-color.org: set and not empty
        return 0
    if environ.get("COLORTERM", "").casefold() in ("truecolor", "24bit") or "WT_SESSION" in environ:
        return TRUE_COLOUR
    if "256color" in term:
        return 256
    # An old Windows console prints escape codes as text unless a program has asked it not to.
    return 16 if term and platform != "win32" else 0


def _width(stream: TextIO, environ: Mapping[str, str]) -> int:
    columns = environ.get("COLUMNS", "")
    if columns.isascii() and columns.isdigit() and int(columns[:9]) > 0:
        return int(columns[:9])
    try:
        return os.get_terminal_size(stream.fileno()).columns or PLAIN.width
    except (OSError, ValueError):
        return PLAIN.width


def screen_of(stream: TextIO, environ: Mapping[str, str], platform: str = sys.platform) -> Screen:
    """What ``stream`` can show.

    Args:
        stream: Where the text will be written.
        environ: Environment of the process: ``NO_COLOR``, ``COLUMNS``, ``TERM``, ``COLORTERM``.
        platform: As ``sys.platform`` spells it.

    Returns:
        Plain text at 80 columns, in UTF-8's own characters where the stream takes them, for
        anything that is no terminal.
    """
    encoding = (getattr(stream, "encoding", None) or "").casefold().replace("-", "").replace("_", "")
    drawn = encoding.startswith("utf8")
    if not _is_terminal(stream):
        return PLAIN._replace(width=min(_width(stream, environ), _WIDEST))
    width = min(_width(stream, environ), _WIDEST)
    return Screen(width, _colours(environ, platform), drawn)
