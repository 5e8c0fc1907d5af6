"""Which of several conditions on one reading asks more."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from pcaudit.core import versions
from pcaudit.core.catalogue import Type
from pcaudit.core.conditions import ORDERED, TEXTS, Requirement, rank
from pcaudit.core.texts import fold

_LOWER: Final = ("minimum", "equal")
_UPPER: Final = ("maximum", "equal")


def _bound(one: Requirement, keys: tuple[str, ...], highest: bool) -> Any:
    ranks = [rank(operand, one.spec) for operand in one.operands(*keys)]
    return None if not ranks else max(ranks) if highest else min(ranks)


def _ordered_within(inner: Requirement, outer: Requirement) -> bool:
    low, lowest = _bound(inner, _LOWER, True), _bound(outer, _LOWER, True)
    high, highest = _bound(inner, _UPPER, False), _bound(outer, _UPPER, False)
    return (lowest is None or (low is not None and low >= lowest)) and (
        highest is None or (high is not None and high <= highest)
    )


def _versions_within(inner: Requirement, outer: Requirement) -> bool:
    ours, theirs = inner.operands("version"), outer.operands("version")
    return all(
        any(all(any(versions.within(one, other) for other in wide) for one in narrow) for narrow in ours)
        for wide in theirs
    )


def _words(one: Requirement) -> set[str] | None:
    found = one.operands("equal", "one_of")
    words = [word for operand in found for word in (operand if isinstance(operand, tuple) else (operand,))]
    return {fold(word) for word in words} if words else None


def _texts_within(inner: Requirement, outer: Requirement) -> bool:
    ours, theirs = _words(inner), _words(outer)
    return ours is not None and theirs is not None and ours <= theirs


def _as_required(one: Requirement) -> Requirement:
    return one if one.required else one._replace(required=one.advised)


def within(inner: Requirement, outer: Requirement) -> bool:
    """Whether it is plain that whatever meets one requirement meets another on the same reading.

    Only bounds, versions and named texts are compared; False where that does not tell.
    """
    inner, outer = _as_required(inner), _as_required(outer)
    kind = inner.spec.type
    if kind in ORDERED:
        return _ordered_within(inner, outer)
    if kind is Type.VERSION:
        return _versions_within(inner, outer)
    return kind in TEXTS and _texts_within(inner, outer)


def tightness(all_asked: Sequence[Requirement]) -> list[int]:
    """For each of several requirements on one reading, how many of the others it goes beyond."""
    return [
        sum(within(one, other) and not within(other, one) for other in all_asked if other is not one)
        for one in all_asked
    ]
