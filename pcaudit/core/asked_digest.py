"""The digest a finding prints, by which a concession knows again what was asked.

A condition's own digest is that of what the profile says. Where an amount is multiplied by a
parameter or a reading, the number decides what is asked, so that it belongs to the digest too; and
so does, where items serve one table only, what else claims such items, and before which.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from pcaudit.core.conditions import Requirement
from pcaudit.core.context import Context, applies
from pcaudit.core.profile import Condition, Items, Scalar
from pcaudit.core.truth import Truth

_DIGITS = 16


def short_digest(text: str, digits: int = _DIGITS) -> str:
    """The first hexadecimal digits of a text's SHA-256."""
    from hashlib import sha256

    return sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:digits]


def _requirements(condition: Condition) -> Iterable[Requirement]:
    if isinstance(condition, Scalar):
        return (condition.requirement,)
    if isinstance(condition, Items):
        return condition.keys
    return (one for way in condition.alternatives for part in way.conditions for one in _requirements(part))


def _claimed(condition: Condition) -> set[str]:
    """The lists whose items a condition claims for itself."""
    if isinstance(condition, Scalar):
        return set()
    if isinstance(condition, Items):
        return {condition.record.name} if condition.claims else set()
    return {name for way in condition.alternatives for part in way.conditions for name in _claimed(part)}


def claims(asked: Iterable[tuple[Condition, Context]]) -> dict[str, tuple[str, ...]]:
    """What claims items, by their list: digests in written order.

    Args:
        asked: Every condition, with what it is judged in.
    """
    found: dict[str, tuple[str, ...]] = {}
    for condition, context in asked:
        lists = _claimed(condition)
        if lists and applies(condition.meta.when, context).truth is not Truth.FALSE:
            found.update({name: (*found.get(name, ()), condition.digest) for name in lists})
    return found


def asked_digest(condition: Condition, context: Context, claimed: Mapping[str, Sequence[str]]) -> str:
    """The digest of a condition as it is asked here.

    Args:
        condition: As the profile asks it.
        context: Gives the numbers that its amounts are multiplied by.
        claimed: What claims items, by their list.

    Returns:
        The condition's own digest; where it has such amounts or claims what others claim too, one
        of that, the numbers and those claims.
    """
    names = {scale.name for one in _requirements(condition) for scale in one.scales}
    lists = {name: claimed[name] for name in _claimed(condition) if len(claimed.get(name, ())) > 1}
    if not names and not lists:
        return condition.digest
    seen = [(name, context.get(name)) for name in sorted(names)]
    counted = [(name, one.form.value, one.value and float(one.value)) for name, one in seen]
    return short_digest(repr((condition.digest, counted, sorted(lists.items()))))


def sum_digest(parts: Sequence[str], required: Requirement, doubtful: bool) -> str:
    """The digest of a sum over products: of what it is the sum of, and what it comes to.

    Args:
        parts: The digests of the conditions added up.
        required: What their sum asks.
        doubtful: Whether all of them are asked is not known.
    """
    amounts = [(test.form.key, float(test.operand)) for test in required.tests(with_advised=True)]
    return short_digest(repr((sorted(parts), amounts, doubtful)))
