"""Amounts of which only bounds may be known."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.plan.bounds import (
    Bounds,
    Held,
    Limit,
    hold,
    known,
    largest,
    listed,
    number,
    open_above,
    show_against,
    show_bounds,
    times,
    total,
    worse_within,
)
from tests.core.plan.sites import BETTER_TO_WORSE, MARGINAL, MET, UNMET, UNVERIFIED

FRACTIONS = st.fractions(min_value=0, max_value=1000, max_denominator=1000)


@st.composite
def bounds(draw: st.DrawFn) -> Bounds:
    """Any bounds, open above or not."""
    low = draw(FRACTIONS)
    more = draw(st.none() | FRACTIONS)
    return Bounds(low, None if more is None else low + more, ("enter it",) if more is None else ())


def test_exactly_the_limit_is_within_it() -> None:
    """An amount of exactly its limit is met, and one a hair past it is not."""
    limit = [Limit(Fraction(1440), "limit")]
    assert hold(known(Fraction("1440.0")), limit).verdict is MET
    assert hold(known(Fraction("1440.1")), limit).verdict is UNMET


def test_a_lower_bound_proves_only_the_worst() -> None:
    """An amount of which only the least is known is unmet past the limit, and never met."""
    limit = [Limit(Fraction(10), "limit")]
    assert hold(open_above(Fraction(11), "x"), limit).verdict is UNMET
    held = hold(open_above(Fraction(1), "enter `power`"), limit)
    assert (held.verdict, held.why) == (UNVERIFIED, "enter `power`")


def test_a_limit_that_is_not_known_proves_nothing() -> None:
    """Without one of its limits an amount is unverified, unless it is past another."""
    limits = [Limit(None, "rating", "enter `rating`"), Limit(Fraction(10), "limit")]
    held = hold(known(Fraction(5)), limits)
    assert (held.verdict, held.why) == (UNVERIFIED, "enter `rating`")
    assert hold(known(Fraction(11)), limits).verdict is UNMET


def test_past_one_of_several_margins_is_past_them() -> None:
    """What is met becomes worse past any of its margins, and what is not met stays as it was."""
    margins = [Limit(Fraction(8), "a"), Limit(Fraction(16), "b"), Limit(None, "c")]
    met = Held(MET, "")
    for amount, verdict in ((7, MET), (8, MET), (9, MARGINAL), (17, MARGINAL)):
        assert worse_within(met, known(Fraction(amount)), margins, MARGINAL, "close").verdict is verdict
    assert worse_within(met, open_above(Fraction(1), "x"), margins, MARGINAL, "close").verdict is MARGINAL
    unmet = Held(UNMET, "")
    assert worse_within(unmet, known(Fraction(9)), margins, MARGINAL, "close") is unmet


@given(bounds(), bounds(), FRACTIONS)
def test_more_never_makes_it_better(one: Bounds, more: Bounds, limit: Fraction) -> None:
    """Adding an amount to another never gives a better verdict."""
    limits = [Limit(limit, "limit")]
    before, after = (hold(amount, limits).verdict for amount in (one, total((one, more))))
    assert BETTER_TO_WORSE.index(before) <= BETTER_TO_WORSE.index(after)


@given(st.lists(bounds(), max_size=5), st.data())
def test_bounds_hold_whatever_the_amounts_are(several: list[Bounds], data: st.DataObject) -> None:
    """Sums, multiples and the largest lie within their bounds for any amounts within theirs."""
    amounts = [one.low + data.draw(FRACTIONS) for one in several]
    amounts = [a if b.high is None else min(a, b.high) for a, b in zip(amounts, several, strict=True)]
    for found, amount in (
        (total(several), sum(amounts, Fraction())),
        (largest(several), max(amounts, default=Fraction())),
        (times(total(several), 3), 3 * sum(amounts, Fraction())),
    ):
        assert found.low <= amount
        assert found.high is None or amount <= found.high
        assert found.high is not None or found.missing


def test_the_largest_of_amounts_that_are_known_is_known() -> None:
    """The largest of several is exactly that, and at least the largest least where one is open."""
    assert largest([known(Fraction(2)), known(Fraction(5))]) == known(Fraction(5))
    assert largest([known(Fraction(2)), open_above(Fraction(1), "x")]) == Bounds(Fraction(2), None, ("x",))


@pytest.mark.parametrize(
    ("amount", "digits", "up", "text"),
    [
        ("2.0594", 2, True, "2.06"),
        ("2.0594", 2, False, "2.05"),
        ("16", 2, True, "16"),
        ("0.05", 1, True, "0.1"),
        ("0.05", 1, False, "0"),
        ("100", 0, True, "100"),
        ("1440.1", 1, True, "1440.1"),
    ],
)
def test_numbers_are_rounded_to_the_safe_side(amount: str, digits: int, up: bool, text: str) -> None:
    """What is asked is rounded up, what there is down, and noughts behind the point are left out."""
    assert number(Fraction(amount), digits, up) == text


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (known(Fraction("2.0594")), "2.1 A"),
        (open_above(Fraction("2.0594"), "x"), "at least 2 A"),
        (open_above(Fraction(0), "x"), "not known"),
        (Bounds(Fraction("2.09"), Fraction("3.01")), "2 to 3.1 A"),
    ],
)
def test_bounds_in_words(shown: Bounds, text: str) -> None:
    """The words say which bounds are known, each rounded away from the other."""
    assert show_bounds(shown, "A") == text


def test_what_is_past_a_limit_does_not_look_like_it() -> None:
    """As many digits are shown as it takes to see that a limit is passed."""
    limit = [Limit(Fraction(12), "limit")]
    assert show_against(open_above(Fraction("12.0008"), "x"), "A", limit) == "at least 12.0008 A"
    assert show_against(known(Fraction("12.0008")), "A", limit) == "12.1 A"
    assert show_against(known(Fraction(12)), "A", limit) == "12 A"
    several = [Limit(Fraction(20), "looser"), *limit]
    assert show_against(open_above(Fraction("12.0008"), "x"), "A", several) == "at least 12.0008 A"


def test_many_reasons_are_cut_short() -> None:
    """Of many reasons the first three are named, and how many more there are."""
    assert listed(["a", "b"]) == "a; b" and listed(list("abc")) == "a; b; c"
    assert listed(list("abcde")) == "a; b; c; and 2 more"
