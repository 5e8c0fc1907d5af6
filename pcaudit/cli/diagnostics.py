"""Errors as people read them: where, what, the line itself with a mark, what would be right."""

from __future__ import annotations

from typing import Final

from pcaudit.core.visible import visible
from pcaudit.errors import MistakesError, PcauditError, Place

SHOWN: Final = 50
"""Most mistakes told in full: beyond, nobody reads on, and a generated file may have thousands."""


def _where(place: Place) -> str:
    file = "standard input" if place.file == "-" else visible(place.file)
    return f"{file}:{place.line}" if place.line else file


def _marked(place: Place) -> list[str]:
    """The line itself and a mark under the place."""
    if not place.text.strip():
        return []
    before = place.text[: max(place.column - 1, 0)]
    indent = len(before) - len(before.lstrip()) if before else len(place.text) - len(place.text.lstrip())
    shown = visible(place.text.strip(), 160)
    mark = len(visible(before[indent:], 160)) if before else 0
    return [f"    {shown}", f"    {' ' * min(mark, 159)}^"]


def block(place: Place | None, message: str, hint: str) -> list[str]:
    """One thing to say of a file: its place, the line with a mark, what would be right."""
    lead = f"{_where(place)}: " if place is not None else ""
    lines = [f"{lead}{message}"]
    if place is not None:
        lines += _marked(place)
    return [*lines, f"    {hint}"] if hint else lines


def describe(error: PcauditError) -> str:
    """An error as lines for standard error."""
    if not isinstance(error, MistakesError):
        return "\n".join(block(error.place, visible(error.message, 400), visible(error.next_step, 400)))
    lines: list[str] = []
    for mistake in error.mistakes[:SHOWN]:
        key = f"{visible(mistake.key, 120)}: " if mistake.key else ""
        place = mistake.place or Place(error.file)
        lines += block(place, f"{key}{visible(mistake.message, 400)}", visible(mistake.hint, 400))
    more = len(error.mistakes) - SHOWN
    shown = f", the first {SHOWN} shown" if more > 0 else ""
    lines.append(f"{visible(error.message, 400)}{shown}")
    return "\n".join(lines)
