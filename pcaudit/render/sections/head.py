"""The first lines of a report: what it says, of what, and what it was not asked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Final

from pcaudit.core.outcome_words import said
from pcaudit.core.report import Outcome, Report, Verdict, all_of
from pcaudit.core.visible import visible
from pcaudit.render.layout import Cell, Page, Style
from pcaudit.render.sections.actions import PROSE

_COUNTED: Final = (
    Verdict.UNMET,
    Verdict.UNVERIFIED,
    Verdict.MARGINAL,
    Verdict.ACCEPTED,
    Verdict.MET,
    Verdict.NOT_APPLICABLE,
)
_STYLES: Final[dict[Outcome, Style]] = {
    Outcome.READY: Verdict.MET,
    Outcome.NOT_READY: Verdict.UNMET,
    Outcome.INCONCLUSIVE: Verdict.UNVERIFIED,
}
_PC_SAYS: Final = {
    Outcome.READY: "These readings, taken then, meet",
    Outcome.NOT_READY: "These readings, taken then, do not meet",
    Outcome.INCONCLUSIVE: "These readings, taken then, do not show whether this PC meets",
}
_ARRANGED: Final = {
    Outcome.READY: "By the worksheet, what was asked of people is arranged",
    Outcome.NOT_READY: "By the worksheet, something that was asked of people is not arranged",
    Outcome.INCONCLUSIVE: "By the worksheet, something that was asked of people is open or not known",
}
_PLACES: Final = (("host_name", ""), ("model", ""), ("serial_number", "serial number "))


def outcome_words(report: Report) -> str:
    """The outcome as people say it: "ready, with 2 concessions"."""
    return said(report.outcome, report.findings)


def pc_words(report: Report) -> str:
    """The same of the PC alone, without the arrangements."""
    return said(report.pc_outcome, report.findings)


def counts_words(report: Report) -> str:
    """How many findings say what: "3 unmet (2 binding), 24 met"."""
    every = Counter(finding.verdict for finding in report.findings)
    binding = Counter(finding.verdict for finding in report.findings if finding.binding)
    parts = []
    for verdict in _COUNTED:
        if not every[verdict]:
            continue
        word = verdict.value
        if verdict is Verdict.NOT_APPLICABLE and every[verdict] > 1:
            word = "do not apply"
        part = f"{every[verdict]} {word}"
        if verdict in (Verdict.UNMET, Verdict.UNVERIFIED) and binding[verdict] < every[verdict]:
            part += f" ({binding[verdict]} binding)"
        parts.append(part)
    return ", ".join(parts) or "no conditions"


def statement(report: Report) -> str:
    """What the outcome means, and what it does not."""
    accepted = any(finding.verdict is Verdict.ACCEPTED for finding in report.findings)
    profiles = "this profile" if len(report.profiles) == 1 else "these profiles"
    text = f"{_PC_SAYS[report.pc_outcome]} {profiles}"
    if accepted and report.pc_outcome is Outcome.READY:
        text += ", with what was conceded"
    if report.arrangements_outcome is not None:
        text += f". {_ARRANGED[report.arrangements_outcome]}"
    return text + ". This is no guarantee of operation, safety or compliance."


def _pc(report: Report) -> str:
    known = ((before, report.computer.get(key)) for key, before in _PLACES)
    return ", ".join(before + visible(value) for before, value in known if value) or "not named"


def arrangements_words(report: Report) -> str:
    """How many arrangements are in which state, and which parts of the plan fall short."""
    states = Counter(visible(arrangement.state) for arrangement in report.arrangements)
    counts = ", ".join(f"{number} {state}" for state, number in states.items()) or "none in the profile"
    outcome = report.arrangements_outcome
    if outcome is None:
        return counts
    return "; ".join((f"{outcome.value}: {counts}", *_parts_short(report)))


def _parts_short(report: Report) -> Iterable[str]:
    """The parts of the plan that keep it from being ready, the worst first."""
    for verdict, words in ((Verdict.UNMET, "unmet"), (Verdict.UNVERIFIED, "open")):
        titles = [
            visible(section.title, PROSE)
            for section in report.sections
            if all_of(one.verdict for one in section.findings if one.binding) is verdict
        ]
        if titles:
            yield f"{words}: {', '.join(titles)}"


def draw(page: Page, report: Report) -> None:
    """Draw the section."""
    titles = " + ".join(visible(profile.title) for profile in report.profiles)
    host = visible(report.computer.get("host_name") or "this PC")
    style = _STYLES[report.outcome]
    page.row([Cell(f"{outcome_words(report).upper()}: {host}", style)], [page.width])
    page.row([Cell(titles, "strong")], [page.width])
    page.text(counts_words(report))
    page.blank()
    page.labelled("PC", f"{pc_words(report)}: {_pc(report)}")
    page.labelled("Arrangements", arrangements_words(report))
    taken, version = visible(report.snapshot.taken_at), visible(report.snapshot.tool_version)
    page.labelled("Readings taken", f"{taken}, by pcaudit {version or 'of unknown version'}")
    page.labelled("Judged for", f"{report.on.isoformat()} (support, expiries, concessions)")
    page.labelled("Counted from", f"{report.as_of.isoformat()} (what is late, age of the readings)")
    page.blank()
    page.text(statement(report))
    _lines(page, "Not asked", report.not_asked)
    _lines(page, "Warnings", report.warnings)


def _lines(page: Page, title: str, lines: tuple[str, ...]) -> None:
    if not lines:
        return
    page.heading(title)
    for line in lines:
        page.item(visible(line, PROSE))
