"""What many PCs come to together: who passes, who nearly does, and what fails most often."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any, Final, NamedTuple

from pcaudit.core.changes import Means
from pcaudit.core.choose import Asked
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.profile import ProfileSource
from pcaudit.core.report import Finding, Outcome, Verdict
from pcaudit.core.snapshot import Snapshot
from pcaudit.core.survey_changes import OneChange
from pcaudit.core.survey_pc import NotRead, Pc
from pcaudit.core.survey_verdicts import CAME, outcome_of_codes
from pcaudit.core.texts import fold

FORMAT: Final = 1
"""Newest format of a survey that this version writes."""

OLD_AFTER_DAYS: Final = 7
"""Age of a snapshot beyond which it is counted as old, as a report warns."""


def words_of(asked: Sequence[Asked]) -> tuple[Finding, ...]:
    """Every condition in words, held against a PC of which nothing is known."""
    return evaluate_all(asked, Snapshot("", "", {})).findings


class Superseded(NamedTuple):
    """A snapshot of a PC of which there is a newer one."""

    file: str
    by: str


class Fault(NamedTuple):
    """What a condition comes to over all PCs.

    Attributes:
        finding: The condition: id, title, what it asks.
        unmet, unverified, marginal: How many PCs; of the first two only where it decides.
        alone: PCs for which it is the only thing that keeps them from being ready.
    """

    finding: Finding
    unmet: int
    unverified: int
    marginal: int
    alone: int


class Bought(NamedTuple):
    """A change, and the PCs it would make ready by itself, by their position."""

    change: OneChange
    pcs: tuple[int, ...]


class Heading(NamedTuple):
    """What a survey is of.

    Attributes:
        on, as_of: Days judged for, and counted from.
        tool_version: Version of pcaudit.
        profiles, against: The files.
        options, parameters: What was chosen.
        what_if: What is supposed, as it was written.
        only: The outcome that ``pcs`` is limited to when it is shown; empty for all.
    """

    on: date
    as_of: date
    tool_version: str
    profiles: tuple[ProfileSource, ...]
    against: tuple[ProfileSource, ...]
    options: tuple[str, ...]
    parameters: Mapping[str, int | float]
    what_if: tuple[str, ...]
    only: str = ""


class Survey(NamedTuple):
    """Everything one survey says.

    Attributes:
        heading: What it is of.
        findings: Every condition in words, held against no PC.
        against: The same of the other edition.
        pcs: One for each PC, in the order of their files.
        changes: The one change for each of these PCs; None where none is known.
        superseded: Older snapshots of the same PCs.
        not_read: What could not be judged.
        unsought: How many PCs nearly pass for which no change was looked for.
    """

    heading: Heading
    findings: tuple[Finding, ...]
    against: tuple[Finding, ...]
    pcs: tuple[Pc, ...]
    changes: tuple[OneChange | None, ...]
    superseded: tuple[Superseded, ...]
    not_read: tuple[NotRead, ...]
    unsought: int = 0

    def shown(self) -> list[int]:
        """Positions of the PCs to list."""
        wanted = self.heading.only
        return [
            index
            for index, pc in enumerate(self.pcs)
            if not wanted or outcome_of_codes(pc.codes).value == wanted
        ]


# -- the same PC twice


def _moment(taken_at: str) -> datetime:
    moment = datetime.fromisoformat(taken_at)
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def _identity(pc: Pc) -> tuple[str, str] | None:
    if pc.serial_number:
        return "serial", fold(pc.serial_number)
    return ("host", fold(pc.host_name)) if pc.host_name else None


def newest(pcs: Iterable[Pc]) -> tuple[list[Pc], list[Superseded]]:
    """Keep the newest snapshot of each PC.

    PCs are told apart by serial number, else by host name; one that shows neither counts by itself.

    Returns:
        Those that count in their order, and the older ones; of equally old ones the last counts.
    """
    ordered = list(pcs)
    best: dict[tuple[str, str], int] = {}
    older: dict[int, int] = {}
    for index, pc in enumerate(ordered):
        identity = _identity(pc)
        if identity is None:
            continue
        other = best.get(identity)
        if other is not None:
            newer = _moment(pc.taken_at) >= _moment(ordered[other].taken_at)
            older[other if newer else index] = index if newer else other
            if not newer:
                continue
        best[identity] = index
    kept = [pc for index, pc in enumerate(ordered) if index not in older]
    gone = []
    for index in sorted(older):
        identity = _identity(ordered[index])
        assert identity is not None
        gone.append(Superseded(ordered[index].place.file, ordered[best[identity]].place.file))
    return kept, gone


# -- counting


def counts(pcs: Iterable[Pc]) -> dict[Outcome, int]:
    """How many PCs come to what."""
    found = Counter(outcome_of_codes(pc.codes) for pc in pcs)
    return {outcome: found[outcome] for outcome in Outcome}


def age(pc: Pc, as_of: date) -> int:
    """Days since a snapshot was taken; negative where that day is still to come."""
    return (as_of - datetime.fromisoformat(pc.taken_at).date()).days


def deciding(codes: str, findings: Sequence[Finding]) -> list[tuple[Finding, Verdict]]:
    """What keeps a PC from being ready, in the order it is asked."""
    return [
        (finding, came.verdict)
        for finding, came in ((finding, CAME[code]) for finding, code in zip(findings, codes, strict=True))
        if came.binding and came.verdict in (Verdict.UNMET, Verdict.UNVERIFIED)
    ]


def faults(survey: Survey) -> list[Fault]:
    """What fails or cannot be known on some PC, what fails most often first."""
    found = []
    alone: Counter[str] = Counter()
    alike = Counter(pc.codes for pc in survey.pcs)
    for codes, number in alike.items():
        open_ = deciding(codes, survey.findings)
        if len(open_) == 1:
            alone[open_[0][0].id] += number
    for index, finding in enumerate(survey.findings):
        came: Counter[str] = Counter()
        for codes, number in alike.items():
            came[codes[index]] += number
        unmet, unverified = came["u"], came["v"]
        if unmet or unverified or came["g"]:
            found.append(Fault(finding, unmet, unverified, came["g"], alone[finding.id]))
    return sorted(found, key=lambda one: (-one.unmet, -one.unverified, -one.marginal))


def bought(survey: Survey) -> list[Bought]:
    """Each change with the PCs it would make ready by itself; what makes most PCs ready first."""
    by_words: dict[tuple[Means, str], list[int]] = {}
    for index, change in enumerate(survey.changes):
        if change is not None:
            by_words.setdefault((change.kind, change.what), []).append(index)
    found = []
    for pcs in by_words.values():
        change = survey.changes[pcs[0]]
        assert change is not None
        found.append(Bought(change, tuple(pcs)))
    return sorted(found, key=lambda one: (-len(one.pcs), one.change.what))


def turned(survey: Survey) -> list[int]:
    """Positions of PCs that pass today and will not pass the other edition."""
    return [
        index
        for index, pc in enumerate(survey.pcs)
        if pc.against
        and outcome_of_codes(pc.codes) is Outcome.READY
        and outcome_of_codes(pc.against) is not Outcome.READY
    ]


def gained(survey: Survey) -> list[int]:
    """Positions of PCs that are not ready and would be with what is supposed."""
    return [
        index
        for index, pc in enumerate(survey.pcs)
        if pc.what_if
        and outcome_of_codes(pc.codes) is not Outcome.READY
        and outcome_of_codes(pc.what_if) is Outcome.READY
    ]


def name_of(pc: Pc) -> str:
    """What people call a PC: its host name, else its serial number, else its file."""
    return pc.host_name or pc.serial_number or pc.place.file


def purchase(survey: Survey) -> list[Bought]:
    """The parts among the changes."""
    return [one for one in bought(survey) if one.change.kind is Means.PART]


# -- JSON


def _verdicts(codes: str, findings: Sequence[Finding]) -> list[dict[str, Any]]:
    return [
        {"id": finding.id, "verdict": CAME[code].verdict.value, "binding": CAME[code].binding}
        for finding, code in zip(findings, codes, strict=True)
    ]


def _outcome(codes: str, findings: Sequence[Finding]) -> dict[str, Any]:
    return {"outcome": outcome_of_codes(codes).value, "findings": _verdicts(codes, findings)}


def pc_mapping(survey: Survey, index: int) -> dict[str, Any]:
    """The JSON form of one PC."""
    pc, change = survey.pcs[index], survey.changes[index]
    out: dict[str, Any] = {
        "file": pc.place.file,
        "computer": {"host_name": pc.host_name, "model": pc.model, "serial_number": pc.serial_number},
        "taken_at": pc.taken_at,
        "age_days": age(pc, survey.heading.as_of),
        "change": None if change is None else {"kind": change.kind.value, "what": change.what},
        **_outcome(pc.codes, survey.findings),
    }
    if pc.against:
        out["against"] = _outcome(pc.against, survey.against)
    if pc.what_if:
        out["what_if"] = _outcome(pc.what_if, survey.findings)
    return out


_ASKED: Final = ("id", "title", "binding", "required", "because", "owner", "profile", "line", "digest")


def _asked(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    return [{key: getattr(one, key) for key in _ASKED} for one in findings]


def _fault_mapping(fault: Fault) -> dict[str, Any]:
    return {
        "id": fault.finding.id,
        **{k: getattr(fault, k) for k in ("unmet", "unverified", "marginal", "alone")},
    }


def survey_mapping(survey: Survey, *, listed: bool = True) -> dict[str, Any]:
    """The JSON form of a survey, ready to write.

    Args:
        survey: What it says.
        listed: With ``pcs``, those to be shown; all else is of every PC.
    """
    heading = survey.heading
    files = [pc.place.file for pc in survey.pcs]
    out: dict[str, Any] = {
        "kind": "survey",
        "format": FORMAT,
        "on": heading.on.isoformat(),
        "as_of": heading.as_of.isoformat(),
        "tool": {"name": "pcaudit", "version": heading.tool_version},
        "profiles": [profile._asdict() for profile in heading.profiles],
        "options": list(heading.options),
        "parameters": dict(heading.parameters),
        "only": heading.only or None,
        "counts": {outcome.value: number for outcome, number in counts(survey.pcs).items()},
        "conditions": _asked(survey.findings),
        "fails": [_fault_mapping(one) for one in faults(survey)],
        "changes": [
            {
                "kind": one.change.kind.value,
                "what": one.change.what,
                "makes_ready": len(one.pcs),
                "files": [files[index] for index in one.pcs],
            }
            for one in bought(survey)
        ],
        "changes_not_sought": survey.unsought,
        "pcs": [pc_mapping(survey, index) for index in survey.shown() if listed],
        "superseded": [one._asdict() for one in survey.superseded],
        "not_read": [one._asdict() for one in survey.not_read],
    }
    if heading.against:
        out["against"] = {
            "profiles": [profile._asdict() for profile in heading.against],
            "conditions": _asked(survey.against),
            "counts": _counted(pc.against for pc in survey.pcs),
            "turned": [files[index] for index in turned(survey)],
        }
    if heading.what_if:
        out["what_if"] = {
            "values": list(heading.what_if),
            "counts": _counted(pc.what_if for pc in survey.pcs),
            "makes_ready": [files[index] for index in gained(survey)],
        }
    return out


def _counted(codes: Iterable[str]) -> dict[str, int]:
    found = Counter(map(outcome_of_codes, codes))
    return {outcome.value: found[outcome] for outcome in Outcome}
