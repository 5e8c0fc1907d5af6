"""The plan as one document: everything around the PC that must be ready on the day."""

from __future__ import annotations

from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.finding import Arrangement, Finding, Outcome, arrangement_mapping, as_finding
from pcaudit.core.plan.mapping import section_mapping
from pcaudit.core.plan.section import Section

FORMAT: Final = 1
"""Newest plan format this version writes."""


class Plan(NamedTuple):
    """Everything one plan says.

    Attributes:
        title, path, sha256: Of the worksheet; ``path`` as given.
        on: The installation day, or the day judged for instead; without either ``as_of``.
        as_of: Day work counts from.
        outcome: Of the arrangements and of everything that was held against something.
        arrangements: What people must have ready, with the worksheet's answers.
        sections: The parts, in the order they are read.
        warnings: What a reader must know, such as a day in the past.
        computer: host_name, model and serial_number of the snapshot, as far as known; empty without one.
        taken_at: When the snapshot was taken; empty without one.
        day_known: Whether somebody said the day; without it nothing is ready.
    """

    title: str
    path: str
    sha256: str
    on: date
    as_of: date
    tool_version: str
    outcome: Outcome
    arrangements: tuple[Arrangement, ...]
    sections: tuple[Section, ...]
    warnings: tuple[str, ...] = ()
    computer: dict[str, str | None] = {}
    taken_at: str = ""
    day_known: bool = True

    @property
    def every(self) -> tuple[Finding, ...]:
        """Every finding: of arrangements that were answered, and of every part."""
        arranged = filter(None, map(as_finding, self.arrangements))
        return (*arranged, *(one for section in self.sections for one in section.findings))


def plan_mapping(plan: Plan) -> dict[str, Any]:
    """The JSON form of a plan, ready to write."""
    return {
        "kind": "plan",
        "format": FORMAT,
        "outcome": plan.outcome.value,
        "on": plan.on.isoformat(),
        "day_known": plan.day_known,
        "as_of": plan.as_of.isoformat(),
        "tool": {"name": "pcaudit", "version": plan.tool_version},
        "worksheet": {"title": plan.title, "path": plan.path, "sha256": plan.sha256},
        "computer": plan.computer,
        "taken_at": plan.taken_at or None,
        "arrangements": [arrangement_mapping(one) for one in plan.arrangements],
        "sections": [section_mapping(one) for one in plan.sections],
        "warnings": list(plan.warnings),
    }
