"""Putting a report together from a profile, a snapshot and its findings."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Final

from pcaudit.core.backup import outline
from pcaudit.core.derive import Readings
from pcaudit.core.profile import Profile
from pcaudit.core.report import Arrangement, Finding, ProfileSource, Report, Verdict, outcome_of
from pcaudit.core.snapshot import Form, Snapshot

OLD_AFTER_DAYS: Final = 7
"""Age of a snapshot beyond which a report warns."""

_COMPUTER: Final = ("host_name", "model", "serial_number")


def _computer(snapshot: Snapshot) -> dict[str, str | None]:
    seen = {key: snapshot.get(f"computer.{key}") for key in _COMPUTER}
    return {key: one.value if one.form is Form.KNOWN else None for key, one in seen.items()}


def _arrangements(profile: Profile) -> tuple[Arrangement, ...]:
    return tuple(
        Arrangement(
            id=one.id,
            kind=one.kind,
            title=one.title,
            because=one.because,
            remedy=one.remedy,
            owner=one.owner or "lab",
            needed=one.needed,
            lead_time=one.lead_time,
            profile=profile.path,
            line=one.line,
        )
        for one in profile.arrangements
    )


def _needing(findings: Iterable[Finding], *words: str) -> list[str]:
    """Titles of binding findings that are open for a reason with one of these words in it."""
    return [
        f.title
        for f in findings
        if f.binding and f.verdict is Verdict.UNVERIFIED and any(w in f.why for w in words)
    ]


def _not_asked(profile: Profile, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    lines = []
    count = len(profile.arrangements)
    if count:
        what = "1 arrangement" if count == 1 else f"{count} arrangements"
        lines.append(f"{what} not asked: no worksheet was given")
    elevated = _needing(findings, "administrator", "root")
    if elevated:
        lines.append(f"not read without administrator rights, and decides: {', '.join(elevated)}")
    console = _needing(findings, "console")
    if console:
        lines.append(f"only readable at the console, and decides: {', '.join(console)}")
    return tuple(lines)


def _warnings(snapshot: Snapshot, as_of: date) -> tuple[str, ...]:
    taken = datetime.fromisoformat(snapshot.taken_at).date()
    age = (as_of - taken).days
    if age > OLD_AFTER_DAYS:
        return (f"the snapshot is {age} days old: probe again before relying on it",)
    if age < -1:  # one day: the PC and the reader may be in different time zones
        return (f"the snapshot was taken {-age} days after the day counted from",)
    return ()


def make_report(
    profile: Profile,
    snapshot: Snapshot,
    findings: tuple[Finding, ...],
    *,
    on: date,
    as_of: date,
    tool_version: str,
) -> Report:
    """Put a report together.

    Args:
        profile: What was asked.
        snapshot: What was seen.
        findings: The one held against the other.
        on: Day judged for.
        as_of: Day work counts from.
        tool_version: Version of pcaudit.

    Returns:
        The report.
    """
    source = ProfileSource(profile.title, profile.path, profile.sha256, profile.text)
    return Report(
        pc_outcome=outcome_of(findings),
        arrangements_outcome=None,
        on=on,
        as_of=as_of,
        tool_version=tool_version,
        profiles=(source,),
        computer=_computer(snapshot),
        findings=findings,
        arrangements=_arrangements(profile),
        backup=outline(Readings(snapshot)),
        not_asked=_not_asked(profile, findings),
        warnings=_warnings(snapshot, as_of),
        snapshot=snapshot,
    )
