"""What several products ask of one PC without saying that each needs its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pcaudit.core.choose import Asked
from pcaudit.core.conditions import FORMS
from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.derive import Readings
from pcaudit.core.profile import Scalar
from pcaudit.core.truth import Truth
from pcaudit.core.union import added
from pcaudit.core.wording import show_exact

_OF: Final = ("network.wired_count",)
# An instrument's port is its own, a site's port may serve all products: a count does not say which.


def shared_notes(asked: Sequence[Asked], readings: Readings) -> tuple[str, ...]:
    """Amounts that several products ask and that were counted as shared, where each may need its own.

    Args:
        asked: The profiles, with what was chosen of each.
        readings: Of the PC.

    Returns:
        One line for each such reading.
    """
    notes = [_note(name, asked, readings) for name in _OF] if len(asked) > 1 else []
    return tuple(note for note in notes if note)


def _note(name: str, asked: Sequence[Asked], readings: Readings) -> str:
    conditions: list[tuple[int, Scalar]] = []
    for number, each in enumerate(asked):
        context = Context(readings, each.parameters, each.options)
        for one in each.conditions:
            if not isinstance(one, Scalar) or one.record.name != name:
                continue
            if applies(one.meta.when, context).truth is not Truth.FALSE:
                ready = one._replace(requirement=resolve(one.requirement, context))
                conditions.append((number, ready))
    joined = {number for number, _ in added(conditions)}
    amounts: dict[int, float] = {}
    for number, one in conditions:
        minimums = [t.operand for t in one.requirement.required if t.form is FORMS["minimum"]]
        if minimums and number not in joined:
            amounts[number] = max(*minimums, amounts.get(number, 0))
    if len(amounts) < 2:
        return ""
    spec = conditions[0][1].requirement.spec
    who = ", ".join(
        f"{asked[number].profile.title} asks {show_exact(amount, spec)}" for number, amount in amounts.items()
    )
    return f"{name}: {who}: counted as shared; adds = true says that each needs its own"
