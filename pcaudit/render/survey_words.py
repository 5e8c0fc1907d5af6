"""What a survey says in words, in whatever format."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pcaudit.core.changes import Means
from pcaudit.core.report import Finding, Outcome, Verdict
from pcaudit.core.survey import Bought, Survey, age, bought, counts, deciding, gained, name_of, turned
from pcaudit.core.survey_pc import Pc
from pcaudit.core.visible import visible

DISCLAIMER: Final = (
    "Each line is by the readings of one PC, taken when it says; none is a guarantee of operation, safety or "
    "compliance."
)

NAMED: Final = 8
"""PCs named in a sentence at most; every one stands in the list and in JSON."""


def safe(text: str) -> str:
    """Text from files and PCs, in one line."""
    return visible(text, 200)


def pcs(number: int) -> str:
    """How many: "1 PC", "41 PCs"."""
    return f"{number} PC{'s' * (number != 1)}"


def counted(survey: Survey) -> str:
    """How many PCs come to what: "12 ready, 3 not ready, 1 inconclusive"."""
    return ", ".join(f"{number} {outcome.value}" for outcome, number in counts(survey.pcs).items())


def named(survey: Survey, indexes: Sequence[int]) -> str:
    """The PCs by name, as many as fit a sentence."""
    names = [safe(name_of(survey.pcs[index])) for index in indexes[:NAMED]]
    more = len(indexes) - len(names)
    return ", ".join(names) + (f" and {more} more" if more else "")


def change_words(one: Bought) -> str:
    """One change, and what it does: "buy memory 32 GB: makes 41 PCs ready"."""
    verb = "buy" if one.change.kind is Means.PART else "set"
    return f"{verb} {safe(one.change.what)}: makes {pcs(len(one.pcs))} ready"


def advice(survey: Survey) -> str:
    """The sentence for whoever buys: what to buy, for which PCs."""
    parts = [one for one in bought(survey) if one.change.kind is Means.PART]
    settings = [one for one in bought(survey) if one.change.kind is Means.SETTING]
    free = sum(len(one.pcs) for one in settings)
    said = []
    if parts:
        total = sum(len(one.pcs) for one in parts)
        each = "; ".join(
            f"{safe(one.change.what)} for {pcs(len(one.pcs))} ({named(survey, one.pcs)})" for one in parts[:3]
        )
        said.append(f"One part for each makes {pcs(total)} ready: {each}.")
        if len(parts) > 3:
            said.append(f"{len(parts) - 3} more kinds of part stand below.")
    if free:
        said.append(f"One setting for each, which costs nothing but work, makes {pcs(free)} ready.")
    return " ".join(said) or "No PC that falls short is known to become ready by one part or one setting."


def notes(survey: Survey) -> list[str]:
    """What a reader must know first."""
    heading, said = survey.heading, []
    old = sum(age(pc, heading.as_of) > 7 for pc in survey.pcs)
    ahead = sum(age(pc, heading.as_of) < -1 for pc in survey.pcs)
    nameless = sum(not (pc.serial_number or pc.host_name) for pc in survey.pcs)
    if survey.not_read:
        number = len(survey.not_read)
        what = "files or lines" if number > 1 else "file or line"
        said.append(f"{number} {what} could not be judged, named below.")
    if old:
        said.append(f"{pcs(old)} by a snapshot more than 7 days old: probe again before relying on it.")
    if ahead:
        said.append(f"{pcs(ahead)} by a snapshot taken after the day counted from.")
    if survey.superseded:
        number = len(survey.superseded)
        what = "snapshots of the same PCs were" if number > 1 else "snapshot of the same PCs was"
        said.append(f"{number} older {what} left out.")
    if nameless:
        said.append(f"{pcs(nameless)} showed neither serial number nor host name, and count singly.")
    if survey.unsought:
        said.append(f"For {pcs(survey.unsought)} that nearly pass no change was looked for.")
    said.append("Concessions and arrangements are not part of a survey.")
    return said


def ages(survey: Survey) -> str:
    """How old the snapshots are: "0 to 41 days, half of them 3 or less"."""
    days = sorted(age(pc, survey.heading.as_of) for pc in survey.pcs)
    if not days:
        return "none"
    return f"{days[0]} to {days[-1]} days, half of them {days[(len(days) - 1) // 2]} or less"


def blockers(codes: str, findings: Sequence[Finding]) -> str:
    """What keeps a PC from being ready: "Memory installed unmet; Sleep after unverified"."""
    return "; ".join(
        safe(one.title) + ("" if verdict is Verdict.UNMET else " not known")
        for one, verdict in deciding(codes, findings)
    )


def against_words(survey: Survey) -> str:
    """How many PCs the other edition costs."""
    lost = turned(survey)
    if not lost:
        return "Every PC that passes today passes the other edition too."
    passes = "passes" if len(lost) == 1 else "pass"
    return f"{pcs(len(lost))} that {passes} today will not pass the other edition."


def what_if_words(survey: Survey) -> str:
    """What is supposed, and what it would buy."""
    supposed = " and ".join(map(safe, survey.heading.what_if))
    made = gained(survey)
    if not made:
        return f"With {supposed}, supposed of every PC that has less, no further PC would be ready."
    return (
        f"With {supposed}, supposed of every PC that has less, {pcs(len(made))} more would be ready: "
        f"{named(survey, made)}."
    )


def computer(pc: Pc) -> str:
    """What a PC is: "bench-pc-07, Model 5, serial number S-1"."""
    parts = [safe(name_of(pc))]
    parts += [safe(pc.model)] if pc.model else []
    parts += [f"serial number {safe(pc.serial_number)}"] if pc.serial_number else []
    return ", ".join(parts)


STYLES: Final = {
    Outcome.READY: Verdict.MET,
    Outcome.NOT_READY: Verdict.UNMET,
    Outcome.INCONCLUSIVE: Verdict.UNVERIFIED,
}
"""The verdict whose colour an outcome has."""
