"""The identification of a screen (EDID base block), built from VESA E-EDID 1.4, section 3.

Nothing of the probe's own decoder is used here: what one writes the other must read.
"""

from __future__ import annotations

import struct

_REFRESH = 60
_BLANK = 160  # VESA CVT 1.2, reduced blanking: 160 pixels, 48 of front porch, 32 of synchronisation
_FRONT, _SYNC = 48, 32
_V_FRONT, _V_SYNC, _LEAST_BLANK_US = 3, 6, 460


def _timing(width: int, height: int, wide_mm: int, high_mm: int) -> bytes:
    """The preferred detailed timing descriptor (section 3.10.2)."""
    line_us = (1e6 / _REFRESH - _LEAST_BLANK_US) / height
    blank = int(_LEAST_BLANK_US / line_us) + 1
    clock = int((width + _BLANK) * (height + blank) * _REFRESH / 1e4 / 25) * 25
    return struct.pack(
        "<HBBBBBBBBBBBBBBBB",
        clock,
        width & 255,
        _BLANK & 255,
        (width >> 8) << 4 | _BLANK >> 8,
        height & 255,
        blank & 255,
        (height >> 8) << 4 | blank >> 8,
        _FRONT,
        _SYNC,
        _V_FRONT << 4 | _V_SYNC,
        0,
        wide_mm & 255,
        high_mm & 255,
        (wide_mm >> 8) << 4 | high_mm >> 8,
        0,
        0,
        0x1A,
    )


def _text(tag: int, text: str) -> bytes:
    return bytes([0, 0, 0, tag, 0]) + (text.encode("ascii") + b"\n").ljust(13)[:13]


def block(width: int, height: int, wide_mm: int, high_mm: int, name: str) -> bytes:
    """128 bytes for a screen of maker EXW.

    Args:
        width: Native width in pixels, at 60 Hz.
        height: Native height in pixels.
        wide_mm: Width of its picture in millimetres.
        high_mm: Height of it.
        name: At most 12 ASCII characters.
    """
    maker = 0
    for letter in "EXW":
        maker = maker << 5 | ord(letter) - 64
    out = b"\0\xff\xff\xff\xff\xff\xff\0" + struct.pack(">H", maker) + struct.pack("<HIBB", 1, 0, 10, 31)
    out += bytes([1, 4, 0xA5, (wide_mm + 5) // 10, (high_mm + 5) // 10, 120, 0x06])
    out += bytes([0xEE, 0x91, 0xA3, 0x54, 0x4C, 0x99, 0x26, 0x0F, 0x50, 0x54, 0x21, 0x08, 0x00])
    out += bytes([1, 1] * 8) + _timing(width, height, wide_mm, high_mm) + _text(0xFC, name)
    out += bytes([0, 0, 0, 0xFD, 0, 48, 75, 30, 160, 60, 1, 10]) + b" " * 6
    out += bytes([0, 0, 0, 0x10, 0]) + bytes(13) + b"\0"
    return out + bytes([-sum(out) & 255])
