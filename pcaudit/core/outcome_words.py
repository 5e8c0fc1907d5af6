"""An outcome as people say it, with what was conceded: said alike wherever an outcome stands."""

from __future__ import annotations

from collections.abc import Iterable

from pcaudit.core.finding import Finding, Outcome, Verdict


def conceded(verdicts: Iterable[Verdict]) -> int:
    """How many findings are accepted by a concession."""
    return sum(verdict is Verdict.ACCEPTED for verdict in verdicts)


def with_concessions(outcome: Outcome, number: int) -> str:
    """The outcome, and on how many concessions it rests: "ready, with 2 concessions".

    Args:
        outcome: Of a PC, or of a whole report.
        number: How many of its findings are accepted.

    Returns:
        The outcome alone where it is another than ready, for then it does not rest on them.
    """
    if outcome is not Outcome.READY or not number:
        return outcome.value
    return f"{outcome.value}, with {number} concession{'s' if number > 1 else ''}"


def said(outcome: Outcome, findings: Iterable[Finding]) -> str:
    """The outcome of these findings, in words."""
    return with_concessions(outcome, conceded(finding.verdict for finding in findings))
