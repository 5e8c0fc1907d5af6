"""Sizes in words, never to the flattering side."""

from __future__ import annotations

from math import ceil
from typing import Final

from pcaudit.core.units import STORAGE, show

SI_NOTE: Final = "GB and TB are 10^9 and 10^12 bytes."
"""What a table of short sizes must say."""


def _rounded(size: int, down: bool) -> int:
    """To a tenth of the unit it is shown in."""
    for unit in STORAGE.shown:
        factor = STORAGE.factor(unit)
        if size >= factor:
            tenths = size * 10 // factor if down else ceil(size * 10 / factor)
            return int(tenths * factor / 10) if factor > 1 else size
    return size


def size_text(size: int, down: bool = False) -> str:
    """A size, in both ways of counting: what is needed rounded up, with ``down`` what is there down."""
    return show(_rounded(size, down), STORAGE)


def short_size(size: int, down: bool = False) -> str:
    """A size for a table: SI units alone, rounded as in ``size_text``."""
    return size_text(size, down).partition(" (")[0]
