"""What conditions are judged in: readings, parameters and options, and what depends on them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from pcaudit.core.conditions import FORMS, Requirement, Scale, Test, judge
from pcaudit.core.derive import Readings
from pcaudit.core.profile import ALWAYS, When
from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.truth import NO, YES, Answer, every
from pcaudit.core.wording import show_exact


class Context(NamedTuple):
    """One PC and one choice.

    Attributes:
        readings: Of the PC.
        parameters: By name, as if they were read.
        options: The options chosen.
    """

    readings: Readings
    parameters: Mapping[str, Observation]
    options: frozenset[str]

    def get(self, name: str) -> Observation:
        """A reading (its name has a dot) or a parameter."""
        return self.readings.get(name) if "." in name else self.parameters[name]


def applies(when: When, context: Context) -> Answer:
    """Whether a table is about this PC and this choice."""
    if when == ALWAYS:
        return YES
    if any((name in context.options) is not wanted for name, wanted in when.options):
        return NO
    return every(judge(one, context.get(one.name)) for one in when.requirements)


def _number(seen: Observation) -> tuple[int | float, str]:
    """The number of things an amount is asked for, at least, and why there may be more."""
    if seen.form is Form.KNOWN:
        return seen.value, ""
    if seen.form is Form.AT_LEAST:
        return seen.value, seen.why
    return (0, "") if seen.form is Form.ABSENT else (0, seen.why)


def _term(scale: Scale, number: int | float, requirement: Requirement) -> str:
    return f"{number:g} x {show_exact(scale.amount, requirement.spec)} ({scale.name})"


def resolve(requirement: Requirement, context: Context) -> Requirement:
    """Count in what is asked for each of something.

    Args:
        requirement: As the profile asks it.
        context: Gives the numbers.

    Returns:
        The requirement with minimum and recommended at their full amount and the arithmetic in
        words; where a number is not known, the least they can be, and why that is not all.
    """
    if not requirement.scales:
        return requirement
    extra: int | float = 0
    terms, doubts = [], []
    for scale in requirement.scales:
        number, doubt = _number(context.get(scale.name))
        extra += number * scale.amount
        terms.append(_term(scale, number, requirement))
        doubts += [f"{scale.name}: {doubt}"] if doubt else []
    minimum = FORMS["minimum"]

    def grown(tests: tuple[Test, ...]) -> tuple[Test, ...]:
        return tuple(t._replace(operand=t.operand + extra) if t.form is minimum else t for t in tests)

    base = next((t.operand for t in requirement.required if t.form is minimum), 0)
    first = [show_exact(base, requirement.spec)] if base else []
    return requirement._replace(
        required=grown(requirement.required),
        advised=grown(requirement.advised),
        scales=(),
        arithmetic=" + ".join(first + terms),
        unsettled="; ".join(doubts),
    )
