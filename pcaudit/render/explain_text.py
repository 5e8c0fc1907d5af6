"""An explained profile as text: a page to be held against paper, ticked off and signed."""

from __future__ import annotations

from typing import Final

from pcaudit.core.explain import Explanation, Row, Section
from pcaudit.core.explain_rows import Note, Way
from pcaudit.core.explain_sources import Fact, SourceFile
from pcaudit.core.visible import visible
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell, Page
from pcaudit.render.paint import painter

_WHOLE: Final = 1 << 24
"""Nothing is cut: a file has at most 1 MiB, and no character is shown by more than ten."""

_BOX: Final = "[ ]"
_LABEL: Final = 3


def _safe(text: str) -> str:
    return visible(text, _WHOLE)


def _place(profile: str, line: int, several: bool) -> str:
    if not several:
        return f"line {line}"
    name = "standard input" if profile == "-" else profile
    return f"{_safe(name)}:{line}"


class _Paper:
    """Draws the page.

    Args:
        explanation: What is on it.
        screen: What it is laid out for.
    """

    def __init__(self, explanation: Explanation, screen: Screen) -> None:
        self._said = explanation
        self._page = Page(screen, painter(screen.colours))
        self._several = len(explanation.files) > 1
        rows = sum(len(section.rows) for section in explanation.sections)
        self._digits = len(str(rows))
        self._indent = self._digits + len(_BOX) + 4

    def draw(self) -> str:
        """The whole page."""
        self._head()
        for section in self._said.sections:
            self._section(section)
        self._files()
        self._signature()
        return str(self._page)

    def _head(self) -> None:
        page = self._page
        page.text(_safe(self._said.title), "strong")
        page.text(f"Requirements profile in sentences: {self._said.counts}")
        page.blank()
        own = self._said.files[0]
        page.labelled("file", _safe("standard input" if own.path == "-" else own.path), 9)
        self._facts([fact for fact in own.facts if fact.label != "title"], 0)
        page.heading("How to read the rows")
        for text in self._said.legend:
            page.item(text)

    def _facts(self, facts: list[Fact], indent: int) -> None:
        for fact in facts:
            line = f" (line {fact.line})" if fact.line else ""
            self._page.labelled(fact.label, _safe(fact.text) + line, 9, indent)

    def _section(self, section: Section) -> None:
        if section.within:
            self._page.blank()
            self._page.text(section.title, "strong")
        else:
            self._page.heading(section.title)
        for number, row in enumerate(section.rows):
            if number:
                self._page.blank()
            self._row(row)

    def _row(self, row: Row) -> None:
        page, indent = self._page, self._indent
        cells = [Cell(f"{row.number:>{self._digits}}"), Cell(_BOX), Cell(_safe(row.text))]
        page.row(cells, [self._digits, len(_BOX), page.width - indent])
        self._notes(row.notes, indent)
        self._at(row.id, row.profile, row.line, indent)
        for number, way in enumerate(row.ways):
            self._way(number, way)

    def _way(self, number: int, way: Way) -> None:
        page, indent = self._page, self._indent
        letter = f"({letters(number)})"
        page.row([Cell(letter), Cell(_safe(way.text))], [4, page.width - indent - 6], indent)
        self._notes(way.notes, indent + 6)
        self._at("", way.profile, way.line, indent + 6)

    def _notes(self, notes: tuple[Note, ...], indent: int) -> None:
        for note in notes:
            self._page.labelled(note.label, _safe(note.text), _LABEL, indent)

    def _at(self, name: str, profile: str, line: int, indent: int) -> None:
        text = _place(profile, line, self._several)
        if name:
            text += f", {_safe(name)}"
        self._page.row(
            [Cell("at", "quiet"), Cell(text, "quiet")], [_LABEL, self._page.width - indent - 5], indent
        )

    def _files(self) -> None:
        self._page.heading("Files" if self._several else "File")
        self._page.text("The digest is that of the file as it stood when this page was written.")
        self._page.blank()
        for number, file in enumerate(self._said.files):
            if number:
                self._page.blank()
            self._file(file, number > 0)

    def _file(self, file: SourceFile, others: bool) -> None:
        self._page.text(_safe("standard input" if file.path == "-" else file.path), "strong")
        if others:
            self._facts(list(file.facts), 2)
        if file.sha256:
            # The label is narrow so that the 64 digits stay on one line of 80 columns.
            self._page.labelled("SHA-256", file.sha256, 9, 2)

    def _signature(self) -> None:
        page = self._page
        page.heading("Signature")
        self._blank_to_fill("Checked against", 2)
        self._blank_to_fill("Rows that differ", 2)
        half = (page.width - 4) * 2 // 3
        by = Cell("by " + "_" * (half - 3), whole=True)
        on = Cell("on " + "_" * (page.width - half - 5), whole=True)
        page.blank()
        page.row([by, on], [half, page.width - half - 2])

    def _blank_to_fill(self, label: str, lines: int) -> None:
        for number in range(lines):
            self._page.blank()
            words = (label if not number else "").ljust(17)
            self._page.row(
                [Cell(words + "_" * (self._page.width - len(words)), whole=True)], [self._page.width]
            )


def letters(number: int) -> str:
    """The letters of an alternative: a to z, then aa, ab and so on; ``number`` counts from 0."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("a") + rest) + text
    return text


def render(explanation: Explanation, screen: Screen = PLAIN) -> str:
    """Lay an explained profile out as text.

    What the profile says is shown as it is and never obeyed, and nothing of it is cut.

    Args:
        explanation: What to show.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    return _Paper(explanation, screen).draw()
