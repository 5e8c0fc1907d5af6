"""The least value a concession accepts, in place of the bound that was missed."""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core import versions
from pcaudit.core.catalogue import Type
from pcaudit.core.conditions import (
    FORMS,
    Requirement,
    Test,
    WrongValueError,
    judge,
    judge_value,
    read_ordered,
)
from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.truth import Truth

_BOUNDS: Final = ("minimum", "maximum")
_WRONG_SIDE: Final = {
    "minimum": "it was granted for exceeding the maximum, and this is below the minimum",
    "maximum": "it was granted for falling short of the minimum, and this is above the maximum",
}
"""By the bound missed now, where another one was missed when it was granted."""


class _OtherSideError(Exception):
    """What is allowed stands in for the other bound than the one missed now."""


def _version_test(requirement: Requirement, allows: Any) -> Test:
    """Only what is said where a range has both ends, else on from there as the condition asks."""
    ranges = [one for test in requirement.required for one in test.operand]
    ends = {clause.operator[0] for one in ranges for clause in one.clauses}
    lead = {frozenset(">"): ">=", frozenset("<"): "<="}.get(frozenset(ends), "==")
    scheme = ranges[0].scheme if ranges else "dotted"
    if not isinstance(allows, str) or not allows[:1].isalnum() or "," in allows:
        raise WrongValueError('a version, such as allows = "14.2"')
    return Test(FORMS["version"], (versions.read_range(f"{lead}{allows}", scheme),))


def _only(requirement: Requirement, tests: tuple[Test, ...]) -> Requirement:
    return requirement._replace(required=tests, advised=(), unsettled="")


def _stand_in(requirement: Requirement, key: str, allows: Any) -> Test:
    """What is allowed as the bound missed."""
    spec = requirement.spec
    operand = read_ordered(allows, spec)
    opposite = tuple(
        test for test in requirement.required if test.form.key in _BOUNDS and test.form.key != key
    )
    if opposite and judge_value(_only(requirement, opposite), operand).truth is Truth.FALSE:
        raise _OtherSideError(_WRONG_SIDE[key])
    return Test(FORMS[key], operand)


def _as_tests(requirement: Requirement, allows: Any, seen: Observation) -> tuple[Test, ...]:
    """What the least value accepted asks: in place of the bound missed, beside all else."""
    spec = requirement.spec
    if spec.type is Type.VERSION:
        return (_version_test(requirement, allows),)
    if spec.type is Type.SET:
        raise WrongValueError("a set has no least value: give `found` instead")
    keys = {test.form.key for test in requirement.tests(with_advised=True)}
    for key in _BOUNDS:
        rest = tuple(test for test in requirement.required if test.form.key != key)
        if key in keys and judge(_only(requirement, rest), seen).truth is Truth.TRUE:
            return (*rest, _stand_in(requirement, key, allows))
    if keys.intersection(_BOUNDS):
        raise WrongValueError("more than one bound is or may be missed: give `found` instead")
    return (Test(FORMS["equal"], FORMS["equal"].read(allows, spec)),)


def less_than_allowed(requirement: Requirement, allows: Any, seen: Observation, shown: str) -> str:
    """Why what is known of a value does not show that it is at least what is allowed.

    Args:
        requirement: Asked of the reading, every amount counted in.
        allows: The least value accepted (the most, of a maximum), as a person wrote it.
        seen: The reading.
        shown: What was found, in words.

    Returns:
        The reason; empty where the value is known to be allowed.
    """
    if seen.form is Form.ABSENT:
        return f"it accepts a value, and found is: {shown}"
    if seen.form is Form.UNKNOWN:
        return "what it allows cannot be held against a value that is not known: to accept that, copy `found`"
    try:
        tests = _as_tests(requirement, allows, seen)
    except _OtherSideError as error:
        return f"{error}: {shown}"
    except (WrongValueError, versions.RangeError) as error:
        return f"what it allows cannot be read: {error}"
    held = judge(_only(requirement, tests), seen).truth
    if held is Truth.TRUE:
        return ""
    accepted = f"it accepts {tests[-1].form.says(tests[-1].operand, requirement.spec)}"
    if held is Truth.FALSE:
        return f"{accepted}, and this is {shown}"
    return f"{accepted}, and known is only {shown}: to accept that, copy `found`"
