"""Pictures made smaller: they show what they showed."""

from __future__ import annotations

import struct
import zlib
from itertools import pairwise
from pathlib import Path

import pytest

from tests.render.png import chunk, pixels, shrink

WIDTH, HEIGHT = 5, 4
# PNG, third edition (W3C, 2025), 9.2: filters 0 to 4.
_LINES = [[(9, 8, 7), (9, 8, 8), (0, 0, 0), (255, 255, 255), (1, 2, 3)]] * HEIGHT


def _filtered(kind: int) -> bytes:
    """The lines as bytes, each but the first filtered."""
    raw = [bytes(channel for pixel in line for channel in pixel) for line in _LINES]
    out = b"\0" + raw[0]
    for before, line in pairwise(raw):
        out += bytes([kind])
        for at, one in enumerate(line):
            left, corner = (line[at - 3], before[at - 3]) if at >= 3 else (0, 0)
            up = before[at]
            # Lines are alike, so the corner is the left one and Paeth's guess is the one above.
            guess = {0: 0, 1: left, 2: up, 3: (left + up) // 2, 4: up}[kind]
            assert corner == left
            out += bytes([(one - guess) % 256])
    return out


@pytest.mark.parametrize("kind", range(5))
def test_few_colours_stay_as_they_are(tmp_path: Path, kind: int) -> None:
    """A picture of no more than 256 colours keeps each pixel, however its lines were filtered."""
    path = tmp_path / "p.png"
    header = struct.pack(">IIBBBBB", WIDTH, HEIGHT, 8, 2, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(_filtered(kind)))
        + chunk(b"IEND", b"")
    )
    assert pixels(path.read_bytes())[1] == [[bytes(pixel) for pixel in line] for line in _LINES]
    shrink(path)
    data = path.read_bytes()
    colours = data[data.index(b"PLTE") + 4 :]
    body = zlib.decompress(data[data.index(b"IDAT") + 4 :])
    shown = [
        [colours[3 * n : 3 * n + 3] for n in body[y * (WIDTH + 1) + 1 : (y + 1) * (WIDTH + 1)]]
        for y in range(HEIGHT)
    ]
    assert shown == [[bytes(pixel) for pixel in line] for line in _LINES]
