"""The one change, a setting or a part, with which a PC that nearly passes would pass.

PCs that fall short alike are looked at together: the smallest change is found on the first of them by
``pcaudit.core.smallest_change``, and every other one is judged anew with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, Type
from pcaudit.core.changes import Means
from pcaudit.core.choose import Asked
from pcaudit.core.derive import Knowledge
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.finding import Outcome, Verdict
from pcaudit.core.hypothesis import Plan, realise
from pcaudit.core.mending import mend
from pcaudit.core.parts import name_of
from pcaudit.core.smallest_change import Question, Search
from pcaudit.core.snapshot import Snapshot, form_of, from_mapping
from pcaudit.core.survey_verdicts import Verdicts, outcome_of_codes

SEARCHES: Final = 3
"""Searches among PCs that fall short alike at most: what one of them needs mostly does for the others."""


_UNTOUCHED: Final = frozenset({"software.packages", "cpu.features"})
"""Long readings that no part changes."""


class OneChange(NamedTuple):
    """A change that is enough alone.

    Attributes:
        kind: A setting, or a part to buy.
        what: What is changed, to what, in words.
    """

    kind: Means
    what: str


class _Known(NamedTuple):
    """A change that was enough for one PC.

    Attributes:
        change: In words.
        plan: What it is.
        patch: The readings it changes there, as a snapshot's JSON then has them.
        before: What the lists among these were: a setting of an item means the same only there.
    """

    change: OneChange
    plan: Plan
    patch: dict[str, Any]
    before: dict[str, Any]


def _patch(before: Snapshot, after: Snapshot) -> dict[str, Any]:
    return {name: form_of(seen) for name, seen in after.readings.items() if before.get(name) != seen}


def _found(asked: Sequence[Asked], raw: Mapping[str, Any], knowledge: Knowledge) -> _Known | None:
    """Search for the one change with which a PC passes; None where none is enough alone, or none is known."""
    snapshot = from_mapping(raw)
    question = Question(asked, snapshot, knowledge)
    trial = Search(question).run().trial
    open_ = trial.ids(Verdict.UNMET) | trial.ids(Verdict.UNVERIFIED)
    if open_ or len(trial.plan.settings) + len(trial.plan.parts) != 1:
        return None
    findings = evaluate_all(asked, snapshot, knowledge=knowledge).findings
    (change,) = mend(question, {one.id: one for one in findings}).changes
    what = change.part if change.kind is Means.PART else f"{change.what}: {change.to}"
    patch = _patch(snapshot, trial.world.snapshot)
    lists = [name for name in patch if CATALOGUE[name].value.type is Type.LIST]
    before = {name: raw["readings"].get(name) for name in lists}
    return _Known(OneChange(change.kind, what), trial.plan, patch, before)


def _fitted(known: _Known, raw: Mapping[str, Any]) -> tuple[OneChange, dict[str, Any]] | None:
    """A known change on another PC, and what it changes there; None where it cannot be made there."""
    readings = raw["readings"]
    if known.change.kind is Means.SETTING:
        if any(readings.get(name) != before for name, before in known.before.items()):
            return None
        return known.change, known.patch
    short = {name: one for name, one in readings.items() if name not in _UNTOUCHED}
    snapshot = from_mapping({**raw, "readings": short})
    world = realise(known.plan, snapshot)
    if world is None:
        return None
    (part,) = world.bought.values()
    return OneChange(Means.PART, name_of(part)), _patch(snapshot, world.snapshot)


def _does(known: _Known, judge: Verdicts, raw: Mapping[str, Any]) -> OneChange | None:
    """The change, where a PC was judged ready with it."""
    fitted = _fitted(known, raw)
    if fitted is None:
        return None
    change, patch = fitted
    version = from_mapping({**raw, "readings": {}}).tool_version
    ready = outcome_of_codes(judge.of({**raw["readings"], **patch}, version)) is Outcome.READY
    return change if ready else None


def changes_of(
    asked: Sequence[Asked],
    judge: Verdicts,
    alike: Iterable[Mapping[str, Any]],
    knowledge: Knowledge,
) -> list[OneChange | None]:
    """The one change for each of several PCs.

    Args:
        asked: The profiles, with what was chosen of each.
        judge: Of these profiles.
        alike: Snapshots, as JSON, of PCs that fall short alike.
        knowledge: As they are judged with.

    Returns:
        For each of them the change, judged on it; None where none was found.
    """
    known: list[_Known] = []
    searches = 0
    found: list[OneChange | None] = []
    for raw in alike:
        change = next(filter(None, (_does(one, judge, raw) for one in known)), None)
        if change is None and searches < SEARCHES:
            searches += 1
            new = _found(asked, raw, knowledge)
            known += [new] if new else []
            change = new.change if new else None
        found.append(change)
    return found
