"""Findings, arrangements and the report that holds them together."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, Final, NamedTuple

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
)
from pcaudit.core.profile import ProfileSource
from pcaudit.core.snapshot import Snapshot, to_mapping

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

    @property
    def outcome(self) -> Outcome:
        """The worse of the PC's and the arrangements' outcomes."""
        return worse(self.pc_outcome, self.arrangements_outcome)


def worse(first: Outcome, second: Outcome | None) -> Outcome:
    """The worse of two outcomes; an outcome that was not asked does not count."""
    for outcome in (Outcome.NOT_READY, Outcome.INCONCLUSIVE):
        if outcome in (first, second):
            return outcome
    return first


def outcome_of(findings: Iterable[Finding]) -> Outcome:
    """Not ready with any binding finding unmet, else inconclusive with one unverified, else ready."""
    verdict = all_of(finding.verdict for finding in findings if finding.binding)
    if verdict is Verdict.UNMET:
        return Outcome.NOT_READY
    return Outcome.INCONCLUSIVE if verdict is Verdict.UNVERIFIED else Outcome.READY


def _acceptance_mapping(one: Acceptance) -> dict[str, Any]:
    return {**one._asdict(), "verdict": one.verdict.value, "until": one.until.isoformat()}


def _accepted(one: Part | Finding) -> dict[str, Any]:
    out = one._asdict()
    acceptance = out.pop("acceptance")
    out["verdict"] = one.verdict.value
    return {**out, "concession": _acceptance_mapping(acceptance)} if acceptance else out


def _part_mapping(part: Part) -> dict[str, Any]:
    return _accepted(part)


def _finding_mapping(finding: Finding) -> dict[str, Any]:
    out = _accepted(finding)
    parts, effort = out.pop("parts"), out.pop("effort")
    if effort:
        out["effort"] = {**effort._asdict(), "needs": list(effort.needs)}
    if parts:
        out["conditions"] = [_part_mapping(part) for part in parts]
    return out


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
        "findings": [_finding_mapping(finding) for finding in report.findings],
        "arrangements": [arrangement._asdict() for arrangement in report.arrangements],
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
        "snapshot": to_mapping(report.snapshot),
    }
