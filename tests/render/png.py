"""Makes pictures of pages smaller: a page has few colours, so each pixel becomes one byte."""

from __future__ import annotations

import struct
import zlib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Final

# PNG, third edition (W3C, 2025): 5.2 signature, 5.3 chunks, 9.2 filters, 11.2.1 colour types.
_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_CHANNELS: Final = {2: 3, 6: 4}
_MOST: Final = 256
"""Colours of a palette."""


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    place = len(_SIGNATURE)
    while place < len(data):
        (length,) = struct.unpack(">I", data[place : place + 4])
        yield data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        place += length + 12


def _paeth(left: int, up: int, corner: int) -> int:
    near = left + up - corner
    return min((left, up, corner), key=lambda one: abs(near - one))


def _unfiltered(line: bytearray, before: bytes, kind: int, step: int) -> bytearray:
    for at in range(len(line) if kind else 0):
        left, corner = (line[at - step], before[at - step]) if at >= step else (0, 0)
        up = before[at]
        add = (0, left, up, (left + up) // 2, _paeth(left, up, corner) if kind == 4 else 0)[kind]
        line[at] = (line[at] + add) & 255
    return line


def pixels(data: bytes) -> tuple[int, list[list[bytes]]]:
    """Width, and the colours of each line, without their opacity."""
    chunks = list(_chunks(data))
    width, height, depth, colour, *_, interlaced = struct.unpack(">IIBBBBB", dict(chunks)[b"IHDR"])
    assert (depth, interlaced) == (8, 0)
    step = _CHANNELS[colour]
    raw = zlib.decompress(b"".join(body for name, body in chunks if name == b"IDAT"))
    size, before, lines = width * step, bytes(width * step), []
    for number in range(height):
        at = number * (size + 1)
        line = _unfiltered(bytearray(raw[at + 1 : at + 1 + size]), before, raw[at], step)
        lines.append([bytes(line[x : x + 3]) for x in range(0, size, step)])
        before = bytes(line)
    return width, lines


def chunk(name: bytes, body: bytes) -> bytes:
    """A chunk, with its length and its check."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def _palette(lines: list[list[bytes]]) -> tuple[list[bytes], dict[bytes, int]]:
    """The most frequent colours, and which of them stands for each colour there is."""
    counts = Counter(pixel for line in lines for pixel in line)
    ranked = sorted(counts, key=lambda one: (-counts[one], one))
    kept = ranked[:_MOST]

    def nearest(pixel: bytes) -> int:
        away = [sum((a - b) ** 2 for a, b in zip(one, pixel, strict=True)) for one in kept]
        return away.index(min(away))

    numbers = {one: number for number, one in enumerate(kept)}
    return kept, numbers | {one: nearest(one) for one in ranked[_MOST:]}


def shrink(path: Path) -> None:
    """Rewrite a picture with a palette of at most 256 colours.

    Args:
        path: A PNG of 8 bits a channel, not interlaced; opaque.
    """
    width, lines = pixels(path.read_bytes())
    colours, number = _palette(lines)
    body = b"".join(b"\0" + bytes(number[pixel] for pixel in line) for line in lines)
    header = struct.pack(">IIBBBBB", width, len(lines), 8, 3, 0, 0, 0)
    path.write_bytes(
        _SIGNATURE
        + chunk(b"IHDR", header)
        + chunk(b"PLTE", b"".join(colours))
        + chunk(b"IDAT", zlib.compress(body, 9))
        + chunk(b"IEND", b"")
    )
