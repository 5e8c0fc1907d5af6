"""How far a parameter that was not chosen could go."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from pcaudit.core.choose import Asked
from pcaudit.core.conditions import Requirement
from pcaudit.core.context import Context
from pcaudit.core.derive import Readings
from pcaudit.core.judge_any_of import judge_any_of
from pcaudit.core.judge_items import judge_lists
from pcaudit.core.judge_scalar import judge_scalar
from pcaudit.core.profile import AnyOf, Condition, Items, Parameter, Scalar
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import known

_FAR: Final = 1_000_000  # where a parameter has no maximum of its own
_GOOD: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.NOT_APPLICABLE)


def _requirements(condition: Condition) -> Iterator[Requirement]:
    if isinstance(condition, AnyOf):
        for alternative in condition.alternatives:
            for one in alternative.conditions:
                yield from _requirements(one)
    elif isinstance(condition, Items):
        yield from condition.keys
    else:
        yield condition.requirement


def _scaled(each: Asked, name: str) -> Iterator[Condition]:
    """Conditions that ask for more with a larger parameter."""
    for condition in each.conditions:
        if any(scale.name == name for one in _requirements(condition) for scale in one.scales):
            yield condition


def _largest(parameter: Parameter, good: Callable[[float], bool]) -> float | None:
    """The largest whole value from the default up that is still good; None where no limit is in reach."""
    top = int(parameter.maximum) if parameter.maximum is not None else _FAR
    low, high = int(parameter.default), top
    if good(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if good(middle) else (low, middle)
    return low


def _note(each: Asked, name: str, condition: Condition, readings: Readings) -> str:
    parameter = each.profile.parameters[name]

    def good(value: float) -> bool:
        parameters = {**each.parameters, name: known(value, "tried")}
        context = Context(readings, parameters, each.options)
        if isinstance(condition, Scalar):
            return judge_scalar(condition, context).verdict in _GOOD
        if isinstance(condition, AnyOf):
            return judge_any_of(condition, context)[0].verdict in _GOOD
        return judge_lists([condition], [context])[0].verdict in _GOOD

    if not good(parameter.default):
        return ""
    largest = _largest(parameter, good)
    if largest is None:
        return ""
    unit = f" {parameter.unit}" if parameter.unit else ""
    return f"{name} counts as {parameter.default:g}{unit}; {condition.id} would be met up to {largest:g}"


def parameter_notes(asked: Sequence[Asked], readings: Readings) -> tuple[str, ...]:
    """For each parameter left at its default that decides a condition, how far it could go.

    Args:
        asked: The profiles, with what was chosen of each.
        readings: Of the PC.

    Returns:
        One line for each such condition that is met now and would not be at a larger value.
    """
    notes = []
    for each in asked:
        for name in each.parameters:
            if name not in each.given:
                notes += [_note(each, name, condition, readings) for condition in _scaled(each, name)]
    return tuple(note for note in notes if note)
