"""What Windows answers about display."""

from __future__ import annotations

from typing import NamedTuple


class DisplayCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer."""


def live() -> DisplayCalls:
    """The calls of this PC."""
    return DisplayCalls()
