"""SMBIOS tables made by hand, by the offsets of DMTF DSP0134."""

from __future__ import annotations

import struct

END = b"\x7f\x04\xff\xff\0\0"
"""The end-of-table structure, type 127."""


def structure(kind: int, handle: int, area: bytes, *strings: str) -> bytes:
    """One structure: header, formatted area behind it, strings, two zeros."""
    texts = b"".join(text.encode() + b"\0" for text in strings) + b"\0" if strings else b"\0\0"
    return struct.pack("<BBH", kind, 4 + len(area), handle) + area + texts


def array(handle: int = 0x1000, use: int = 3, correction: int = 3, devices: int = 4) -> bytes:
    """A type 16 structure: system memory on the board, without error correction by default."""
    return structure(16, handle, struct.pack("<BBBIHH", 3, use, correction, 0x0400_0000, 0xFFFE, devices))


def device(
    size: int,
    *,
    handle: int = 0x1100,
    array_handle: int = 0x1000,
    extended: int = 0,
    form: int = 9,
    kind: int = 0x1A,
    total_width: int = 64,
    data_width: int = 64,
    speed: int = 3200,
    configured: int = 2933,
    technology: int = 3,
    length: int = 0x29,
) -> bytes:
    """A type 17 structure: a DDR4 DIMM by default, cut to ``length`` bytes."""
    area = struct.pack("<HHHHH", array_handle, 0xFFFE, total_width, data_width, size)
    area += struct.pack("<BBBBBHH", form, 0, 1, 0, kind, 0, speed)
    area += struct.pack("<BBBBB", 0, 0, 0, 0, 0)
    area += struct.pack("<IHHHHB", extended, configured, 0, 0, 0, technology)
    return structure(17, handle, area[: length - 4], "DIMM A1")


def dump(table: bytes) -> bytes:
    """A file ``dmidecode --from-dump`` reads: a 64-bit entry point, then the table."""
    entry = struct.pack("<5sBBBBBBBIQ", b"_SM3_", 0, 24, 3, 3, 0, 1, 0, len(table), 32)
    entry = entry[:5] + bytes([-sum(entry) & 0xFF]) + entry[6:]
    return entry.ljust(32, b"\0") + table
