"""Which of several candidates is the better choice, and where the readings do not say.

A candidate stands between the best and the worst that what is not known may make of it. One is
ranked above another only where it is no worse whatever the unknown turns out to be; there is no
score. Ready comes first, then what passes after settings, then after parts (by their price where
every part has one, else by their number), then what nothing here mends. Between equals counts how
far each exceeds what is required, and how long its operating system is supported: more of one and
less of another is no order.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from enum import IntEnum
from math import inf
from typing import Final, NamedTuple


class Tier(IntEnum):
    """How a candidate comes to pass, the best first."""

    READY = 0
    SETTINGS = 1
    PARTS = 2
    NEVER = 3


Span = tuple[float, float]
"""The least and the most that a number may be."""

UNKNOWN: Final[Span] = (-inf, inf)


class Standing(NamedTuple):
    """Where one candidate stands.

    Attributes:
        letter: Of the candidate.
        best: How it comes to pass if what is not known turns out well.
        worst: The same if it turns out badly; as ``best`` where nothing that decides is unknown.
        parts: How many parts it needs.
        price: Of all its parts, in hundredths; None where one has no price.
        measures: By title: how far it exceeds each minimum required, as a ratio, and the years of
            support left.
    """

    letter: str
    best: Tier
    worst: Tier
    parts: int
    price: int | None
    measures: Mapping[str, Span]


class Order(NamedTuple):
    """One candidate is the better choice than another."""

    before: str
    after: str
    because: str


class NoOrder(NamedTuple):
    """The readings do not say which of two candidates is the better choice."""

    first: str
    second: str
    because: str


class Place(NamedTuple):
    """The places a candidate may take: from 1, the same number twice where there is one only."""

    letter: str
    best: int
    worst: int


class Ranking(NamedTuple):
    """Every pair of candidates, ordered or not, and the places that follow."""

    places: tuple[Place, ...]
    orders: tuple[Order, ...]
    no_orders: tuple[NoOrder, ...]

    def steps(self) -> tuple[Order, ...]:
        """The orders that do not follow from others."""
        pairs = {(one.before, one.after) for one in self.orders}
        return tuple(
            one
            for one in self.orders
            if not any((one.before, other) in pairs and (other, one.after) in pairs for _, other in pairs)
        )


Show = Callable[[int], str]
"""Writes a price."""


_SURE: Final = {
    Tier.READY: "is ready as it is",
    Tier.SETTINGS: "passes after settings",
    Tier.PARTS: "passes after parts are fitted",
    Tier.NEVER: "cannot be mended here",
}
_UNSURE: Final = {
    Tier.READY: "is not known to pass",
    Tier.SETTINGS: "needs settings at least",
    Tier.PARTS: "needs parts at least",
    Tier.NEVER: "cannot be mended here",
}


def _brief(one: Standing) -> str:
    words = _SURE if one.best == one.worst else _UNSURE
    return f"{one.letter} {words[one.best]}"


class _Ranker:
    def __init__(self, standings: Sequence[Standing], show: Show) -> None:
        self.standings = standings
        self.show = show
        # One measure for all: else three candidates could stand in a circle.
        self.by_price = all(one.price is not None for one in standings if one.parts)

    def cost(self, one: Standing) -> int:
        if not self.by_price:
            return one.parts
        return one.price or 0

    def cost_words(self, one: Standing) -> str:
        if self.by_price:
            return self.show(one.price or 0)
        return f"{one.parts} part{'s' * (one.parts != 1)}"

    def above(self, first: Standing, second: Standing) -> str:
        """Why the first is ranked above the second; empty where it is not."""
        if first.worst > second.best:
            return ""
        if first.worst < second.best:
            return f"{_brief(first)}, and {_brief(second)}"
        if first.worst is Tier.PARTS:
            mine, other = self.cost(first), self.cost(second)
            if mine != other:
                words = f"{self.cost_words(first)} against {self.cost_words(second)}"
                return f"{first.letter} needs less: {words}" if mine < other else ""
        return self._more(first, second)

    def _more(self, first: Standing, second: Standing) -> str:
        more = _greater(first, second)
        if not more or not _at_least(first, second):
            return ""
        lead = f"{first.letter} and {second.letter} " + (
            "are both ready as they are" if first.worst is Tier.READY else "need no less than each other"
        )
        return f"{lead}, and {first.letter} has no less of anything, and more of: {_listed(more)}"

    def apart(self, first: Standing, second: Standing) -> str:
        """Why there is no order between two."""
        unsure = [one for one in (first, second) if one.best != one.worst]
        if unsure:
            return f"what is not known of {' and of '.join(one.letter for one in unsure)} may decide"
        blind = _blind(first, second)
        if blind:
            return f"what is not known may decide: {_listed(blind)}"
        mine, others = _greater(first, second), _greater(second, first)
        if mine and others:
            return f"{first.letter} has more of {_listed(mine)}, {second.letter} more of {_listed(others)}"
        return "they are alike in everything that counts here"


def _span(one: Standing, title: str) -> Span:
    # Nothing is asked of it there, so nothing limits it.
    return one.measures.get(title, (inf, inf))


def _titles(first: Standing, second: Standing) -> list[str]:
    return list(dict.fromkeys((*first.measures, *second.measures)))


def _same(first: Span, second: Span) -> bool:
    return first == second and first[0] == first[1]


def _at_least(first: Standing, second: Standing) -> bool:
    """Whether the first has no less of anything, whatever is not known."""
    return all(_span(first, title)[0] >= _span(second, title)[1] for title in _titles(first, second))


def _greater(first: Standing, second: Standing) -> list[str]:
    return [
        title
        for title in _titles(first, second)
        if _span(first, title)[0] >= _span(second, title)[1]
        and not _same(_span(first, title), _span(second, title))
    ]


def _blind(first: Standing, second: Standing) -> list[str]:
    """What neither is known to have no less of."""
    return [
        title
        for title in _titles(first, second)
        if _span(first, title)[0] < _span(second, title)[1]
        and _span(second, title)[0] < _span(first, title)[1]
    ]


_NAMED: Final = 3


def _listed(titles: Sequence[str]) -> str:
    text = ", ".join(titles[:_NAMED])
    return text + (f" and {len(titles) - _NAMED} more" if len(titles) > _NAMED else "")


def rank(standings: Sequence[Standing], show: Show = str) -> Ranking:
    """Order candidates as far as the readings carry an order.

    Args:
        standings: One of each candidate.
        show: Writes a price, for the reasons.

    Returns:
        Every pair, ordered or not, with the reason; and the places.
    """
    ranker = _Ranker(standings, show)
    orders, no_orders = [], []
    for index, first in enumerate(standings):
        for second in standings[index + 1 :]:
            if because := ranker.above(first, second):
                orders.append(Order(first.letter, second.letter, because))
            elif because := ranker.above(second, first):
                orders.append(Order(second.letter, first.letter, because))
            else:
                no_orders.append(NoOrder(first.letter, second.letter, ranker.apart(first, second)))
    places = tuple(
        Place(
            one.letter,
            1 + sum(order.after == one.letter for order in orders),
            len(standings) - sum(order.before == one.letter for order in orders),
        )
        for one in standings
    )
    return Ranking(places, tuple(orders), tuple(no_orders))
