"""Findings and arrangements: what one condition or one question came to."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from enum import Enum
from typing import Any, Final, NamedTuple

NOT_ASKED: Final = "not asked"
"""State of an arrangement that no worksheet answers."""

NOT_ANSWERED: Final = "not answered"
"""State of an arrangement that the worksheet leaves blank."""

DOES_NOT_APPLY: Final = "does not apply"
"""State of an arrangement that is limited to other PCs or choices."""


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
    """Something a person must have ready, as the profile or the worksheet asks it, with the answer.

    Attributes:
        needed: "before the day" or "on the day".
        lead_time: How long it takes from asking for it to having it; empty where not said.
        profile, line: Where it is asked; the worksheet, for the lab's own.
        state: "not asked" without a worksheet; else what that says, "not answered" where it is
            blank, or "does not apply".
        holder, deputy: Who has it, and who else can reach it.
        kept: Where.
        expires: Last day it is valid, ISO 8601, or "never"; the days below likewise.
        verdict: What the answer comes to; None without a worksheet.
        open: It is work to do that can still be begun in time; it counts as unverified.
        due: Last day on which it may be had.
        latest_start: Last day on which it may be begun; empty where that cannot be said.
        requested, expected: When it was asked for, and promised for.
        required, found: What a measured value must be, and is.
        why: What the verdict rests on, or what is open.
        note: The lab's own words.
        answered: Line of the answer in the worksheet; 0 without one.
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
    state: str = NOT_ASKED
    holder: str = ""
    kept: str = ""
    expires: str = ""
    verdict: Verdict | None = None
    open: bool = False
    due: str = ""
    latest_start: str = ""
    deputy: str = ""
    requested: str = ""
    expected: str = ""
    required: str = ""
    found: str = ""
    why: str = ""
    note: str = ""
    answered: int = 0


def as_finding(arrangement: Arrangement) -> Finding | None:
    """What an answered arrangement leaves to do, in the form of a finding; None without a worksheet."""
    if arrangement.verdict is None:
        return None
    by = f", by {arrangement.due}" if arrangement.due else ""
    measured = f", {arrangement.required}" if arrangement.required else ""
    return Finding(
        id=f"arrangements.{arrangement.id}",
        title=arrangement.title,
        group="arrangements",
        verdict=arrangement.verdict,
        binding=True,
        required=f"in hand {arrangement.needed}{by}{measured}",
        found=arrangement.state,
        value=None,
        source="worksheet",
        why=arrangement.why,
        because=arrangement.because,
        remedy=arrangement.remedy,
        owner=arrangement.owner,
        profile=arrangement.profile,
        line=arrangement.line,
        digest="",
    )


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


def finding_mapping(finding: Finding) -> dict[str, Any]:
    """The JSON form of a finding."""
    out = _accepted(finding)
    parts, effort = out.pop("parts"), out.pop("effort")
    if effort:
        out["effort"] = {**effort._asdict(), "needs": list(effort.needs)}
    if parts:
        out["conditions"] = [_part_mapping(part) for part in parts]
    return out


def arrangement_mapping(arrangement: Arrangement) -> dict[str, Any]:
    """The JSON form of an arrangement."""
    verdict = arrangement.verdict
    return {**arrangement._asdict(), "verdict": None if verdict is None else verdict.value}
