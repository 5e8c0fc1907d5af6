"""How colours look to people: contrast, difference, and the common kinds of colour blindness."""

from __future__ import annotations

import math
from typing import Final

from pcaudit.render.colours import Rgb

Matrix = tuple[tuple[float, float, float], ...]

# Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision
# Deficiency", IEEE Transactions on Visualization and Computer Graphics 15(6), 2009: the matrices
# of severity 1.0, for linear sRGB.
DEFICIENCIES: Final[dict[str, Matrix]] = {
    "none": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
}
# IEC 61966-2-1: linear sRGB to CIE XYZ, and the white point D65.
_XYZ: Final[Matrix] = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_WHITE: Final = (0.95047, 1.0, 1.08883)


def linear(channel: int) -> float:
    """A channel of sRGB in linear light, from 0 to 1."""
    # WCAG 2.2, "relative luminance"; the threshold is that of IEC 61966-2-1.
    value = channel / 255
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def luminance(rgb: Rgb) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""
    red, green, blue = map(linear, rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: Rgb, second: Rgb) -> float:
    """Contrast ratio, as WCAG 2.2 defines it."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _times(matrix: Matrix, vector: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(sum(a * b for a, b in zip(row, vector, strict=True)) for row in matrix)


def _lab(rgb: Rgb, deficiency: str) -> tuple[float, float, float]:
    """A colour as it is seen, in CIE L*a*b* (ISO/CIE 11664-4)."""
    seen = _times(DEFICIENCIES[deficiency], tuple(map(linear, rgb)))
    xyz = _times(_XYZ, tuple(min(max(channel, 0.0), 1.0) for channel in seen))
    x, y, z = (
        ratio ** (1 / 3) if ratio > 216 / 24389 else (24389 / 27 * ratio + 16) / 116
        for ratio in (value / white for value, white in zip(xyz, _WHITE, strict=True))
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def difference(first: Rgb, second: Rgb, deficiency: str) -> float:
    """How far apart two colours are seen (CIE 1976); about 2.3 is just noticeable side by side."""
    return math.dist(_lab(first, deficiency), _lab(second, deficiency))
