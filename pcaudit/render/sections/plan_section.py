"""One part of a plan: what was held against what, what was computed and from what."""

from __future__ import annotations

from typing import Final

from pcaudit.core.plan.section import Figure, Section, Table
from pcaudit.core.report import Finding
from pcaudit.core.visible import visible
from pcaudit.render import curve_text
from pcaudit.render.layout import VERDICT, Cell, Page, cells
from pcaudit.render.sections.actions import PROSE, found_words, required_words

_GAP: Final = 2
_NARROW: Final = 10
"""Columns below which a column of a table cannot be read."""


def _draw_finding(page: Page, finding: Finding, widths: list[int]) -> None:
    advised = "" if finding.binding else " (advised)"
    page.row(
        [
            *page.verdict(finding.verdict),
            Cell(visible(finding.title, PROSE) + advised),
            Cell(required_words(finding.required)),
            Cell(found_words(finding)),
        ],
        widths,
    )


def _draw_findings(page: Page, findings: tuple[Finding, ...]) -> None:
    indent = sum(VERDICT) + 2 * _GAP
    column = (page.width - indent - 2 * _GAP) // 3
    widths = [*VERDICT, column, column, page.width - indent - 2 * _GAP - 2 * column]
    titles = ("", "Verdict", "What", "Asked", "As entered")
    page.row([Cell(title, "quiet") for title in titles], widths)
    for finding in findings:
        _draw_finding(page, finding, widths)


def inputs_words(figure: Figure) -> str:
    """The numbers a figure was computed from: "size 500 GB, line rate 1 Gbit/s"."""
    return ", ".join(f"{name} {value}" for name, value in figure.inputs)


def _draw_figure(page: Page, figure: Figure) -> None:
    label = min(44, page.width // 2)
    page.row(
        [Cell(visible(figure.title, PROSE)), Cell(visible(figure.shown, PROSE), "strong")],
        [label, page.width - label - _GAP],
    )
    if figure.formula:
        inputs = visible(inputs_words(figure), PROSE)
        formula = f"= {visible(figure.formula, PROSE)}"
        page.text(f"{formula}, with {inputs}" if inputs else formula, "quiet", indent=4)
    rest = [visible(figure.note, PROSE)] if figure.note else []
    rest += [f"by {visible(figure.source, PROSE)}"] if figure.source else []
    if rest:
        page.text("; ".join(rest), "quiet", indent=4)


def column_widths(table: Table, width: int) -> list[int] | None:
    """Widths of a table's columns on a page; None where it is too wide to stand side by side.

    What fits is shown whole; what is longer than its share gives way, the longest most.
    """
    longest = [
        max([cells(visible(title, PROSE)), *(cells(visible(row[index], PROSE)) for row in table.rows)])
        for index, title in enumerate(table.columns)
    ]
    room = width - _GAP * (len(longest) - 1)
    while sum(longest) > room:
        widest = max(range(len(longest)), key=longest.__getitem__)
        if longest[widest] <= _NARROW:
            return None
        longest[widest] -= min(longest[widest] - _NARROW, sum(longest) - room, 4)
    return longest


def _draw_table(page: Page, table: Table) -> None:
    page.text(visible(table.title, PROSE), "strong")
    if not table.rows:
        page.text("nothing", "quiet", indent=2)
    widths = column_widths(table, page.width - 2)
    if widths is None:
        _draw_stacked(page, table)
    elif table.rows:
        page.row([Cell(visible(title, PROSE), "quiet") for title in table.columns], widths, 2)
        for row in table.rows:
            page.row([Cell(visible(text, PROSE)) for text in row], widths, 2)
    if table.note:
        page.text(visible(table.note, PROSE), "quiet", indent=2)


def _draw_stacked(page: Page, table: Table) -> None:
    titles = [visible(title, PROSE) for title in table.columns]
    label = min(max(map(cells, titles)), page.width // 3)
    for row in table.rows:
        page.item(visible(row[0], PROSE))
        for title, text in zip(titles[1:], row[1:], strict=True):
            if text:
                page.labelled(title, visible(text, PROSE), label, 5)


def _draw_lines(page: Page, title: str, texts: tuple[str, ...]) -> None:
    if texts:
        page.text(title, "strong")
        for text in texts:
            page.item(visible(text, PROSE))


def draw(page: Page, section: Section) -> None:
    """Draw a part of a plan; what to do about its findings stands with everybody's work, not here."""
    page.heading(visible(section.title, page.width - 8))
    _draw_lines(page, "Not asked", section.not_asked)
    if section.findings:
        _draw_findings(page, section.findings)
    for number, figure in enumerate(section.figures):
        if not number:
            page.blank()
        _draw_figure(page, figure)
    for table in section.tables:
        page.blank()
        _draw_table(page, table)
    for curve in section.curves:
        lines = curve_text.draw(curve, page.width, page.drawn)
        if lines:
            page.blank()
            page.text(visible(curve.title, PROSE), "strong")
            page.lines(lines)
            for letter, words in curve_text.legend(curve):
                page.labelled(letter, words, 1, curve_text.INDENT)
    if section.notes or section.cautions:
        page.blank()
    _draw_lines(page, "Notes", section.notes)
    _draw_lines(page, "Cautions", section.cautions)
