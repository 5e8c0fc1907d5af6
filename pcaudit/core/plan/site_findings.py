"""Findings of a place: an amount held against its limits, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.bounds import Bounds, Held, Limit, show, show_against
from pcaudit.core.plan.section import finding

WITHIN: Final = "within the figures entered"
"""What stands with everything that is met; it is never called safe."""

ENTER: Final = "Enter it in the worksheet."

PREVAILS: Final = (
    "A planning aid: neither certification nor electrical design. Local codes, site rules, a licensed "
    "electrician, the site's safety officers and the instrument's supplier prevail."
)


def called(what: str, identifier: str, title: str) -> str:
    """What something is called in a sentence: its title, else what it is with its id."""
    return title if title != identifier else f"{what} {identifier}"


class Words(NamedTuple):
    """What a finding says besides its verdict.

    Attributes:
        title: What it is about.
        because: Why it matters.
        remedy: What to do where it is unmet or marginal.
        owner: Who can do it.
        source: Who says so, besides the worksheet.
    """

    title: str
    because: str
    remedy: str
    owner: str = "lab"
    source: str = ""


class Desk(NamedTuple):
    """Makes the findings of one section of one worksheet."""

    section: str
    file: str

    def say(self, name: str, line: int, words: Words, held: Held, required: str, found: str) -> Finding:
        """A finding from a verdict that was reached elsewhere."""
        good = held.verdict in (Verdict.MET, Verdict.MARGINAL)
        remedies = {
            Verdict.UNMET: words.remedy,
            Verdict.MARGINAL: words.remedy,
            Verdict.UNVERIFIED: ENTER if held.why.startswith("enter ") else words.remedy,
        }
        return finding(
            self.section,
            name,
            words.title,
            held.verdict,
            required=required,
            found=f"{found}, {WITHIN}" if good else found,
            file=self.file,
            line=line,
            because=words.because,
            remedy=remedies.get(held.verdict, ""),
            owner=words.owner,
            why=held.why,
            source=f"worksheet; {words.source}" if words.source else "worksheet",
        )

    def amount(
        self,
        name: str,
        line: int,
        words: Words,
        held: Held,
        bounds: Bounds,
        limits: Sequence[Limit],
        unit: str,
        digits: int = 1,
    ) -> Finding:
        """A finding about an amount and what it may not go past."""
        required = "at most " + " and ".join(limit_words(one, unit, digits) for one in limits)
        return self.say(name, line, words, held, required, show_against(bounds, unit, limits, digits))


def limit_words(limit: Limit, unit: str, digits: int) -> str:
    """A limit for people: "16 A (breaker)", "breaker (not entered)"."""
    if limit.amount is None:
        return f"{limit.words} (not entered)"
    return f"{show(limit.amount, unit, digits, up=False)} ({limit.words})"
