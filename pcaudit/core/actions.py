"""What is left to do: for each owner, in the order it should be begun."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from pcaudit.core.remedies import COSTS, FALLS_SHORT
from pcaudit.core.report import Arrangement, Effort, Finding, Verdict
from pcaudit.core.visible import visible

OWNERS: Final = ("lab", "IT", "purchasing", "facilities", "installer")
"""In the order people read them; others follow as they come."""

NO_OWNER: Final = "no owner named"

_FOLDED: Final = {owner.casefold(): owner for owner in OWNERS}

_DAYS: Final = {"working day": 7 / 5, "day": 1.0, "week": 7.0, "month": 30.0}
"""Calendar days of a unit of lead times; a week has five working days, holidays not counted."""


def blocks(finding: Finding) -> bool:
    """Whether a finding keeps the PC from being ready."""
    return finding.binding and finding.verdict in (Verdict.UNMET, Verdict.UNVERIFIED)


def _slowness(finding: Finding) -> int:
    """How long a remedy takes to come: another PC or a licence, then parts, then a setting."""
    return COSTS.index(finding.effort.cost) if finding.effort and finding.effort.cost in COSTS else 0


def by_owner(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """What is left to do for each owner: what blocks first, of that what must be ordered."""
    groups: dict[str, list[Finding]] = {owner: [] for owner in OWNERS}
    for finding in findings:
        if finding.verdict in FALLS_SHORT:
            owner = finding.owner.strip() or NO_OWNER
            groups.setdefault(_FOLDED.get(owner.casefold(), owner), []).append(finding)
    for group in groups.values():
        group.sort(key=lambda one: (not blocks(one), -_slowness(one), FALLS_SHORT.index(one.verdict)))
    return {owner: group for owner, group in groups.items() if group}


def kinds_words(findings: Iterable[Finding]) -> str:
    """What is left to do by what it is: "7 unmet, 2 to find out, 1 advised".

    What binds and is unmet must be changed, what binds and cannot be known must be found out, and
    the rest is recommended or advised only.
    """
    counts = {"unmet": 0, "to find out": 0, "advised": 0}
    for finding in findings:
        if not blocks(finding):
            counts["advised"] += 1
        else:
            counts["unmet" if finding.verdict is Verdict.UNMET else "to find out"] += 1
    return ", ".join(f"{number} {kind}" for kind, number in counts.items() if number)


def effort_words(effort: Effort | None) -> str:
    """What a remedy takes, safe to print: "administrator, restart; cannot be undone"; or nothing."""
    if effort is None:
        return ""
    needs = visible(", ".join(effort.needs))
    undo = "cannot be undone" if effort.undo is False else ""
    return "; ".join(filter(None, (needs, undo)))


def lead_days(text: str) -> float:
    """Calendar days of a lead time such as "10 working days"; 0 where it says none."""
    number, _, unit = text.partition(" ")
    if not (number.isascii() and number.isdigit()):
        return 0.0
    return int(number[:6]) * _DAYS.get(unit.removesuffix("s"), 0.0)


def by_lead_time(arrangements: Iterable[Arrangement]) -> list[Arrangement]:
    """Arrangements, those first that must be begun first; else as the profiles have them."""
    return sorted(arrangements, key=lambda one: -lead_days(one.lead_time))
