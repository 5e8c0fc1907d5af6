"""Findings, arrangements and the report that holds them together."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from pcaudit.core.finding import (
    Acceptance as Acceptance,
    Arrangement as Arrangement,
    Effort as Effort,
    Finding as Finding,
    Outcome as Outcome,
    Part as Part,
    Verdict as Verdict,
    all_of as all_of,
    any_of as any_of,
    arrangement_mapping,
    as_finding,
    finding_mapping,
    outcome_of as outcome_of,
    worse as worse,
)
from pcaudit.core.profile import ProfileSource
from pcaudit.core.snapshot import Snapshot, to_mapping

if TYPE_CHECKING:
    from pcaudit.core.plan.section import Section

FORMAT: Final = 1
"""Newest report format this version writes."""


class BackupItem(NamedTuple):
    """One thing on the PC that a backup must hold.

    ``size`` is bytes by the snapshot, None where the snapshot cannot say; ``basis`` says how it
    was got, or why not.
    """

    what: str
    size: int | None
    basis: str


class BackupOutline(NamedTuple):
    """What to back up, how many copies where, and how to know that it works."""

    items: tuple[BackupItem, ...]
    copies: tuple[str, ...]
    restore_test: str
    cautions: tuple[str, ...]


class WorksheetSource(NamedTuple):
    """A worksheet as it was used.

    Attributes:
        title, path, sha256, text: Of its file; ``path`` as given.
        day: Day that arrangements were judged for, ISO 8601; None where nobody said one.
    """

    title: str
    path: str
    sha256: str
    text: str
    day: str | None


class ConcessionsSource(NamedTuple):
    """The concessions file a report was made with: its path as given, SHA-256 of its bytes."""

    path: str
    sha256: str


class Report(NamedTuple):
    """Everything one assessment says.

    Attributes:
        pc_outcome: Of the findings.
        arrangements_outcome: Of the arrangements; None without a worksheet.
        on: Day judged for.
        as_of: Day work counts from.
        not_asked: What the report does not cover, one line each; shown first.
        warnings: What a reader must know, such as an old snapshot.
        computer: host_name, model and serial_number as far as known.
        snapshot: What was judged.
        options: Names of the options chosen.
        parameters: Value of each parameter, chosen or default.
        asked: Positions in ``profiles`` of those asked for, in the order asked; the others are what
            those are based on. A position, for two files may have one title or one base name.
        given: Names of the parameters that were chosen, not left at their default.
        sections: The parts of the plan that a worksheet makes; none without one.
        worksheet: The worksheet that answered the arrangements, if one did.
        concessions: The concessions file, if there was one, whether or not anything in it applied.
    """

    pc_outcome: Outcome
    arrangements_outcome: Outcome | None
    on: date
    as_of: date
    tool_version: str
    profiles: tuple[ProfileSource, ...]
    computer: dict[str, str | None]
    findings: tuple[Finding, ...]
    arrangements: tuple[Arrangement, ...]
    backup: BackupOutline
    not_asked: tuple[str, ...]
    warnings: tuple[str, ...]
    snapshot: Snapshot
    options: tuple[str, ...] = ()
    parameters: dict[str, int | float] = {}
    asked: tuple[int, ...] = (0,)
    given: tuple[str, ...] = ()
    sections: tuple[Section, ...] = ()
    worksheet: WorksheetSource | None = None
    concessions: ConcessionsSource | None = None

    @property
    def every(self) -> tuple[Finding, ...]:
        """Every finding, of the PC, of arrangements that were answered, and of what surrounds the PC."""
        arranged = filter(None, map(as_finding, self.arrangements))
        return (*self.findings, *arranged, *(one for section in self.sections for one in section.findings))

    @property
    def outcome(self) -> Outcome:
        """The worse of the PC's and the arrangements' outcomes."""
        return worse(self.pc_outcome, self.arrangements_outcome)


def _of_worksheet(report: Report) -> dict[str, Any]:
    """What only a report with a worksheet says."""
    found: dict[str, Any] = {} if report.worksheet is None else {"worksheet": report.worksheet._asdict()}
    if report.sections:
        from pcaudit.core.plan.mapping import section_mapping

        found["plan"] = [section_mapping(section) for section in report.sections]
    return found


def report_mapping(report: Report) -> dict[str, Any]:
    """The JSON form of a report, ready to write."""
    backup = report.backup
    arrangements = report.arrangements_outcome
    return {
        "kind": "report",
        "format": FORMAT,
        "outcome": report.outcome.value,
        "pc_outcome": report.pc_outcome.value,
        "arrangements_outcome": None if arrangements is None else arrangements.value,
        "on": report.on.isoformat(),
        "as_of": report.as_of.isoformat(),
        "tool": {"name": "pcaudit", "version": report.tool_version},
        "profiles": [profile._asdict() for profile in report.profiles],
        "asked": list(report.asked),
        "computer": report.computer,
        "findings": [finding_mapping(finding) for finding in report.findings],
        "arrangements": [arrangement_mapping(arrangement) for arrangement in report.arrangements],
        "backup": {
            "items": [item._asdict() for item in backup.items],
            "copies": list(backup.copies),
            "restore_test": backup.restore_test,
            "cautions": list(backup.cautions),
        },
        "not_asked": list(report.not_asked),
        "warnings": list(report.warnings),
        "options": list(report.options),
        "parameters": report.parameters,
        "given": list(report.given),
        "concessions": None if report.concessions is None else report.concessions._asdict(),
        **_of_worksheet(report),
        "snapshot": to_mapping(report.snapshot),
    }
