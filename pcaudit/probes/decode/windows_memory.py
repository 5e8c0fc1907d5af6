"""MEMORYSTATUSEX (Win32 documentation, sysinfoapi.h)."""

from __future__ import annotations

import struct

_SIZE = 64
_TOTAL_PHYSICAL = 8  # DWORDLONG ullTotalPhys


def total(status: bytes) -> int:
    """Physical memory Windows can use, in bytes.

    Raises:
        ValueError: The structure is too short, or holds none.
    """
    if len(status) < _SIZE:
        raise ValueError(f"GlobalMemoryStatusEx gave {len(status)} bytes, not {_SIZE}")
    (amount,) = struct.unpack_from("<Q", status, _TOTAL_PHYSICAL)
    if not amount:
        raise ValueError("GlobalMemoryStatusEx gave no memory at all")
    return int(amount)
