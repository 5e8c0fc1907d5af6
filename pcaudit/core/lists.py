"""Counting the items of a list that meet what tables ask, when some items are claimed.

Where one item can serve one table only (a network port, a screen, a drive), tables with a
minimum claim items in written order: an earlier table is served first, and gives an item up
only where it can be served by another. That is maximum bipartite matching grown one slot at a
time by augmenting paths, so a served slot stays served.

Keys of items may be unknown. A table is met only where it is served however the unknown keys
turn out, and unmet only where it is not served however they turn out:

* sure slots are those served in every case;
* open slots of other tables may or may not take an item, so of the items a table could get
  for sure, as many are left out as there are open slots that compete with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pcaudit.core.truth import Truth


class Demand(NamedTuple):
    """What one table asks of a list.

    Attributes:
        minimum, maximum: Bounds on how many items meet it; None where there is none.
        certain: Items (by position) that meet every key.
        possible: Those, and the items that fail no key but have an unknown one.
        claims: The items that serve its minimum serve no other table.
        settled: The table is asked of this PC; else its claims may or may not be made.
    """

    minimum: int | None
    maximum: int | None
    certain: frozenset[int]
    possible: frozenset[int]
    claims: bool
    settled: bool = True


class _Slots(NamedTuple):
    """Slots of one table that ask for one item each, and the items that may serve them."""

    number: int
    items: frozenset[int]


def _hand_on(item: int, came_from: dict[int, int], holder: dict[int, int]) -> None:
    """Give each item on the path back from a free one to the slot it was found from."""
    held = {slot: item for item, slot in holder.items()}
    step: int | None = item
    while step is not None:
        slot = came_from[step]
        holder[step] = slot
        step = held.get(slot)


def _augment(start: int, edges: Sequence[frozenset[int]], holder: dict[int, int]) -> bool:
    """Serve slot ``start``, moving served slots to other items where that is needed."""
    came_from: dict[int, int] = {}
    queue = [start]
    for slot in queue:
        for item in sorted(edges[slot]):
            if item in came_from:
                continue
            came_from[item] = slot
            if item not in holder:
                _hand_on(item, came_from, holder)
                return True
            queue.append(holder[item])
    return False


def _served(fixed: Sequence[_Slots], wanted: _Slots) -> int:
    """How many of ``wanted`` can be served when as many of ``fixed`` as possible are served first."""
    edges: list[frozenset[int]] = []
    holder: dict[int, int] = {}
    for slots in fixed:
        for _ in range(slots.number):
            edges.append(slots.items)
            _augment(len(edges) - 1, edges, holder)
    served = 0
    for _ in range(min(wanted.number, len(wanted.items))):
        edges.append(wanted.items)
        if not _augment(len(edges) - 1, edges, holder):
            break
        served += 1
    return served


def _truth(demand: Demand, low: int, high: int | None, all_low: int, all_high: int | None) -> Truth:
    """The truth table of counts: ``low`` items for sure, ``high`` at most (None: no bound)."""
    answers = []
    if demand.minimum is not None:
        if low >= demand.minimum:
            answers.append(Truth.TRUE)
        else:
            short = high is not None and high < demand.minimum
            answers.append(Truth.FALSE if short else Truth.UNKNOWN)
    if demand.maximum is not None:
        if all_low > demand.maximum:
            answers.append(Truth.FALSE)
        else:
            within = all_high is not None and all_high <= demand.maximum
            answers.append(Truth.TRUE if within else Truth.UNKNOWN)
    for truth in (Truth.FALSE, Truth.UNKNOWN):
        if truth in answers:
            return truth
    return Truth.TRUE


def _rivals(demands: Sequence[Demand], index: int, others: Sequence[int]) -> list[int]:
    """Those of ``others`` that compete with ``index`` for items, directly or through another."""
    reach = set(demands[index].possible)
    found: list[int] = []
    grown = True
    while grown:
        grown = False
        for other in others:
            if other not in found and not reach.isdisjoint(demands[other].possible):
                reach |= demands[other].possible
                found.append(other)
                grown = True
    return sorted(found)


class Count(NamedTuple):
    """What is known of one table.

    Attributes:
        truth: Whether its bounds hold.
        low: Items it has for sure.
        high: Items it has at most; None where the list may hold unseen ones.
    """

    truth: Truth
    low: int
    high: int | None


def count(demands: Sequence[Demand], complete: bool) -> list[Count]:
    """Hold every table's bounds against a list.

    Args:
        demands: The tables, in written order.
        complete: False where the list may hold items that were not seen.

    Returns:
        For each table whether its bounds hold, and between which numbers its items lie.
    """
    counts: list[Count] = []
    sure: dict[int, int] = {}
    open_: dict[int, int] = {}
    for index, demand in enumerate(demands):
        all_low, all_high = len(demand.certain), len(demand.possible)
        low, high = all_low, all_high
        if demand.claims and demand.minimum is not None:
            rivals = _rivals(demands, index, list(sure))
            unsettled = sum(open_[rival] for rival in rivals)
            wanted = demand.minimum + unsettled
            held = [_Slots(sure[r], demands[r].certain) for r in rivals]
            low = max(0, _served(held, _Slots(wanted, demand.certain)) - unsettled)
            held = [_Slots(sure[r], demands[r].possible) for r in rivals]
            high = _served(held, _Slots(demand.minimum, demand.possible))
            sure[index] = min(low, demand.minimum) if demand.settled else 0
            reachable = high if complete else len(demand.possible)
            open_[index] = max(0, min(demand.minimum, reachable) - sure[index])
        limit = high if complete else None
        truth = _truth(demand, low, limit, all_low, all_high if complete else None)
        counts.append(Count(truth, low, limit))
    return counts


def assigned(demands: Sequence[Demand], counts: Sequence[Count]) -> list[frozenset[int]]:
    """Which items serve each table that claims them, one way among those that serve all it can.

    Args:
        demands: The tables, in written order.
        counts: The answer to them.

    Returns:
        For each table the items (by position) it is given for sure.
    """
    edges: list[frozenset[int]] = []
    owners: list[int] = []
    holder: dict[int, int] = {}
    for index, (demand, counted) in enumerate(zip(demands, counts, strict=True)):
        if demand.claims and demand.minimum is not None and demand.settled:
            for _ in range(min(counted.low, demand.minimum)):
                edges.append(demand.certain)
                owners.append(index)
                _augment(len(edges) - 1, edges, holder)
    return [
        frozenset(item for item, slot in holder.items() if owners[slot] == index)
        for index in range(len(demands))
    ]


def count_better(
    demands: Sequence[Demand],
    better: Sequence[Demand],
    required: Sequence[Count],
    complete: bool,
) -> list[bool]:
    """Whether each table that is met also has what it recommends.

    No table gets a recommended item at the cost of what another requires, and an earlier one
    keeps what it recommends.

    Args:
        demands: What the tables require.
        better: What they recommend beyond that.
        required: The answer to ``demands``.
        complete: As for ``count``.

    Returns:
        For each table whether its recommendation holds for sure; False where it is not met.
    """
    chosen = list(demands)
    results: list[bool] = []
    met = [one.truth is Truth.TRUE and demand.settled for one, demand in zip(required, demands, strict=True)]
    for index, wish in enumerate(better):
        good = required[index].truth is Truth.TRUE
        if good and wish != demands[index]:
            low = len(wish.certain)
            if wish.claims and wish.minimum is not None:
                low = _served_for_sure(chosen, index, wish, required, met)
            high = len(wish.possible) if complete else None
            good = _truth(wish, low, None, len(wish.certain), high) is Truth.TRUE
            if good:
                chosen[index] = wish
        results.append(good)
    return results


def _served_for_sure(
    chosen: Sequence[Demand], index: int, wish: Demand, required: Sequence[Count], met: Sequence[bool]
) -> int:
    assert wish.minimum is not None
    others = [i for i, d in enumerate(chosen) if i != index and d.claims and d.minimum is not None]
    pool = [*chosen[:index], wish, *chosen[index + 1 :]]
    rivals = _rivals(pool, index, others)
    unsettled = sum(chosen[r].minimum or 0 for r in rivals if not met[r])
    held = [_Slots(chosen[r].minimum or 0, chosen[r].certain) for r in rivals if met[r]]
    # An unmet rival still holds the items it was served.
    held += [_Slots(required[r].low, chosen[r].certain) for r in rivals if not met[r]]
    unsettled -= sum(required[r].low for r in rivals if not met[r])
    capacity = len(wish.certain)
    unsettled = min(unsettled, capacity)
    return max(0, _served(held, _Slots(wish.minimum + unsettled, wish.certain)) - unsettled)
