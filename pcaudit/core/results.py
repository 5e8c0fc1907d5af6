"""What a condition comes to, before words are put around it."""

from __future__ import annotations

from typing import Any, NamedTuple

from pcaudit.core.report import Verdict
from pcaudit.core.truth import Answer, Truth


class Result(NamedTuple):
    """What one condition comes to.

    Attributes:
        verdict: What it says.
        found: What the PC has, in words.
        value: The value found, in base units; None for lists and alternatives.
        source: Where it was read.
        why: Why it is no better than it is.
        others: Items of a list (by position) known to be other things than the table is about,
            by their name or by what the list was asked for; there may be more of them.
    """

    verdict: Verdict
    found: str
    value: Any = None
    source: str = ""
    why: str = ""
    others: frozenset[int] = frozenset()


def verdict_of(required: Answer, full: Answer, only_advised: bool) -> tuple[Verdict, str]:
    """The verdict of a condition judged once as required and once as recommended or advised."""
    if required.truth is Truth.FALSE:
        return Verdict.UNMET, required.why
    if required.truth is Truth.UNKNOWN:
        return Verdict.UNVERIFIED, required.why
    if full.truth is Truth.TRUE:
        return Verdict.MET, ""
    if full.truth is Truth.UNKNOWN and only_advised:
        return Verdict.UNVERIFIED, full.why
    return Verdict.MARGINAL, full.why


NOT_ABOUT_THIS = Result(Verdict.NOT_APPLICABLE, "not asked of this PC")
"""Of a table that is limited to other PCs or choices."""


def limited(result: Result, about: Answer) -> Result:
    """A result where it is not known whether the table is about this PC.

    What is met anyway stays met; everything else cannot be known.
    """
    if about.truth is Truth.TRUE or result.verdict in (Verdict.MET, Verdict.MARGINAL):
        return result
    return result._replace(
        verdict=Verdict.UNVERIFIED, why=f"whether it is asked of this PC is not known: {about.why}"
    )
