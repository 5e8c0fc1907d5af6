"""What to do about a shortfall, where the profile itself does not say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from pcaudit.core.report import Finding, Verdict

FALLS_SHORT: Final = (Verdict.UNMET, Verdict.UNVERIFIED, Verdict.MARGINAL)
"""Verdicts that ask for something to be done."""


def wants_remedy(finding: Finding) -> bool:
    """Whether something is to be done about a finding and nobody has said what."""
    if finding.verdict is Verdict.UNVERIFIED:
        return True
    return finding.verdict in FALLS_SHORT and not finding.remedy


def _subject(finding: Finding) -> str:
    return finding.id.partition("[")[0]


def _text(entry: Mapping[str, Any], key: str) -> str:
    value = entry.get(key, "")
    return value if isinstance(value, str) else ""


def _remedy(finding: Finding, known: Mapping[str, Any], os_type: str) -> str:
    entry = known.get(_subject(finding), {})
    if finding.verdict is Verdict.UNVERIFIED:
        return _text(entry, "unverified") or finding.remedy
    return _text(entry, os_type) or _text(entry, "any")


def fill(findings: Iterable[Finding], known: Mapping[str, Any], os_type: str) -> tuple[Finding, ...]:
    """Add the known remedy to every finding that wants one.

    Args:
        findings: As evaluated.
        known: Table of remedies by reading: per OS, ``any`` and ``unverified``.
        os_type: Of the PC: windows, linux, macos, or empty where not known.

    Returns:
        The findings; where something cannot be known the remedy is how to make it readable.
    """
    return tuple(
        finding._replace(remedy=_remedy(finding, known, os_type)) if wants_remedy(finding) else finding
        for finding in findings
    )
