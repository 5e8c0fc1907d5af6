"""What Windows answers about storage."""

from __future__ import annotations

from typing import NamedTuple


class StorageCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer."""


def live() -> StorageCalls:
    """The calls of this PC."""
    return StorageCalls()
