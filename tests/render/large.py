"""A large report, to measure size and speed by."""

from __future__ import annotations

from pcaudit.core.report import Report, Verdict
from tests.render.samples import finding, report


def large() -> Report:
    """A report of 60 conditions, none of them short of words."""
    findings = [
        finding(
            f"software.packages[program-{number}]",
            list(Verdict)[number % 6],
            title=f"Program number {number} for the instrument",
            required="at least 1 with name like one of: Example* Suite* [1-5], version >=4.8,<5",
            found="none of 2 (Example Suite: version 4.7.2; Other Suite: name Other Suite)",
            why="the list may miss programs of other users",
            because="The set-up refuses to start without it, and says so only after half an hour. " * 2,
            remedy="Download it before the day, check its SHA-256 and install it as administrator. " * 3,
            owner=("IT", "lab", "purchasing")[number % 3],
            line=number,
        )
        for number in range(60)
    ]
    return report(tuple(findings))
