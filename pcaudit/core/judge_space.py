"""Space on volumes that several products ask for: each needs its own.

Minimums of ``storage.system_free`` outside alternatives are summed as amounts of one reading.
Here is the rest: space asked of volumes, and inside alternatives. What is asked is given to
volumes in written order; a product's own amounts on one volume are not added up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.conditions import FORMS, Requirement
from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.judge_alternatives import Either
from pcaudit.core.judge_any_of import Tried
from pcaudit.core.judge_items import sort_items
from pcaudit.core.judge_same_items import Entries, Key
from pcaudit.core.profile import AnyOf, Items, Scalar
from pcaudit.core.report import Verdict
from pcaudit.core.results import Result
from pcaudit.core.snapshot import Form
from pcaudit.core.truth import Truth
from pcaudit.core.union import Question
from pcaudit.core.wording import show_exact

_FREE: Final = "storage.system_free"
_VOLUMES: Final = "storage.volumes"
_GOOD: Final = (Verdict.MET, Verdict.MARGINAL)
_SYSTEM: Final = -1  # the system volume, until it is told which one that is
_UNSEEN: Final = -2  # a volume that a list which may not be complete does not show
_ENDLESS: Final = float("inf")
_STEPS: Final = 5000  # ways tried before what fits counts as not known


class _Need(NamedTuple):
    """Space one product needs on each of ``number`` of some volumes."""

    product: int
    amount: float
    number: int
    certain: frozenset[int]
    possible: frozenset[int]


class _Ask(NamedTuple):
    """What one finding asks for.

    Attributes:
        keys: The conditions it is asked by.
        product: That asks.
        ways: Alternatives that will do, each with all it needs.
        maybe: More of them, of which it is not known whether they will do.
        sure: It is known to be asked.
    """

    keys: tuple[Key, ...]
    product: int
    ways: tuple[tuple[_Need, ...], ...]
    sure: bool = True
    maybe: tuple[tuple[_Need, ...], ...] = ()


class _Room(NamedTuple):
    """Volumes and the free space on each: what there is for sure, or all there can be."""

    free: Mapping[int, float]
    system: int
    hopeful: bool

    def places(self, need: _Need) -> list[int]:
        among = need.possible if self.hopeful else need.certain
        return sorted(self.system if one == _SYSTEM else one for one in among)


def _minimum(requirement: Requirement) -> float:
    found = [test.operand for test in requirement.required if test.form is FORMS["minimum"]]
    return max(found, default=0)


# -- what is asked


def _of_table(table: Items, product: int, context: Context) -> Iterator[_Need]:
    keys = [resolve(key, context) for key in table.keys]
    amount = max((_minimum(key) for key in keys if key.name == "free"), default=0)
    seen = context.get(_VOLUMES)
    if table.record.name != _VOLUMES or not amount or table.minimum is None or seen.form is not Form.KNOWN:
        return
    found = sort_items(table._replace(keys=tuple(keys)), seen.value, advised=False)
    unseen = frozenset() if seen.complete else frozenset({_UNSEEN - i for i in range(table.minimum)})
    yield _Need(product, amount, table.minimum, found.certain, found.possible | unseen)


def _of_system(condition: Scalar, product: int, context: Context) -> Iterator[_Need]:
    amount = _minimum(resolve(condition.requirement, context))
    if condition.record.name == _FREE and condition.adds is not False and amount:
        yield _Need(product, amount, 1, frozenset({_SYSTEM}), frozenset({_SYSTEM}))


def _of_way(tried: Tried, product: int, context: Context) -> tuple[_Need, ...]:
    needs: list[_Need] = []
    for one in tried.alternative.conditions:
        needs += (
            _of_system(one, product, context) if isinstance(one, Scalar) else _of_table(one, product, context)
        )
    return tuple(needs)


class _Asking(NamedTuple):
    """Gathers what is asked of volumes.

    Attributes:
        questions, contexts, entries: Everything asked.
        lists: What each table came to.
        either: What each ``any_of`` came to, and the alternatives that will do.
    """

    questions: Sequence[Question]
    contexts: Sequence[Context]
    entries: Entries
    lists: Mapping[Key, Result]
    either: Mapping[Key, Either]

    def of_system(self) -> list[_Ask]:
        """Of the system volume, outside alternatives."""
        return [
            _Ask(
                ((question.id, index),),
                product,
                (tuple(_of_system(one, product, self.contexts[product])),),
                sure,
            )
            for question in self.questions
            if question.id == _FREE
            for index, (product, one) in enumerate(question.asked)
            if isinstance(one, Scalar) and (sure := self._asked(one, product)) is not None
        ]

    def of_others(self) -> list[_Ask]:
        """Of volumes, and inside alternatives, in written order."""
        asks = [
            _Ask(
                entry.answers,
                entry.product,
                (tuple(_of_table(entry.table, entry.product, entry.context)),),
                sure,
            )
            for entry in (
                *self.entries.sure,
                *(one for one in self.entries.all if one not in self.entries.sure),
            )
            if all(self.lists[key].verdict in _GOOD for key in entry.answers)
            and (sure := self._asked(entry.table, entry.product)) is not None
        ]
        for question in self.questions:
            for index, (product, one) in enumerate(question.asked):
                if isinstance(one, AnyOf) and self.either[question.id, index].result.verdict in _GOOD:
                    asks.append(self._of_ways((question.id, index), one, product))
        return [ask for ask in asks if all(ask.ways)]

    def _of_ways(self, key: Key, condition: AnyOf, product: int) -> _Ask:
        context, ways = self.contexts[product], self.either[key].ways
        good = tuple(_of_way(way, product, context) for way in ways if way.verdict in _GOOD)
        maybe = tuple(_of_way(way, product, context) for way in ways if way.verdict not in _GOOD)
        return _Ask((key,), product, good, bool(self._asked(condition, product)), maybe)

    def _asked(self, condition: Scalar | Items | AnyOf, product: int) -> bool | None:
        truth = applies(condition.meta.when, self.contexts[product]).truth
        return None if truth is Truth.FALSE else truth is Truth.TRUE


# -- what fits


class _Search:
    """Looks for volumes on which everything has room."""

    def __init__(self, room: _Room, asks: Sequence[_Ask]) -> None:
        self._room = room
        self._asks = asks
        self._steps = 0

    def fits(self) -> bool | None:
        """Whether there is a way; None where it was not found out."""
        found = self._ask(0, {})
        return None if self._steps > _STEPS else found

    def _ask(self, index: int, taken: dict[tuple[int, int], float]) -> bool:
        if index == len(self._asks):
            return True
        ask = self._asks[index]
        ways = (*ask.ways, *ask.maybe) if self._room.hopeful else ask.ways
        return any(self._need(index, way, taken) for way in ways)

    def _need(self, index: int, needs: Sequence[_Need], taken: dict[tuple[int, int], float]) -> bool:
        if not needs:
            return self._ask(index + 1, taken)
        need, *rest = needs
        for chosen in combinations(self._room.places(need), need.number):
            self._steps += 1
            if self._steps > _STEPS:
                return False
            more = dict(taken)
            for volume in chosen:
                place = volume, need.product
                more[place] = max(more.get(place, 0), need.amount)
            if all(self._holds(volume, more) for volume in chosen) and self._need(index, rest, more):
                return True
        return False

    def _holds(self, volume: int, taken: Mapping[tuple[int, int], float]) -> bool:
        if volume <= _UNSEEN:
            return True
        needed = sum(amount for (on, _), amount in taken.items() if on == volume)
        return needed <= self._room.free.get(volume, _ENDLESS if self._room.hopeful else 0)


def _rooms(context: Context, hopeful: bool) -> list[_Room]:
    """Everything the volumes may be: which of them holds the system may not be known."""
    seen, system_free = context.get(_VOLUMES), context.get(_FREE)
    items: list[dict[str, Any]] = seen.value if seen.form is Form.KNOWN else []
    free = {index: item["free"] for index, item in enumerate(items) if item.get("free") is not None}
    known = [index for index, item in enumerate(items) if item.get("system") is True]
    open_ = [index for index, item in enumerate(items) if item.get("system") is None]
    rooms = []
    for system in known[:1] or [*open_, _SYSTEM]:
        both = [free[system]] if system in free else []
        both += [system_free.value] if system_free.form in (Form.KNOWN, Form.AT_LEAST) else []
        both += [_ENDLESS] if hopeful and (not both or system_free.form is Form.AT_LEAST) else []
        of_system = max(both, default=_ENDLESS) if hopeful else min(both, default=0)
        rooms.append(_Room({**free, system: of_system}, system, hopeful))
    return rooms


def _fits(asks: Sequence[_Ask], context: Context) -> Truth:
    """Whether everything asked has room, by what is known."""
    if all(_Search(room, asks).fits() for room in _rooms(context, hopeful=False)):
        return Truth.TRUE
    sure = [ask for ask in asks if ask.sure]
    if all(_Search(room, sure).fits() is False for room in _rooms(context, hopeful=True)):
        return Truth.FALSE
    return Truth.UNKNOWN


# -- what it comes to


def _said(asks: Sequence[_Ask]) -> str:
    spec = CATALOGUE[_VOLUMES].items["free"]
    amounts = {ask.keys[0][0]: min(max(need.amount for need in way) for way in ask.ways) for ask in asks}
    return " and ".join(
        f"{name} ({show_exact(amount, spec).partition(' (')[0]})" for name, amount in amounts.items()
    )


def _short(result: Result, truth: Truth, others: Sequence[_Ask]) -> Result:
    beside = _said(others)
    if truth is Truth.FALSE:
        verdict, why = (
            Verdict.UNMET,
            f"each product needs its own space, and this has no room beside {beside}",
        )
    else:
        verdict = Verdict.UNVERIFIED
        why = f"each product needs its own space, and whether this has room beside {beside} is not known"
    return result._replace(verdict=verdict, found=f"{result.found}, shared with {beside}", why=why)


def without_room(
    questions: Sequence[Question],
    contexts: Sequence[Context],
    entries: Entries,
    lists: Mapping[Key, Result],
    either: Mapping[Key, Either],
) -> dict[Key, Result]:
    """Findings that are met alone and have no room beside what other products ask.

    Args:
        questions: Everything asked.
        contexts: Of each product.
        entries: Tables on lists outside alternatives.
        lists: What each came to.
        either: What each ``any_of`` came to, and the alternatives that will do.

    Returns:
        Their results in place of those given, unmet, or unverified where it cannot be known.
    """
    asking = _Asking(questions, contexts, entries, lists, either)
    system = [ask for ask in asking.of_system() if all(ask.ways)]
    accepted = system if _fits(system, contexts[0]) is not Truth.FALSE else []
    results = {**lists, **{key: one.result for key, one in either.items()}}
    found: dict[Key, Result] = {}
    for ask in asking.of_others():
        others = [one for one in accepted if one.product != ask.product]
        truth = _fits([*accepted, ask], contexts[0]) if others else Truth.TRUE
        if truth is Truth.TRUE or _fits([ask], contexts[0]) is not Truth.TRUE:
            accepted = [*accepted, ask]
            continue
        for key in ask.keys:
            found[key] = _short(results[key], truth, others)
    return found
