"""Judging alternatives of all products: those that ask for items that serve one table only.

Tables outside alternatives are served first. What is left serves alternatives, in written order;
which of several is taken may decide what a later ``any_of`` finds, so every choice is followed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from pcaudit.core.context import Context, applies
from pcaudit.core.judge_any_of import Tried, result_of, try_all
from pcaudit.core.judge_items import judge_lists
from pcaudit.core.judge_same_items import Entries, Entry, Key, competes, doubted
from pcaudit.core.profile import Alternative, AnyOf, Items, Meta
from pcaudit.core.report import Verdict
from pcaudit.core.results import Result
from pcaudit.core.truth import Truth
from pcaudit.core.union import Question

_GOOD: Final = (Verdict.MET, Verdict.MARGINAL)
_USABLE: Final = (*_GOOD, Verdict.UNVERIFIED)
_MOST: Final = 64  # choices followed; beyond them what is taken counts as not known


class Either(NamedTuple):
    """What an ``any_of`` comes to.

    Attributes:
        result: Of the whole.
        words: Said of the alternative that came nearest.
        ways: The alternatives that will do, or of which that is not known.
    """

    result: Result
    words: Meta
    ways: tuple[Tried, ...]


class Alternatives(NamedTuple):
    """What every ``any_of`` comes to, and the tables that claim items for those that are met."""

    found: dict[Key, Either]
    taken: tuple[Entry, ...]


class _Choice(NamedTuple):
    """One alternative of each ``any_of`` that can be met, none at the cost of another.

    Attributes:
        taken: Their tables that claim items.
        tried: What each came to, by condition.
    """

    taken: tuple[Entry, ...]
    tried: dict[Key, Tried]


def _claims(alternative: Alternative, context: Context, product: int) -> Iterator[Entry]:
    for one in alternative.conditions:
        if isinstance(one, Items) and one.claims:
            yield Entry(one, context, (), product)


def _contested(condition: AnyOf) -> bool:
    return any(
        isinstance(one, Items) and one.claims
        for alternative in condition.alternatives
        for one in alternative.conditions
    )


class _Left(NamedTuple):
    """Judges tables of alternatives by the items that others leave.

    Attributes:
        before: Tables outside alternatives.
        taken: Tables of alternatives that are met.
        perhaps: Tables of alternatives that may take items or not.
        context, product: Of the alternatives judged.
    """

    before: Entries
    taken: Sequence[Entry]
    perhaps: Sequence[Entry]
    context: Context
    product: int

    def judge(self, tables: Sequence[Items]) -> list[Result]:
        """Hold an alternative's tables on one list against the PC."""
        found = self._after(self.before.sure, tables)
        if self.before.sure == self.before.all:
            return found
        return [
            doubted(result, with_all)
            for result, with_all in zip(found, self._after(self.before.all, tables), strict=True)
        ]

    def _after(self, before: Sequence[Entry], tables: Sequence[Items]) -> list[Result]:
        rivals, others = self._rivals([*before, *self.taken], tables), self._rivals(self.perhaps, tables)
        earlier = [*rivals, *others]
        results = judge_lists(
            [*(one.table for one in earlier), *tables],
            [*(one.context for one in earlier), *[self.context] * len(tables)],
            range(len(rivals), len(earlier)),
        )
        return results[len(earlier) :]

    def _rivals(self, entries: Sequence[Entry], tables: Sequence[Items]) -> list[Entry]:
        return [
            one
            for one in entries
            if one.table.claims and competes(one.table, one.product, tables[0], self.product)
        ]


def _either(condition: AnyOf, tried: Sequence[Tried], context: Context) -> Either:
    result, words = result_of(condition, tried, context)
    return Either(result, words, tuple(one for one in tried if one.verdict in _USABLE))


class _Judge:
    """Holds one ``any_of`` after another against the PC.

    Args:
        before: Tables outside alternatives, which claim items first.
    """

    def __init__(self, before: Entries) -> None:
        self._before = before
        self._choices = [_Choice((), {})]
        self._perhaps: list[Entry] = []
        self._asked: dict[Key, tuple[AnyOf, Context, list[Tried]]] = {}
        self._open: dict[Key, Either] = {}

    def hold(self, key: Key, condition: AnyOf, context: Context, product: int) -> None:
        """Hold one more against what is left."""
        if not _contested(condition):
            self._open[key] = _either(condition, try_all(condition, context), context)
            return
        tried = [
            (choice, one)
            for choice in self._choices
            for one in try_all(condition, context, self._left(choice, context, product).judge)
        ]
        self._asked[key] = condition, context, [one for _, one in tried if one.verdict is Verdict.UNVERIFIED]
        good = [(choice, one) for choice, one in tried if one.verdict in _GOOD]
        if good and len(good) <= _MOST and applies(condition.meta.when, context).truth is Truth.TRUE:
            self._choices = [
                _Choice(
                    (*choice.taken, *_claims(one.alternative, context, product)), {**choice.tried, key: one}
                )
                for choice, one in good
            ]
            return
        self._open[key] = _either(condition, [one for _, one in tried], context)
        if self._open[key].result.verdict is not Verdict.NOT_APPLICABLE:
            asked = {id(one.alternative): one for _, one in tried if one.about.truth is not Truth.FALSE}
            for one in asked.values():
                self._perhaps += _claims(one.alternative, context, product)

    def _left(self, choice: _Choice, context: Context, product: int) -> _Left:
        return _Left(self._before, choice.taken, self._perhaps, context, product)

    def found(self) -> Alternatives:
        """What each comes to: an earlier one is met before a later one is."""
        best = min(
            self._choices, key=lambda one: [each.verdict is not Verdict.MET for each in one.tried.values()]
        )
        met = {}
        for key, one in best.tried.items():
            condition, context, maybe = self._asked[key]
            good = {id(choice.tried[key].alternative): choice.tried[key] for choice in self._choices}
            met[key] = Either(*result_of(condition, [one], context), (*good.values(), *maybe))
        return Alternatives({**self._open, **met}, best.taken)


def judge_alternatives(
    questions: Sequence[Question], contexts: Sequence[Context], before: Entries
) -> Alternatives:
    """Hold every ``any_of`` against the PC.

    Args:
        questions: Everything asked.
        contexts: Of each product.
        before: Tables outside alternatives, which claim items first.

    Returns:
        What each comes to, and what the alternatives taken claim.
    """
    judge = _Judge(before)
    for question in questions:
        for index, (product, condition) in enumerate(question.asked):
            if isinstance(condition, AnyOf):
                judge.hold((question.id, index), condition, contexts[product], product)
    return judge.found()
