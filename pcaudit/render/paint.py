"""Painting text for terminals that show colours."""

from __future__ import annotations

from typing import Any

from pcaudit.core.report import Verdict
from pcaudit.render.colours import VERDICTS
from pcaudit.render.interface import TRUE_COLOUR
from pcaudit.render.layout import Paint, Style


def _plain(text: str, _style: Style) -> str:
    return text


def painter(colours: int) -> Paint:
    """How to paint for a terminal.

    Args:
        colours: How many colours it shows. With none nothing is painted; with fewer than 256
            only bold and faint are used, since the nearest of 16 may be a traffic light's.
    """
    if not colours:
        return _plain
    from rich.color import Color, ColorSystem
    from rich.style import Style as Look

    system = ColorSystem.TRUECOLOR if colours >= TRUE_COLOUR else ColorSystem.EIGHT_BIT
    looks: dict[Any, Look] = {"strong": Look(bold=True), "quiet": Look(dim=True)}
    for verdict, rgb in VERDICTS.items():
        colour = Color.from_rgb(*rgb) if colours >= 256 else None
        looks[verdict] = Look(color=colour, bold=verdict in (Verdict.UNMET, Verdict.UNVERIFIED) or None)

    def paint(text: str, style: Style) -> str:
        look = looks.get(style)
        return text if look is None else look.render(text, color_system=system)

    return paint
