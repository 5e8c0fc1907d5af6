"""Counting items, held against a slow judge that tries everything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product
from random import Random

import pytest
from hypothesis import event, given, strategies as st

from pcaudit.core.lists import Demand, count, count_better
from pcaudit.core.truth import Truth

MET, UNMET, UNVERIFIED = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN


def _demand(
    minimum: int | None,
    maximum: int | None,
    certain: str = "",
    maybe: str = "",
    claims: bool = False,
) -> Demand:
    """A demand whose items are letters, to be read at a glance."""
    sure = frozenset(map(ord, certain))
    return Demand(minimum, maximum, sure, sure | frozenset(map(ord, maybe)), claims)


# The table of the design: T items meet every key, U fail none but have an unknown one.
#   minimum m: met T >= m, unmet T + U < m; maximum M: met T + U <= M, unmet T > M.
@pytest.mark.parametrize("complete", [True, False])
@pytest.mark.parametrize("bound", range(4))
@pytest.mark.parametrize(("sure", "maybe"), list(product(range(4), range(3))))
def test_bounds_follow_the_table_of_counts(sure: int, maybe: int, bound: int, complete: bool) -> None:
    """Minimum, maximum and both come out as the two numbers T and H say, H unbounded if incomplete."""
    items = "abcdefgh"
    certain, open_ = items[:sure], items[sure : sure + maybe]
    high = sure + maybe if complete else 99
    by_minimum = MET if sure >= bound else UNMET if high < bound else UNVERIFIED
    by_maximum = MET if high <= bound else UNMET if sure > bound else UNVERIFIED
    worst = next(t for t in (UNMET, UNVERIFIED, MET) if t in (by_minimum, by_maximum))
    for claims in (False, True):
        if bound:
            assert count([_demand(bound, None, certain, open_, claims)], complete)[0].truth is by_minimum
            assert count([_demand(bound, bound, certain, open_, claims)], complete)[0].truth is worst
        assert count([_demand(None, bound, certain, open_, claims)], complete)[0].truth is by_maximum


def _truths(*demands: Demand, complete: bool = True) -> list[Truth]:
    return [one.truth for one in count(demands, complete)]


def test_one_item_serves_one_table_in_written_order() -> None:
    """The first of two tables gets the only item, the second goes without."""
    one = _demand(1, None, "a", claims=True)
    assert _truths(one, one) == [MET, UNMET]


def test_an_earlier_table_swaps_items_for_a_later_one() -> None:
    """A table that could do with either item leaves the one that another needs."""
    assert _truths(_demand(1, None, "ab", claims=True), _demand(1, None, "a", claims=True)) == [MET, MET]


def test_an_earlier_table_is_never_given_up_for_a_later_one() -> None:
    """Two tables that need one item each do not get one where an earlier table needs both."""
    needs = [_demand(2, None, "ab", claims=True), _demand(1, None, "a", claims=True)]
    assert _truths(*needs) == [MET, UNMET]


def test_swapping_runs_through_several_tables() -> None:
    """A chain of tables hands items on until all are served."""
    tables = [_demand(1, None, items, claims=True) for items in ("ab", "bc", "cd", "a")]
    assert _truths(*tables) == [MET] * 4


def test_tables_that_do_not_claim_share() -> None:
    """Where items are not claimed each table counts all of them."""
    assert _truths(_demand(1, None, "a", claims=True), _demand(1, None, "a")) == [MET, MET]


def test_a_maximum_looks_at_all_items_and_claims_none() -> None:
    """A maximum counts what other tables claimed too, and takes nothing from them."""
    tables = [_demand(1, None, "a", claims=True), _demand(None, 0, "a"), _demand(None, 1, "a")]
    assert _truths(*tables) == [MET, UNMET, MET]
    assert _truths(_demand(None, 1, "a"), _demand(1, None, "a", claims=True)) == [MET, MET]


def test_what_an_earlier_table_may_take_is_not_certain() -> None:
    """An item that an earlier table may or may not take makes a later one unverified."""
    first, second = _demand(1, None, "", "a", claims=True), _demand(1, None, "a", claims=True)
    assert _truths(first, second) == [UNVERIFIED, UNVERIFIED]
    assert _truths(first, _demand(1, None, "ab", claims=True)) == [UNVERIFIED, MET]


def test_unseen_items_leave_a_shortage_open_and_an_excess_standing() -> None:
    """An incomplete list proves a minimum and disproves a maximum, never the reverse."""
    tables = [_demand(2, None, "a"), _demand(1, None, "a"), _demand(None, 0, "a"), _demand(None, 1, "a")]
    assert _truths(*tables, complete=False) == [UNVERIFIED, MET, UNMET, UNVERIFIED]


# -- the slow judge: every way the unknown may turn out, and every way to hand out the items


def _independent(slots: Sequence[frozenset[int]]) -> bool:
    """Whether every slot can have an item of its own, by trying all ways."""

    def place(index: int, used: frozenset[int]) -> bool:
        if index == len(slots):
            return True
        return any(place(index + 1, used | {item}) for item in slots[index] - used)

    return place(0, frozenset())


def _served(demands: Sequence[Demand], items: Sequence[frozenset[int]]) -> list[int]:
    """How many items each table gets: earlier tables first, slot by slot, swapping at will."""
    slots: list[frozenset[int]] = []
    numbers = []
    for demand, able in zip(demands, items, strict=True):
        if not demand.claims or demand.minimum is None:
            numbers.append(len(able))
            continue
        number = 0
        while number < demand.minimum and _independent([*slots, able]):
            slots.append(able)
            number += 1
        numbers.append(number)
    return numbers


def _holds(demand: Demand, number: int, able: frozenset[int]) -> bool:
    enough = demand.minimum is None or number >= demand.minimum
    return enough and (demand.maximum is None or len(able) <= demand.maximum)


def _resolutions(demands: Sequence[Demand]) -> Iterator[list[frozenset[int]]]:
    """Every way the unknown keys may turn out."""
    choices = []
    for demand in demands:
        unsure = sorted(demand.possible - demand.certain)
        subsets = [frozenset(c) for n in range(len(unsure) + 1) for c in combinations(unsure, n)]
        choices.append([demand.certain | chosen for chosen in subsets])
    yield from (list(way) for way in product(*choices))


def _slow(demands: Sequence[Demand], unseen: Sequence[Sequence[frozenset[int]]]) -> list[Truth]:
    """Each table's truth over all resolutions, with each of the sets of ``unseen`` items added."""
    seen: list[set[bool]] = [set() for _ in demands]
    for way in _resolutions(demands):
        for more in unseen:
            items = [able | extra for able, extra in zip(way, more, strict=True)]
            for index, number in enumerate(_served(demands, items)):
                seen[index].add(_holds(demands[index], number, items[index]))
    return [MET if one == {True} else UNMET if one == {False} else UNVERIFIED for one in seen]


_ITEMS = range(3)


@st.composite
def _demands(draw: st.DrawFn, unknowns: bool = True) -> list[Demand]:
    """Up to three tables on up to three items, with at most five unknown answers together."""
    demands = []
    left = 5 if unknowns else 0
    for _ in range(draw(st.integers(1, 3))):
        possible = draw(st.frozensets(st.sampled_from(_ITEMS)))
        open_ = (
            draw(st.frozensets(st.sampled_from(sorted(possible)))) if possible and unknowns else frozenset()
        )
        open_ = frozenset(sorted(open_)[:left])
        left -= len(open_)
        low = draw(st.sampled_from([1, 1, 1, 2, 3, None]))
        high = draw(st.sampled_from([None, None, None, 0, 1, 2])) if low != 3 else None
        if low is None and high is None:
            high = 1
        if low is not None and high is not None and high < low:
            high = low
        claims = low is not None and draw(st.sampled_from([True, True, True, False]))
        demands.append(Demand(low, high, possible - open_, possible, claims))
    return demands


def _sound(fast: Sequence[Truth], slow: Sequence[Truth]) -> None:
    for quick, sure in zip(fast, slow, strict=True):
        assert quick in (sure, UNVERIFIED)
        event("as precise" if quick is sure else "unverified where all ways agree")


@given(_demands())
def test_met_and_unmet_are_so_however_the_unknown_turns_out(demands: list[Demand]) -> None:
    """No verdict on a complete list is contradicted by any way its unknown keys may turn out."""
    nothing = [[frozenset[int]()] * len(demands)]
    _sound([one.truth for one in count(demands, complete=True)], _slow(demands, nothing))


@given(_demands(), st.lists(st.lists(st.integers(0, 7), min_size=2, max_size=2), max_size=2))
def test_no_unseen_item_contradicts_a_verdict(demands: list[Demand], hidden: list[list[int]]) -> None:
    """No verdict on an incomplete list is contradicted by items that were not seen."""
    unseen = [[frozenset[int]()] * len(demands)]
    for masks in hidden:  # an unseen item meets any set of the tables
        added = [
            frozenset(100 + which for which, mask in enumerate(masks) if mask >> index & 1)
            for index in range(len(demands))
        ]
        unseen.append(added)
    fast = [one.truth for one in count(demands, complete=False)]
    for quick, sure in zip(fast, _slow(demands, unseen), strict=True):
        assert quick is UNVERIFIED or quick is sure


@given(_demands(unknowns=False))
def test_with_nothing_unknown_the_answer_is_exact(demands: list[Demand]) -> None:
    """Where every key is known the fast answer is the slow judge's, and so are the numbers."""
    counts = count(demands, complete=True)
    nothing = [[frozenset[int]()] * len(demands)]
    assert [one.truth for one in counts] == _slow(demands, nothing)
    served = _served(demands, [demand.certain for demand in demands])
    for one, demand, number in zip(counts, demands, served, strict=True):
        assert one.low == one.high
        assert min(one.low, demand.minimum or 0) == min(number, demand.minimum or 0)


def test_needless_unverified_verdicts_are_rare() -> None:
    """Of tables full of unknowns at most one verdict in 25 is left open although all ways agree."""
    chance = Random(1)  # noqa: S311  the same tables on every run, nothing secret
    nothing = frozenset[int]()
    judged = needless = 0
    for _ in range(400):
        tables = []
        for _ in range(chance.randint(2, 3)):
            answers = {item: chance.choice("ynnn?") for item in range(4)}
            certain = frozenset(item for item, answer in answers.items() if answer == "y")
            possible = frozenset(item for item, answer in answers.items() if answer != "n")
            tables.append(Demand(chance.choice([1, 1, 2]), None, certain, possible, claims=True))
        slow = _slow(tables, [[nothing] * len(tables)])
        for one, sure in zip(count(tables, complete=True), slow, strict=True):
            judged += 1
            needless += one.truth is not sure
    assert needless * 25 <= judged


# -- what is recommended


def _both_served(demands: Sequence[Demand], better: Sequence[Demand], good: Sequence[bool]) -> bool:
    """Whether every met table can have its items at once, those called good the better ones."""
    slots: list[frozenset[int]] = []
    items = [demand.certain for demand in demands]
    for index, number in enumerate(_served(demands, items)):
        demand = better[index] if good[index] else demands[index]
        if demand.claims and demand.minimum is not None:
            wanted = demand.minimum if good[index] else min(number, demand.minimum)
            slots += [demand.certain] * wanted
    return _independent(slots)


@st.composite
def _wishes(draw: st.DrawFn) -> tuple[list[Demand], list[Demand]]:
    """Known tables, and for each a wish that asks the same or more of fewer items."""
    demands = draw(_demands(unknowns=False))
    wishes = []
    for demand in demands:
        certain = demand.certain
        if certain:
            certain = draw(st.frozensets(st.sampled_from(sorted(certain))))
        more = draw(st.integers(0, 1))
        low = (
            demand.minimum + more if demand.minimum is not None and demand.maximum is None else demand.minimum
        )
        wishes.append(demand._replace(minimum=low, certain=certain, possible=certain))
    return demands, wishes


@given(_wishes())
def test_a_recommendation_is_met_only_at_nobodys_cost(both: tuple[list[Demand], list[Demand]]) -> None:
    """All tables called better can have what they recommend while every other keeps its own."""
    demands, wishes = both
    required = count(demands, complete=True)
    good = count_better(demands, wishes, required, complete=True)
    for met, wish, one in zip(good, wishes, required, strict=True):
        if met:
            assert one.truth is MET
            assert _holds(wish, len(wish.certain), wish.certain)
    assert _both_served(demands, wishes, good)


@given(_wishes())
def test_where_all_is_met_each_recommendation_is_judged_exactly(
    both: tuple[list[Demand], list[Demand]],
) -> None:
    """With every table met, a wish is refused only where it could not be had beside the others."""
    demands, wishes = both
    required = count(demands, complete=True)
    if all(one.truth is MET for one in required):
        good = count_better(demands, wishes, required, complete=True)
        for index, wish in enumerate(wishes):
            tried = [*good[:index], True, *[False] * (len(good) - index - 1)]
            possible = _both_served(demands, wishes, tried) and _holds(wish, len(wish.certain), wish.certain)
            assert good[index] == possible


@given(_demands(), st.data())
def test_a_recommendation_called_met_is_so_however_the_unknown_turns_out(
    demands: list[Demand], data: st.DataObject
) -> None:
    """With unknown keys, a wish called met can be had in every way they may turn out."""
    index = data.draw(st.integers(0, len(demands) - 1))
    own = demands[index]
    certain = data.draw(st.frozensets(st.sampled_from(sorted(own.certain)))) if own.certain else frozenset()
    more = 1 if own.minimum is not None and own.maximum is None else 0
    low = own.minimum + data.draw(st.integers(0, more)) if own.minimum is not None else None
    wish = own._replace(minimum=low, certain=certain)
    wishes = [*demands[:index], wish, *demands[index + 1 :]]
    required = count(demands, complete=True)
    good = count_better(demands, wishes, required, complete=True)
    if good[index]:
        for way in _resolutions(demands):
            known = [d._replace(certain=able, possible=able) for d, able in zip(demands, way, strict=True)]
            # Of the wish only its certain items are sure to be better ones.
            asked = wish._replace(possible=wish.certain)
            tried = [i == index for i in range(len(demands))]
            assert _both_served(known, [*known[:index], asked, *known[index + 1 :]], tried)
