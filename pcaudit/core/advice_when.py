"""Remarks on a `when` that no PC and no choice fulfils: what it limits is never asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pcaudit.core import advice_windows
from pcaudit.core.conditions import Requirement
from pcaudit.core.contradictions import exclude_each_other
from pcaudit.core.profile import ALWAYS, AnyOf, Condition, Scalar, When

_NEVER = "never holds, so what it limits is never asked"


def _out_of_range(one: Requirement) -> str:
    """The range of a parameter that a condition on it lies outside of; empty where it lies inside."""
    low, high = one.spec.low, one.spec.high
    for test in one.required:
        above = test.form.key in ("minimum", "equal") and high is not None and test.operand > high
        below = test.form.key in ("maximum", "equal") and low is not None and test.operand < low
        if above or below:
            return f"from {low:g} up" if high is None else f"from {low:g} to {high:g}"
    return ""


def _against(one: Requirement, condition: Condition) -> bool:
    """Whether no PC fulfils a requirement and meets a condition that always binds."""
    if condition.meta.when != ALWAYS:
        return False
    if isinstance(condition, AnyOf):
        return all(
            any(isinstance(c, Scalar) and _against(one, c) for c in alternative.conditions)
            for alternative in condition.alternatives
        )
    if not isinstance(condition, Scalar) or condition.id != one.name:
        return False
    asked = condition.requirement
    return bool(asked.required) and exclude_each_other(asked, one)


def _of(one: Requirement, whole: When, conditions: Iterable[Condition]) -> tuple[str, str] | None:
    if "." not in one.name:
        reach = _out_of_range(one)
        return (f"{_NEVER}: {one.name} goes {reach}", "change one of the two") if reach else None
    if one.name == "os.version" and advice_windows.is_windows(whole.requirements):
        return next(advice_windows.remarks(one), None)
    if any(other.name == one.name and exclude_each_other(other, one) for other in whole.requirements):
        return f"{_NEVER}: it asks two things of {one.name} that exclude each other", "leave one of them out"
    for condition in conditions:
        if _against(one, condition):
            where = f"{condition.meta.profile}:{condition.meta.line}"
            noticed = f"never holds on a PC that meets {where}, so what it limits is asked of none"
            return f"{noticed} ({one.name}: {one.says()})", "widen that condition, or leave this out"
    return None


def remarks(fresh: When, whole: When, conditions: Iterable[Condition]) -> Iterator[tuple[str, str]]:
    """Remarks on what limits a table.

    Args:
        fresh: The requirements to look at.
        whole: All that limits the table.
        conditions: Of the same file, or of those it is based on.

    Yields:
        What was noticed, and what would be better.
    """
    known = tuple(conditions)
    for one in fresh.requirements:
        found = _of(one, whole, known)
        if found:
            yield found
