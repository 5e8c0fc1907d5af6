"""Conditions that no PC could meet together, found before any PC is probed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Any, Final

from pcaudit.core import versions
from pcaudit.core.catalogue import Type
from pcaudit.core.choose import Asked
from pcaudit.core.conditions import ORDERED, Requirement, judge_value, rank
from pcaudit.core.context import Context, resolve
from pcaudit.core.derive import Readings
from pcaudit.core.profile import ALWAYS, Scalar
from pcaudit.core.snapshot import Snapshot
from pcaudit.core.texts import fold
from pcaudit.core.truth import Truth
from pcaudit.errors import Mistake, Place

_ASK: Final = "ask the makers which one holds"
_NOTHING: Final = Readings(Snapshot("1970-01-01", "", {}))


def _named_values(requirement: Requirement) -> list[Any]:
    """The only values that can satisfy a requirement, where it names them."""
    values: list[Any] = []
    for operand in requirement.operands("equal", "one_of"):
        values += operand if isinstance(operand, tuple) else [operand]
    return values


def _ordered(first: Requirement, second: Requirement) -> bool:
    spec = first.spec
    low = [rank(o, spec) for one in (first, second) for o in one.operands("minimum")]
    high = [rank(o, spec) for one in (first, second) for o in one.operands("maximum")]
    return bool(low and high) and max(low) > min(high)


def _versions(first: Requirement, second: Requirement) -> bool:
    for ours in first.operands("version"):
        for theirs in second.operands("version"):
            if not any(versions.both(one, other) for one in ours for other in theirs):
                return True
    return False


def _sets(first: Requirement, second: Requirement) -> bool:
    for one, other in ((first, second), (second, first)):
        banned = {fold(word) for operand in other.operands("excludes") for word in operand}
        if any(fold(word) in banned for operand in one.operands("includes") for word in operand):
            return True
        if any(banned.issuperset(map(fold, operand)) for operand in one.operands("includes_any")):
            return True
    return False


def exclude_each_other(first: Requirement, second: Requirement) -> bool:
    """Whether no value satisfies both of two requirements on the same reading."""
    for one, other in ((first, second), (second, first)):
        values = _named_values(one)
        if values and all(
            Truth.FALSE in (judge_value(one, value).truth, judge_value(other, value).truth)
            for value in values
        ):
            return True
    spec = first.spec
    if spec.type in ORDERED:
        return _ordered(first, second)
    if spec.type is Type.VERSION:
        return _versions(first, second)
    return spec.type is Type.SET and _sets(first, second)


def _binding(asked: Sequence[Asked]) -> Iterator[tuple[Scalar, Requirement]]:
    """Conditions that hold for every PC, with what follows from parameters counted in."""
    for each in asked:
        context = Context(_NOTHING, each.parameters, each.options)
        for condition in each.conditions:
            if (
                isinstance(condition, Scalar)
                and condition.meta.when == ALWAYS
                and condition.requirement.required
            ):
                yield condition, resolve(condition.requirement, context)


def contradictions(asked: Sequence[Asked]) -> list[Mistake]:
    """Pairs of conditions that no PC could meet.

    Args:
        asked: The profiles, with what was chosen of each.

    Returns:
        One mistake for each pair, at the second place, naming the first.
    """
    by_reading: dict[str, list[tuple[Scalar, Requirement]]] = {}
    for condition, requirement in _binding(asked):
        by_reading.setdefault(condition.id, []).append((condition, requirement))
    found = []
    for pairs in by_reading.values():
        for (one, ours), (other, theirs) in combinations(pairs, 2):
            if exclude_each_other(ours, theirs):
                first = f"{one.meta.profile}:{one.meta.line}"
                message = f"{theirs.says()} here, but {ours.says()} in {first}: no PC could meet both"
                found.append(Mistake(other.id, message, _ASK, _place(other, asked)))
    return found


def _place(condition: Scalar, asked: Sequence[Asked]) -> Place:
    """Where a condition stands, with the line itself."""
    file, line = condition.meta.profile, condition.meta.line
    texts = (source.text for each in asked for source in each.profile.sources if source.path == file)
    lines = next(texts, "").splitlines()
    return Place(file, line, text=lines[line - 1] if 0 < line <= len(lines) else "")
