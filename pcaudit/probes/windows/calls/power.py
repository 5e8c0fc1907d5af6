"""What Windows answers about power."""

from __future__ import annotations

from typing import NamedTuple


class PowerCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer."""


def live() -> PowerCalls:
    """The calls of this PC."""
    return PowerCalls()
