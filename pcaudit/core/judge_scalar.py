"""Judging a condition on one reading."""

from __future__ import annotations

from typing import Any

from pcaudit.core.catalogue import Type
from pcaudit.core.conditions import AMOUNTS, Requirement, judge
from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.profile import Items, Scalar
from pcaudit.core.report import Verdict
from pcaudit.core.results import NOT_ABOUT_THIS, Result, limited, verdict_of
from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.texts import fold
from pcaudit.core.truth import Answer, Truth
from pcaudit.core.wording import say_value, show_bound, told


def _bound(requirement: Requirement) -> Any:
    """The bound a value is closest to failing, which it must not look equal to."""
    for test in (*requirement.required, *requirement.advised):
        if test.form.key in ("minimum", "maximum", "equal"):
            return test.operand
    return None


def _found_set(requirement: Requirement, value: list[str]) -> str:
    """Of a long set only the words the profile asks about."""
    present = {fold(one) for one in value}
    asked = [word for test in requirement.tests(with_advised=True) for word in test.operand]
    there = [told(word) for word in asked if fold(word) in present]
    missing = [told(word) for word in asked if fold(word) not in present]
    parts = [f"has {', '.join(there)}"] if there else []
    return "; ".join(parts + ([f"lacks {', '.join(missing)}"] if missing else []))


def found_text(requirement: Requirement, seen: Observation) -> str:
    """What the PC has, in words."""
    if seen.form is Form.UNKNOWN:
        return "not known"
    if seen.form is Form.ABSENT:
        return f"none ({seen.why})" if seen.why else "none"
    spec = requirement.spec
    other = _bound(requirement) if spec.type in AMOUNTS else None
    if seen.form is Form.AT_LEAST:
        return show_bound(seen.value, spec)
    if spec.type is Type.SET and seen.value is not None:  # a key of an item may be
        return _found_set(requirement, seen.value)
    return say_value(seen.value, spec, other)


def _guarded(condition: Scalar, context: Context) -> Answer | None:
    """Why the reading means nothing on this PC, or None where it does."""
    for guard in condition.guards:
        held = judge(guard, context.get(guard.name))
        if held.truth is Truth.FALSE:
            seen = found_text(guard, context.get(guard.name))
            return Answer(Truth.FALSE, f"asked of {guard.says()}, and this is {seen}")
        if held.truth is Truth.UNKNOWN:
            return held
    return None


def judge_scalar(condition: Scalar, context: Context) -> Result:
    """Hold a condition on one reading against the PC."""
    about = applies(condition.meta.when, context)
    if about.truth is Truth.FALSE:
        return NOT_ABOUT_THIS
    requirement = resolve(condition.requirement, context)
    seen = context.get(condition.record.name)
    required = judge(requirement, seen)
    full = judge(requirement, seen, with_advised=True)
    guard = _guarded(condition, context)
    if guard is not None:
        required = guard if requirement.required else required
        full = guard
    verdict, why = verdict_of(required, full, not requirement.required)
    value = seen.value if seen.form in (Form.KNOWN, Form.AT_LEAST) else None
    reason = why or (seen.why if verdict is Verdict.UNVERIFIED or seen.form is Form.AT_LEAST else "")
    return limited(Result(verdict, found_text(requirement, seen), value, seen.source, reason), about)


def binds(condition: Scalar | Items) -> bool:
    """Whether a condition decides the outcome: something in it is required, not only advised."""
    if isinstance(condition, Items):
        return not condition.meta.advised
    return bool(condition.requirement.required)
