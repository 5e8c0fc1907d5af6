"""What has run out between the day a drift is judged for and the day it is looked at."""

from __future__ import annotations

from collections.abc import Iterator

from pcaudit.core.report import Finding, Part, Report
from pcaudit.core.snapshot import Form, Observation


def _concessions(report: Report) -> Iterator[tuple[str, str]]:
    """The conditions accepted in a report, each with the last day of its concession, ISO 8601."""
    for finding in report.findings:
        several: tuple[Finding | Part, ...] = (finding, *finding.parts)
        for one in several:
            if one.acceptance is not None:
                yield f"the concession for {finding.id}", one.acceptance.until.isoformat()


def run_out(report: Report, support_ends: Observation) -> str:
    """What held on the day judged for and no longer does on the day counted from, in one line.

    Args:
        report: The readings judged, for the record's own day unless another was asked.
        support_ends: The last day of updates for the operating system, as the knowledge gives it.

    Returns:
        What has ended, and how to judge for the later day; empty where nothing has.
    """
    days = dict(_concessions(report))
    if support_ends.form is Form.KNOWN:
        days["support of the operating system"] = support_ends.value[:10]
    judged, counted = report.on.isoformat(), report.as_of.isoformat()
    ended = [f"{what} ({last})" for what, last in days.items() if judged <= last < counted]
    if not ended:
        return ""
    return (
        f"judged for {judged}; ended since, by {counted}: {', '.join(ended)}: "
        f"to judge for that day give --on {counted}"
    )
