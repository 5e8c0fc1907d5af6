"""What to do about a shortfall, where the profile itself does not say."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any, Final

from pcaudit.core.report import Effort, Finding, Verdict

FALLS_SHORT: Final = (Verdict.UNMET, Verdict.UNVERIFIED, Verdict.MARGINAL)
"""Verdicts that ask for something to be done."""

NEEDS: Final = ("administrator", "restart", "purchase", "licence", "another PC")
"""What a remedy may take, in the order people read it."""

COSTS: Final = ("free", "parts", "purchase")
"""What a remedy may cost: nothing, something fitted to this PC, or a licence or another PC."""


_EVERYWHERE: Final = ("any", "unverified", "needs", "cost", "undo")

NO_SYSTEM: Final = (
    "What to do depends on the operating system, which these readings do not give: probe on the PC itself."
)
"""The remedy where there is one for each system and nobody knows which it is."""


def subject(finding: Finding) -> str:
    """The reading a finding is about, or the group for alternatives: its id without the list's own."""
    # Where two products use one id the profile's stem and a slash stand before it.
    return finding.id.partition("[")[0].rpartition("/")[2]


def entries(findings: Iterable[Finding], bounded: Collection[str] = ()) -> frozenset[str]:
    """Names of the remedies that ``fill`` looks for.

    Args:
        findings: As evaluated.
        bounded: Readings of which only a lower bound is known.
    """
    names = (subject(finding) for finding in findings if wants_remedy(finding, bounded))
    return frozenset(one for name in names for one in (name, name.partition(".")[2]))


_TABLE: Final = "\n[remedies."


def excerpt(text: str, names: Collection[str], os_type: str) -> str:
    """The part of a file of remedies that some findings on one system need.

    Reading the whole of it as TOML takes longer than judging a profile.

    Args:
        text: The file, laid out as the shipped one: each text and each table of flags on its line.
        names: Of the remedies.
        os_type: As for ``fill``.

    Returns:
        TOML with those remedies; where they have texts for this system, without those for others.
    """
    keys = {f"{key} =" for key in (os_type, f"unverified_{os_type}", *_EVERYWHERE)}
    kept = ["[remedies]"]
    for table in text.split(_TABLE)[1:]:
        head, *lines = table.splitlines()
        if head.rstrip("]").strip('"') in names:
            kept.append(f"[remedies.{head}")
            # That there is a text for another system only is told from there being none.
            kept += [line for line in lines if line[: line.find("=") + 1] in keys] or lines
    return "\n".join(kept)


def is_open(finding: Finding, bounded: Collection[str] = ()) -> bool:
    """Whether what is to be done is to find out.

    Args:
        finding: What falls short.
        bounded: Readings of which only a lower bound is known: what would be better may be there.
    """
    if finding.verdict is Verdict.UNVERIFIED:
        return True
    return finding.verdict is Verdict.MARGINAL and subject(finding) in bounded


def wants_remedy(finding: Finding, bounded: Collection[str] = ()) -> bool:
    """Whether something is to be done about a finding and nobody has said what."""
    if is_open(finding, bounded):
        return True
    return finding.verdict in FALLS_SHORT and not finding.remedy


def _text(entry: Mapping[str, Any], key: str) -> str:
    value = entry.get(key, "")
    return value if isinstance(value, str) else ""


def _of(entry: Mapping[str, Any], table: str, key: str) -> Any:
    values = entry.get(table)
    return values.get(key) if isinstance(values, dict) else None


def _effort(entry: Mapping[str, Any], key: str) -> Effort:
    given = _of(entry, "needs", key)
    needs = tuple(one for one in NEEDS if isinstance(given, list) and one in given)
    cost, undo = _of(entry, "cost", key), _of(entry, "undo", key)
    return Effort(needs, cost if cost in COSTS else COSTS[0], undo if isinstance(undo, bool) else None)


def _with_remedy(
    finding: Finding, known: Mapping[str, Any], os_type: str, bounded: Collection[str]
) -> Finding:
    name = subject(finding)
    # Alternatives of most groups have the same remedy: it stands under the bare word.
    entry = known.get(name) or known.get(name.partition(".")[2]) or {}
    keys = (f"unverified_{os_type}", "unverified") if is_open(finding, bounded) else (os_type, "any")
    for key in keys:
        text = _text(entry, key)
        if text:
            return finding._replace(remedy=text, effort=_effort(entry, key))
    return finding._replace(remedy=NO_SYSTEM) if entry and not finding.remedy else finding


def fill(
    findings: Iterable[Finding],
    known: Mapping[str, Any],
    os_type: str,
    bounded: Collection[str] = (),
) -> tuple[Finding, ...]:
    """Add the known remedy, and what it takes, to every finding that wants one.

    Args:
        findings: As evaluated.
        known: Table of remedies by reading: per OS, ``any`` and ``unverified``, also per OS.
        os_type: Of the PC: windows, linux, macos, or empty where not known.
        bounded: Readings of which only a lower bound is known.

    Returns:
        The findings; where something cannot be known the remedy is how to make it readable.
    """
    return tuple(
        _with_remedy(finding, known, os_type, bounded) if wants_remedy(finding, bounded) else finding
        for finding in findings
    )
