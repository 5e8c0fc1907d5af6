"""What a screen says about itself: the base block of VESA E-EDID, structures 1.3 and 1.4."""

from __future__ import annotations

from math import hypot
from typing import Final, NamedTuple

BLOCK: Final = 128
_HEADER: Final = bytes.fromhex("00ffffffffffff00")
_DESCRIPTORS: Final = (54, 72, 90, 108)
_NAME, _SERIAL = 0xFC, 0xFF
# Sizes that only state a ratio of sides. Common practice, no source.
_RATIOS: Final = {(16, 9), (16, 10), (160, 90), (160, 100), (1600, 900), (1600, 1000)}
_MM_PER_INCH: Final = 25.4


class EdidError(ValueError):
    """Bytes that are no EDID that can be believed; the message says why."""


class Mode(NamedTuple):
    """A timing: pixels, and pictures each second in hertz (fields, where interlaced)."""

    width: int
    height: int
    refresh: float
    interlaced: bool


class Edid(NamedTuple):
    """The base block.

    Attributes:
        vendor: Three letters of the PNP identifier.
        product: Product code of that vendor.
        version: Structure version, such as ``1.3``.
        name: Product name, empty where the screen gives none.
        serial: Serial number as text, empty where the screen gives none.
        size: Width and height of the picture in millimetres; None where the screen gives none or
            two that contradict each other.
        preferred: The preferred timing.
        extensions: Number of blocks that follow; they are not read.
    """

    vendor: str
    product: int
    version: str
    name: str
    serial: str
    size: tuple[int, int] | None
    preferred: Mode | None
    extensions: int

    @property
    def diagonal(self) -> float | None:
        """Diagonal in inches, one decimal, as screens are sold."""
        return round(hypot(*self.size) / _MM_PER_INCH, 1) if self.size else None


def _vendor(data: bytes) -> str:
    word = int.from_bytes(data[8:10], "big")
    letters = (word >> 10 & 31, word >> 5 & 31, word & 31)
    return "".join(chr(64 + letter) for letter in letters) if all(1 <= n <= 26 for n in letters) else ""


def _text(block: bytes) -> str:
    return block[5:18].partition(b"\n")[0].decode("cp437").strip(" \0")


def _descriptor_text(data: bytes, tag: int) -> str:
    for at in _DESCRIPTORS:
        block = data[at : at + 18]
        if block[:3] == b"\0\0\0" and block[3] == tag:
            return _text(block)
    return ""


def _timing(block: bytes) -> tuple[Mode, tuple[int, int]] | None:
    """Mode and millimetres of a detailed timing descriptor, None where it is another one."""
    clock = int.from_bytes(block[:2], "little") * 10_000
    if not clock:
        return None
    width, blank_across = block[2] | (block[4] & 0xF0) << 4, block[3] | (block[4] & 0x0F) << 8
    height, blank_down = block[5] | (block[7] & 0xF0) << 4, block[6] | (block[7] & 0x0F) << 8
    if not width or not height:
        return None
    interlaced = bool(block[17] & 0x80)
    refresh = clock / ((width + blank_across) * (height + blank_down))
    size = block[12] | (block[14] & 0xF0) << 4, block[13] | (block[14] & 0x0F) << 8
    return Mode(width, height * 2 if interlaced else height, round(refresh, 2), interlaced), size


def _size(data: bytes, timed: tuple[int, int]) -> tuple[int, int] | None:
    """The millimetres both places agree on, within the centimetre one of them is rounded to."""
    rough = data[21], data[22]
    timed_good = all(timed) and timed not in _RATIOS
    rough_good = all(rough) and rough not in _RATIOS
    if timed_good and rough_good:
        agree = all(abs(mm - cm * 10) <= 10 for mm, cm in zip(timed, rough, strict=True))
        return timed if agree else None
    if timed_good:
        return timed
    return (rough[0] * 10, rough[1] * 10) if rough_good else None


def decode(data: bytes) -> Edid:
    """Read the base block.

    Args:
        data: The whole EDID; extension blocks may follow and are not read.

    Returns:
        What the base block says.

    Raises:
        EdidError: Too short, wrong header, wrong checksum or a structure other than 1.x.
    """
    if len(data) < BLOCK:
        raise EdidError(f"only {len(data)} bytes")
    base = data[:BLOCK]
    if base[:8] != _HEADER:
        raise EdidError("it does not begin as an EDID does")
    if sum(base) & 0xFF:
        raise EdidError("its checksum is wrong")
    if base[18] != 1:
        raise EdidError(f"its structure {base[18]}.{base[19]} is not known")
    timing = _timing(base[54:72])
    return Edid(
        vendor=_vendor(base),
        product=int.from_bytes(base[10:12], "little"),
        version=f"{base[18]}.{base[19]}",
        name=_descriptor_text(base, _NAME),
        serial=_descriptor_text(base, _SERIAL),
        size=_size(base, timing[1] if timing else (0, 0)),
        preferred=timing[0] if timing else None,
        extensions=base[126],
    )
