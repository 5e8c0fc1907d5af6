"""Every finding, by group of readings."""

from __future__ import annotations

import re
from typing import Final

from pcaudit.core.catalogue import GROUPS
from pcaudit.core.report import Acceptance, Finding, Part, Report
from pcaudit.core.visible import visible
from pcaudit.render.layout import VERDICT, Cell, Page
from pcaudit.render.sections.actions import PROSE, found_words, place_words, required_words

_WIDE: Final = 120
"""Columns from which the reason and the source of a finding have columns too."""


def _widths(page: Page) -> list[int]:
    """Widths of title, required, found and, on a wide page, why and source."""
    room = page.width - sum(VERDICT) - 4
    if page.width < _WIDE:
        column = (room - 4) // 3
        return [column, column, room - 4 - 2 * column]
    column = (room - 8) // 5
    return [column, column, column, column, room - 8 - 4 * column]


def _cells(finding: Finding) -> list[Cell]:
    advised = "" if finding.binding else " (advised)"
    place = place_words(finding.profile, finding.line)
    return [
        Cell(visible(finding.title) + advised),
        Cell(required_words(finding.required)),
        Cell(found_words(finding)),
        Cell(visible(finding.because, PROSE), "quiet"),
        Cell(", ".join(filter(None, (visible(finding.source), place))), "quiet"),
    ]


def profile_names(report: Report) -> dict[str, str]:
    """What each profile file is called beside a condition: the product it speaks for, and the file."""
    files = [source.path for source in report.profiles]
    short = {file: re.split(r"[/\\]", file)[-1] for file in files}
    names = list(short.values())
    return {
        source.path: f"{visible(source.title)}, {visible(name if names.count(name) == 1 else source.path)}"
        for source, name in zip(report.profiles, names, strict=True)
    }


def _part_cells(part: Part, names: dict[str, str]) -> list[Cell]:
    advised = "" if part.binding else " (advised)"
    name = names.get(part.profile) or visible(part.profile)
    return [
        Cell(f"- {name}{f':{part.line}' if part.line > 0 else ''}{advised}", "quiet"),
        Cell(required_words(part.required)),
        Cell(""),
        Cell(visible(part.because, PROSE), "quiet"),
        Cell(""),
    ]


def acceptance_words(acceptance: Acceptance) -> str:
    """Who accepted it, until when, why, and the verdict it would have: the original stays visible."""
    by, because = visible(acceptance.by, PROSE), visible(acceptance.because, PROSE)
    until = acceptance.until.isoformat()
    return f"{acceptance.verdict.value} without the concession by {by} until {until}: {because}"


def _draw_acceptance(page: Page, one: Finding | Part) -> None:
    if one.acceptance:
        page.text(acceptance_words(one.acceptance), indent=sum(VERDICT) + 4)


def _draw_finding(page: Page, finding: Finding, widths: list[int], names: dict[str, str]) -> None:
    cells = [*page.verdict(finding.verdict), *_cells(finding)[: len(widths)]]
    page.row(cells, [*VERDICT, *widths])
    if not finding.parts:
        _draw_acceptance(page, finding)
    for part in finding.parts:
        cells = [*page.verdict(part.verdict), *_part_cells(part, names)[: len(widths)]]
        page.row(cells, [*VERDICT, *widths])
        _draw_acceptance(page, part)


def by_group(findings: tuple[Finding, ...]) -> dict[str, list[Finding]]:
    """Findings by group, groups in the catalogue's order."""
    groups: dict[str, list[Finding]] = {group: [] for group in GROUPS}
    for finding in findings:
        groups.setdefault(finding.group, []).append(finding)
    return {group: members for group, members in groups.items() if members}


def draw(page: Page, report: Report) -> None:
    """Draw the section."""
    page.heading("Every condition")
    widths = _widths(page)
    names = profile_names(report)
    titles = ("", "Verdict", "Condition", "Required", "Found", "Why it is asked", "Source")
    page.row([Cell(title, "quiet") for title in titles[: len(widths) + 2]], [*VERDICT, *widths])
    for group, findings in by_group(report.findings).items():
        page.blank()
        page.row([Cell(GROUPS.get(group) or visible(group), "strong")], [page.width])
        for finding in findings:
            _draw_finding(page, finding, widths, names)
