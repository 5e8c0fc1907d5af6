"""Findings, arrangements and the report that holds them together."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from enum import Enum
from typing import Any, Final, NamedTuple

from pcaudit.core.profile import ProfileSource
from pcaudit.core.snapshot import Snapshot, to_mapping

FORMAT: Final = 1
"""Newest report format this version writes."""


class Verdict(Enum):
    """What a finding says."""

    MET = "met"
    MARGINAL = "marginal"
    UNMET = "unmet"
    UNVERIFIED = "unverified"
    NOT_APPLICABLE = "does not apply"
    ACCEPTED = "accepted"


class Outcome(Enum):
    """What a whole report says."""

    READY = "ready"
    NOT_READY = "not ready"
    INCONCLUSIVE = "inconclusive"


_ALL_OF: Final = (Verdict.UNMET, Verdict.UNVERIFIED, Verdict.MARGINAL, Verdict.ACCEPTED, Verdict.MET)
_ANY_OF: Final = (Verdict.MET, Verdict.ACCEPTED, Verdict.MARGINAL, Verdict.UNVERIFIED, Verdict.UNMET)


def _first(order: tuple[Verdict, ...], verdicts: Iterable[Verdict]) -> Verdict:
    present = set(verdicts)
    for verdict in order:
        if verdict in present:
            return verdict
    return Verdict.NOT_APPLICABLE


def all_of(verdicts: Iterable[Verdict]) -> Verdict:
    """Every one must hold: the worst that applies; does not apply where none does."""
    return _first(_ALL_OF, verdicts)


def any_of(verdicts: Iterable[Verdict]) -> Verdict:
    """One must hold: the best that applies; does not apply where none does."""
    return _first(_ANY_OF, verdicts)


class Acceptance(NamedTuple):
    """By what concession a finding is accepted; ``verdict`` is what it would be without."""

    verdict: Verdict
    because: str
    by: str
    until: date


class Part(NamedTuple):
    """One of several conditions on the same reading."""

    required: str
    verdict: Verdict
    binding: bool
    because: str
    owner: str
    profile: str
    line: int
    digest: str
    acceptance: Acceptance | None = None


class Effort(NamedTuple):
    """What a remedy takes, as far as the knowledge says.

    Attributes:
        needs: Of administrator, restart, purchase, licence, another PC.
        cost: free, parts (something fitted to this PC) or purchase (a licence, another PC).
        undo: Whether it can be undone; None where that is not said.
    """

    needs: tuple[str, ...] = ()
    cost: str = "free"
    undo: bool | None = None


class Finding(NamedTuple):
    """A condition held against a reading.

    Attributes:
        id: ``group.name``, ``group.list[id]`` or ``group.any_of``; unique in a report.
        title: Name for people.
        group: Group of the reading.
        verdict: What it says.
        binding: Whether it decides the outcome.
        required: What the profile asks, in words.
        found: What the PC has, in words; where they leave out what a concession depends on, with a
            digest of it in square brackets behind them.
        value: The value found, in base units; None where unknown, absent or a list.
        source: Where it was read.
        why: Why it is unverified, or what a lower bound or an incomplete list leaves open.
        because: Why the profile asks it.
        remedy: What to do.
        owner: Who can do it.
        profile: Path of the profile that asks it, as given.
        line: Line in that file.
        digest: Fingerprint of what is asked here, by which a concession knows it again.
        parts: Every condition on the reading where there are several.
        acceptance: The concession that covers it, if one does.
        effort: What the remedy takes; None where the remedy is the profile's own.
    """

    id: str
    title: str
    group: str
    verdict: Verdict
    binding: bool
    required: str
    found: str
    value: Any
    source: str
    why: str
    because: str
    remedy: str
    owner: str
    profile: str
    line: int
    digest: str
    parts: tuple[Part, ...] = ()
    acceptance: Acceptance | None = None
    effort: Effort | None = None


class Arrangement(NamedTuple):
    """Something a person must have ready, as the profile asks it.

    ``state`` is "not asked" until a worksheet answers it; then ``holder``, ``kept`` and
    ``expires`` hold the answer. ``needed`` is "before the day" or "on the day".
    """

    id: str
    kind: str
    title: str
    because: str
    remedy: str
    owner: str
    needed: str
    lead_time: str
    profile: str
    line: int
    state: str = "not asked"
    holder: str = ""
    kept: str = ""
    expires: str = ""


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
