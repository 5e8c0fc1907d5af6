"""What to do, grouped by who can do it."""

from __future__ import annotations

from typing import Final

from pcaudit.core.report import Finding, Report, Verdict
from pcaudit.core.visible import visible
from pcaudit.render.layout import VERDICT, Cell, Page

PROSE: Final = 600
"""Characters shown of a text somebody wrote."""

OWNERS: Final = ("lab", "IT", "purchasing", "facilities", "installer")
"""In the order people read them; others follow as they come."""

_TO_DO: Final = (Verdict.UNMET, Verdict.UNVERIFIED, Verdict.MARGINAL)
_CONCEDABLE: Final = (Verdict.UNMET, Verdict.UNVERIFIED)
"""What a concession can cover; it names the condition by id and digest."""

_FOLDED: Final = {owner.casefold(): owner for owner in OWNERS}


def blocks(finding: Finding) -> bool:
    """Whether a finding keeps the PC from being ready."""
    return finding.binding and finding.verdict in (Verdict.UNMET, Verdict.UNVERIFIED)


def by_owner(findings: tuple[Finding, ...]) -> dict[str, list[Finding]]:
    """What is left to do for each owner, what blocks first."""
    groups: dict[str, list[Finding]] = {owner: [] for owner in OWNERS}
    for finding in findings:
        if finding.verdict in _TO_DO:
            owner = finding.owner.strip() or "no owner named"
            groups.setdefault(_FOLDED.get(owner.casefold(), owner), []).append(finding)
    for group in groups.values():
        group.sort(key=lambda finding: (not blocks(finding), _TO_DO.index(finding.verdict)))
    return {owner: group for owner, group in groups.items() if group}


def found_words(finding: Finding) -> str:
    """What was found, and why no more is known."""
    found, why = visible(finding.found, PROSE), visible(finding.why, PROSE)
    if not why or why in found:
        return found or "nothing"
    return f"{found}: {why}" if found else why


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
    if finding.because:
        page.labelled("why", visible(finding.because, PROSE), 3, indent)
    page.labelled("at", place_words(finding.profile, finding.line), 3, indent)
    if finding.verdict in _CONCEDABLE and finding.digest:
        page.labelled("id", f"{visible(finding.id)}, digest {visible(finding.digest)}", 3, indent)


def draw(page: Page, report: Report) -> None:
    """Draw the section."""
    page.heading("What to do")
    groups = by_owner(report.findings)
    if not groups:
        page.text("Nothing is left to do on the PC.")
    for number, (owner, findings) in enumerate(groups.items()):
        blocking = sum(map(blocks, findings))
        tail = f", {blocking} blocking" if blocking else ", none blocking"
        if number:
            page.blank()
        page.row([Cell(f"{visible(owner)}: {len(findings)}{tail}", "strong")], [page.width])
        for finding in findings:
            _draw_finding(page, finding)
