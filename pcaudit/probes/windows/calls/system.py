"""What Windows answers about system."""

from __future__ import annotations

from typing import NamedTuple


class SystemCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer."""


def live() -> SystemCalls:
    """The calls of this PC."""
    return SystemCalls()
