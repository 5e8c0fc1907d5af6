"""Amounts of which only bounds may be known, and holding them against limits.

A thing whose power factor is not known draws at least its power over the voltage: that may prove
that a strip is overloaded, and never that it is not. So every sum is kept as its least and its most,
with what would have to be entered to bring the two together. All of it is exact.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final, NamedTuple

from pcaudit.core.finding import Verdict

ZERO: Final = Fraction(0)

_MOST_REASONS: Final = 3


class Bounds(NamedTuple):
    """An amount.

    Attributes:
        low: It is at least this.
        high: It is at most this; None where nothing says so.
        missing: What would have to be entered, one clause each.
    """

    low: Fraction = ZERO
    high: Fraction | None = ZERO
    missing: tuple[str, ...] = ()


def known(amount: Fraction) -> Bounds:
    """An amount that is known."""
    return Bounds(amount, amount)


def open_above(low: Fraction, missing: str) -> Bounds:
    """An amount of which only the least is known."""
    return Bounds(low, None, (missing,))


def entered(amount: Fraction | None, missing: str) -> Bounds:
    """An amount as entered, or anything from nothing up."""
    return open_above(ZERO, missing) if amount is None else known(amount)


def times(bounds: Bounds, factor: Fraction | int) -> Bounds:
    """So many times an amount; the factor is not negative."""
    high = None if bounds.high is None else bounds.high * factor
    return Bounds(bounds.low * factor, high, bounds.missing)


def _reasons(several: Iterable[Bounds]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reason for one in several for reason in one.missing))


def total(several: Iterable[Bounds]) -> Bounds:
    """The sum of amounts; nothing where there are none."""
    several = tuple(several)
    highs = [one.high for one in several if one.high is not None]
    high = sum(highs, ZERO) if len(highs) == len(several) else None
    return Bounds(sum((one.low for one in several), ZERO), high, _reasons(several))


def largest(several: Iterable[Bounds]) -> Bounds:
    """The largest of amounts; nothing where there are none."""
    several = tuple(several)
    highs = [one.high for one in several if one.high is not None]
    high = max(highs, default=ZERO) if len(highs) == len(several) else None
    return Bounds(max((one.low for one in several), default=ZERO), high, _reasons(several))


class Limit(NamedTuple):
    """Something an amount may not go past.

    Attributes:
        amount: None where it is not known.
        words: What it is, without the amount: "the strip's rating".
        missing: What would have to be entered, where it is not known.
    """

    amount: Fraction | None
    words: str
    missing: str = ""


class Held(NamedTuple):
    """What an amount came to against its limits; ``why`` says why it is no better."""

    verdict: Verdict
    why: str


def listed(reasons: Iterable[str]) -> str:
    """Some clauses as one text, the first few of them where there are many."""
    reasons = tuple(reasons)
    more = len(reasons) - _MOST_REASONS
    return "; ".join(reasons[:_MOST_REASONS]) + (f"; and {more} more" if more > 0 else "")


def hold(amount: Bounds, limits: Iterable[Limit], between: str = "") -> Held:
    """Hold an amount against every one of its limits.

    Args:
        amount: What is asked.
        limits: What there is; at least one.
        between: Why the bounds are apart, where nothing that could be entered brings them together.

    Returns:
        Unmet where even the least is past a limit, met where the most is within all of them, and
        unverified in between, or where a limit is not known.
    """
    limits = tuple(limits)
    known_limits = [one.amount for one in limits if one.amount is not None]
    if known_limits and amount.low > min(known_limits):
        return Held(Verdict.UNMET, "")
    unknown = [one.missing for one in limits if one.amount is None]
    if unknown:
        return Held(Verdict.UNVERIFIED, listed((*unknown, *amount.missing)))
    if amount.high is not None and amount.high <= min(known_limits):
        return Held(Verdict.MET, "")
    return Held(Verdict.UNVERIFIED, listed(amount.missing) or between)


def worse_within(held: Held, amount: Bounds, limits: Iterable[Limit], verdict: Verdict, why: str) -> Held:
    """What is met becomes ``verdict`` where it goes past one of these tighter limits."""
    past = any(one.amount is not None and _past(amount, one.amount) for one in limits)
    return Held(verdict, why) if held.verdict is Verdict.MET and past else held


def _past(amount: Bounds, limit: Fraction) -> bool:
    return amount.high is None or amount.high > limit


# -- in words


def number(amount: Fraction, digits: int, up: bool) -> str:
    """A number for people, rounded up (what is asked) or down (what there is)."""
    scaled = amount * 10**digits
    whole = -(-scaled.numerator // scaled.denominator) if up else scaled.numerator // scaled.denominator
    text = f"{whole // 10**digits}.{whole % 10**digits:0{digits}}" if digits else str(whole)
    return text.rstrip("0").rstrip(".") if digits else text


def show(amount: Fraction, unit: str, digits: int = 1, up: bool = True) -> str:
    """An amount with its unit."""
    return f"{number(amount, digits, up)} {unit}"


def show_bounds(bounds: Bounds, unit: str, digits: int = 1) -> str:
    """An amount between its bounds: "2.07 A", "at least 2.06 A", "2.06 A to 3 A"."""
    if bounds.high is None:
        return f"at least {show(bounds.low, unit, digits, up=False)}" if bounds.low else "not known"
    if bounds.high == bounds.low:
        return show(bounds.high, unit, digits)
    low = number(bounds.low, digits, up=False)
    return f"{low} to {show(bounds.high, unit, digits)}"


_MOST_DIGITS: Final = 6


def show_against(bounds: Bounds, unit: str, limits: Iterable[Limit], digits: int = 1) -> str:
    """An amount that is past a limit, with as many digits as it takes not to look like the limit."""
    amounts = [one.amount for one in limits if one.amount is not None]
    limit = min(amounts, default=ZERO)
    while digits < _MOST_DIGITS and bounds.low > limit and _looks_within(bounds, limit, digits):
        digits += 1
    return show_bounds(bounds, unit, digits)


def _looks_within(bounds: Bounds, limit: Fraction, digits: int) -> bool:
    shown = number(bounds.low, digits, up=bounds.high == bounds.low)
    return Fraction(shown) <= limit
