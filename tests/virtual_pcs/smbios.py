"""SMBIOS structures for a virtual PC, built from DMTF DSP0134 3.x, sections 7.1 to 7.18.

Nothing of the probe's own decoder is used here: what one writes the other must read.
"""

from __future__ import annotations

import struct
from typing import Final

GIB: Final = 1 << 30
EMPTY: Final = 0
"""Size of a slot with nothing in it."""

DESKTOP, LAPTOP, NOTEBOOK, RACK = 3, 9, 10, 23  # DSP0134 table 17
DDR3, DDR4, DDR5 = 0x18, 0x1A, 0x22  # DSP0134 table 77
NO_ECC, SINGLE_BIT_ECC = 3, 5  # DSP0134 table 73


class _Structure:
    """The fixed part of one structure and the texts behind it."""

    def __init__(self, kind: int, handle: int) -> None:
        self.kind = kind
        self.handle = handle
        self.body = b""
        self.texts: list[bytes] = []

    def text(self, text: str) -> int:
        if not text:
            return 0
        self.texts.append(text.encode())
        return len(self.texts)

    def add(self, layout: str, *values: int | bytes) -> None:
        self.body += struct.pack(f"<{layout}", *values)

    def data(self) -> bytes:
        tail = b"".join(text + b"\0" for text in self.texts) + b"\0" if self.texts else b"\0\0"
        return struct.pack("<BBH", self.kind, 4 + len(self.body), self.handle) + self.body + tail


def firmware(vendor: str, version: str, date: str) -> bytes:
    """Type 0: the firmware; ``date`` as it is written there, MM/DD/YYYY."""
    out = _Structure(0, 0x000)
    out.add("BBHB", out.text(vendor), out.text(version), 0xE800, out.text(date))
    out.add("BQBB", 0xFF, 1 << 7 | 1 << 11 | 1 << 15 | 1 << 16, 0x03, 0x04)
    out.add("BBBB", 1, 0, 255, 255)
    return out.data()


def system(manufacturer: str, product: str, serial: str) -> bytes:
    """Type 1: the PC."""
    out = _Structure(1, 0x100)
    out.add("BBBB", out.text(manufacturer), out.text(product), out.text("A"), out.text(serial))
    out.add("16sBBB", bytes(range(1, 17)), 6, 0, 0)
    return out.data()


def board(manufacturer: str, product: str) -> bytes:
    """Type 2: its main board."""
    out = _Structure(2, 0x200)
    out.add("BBBBBB", out.text(manufacturer), out.text(product), 0, 0, 0, 0x09)
    out.add("BHBB", 0, 0x300, 10, 0)
    return out.data()


def chassis(manufacturer: str, kind: int, serial: str) -> bytes:
    """Type 3: its case; ``kind`` by DSP0134 table 17."""
    out = _Structure(3, 0x300)
    out.add("BBBBB", out.text(manufacturer), kind, 0, out.text(serial), 0)
    out.add("BBBBIBBBBB", 3, 3, 3, 3, 0, 0, 1, 0, 0, 0)
    return out.data()


def memory_array(slots: int, most: int, ecc: int = NO_ECC) -> bytes:
    """Type 16: how many modules and how many bytes the board takes."""
    out = _Structure(16, 0x1000)
    out.add("BBBIHH", 3, 3, ecc, most >> 10, 0xFFFE, slots)
    out.add("Q", 0)
    return out.data()


def module(
    slot: int, size: int, kind: int = DDR4, speed: int = 0, configured: int = 0, check_bits: int = 0
) -> bytes:
    """Type 17: one slot; size in bytes, speeds in MT/s, bits that check errors beside 64 of data."""
    out = _Structure(17, 0x1100 + slot)
    width = 64 if size else 0xFFFF
    megabytes = size >> 20
    out.add("HHHH", 0x1000, 0xFFFE, width + check_bits, width)
    out.add("HBB", min(megabytes, 0x7FFF), 9, 0)
    out.add("BB", out.text(f"DIMM{slot + 1}"), out.text("BANK"))
    out.add("BH", kind if size else 2, 1 << 7 if size else 1 << 2)
    out.add("HBBBB", speed, out.text("Example" if size else ""), 0, 0, 0)
    out.add("BIH", 1 if size else 0, megabytes if megabytes >= 0x7FFF else 0, configured)
    out.add("HHH", 0, 0, 0)
    return out.data()
