"""Laying out text in columns: folding, padding, painting.

Tables of a general library measure every cell several times over; a report is a few fixed
columns, and laying those out directly takes a tenth of the time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from pcaudit.core import units
from pcaudit.core.report import Verdict
from pcaudit.render import gauge
from pcaudit.render.interface import Screen

NARROWEST: Final = 40
"""Columns below which nothing sensible can be laid out."""

VERDICT: Final = (gauge.WIDTH, 10)
"""Widths of the columns for a verdict's mark and word; only "does not apply" folds."""

_UNITS: Final = frozenset(
    unit
    for kind in (units.MEMORY, units.STORAGE, units.FREQUENCY, units.TRANSFER, units.LINK, units.DURATION)
    for unit in (*kind.shown, *kind.also)
) | {"mm", "m", "kg", "V", "A", "Ah", "VA", "W", "kW", "BTU/h", "%", "°C"}

Style = Verdict | str
"""A verdict's colour, ``"strong"``, ``"quiet"`` or ``""``."""

Paint = Callable[[str, Style], str]


class Cell(NamedTuple):
    """Text of one column of a row.

    Attributes:
        text: Without escape codes.
        style: How it is painted.
        whole: It fills its column exactly and is not folded.
    """

    text: str
    style: Style = ""
    whole: bool = False

    def lines(self, width: int) -> list[str]:
        """Its text folded to a column of ``width``."""
        return [self.text] if self.whole else fold(self.text, width)


def cells(text: str) -> int:
    """Columns a text takes on a terminal."""
    # Below U+0300, the first combining mark, every printable character takes one column.
    if text.isascii() or max(text) < "\u0300":
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def _cut(word: str, width: int) -> list[str]:
    """A word too wide for a column, in pieces that fit."""
    if word.isascii():
        return [word[i : i + width] for i in range(0, len(word), width)]
    pieces, piece, used = [], "", 0
    for character in word:
        size = cells(character)
        if used + size > width and piece:
            pieces.append(piece)
            piece, used = "", 0
        piece += character
        used += size
    return [*pieces, piece]


def _words(text: str) -> list[str]:
    """The words of a text; a number and its unit are one word."""
    words: list[str] = []
    for word in text.split():
        if words and words[-1].replace(".", "", 1).lstrip("(").isdigit() and word.rstrip(",;:.)") in _UNITS:
            words[-1] = f"{words[-1]} {word}"
        else:
            words.append(word)
    return words


def fold(text: str, width: int) -> list[str]:
    """Text in lines of at most ``width`` columns, broken at spaces, in long words where it must be.

    Nothing is left out but white space at the breaks. A number stays with its unit.

    Args:
        text: Any text without escape codes; runs of white space count as one space.
        width: At least 2.

    Returns:
        At least one line.
    """
    if len(text) <= width and text.isascii() and text.isprintable():
        return [text]
    lines: list[str] = []
    line, used = "", 0
    for word in _words(text):
        size = cells(word)
        if line and used + 1 + size <= width:
            line, used = f"{line} {word}", used + 1 + size
            continue
        if line:
            lines.append(line)
        if size > width:
            *whole, word = _cut(word, width)
            lines += whole
            size = cells(word)
        line, used = word, size
    return [*lines, line]


class Page:
    """Lines of text, growing downwards.

    Args:
        screen: What it is laid out for.
        paint: Gives a piece of text the look of a style.
    """

    def __init__(self, screen: Screen, paint: Paint) -> None:
        self.width = max(screen.width, NARROWEST)
        self.drawn = screen.unicode
        self._paint = paint
        self._lines: list[str] = []

    def blank(self) -> None:
        """An empty line."""
        self._lines.append("")

    def heading(self, title: str) -> None:
        """The title of a section, in a rule across the page."""
        dash = "\u2500" if self.drawn else "-"
        rest = self.width - cells(title) - 4
        self._lines += ["", self._paint(f"{dash * 2} {title} {dash * rest}", "strong")]

    def row(self, columns: Sequence[Cell], widths: Sequence[int], indent: int = 0) -> None:
        """Columns side by side, two spaces apart, each folded within its width.

        Args:
            columns: Texts, left to right.
            widths: Columns each may take, as many as there are texts.
            indent: Empty columns before the first.
        """
        folded = [cell.lines(width) for cell, width in zip(columns, widths, strict=True)]
        for number in range(max(map(len, folded))):
            line, pending = "", " " * indent
            for cell, width, lines in zip(columns, widths, folded, strict=True):
                piece = lines[number] if number < len(lines) else ""
                if piece:
                    line += pending + self._paint(piece, cell.style)
                    pending = ""
                pending += "  " if cell.whole and piece else " " * (width - cells(piece) + 2)
            self._lines.append(line)

    def text(self, text: str, style: Style = "", indent: int = 0) -> None:
        """A paragraph."""
        self.row([Cell(text, style)], [self.width - indent], indent)

    def lines(self, lines: Sequence[str]) -> None:
        """Lines that are laid out already."""
        self._lines += lines

    def labelled(self, label: str, text: str, width: int = 16, indent: int = 0) -> None:
        """A paragraph beside its label."""
        cells_ = [Cell(label, "quiet"), Cell(text)]
        self.row(cells_, [width, self.width - width - 2 - indent], indent)

    def item(self, text: str, indent: int = 2) -> None:
        """One entry of a list."""
        self.row([Cell("-"), Cell(text)], [1, self.width - indent - 3], indent)

    def verdict(self, verdict: Verdict) -> tuple[Cell, Cell]:
        """A verdict's mark and word, for columns of ``VERDICT`` widths."""
        return Cell(gauge.mark(verdict, self.drawn), verdict, True), Cell(verdict.value, verdict)

    def __str__(self) -> str:
        return "\n".join(line.rstrip() for line in self._lines) + "\n"
