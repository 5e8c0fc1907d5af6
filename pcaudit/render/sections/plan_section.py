"""One part of a plan: what was held against what, what was computed and from what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from pcaudit.core.finding import Arrangement, Finding, Verdict, all_of, as_finding
from pcaudit.core.plan.section import Figure, Section, Table
from pcaudit.core.visible import visible
from pcaudit.render import curve_text
from pcaudit.render.layout import VERDICT, Cell, Page, cells
from pcaudit.render.sections.actions import PROSE, found_words, required_words

_GAP: Final = 2
_NAMES: Final = 24
"""Columns for the title of a part."""

_COUNTED: Final = (
    Verdict.UNMET,
    Verdict.UNVERIFIED,
    Verdict.MARGINAL,
    Verdict.ACCEPTED,
    Verdict.MET,
    Verdict.NOT_APPLICABLE,
)

_WORDS: Final = (32, 26, 20, 16)
"""Columns that the longest word of a table's column may ask for, if there is room; a longer one is cut."""


def _finding_words(finding: Finding) -> tuple[str, str, str]:
    advised = "" if finding.binding else " (advised)"
    title = visible(finding.title, PROSE) + advised
    return title, required_words(finding.required), found_words(finding)


def _draw_findings(page: Page, findings: tuple[Finding, ...]) -> None:
    titles = ("What", "Asked", "As entered")
    rows = [_finding_words(finding) for finding in findings]
    room = page.width - sum(VERDICT) - 2 * _GAP
    widths = balanced([list(column) for column in zip(titles, *rows, strict=True)], room)
    if widths is None:
        widths = [(room - 2 * _GAP) // 3] * 3
    page.row([Cell(title, "quiet") for title in ("", "Verdict", *titles)], [*VERDICT, *widths])
    for finding, row in zip(findings, rows, strict=True):
        page.row([*page.verdict(finding.verdict), *map(Cell, row)], [*VERDICT, *widths])


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


def _longest_word(text: str) -> int:
    return max((cells(word) for word in text.split()), default=0)


def column_widths(table: Table, width: int) -> list[int] | None:
    """Widths of a table's columns on a page; None where it is too wide to stand side by side."""
    texts = [
        [visible(title, PROSE), *(visible(row[index], PROSE) for row in table.rows)]
        for index, title in enumerate(table.columns)
    ]
    return balanced(texts, width)


def _least(words: Sequence[int], most: int) -> list[int]:
    return [max(1, min(most, word)) for word in words]


def balanced(texts: Sequence[Sequence[str]], width: int) -> list[int] | None:
    """Widths of columns of texts on a page; None where they cannot stand side by side.

    No column is narrower than its longest word, unless that is very long; what room is left goes,
    column by column, to the one that would otherwise fold into most lines.
    """
    most = [max(map(cells, column)) for column in texts]
    room = width - _GAP * (len(texts) - 1)
    words = [max(map(_longest_word, column)) for column in texts]
    widths = next((fit for most_word in _WORDS if sum(fit := _least(words, most_word)) <= room), None)
    if widths is None:
        return None
    left = room - sum(widths)
    lengths = [sum(map(cells, column)) for column in texts]
    for _ in range(left):
        growing = [index for index, wide in enumerate(widths) if wide < most[index]]
        if not growing:
            break
        widths[max(growing, key=lambda index: lengths[index] / widths[index])] += 1
    return widths


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


NOT_ASKED: Final = "not asked"
"""What a part comes to that the worksheet says nothing of."""


class Glance(NamedTuple):
    """A part in one line: where it stands, its title, what it comes to, and how many points say what."""

    name: str
    title: str
    verdict: Verdict
    counts: str


def _glance(name: str, title: str, findings: Iterable[Finding], opened: int = 0) -> Glance:
    """``opened`` says how many of what is unverified is work that can still be begun in time."""
    several = tuple(findings)
    found = Counter(finding.verdict for finding in several)
    found[Verdict.UNVERIFIED] -= opened
    said = [f"{found[verdict]} {verdict.value}" for verdict in _COUNTED if found[verdict]]
    if opened:
        said.insert(1 if found[Verdict.UNMET] else 0, f"{opened} open")
    counts = ", ".join(said)
    # Of a part in which nothing binds the advised points are all there is to say.
    deciding = [one.verdict for one in several if one.binding] or [one.verdict for one in several]
    return Glance(name, title, all_of(deciding), counts)


def glances(arrangements: Iterable[Arrangement], sections: Iterable[Section]) -> list[Glance]:
    """Every part that comes to something or was not asked, arrangements first."""
    arrangements = tuple(arrangements)
    answered = filter(None, map(as_finding, arrangements))
    arranged = _glance("arrangements", "Arrangements", answered, sum(one.open for one in arrangements))
    parts = [
        _glance(f"plan-{one.name}", one.title, one.findings)
        if one.asked
        else Glance(f"plan-{one.name}", one.title, Verdict.NOT_APPLICABLE, NOT_ASKED)
        for one in sections
    ]
    return [one for one in (arranged, *parts) if one.counts]


def left_out(sections: Iterable[Section]) -> str:
    """What the worksheet says nothing of, for the first lines: "Not asked: Place, Network."; or nothing."""
    titles = [visible(one.title, PROSE) for one in sections if not one.asked]
    return f"Not asked: {', '.join(titles)}." if titles else ""


def draw_glance(page: Page, parts: Iterable[Glance]) -> None:
    """Each part in a line, for who reads no further."""
    page.heading("At a glance")
    room = page.width - sum(VERDICT) - 3 * _GAP
    names = min(_NAMES, room // 2)
    for part in parts:
        asked = part.counts != NOT_ASKED
        mark = page.verdict(part.verdict) if asked else (Cell(""), Cell(NOT_ASKED, "quiet"))
        words = Cell(part.counts if asked else "")
        page.row([*mark, Cell(visible(part.title, PROSE)), words], [*VERDICT, names, room - names])


def draw(page: Page, section: Section) -> None:
    """Draw a part of a plan; what to do about its findings stands with everybody's work, not here."""
    page.heading(visible(section.title, page.width - 8))
    _draw_lines(page, "Not asked", section.not_asked)
    if section.findings:
        _draw_findings(page, section.findings)
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


def without_repeats(sections: Iterable[Section]) -> tuple[Section, ...]:
    """The parts with each caution where it is said first, for who reads them one after the other."""
    said: set[str] = set()
    out = []
    for section in sections:
        out.append(section._replace(cautions=tuple(one for one in section.cautions if one not in said)))
        said.update(section.cautions)
    return tuple(out)


def draw_figures(page: Page, sections: Iterable[Section]) -> None:
    """How every figure of every part was computed; apart, for few want to check all of them."""
    parts = [section for section in sections if section.figures]
    if not parts:
        return
    page.heading("How the figures were computed")
    for number, section in enumerate(parts):
        if number:
            page.blank()
        page.text(visible(section.title, PROSE), "strong")
        for figure in section.figures:
            _draw_figure(page, figure)
