"""Which candidate is the better choice, and where there is no order."""

from __future__ import annotations

from itertools import permutations
from math import inf

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.ranking import UNKNOWN, Order, Ranking, Span, Standing, Tier, rank


def _one(
    letter: str,
    best: Tier = Tier.READY,
    worst: Tier | None = None,
    parts: int = 0,
    price: int | None = 0,
    **measures: Span | float,
) -> Standing:
    spans = {key: one if isinstance(one, tuple) else (one, one) for key, one in measures.items()}
    return Standing(letter, best, best if worst is None else worst, parts, price, spans)


def _orders(*standings: Standing) -> list[str]:
    return sorted(f"{one.before}>{one.after}" for one in rank(standings).orders)


def _why(*standings: Standing) -> str:
    (one,) = rank(standings).no_orders
    return one.because


def test_the_tiers_in_their_order() -> None:
    """Ready goes before settings, settings before parts, parts before what nothing mends."""
    all_ = [
        _one("A", Tier.NEVER, memory=9.0),
        _one("B", Tier.PARTS, parts=1, price=10, memory=4.0),
        _one("C", Tier.SETTINGS, memory=2.0),
        _one("D", Tier.READY, memory=1.0),
    ]
    assert _orders(*all_) == ["B>A", "C>A", "C>B", "D>A", "D>B", "D>C"]
    assert [(one.best, one.worst) for one in rank(all_).places] == [(4, 4), (3, 3), (2, 2), (1, 1)]


def test_parts_by_price_where_all_have_one() -> None:
    """With every part priced the sum decides, not the number."""
    two, one = _one("A", Tier.PARTS, parts=2, price=5000), _one("B", Tier.PARTS, parts=1, price=9000)
    assert _orders(two, one) == ["A>B"]
    assert "50 against 90" in rank([two, one], lambda price: str(price // 100)).orders[0].because


def test_parts_by_number_where_one_has_no_price() -> None:
    """With one part unpriced, of any candidate, the number decides between all of them."""
    two, one = _one("A", Tier.PARTS, parts=2, price=5000), _one("B", Tier.PARTS, parts=1, price=9000)
    unpriced = _one("C", Tier.PARTS, parts=3, price=None)
    assert _orders(two, one, unpriced) == ["A>C", "B>A", "B>C"]


def test_equals_by_what_they_exceed() -> None:
    """Of two that are ready the one with no less of anything and more of something goes first."""
    assert _orders(_one("A", memory=2.0, cores=1.0), _one("B", memory=1.5, cores=1.0)) == ["A>B"]
    assert "memory" in rank([_one("A", memory=2.0), _one("B", memory=1.0)]).orders[0].because


def test_more_of_one_and_less_of_another_is_no_order() -> None:
    """There is no score that sets memory off against cores."""
    first, second = _one("A", memory=2.0, cores=1.0), _one("B", memory=1.0, cores=2.0)
    assert _orders(first, second) == []
    assert _why(first, second) == "A has more of memory, B more of cores"


def test_alike_is_no_order() -> None:
    """Two that are alike are not ranked, and may take both places."""
    found = rank([_one("A", memory=2.0), _one("B", memory=2.0)])
    assert (
        found.orders == () and found.no_orders[0].because == "they are alike in everything that counts here"
    )
    assert [(one.best, one.worst) for one in found.places] == [(1, 2), (1, 2)]


def test_what_is_not_known_is_no_order() -> None:
    """A measure that is not known of one of two keeps them apart."""
    first, second = _one("A", memory=2.0, support=UNKNOWN), _one("B", memory=1.0, support=3.0)
    assert _orders(first, second) == []
    assert _why(first, second) == "what is not known may decide: support"


def test_a_lower_bound_proves_more() -> None:
    """A bound that is above the other's value carries an order, one below it none."""
    assert _orders(_one("A", memory=(2.0, inf)), _one("B", memory=1.5)) == ["A>B"]
    assert _orders(_one("A", memory=(1.2, inf)), _one("B", memory=1.5)) == []


def test_an_inconclusive_pc_is_never_above_a_ready_one() -> None:
    """However much it exceeds, what is not known to pass does not go before what does."""
    open_ = _one("A", Tier.READY, Tier.NEVER, memory=9.0)
    ready = _one("B", Tier.READY, memory=1.0)
    assert "A>B" not in _orders(open_, ready)
    assert _why(open_, ready) == "what is not known of A may decide"


def test_what_surely_needs_more_goes_after() -> None:
    """What needs parts at least goes after what needs settings only, though more may be needed."""
    open_ = _one("A", Tier.PARTS, Tier.NEVER, parts=1, price=1)
    assert _orders(open_, _one("B", Tier.SETTINGS)) == ["B>A"]
    assert "needs parts at least" in rank([open_, _one("B", Tier.SETTINGS)]).orders[0].because


def test_steps_leave_out_what_follows() -> None:
    """An order that follows from two others is not said again."""
    found = rank([_one("A", memory=3.0), _one("B", memory=2.0), _one("C", memory=1.0)])
    assert [(one.before, one.after) for one in found.steps()] == [("A", "B"), ("B", "C")]


def test_what_is_not_asked_of_one_does_not_limit_it() -> None:
    """A minimum that does not apply to a candidate is no measure it falls behind in."""
    assert _orders(_one("A", memory=1.0), _one("B", memory=1.0, cores=1.5)) == ["A>B"]


SPANS = st.one_of(st.sampled_from([(1.0, 1.0), (2.0, 2.0), (3.0, 3.0), (1.0, inf), (2.0, inf), (0.0, inf)]))


@st.composite
def _standings(draw: st.DrawFn) -> list[Standing]:
    found = []
    for letter in "ABCDE"[: draw(st.integers(2, 5))]:
        best = draw(st.sampled_from(Tier))
        parts = draw(st.integers(1, 3)) if best is Tier.PARTS else 0
        price = draw(st.sampled_from([100, 200, None])) if parts else 0
        worst = draw(st.sampled_from([best, Tier.NEVER]))
        found.append(_one(letter, best, worst, parts, price, memory=draw(SPANS), support=draw(SPANS)))
    return found


def _pairs(found: Ranking) -> set[tuple[str, str]]:
    return {(one.before, one.after) for one in found.orders}


@given(_standings())
def test_the_orders_make_no_circle(standings: list[Standing]) -> None:
    """The orders are a strict partial order: what follows from two of them is one of them."""
    pairs = _pairs(rank(standings))
    assert all(first != second and (second, first) not in pairs for first, second in pairs)
    assert all((a, d) in pairs for a, b in pairs for c, d in pairs if b == c)


@given(_standings())
def test_every_pair_is_said_once(standings: list[Standing]) -> None:
    """Each pair is ordered or not, with a reason."""
    found = rank(standings)
    number = len(standings)
    assert len(found.orders) + len(found.no_orders) == number * (number - 1) // 2
    reasons = [one.because for one in found.orders] + [one.because for one in found.no_orders]
    assert all(reasons)


@given(_standings())
def test_the_order_they_are_named_in_does_not_count(standings: list[Standing]) -> None:
    """Every permutation of the candidates gives the same orders and places."""
    first = rank(standings)
    for other in list(permutations(standings))[:6]:
        again = rank(other)
        assert _pairs(again) == _pairs(first)
        assert set(again.places) == set(first.places)


@given(_standings())
def test_a_place_is_one_some_full_order_gives(standings: list[Standing]) -> None:
    """The best and the worst place of each are taken in some order of all that keeps the orders."""
    found = rank(standings)
    letters = [one.letter for one in standings]
    pairs = _pairs(found)
    taken: dict[str, set[int]] = {letter: set() for letter in letters}
    for order in permutations(letters):
        if all(order.index(before) < order.index(after) for before, after in pairs):
            for letter in letters:
                taken[letter].add(order.index(letter) + 1)
    for place in found.places:
        assert (place.best, place.worst) == (min(taken[place.letter]), max(taken[place.letter]))


@pytest.mark.parametrize("tier", Tier)
def test_reasons_name_both(tier: Tier) -> None:
    """A reason speaks of both candidates by their letters."""
    other = _one("B", Tier.NEVER) if tier is not Tier.NEVER else _one("B", Tier.READY)
    (order,) = rank([_one("A", tier, parts=int(tier is Tier.PARTS), price=1), other]).orders
    assert isinstance(order, Order)
    assert order.because.startswith(f"{order.before} ") and f"and {order.after} " in order.because
