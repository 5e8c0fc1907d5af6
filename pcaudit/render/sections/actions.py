"""What to do, grouped by who can do it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from pcaudit.core.actions import by_owner as by_owner, effort_words, kinds_words
from pcaudit.core.report import Finding, Report, Verdict
from pcaudit.core.visible import visible
from pcaudit.render.layout import VERDICT, Cell, Page

PROSE: Final = 600
"""Characters shown of a text somebody wrote."""

_CONCEDABLE: Final = (Verdict.UNMET, Verdict.UNVERIFIED)
"""What a concession can cover; it names the condition by id and digest."""


def found_words(finding: Finding) -> str:
    """What was found, and why no more is known."""
    found, why = visible(finding.found, PROSE), visible(finding.why, PROSE)
    if not why or why in found:
        return found or "nothing"
    # Of an arrangement the reason says what is to be done, not why no more is known.
    joint = "; " if finding.group == "arrangements" else ": "
    return f"{found}{joint}{why}" if found else why


def required_words(required: str) -> str:
    """What is asked; that it is advised only stands beside the title."""
    return visible(required, PROSE).removesuffix(" (advised)")


def place_words(profile: str, line: int) -> str:
    """Where a profile asks it: ``workstation.toml:12``; without the line where it is not known."""
    return f"{visible(profile)}:{line}" if line > 0 else visible(profile)


def _draw_finding(page: Page, finding: Finding) -> None:
    found = found_words(finding)
    if finding.verdict is not Verdict.UNVERIFIED:
        found = f"found {found}"
    title = f"{visible(finding.title)}: {found}"
    asked = f"{'required' if finding.binding else 'advised'} {required_words(finding.required)}"
    indent = sum(VERDICT) + 6
    text = page.width - indent
    page.row([*page.verdict(finding.verdict), Cell(f"{title}; {asked}")], [*VERDICT, text], 2)
    if finding.remedy:
        page.labelled("do", visible(finding.remedy, PROSE), 3, indent)
    if effort := effort_words(finding.effort):
        page.labelled("needs", effort, 5, indent)
    if finding.because:
        page.labelled("why", visible(finding.because, PROSE), 3, indent)
    page.labelled("at", place_words(finding.profile, finding.line), 3, indent)
    if finding.verdict in _CONCEDABLE and finding.digest:
        page.labelled("id", f"{visible(finding.id)}, digest {visible(finding.digest)}", 3, indent)


def draw(page: Page, report: Report) -> None:
    """Draw the section."""
    nothing = "Nothing is left to do on the PC." if not report.sections else "Nothing is left to do."
    draw_findings(page, report.every, nothing)


def draw_findings(page: Page, findings: Iterable[Finding], nothing: str) -> None:
    """What is left to do of any findings; ``nothing`` where nothing is."""
    page.heading("What to do")
    groups = by_owner(findings)
    if not groups:
        page.text(nothing)
    for number, (owner, of_owner) in enumerate(groups.items()):
        if number:
            page.blank()
        page.row(
            [Cell(f"{visible(owner)}: {len(of_owner)} ({kinds_words(of_owner)})", "strong")], [page.width]
        )
        for finding in of_owner:
            _draw_finding(page, finding)
