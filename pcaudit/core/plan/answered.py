"""A worksheet together with what it is held against."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from pcaudit.core.plan.arrangements import Days
from pcaudit.core.plan.electrical_rules import ElectricalKnowledge
from pcaudit.core.worksheet.sheet import Worksheet


class Answered(NamedTuple):
    """A worksheet, and what it is held against.

    Attributes:
        worksheet: The answers.
        days: The days they are held against.
        electrical: What is known of mains electricity; None where only what was entered counts.
        notes: What is to be said of the public holidays in ``days``.
    """

    worksheet: Worksheet
    days: Days
    electrical: ElectricalKnowledge | None = None
    notes: tuple[str, ...] = ()


def days_apart(answered: Answered) -> Iterable[str]:
    """What a reader must know of the installation day."""
    day, needed = answered.worksheet.installation.day, answered.days.needed
    if needed is None:
        yield "the worksheet has no installation day: what is late cannot be told"
    elif day is not None and needed != day:
        yield f"judged for {needed.isoformat()}, not for the worksheet's installation day {day.isoformat()}"
    if needed is not None and needed < answered.days.as_of:
        yield f"the day judged for, {needed.isoformat()}, is past"
