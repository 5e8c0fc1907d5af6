"""Judging all tables on lists: those under one id are about the same items.

One item must meet every key that tables under one id ask for. What limits the number of items
is each table's own: more keys would make it looser.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.judge_items import judge_lists
from pcaudit.core.profile import Items
from pcaudit.core.report import Verdict, all_of
from pcaudit.core.results import Result
from pcaudit.core.truth import Truth
from pcaudit.core.union import Question, merged

Key = tuple[str, int]
"""A finding's id, and the number of a condition under it."""

_GOOD: Final = (Verdict.MET, Verdict.MARGINAL)


class Entry(NamedTuple):
    """A table to judge.

    Attributes:
        table: The table, or several under one id as one.
        context: What it is judged in.
        answers: The conditions its answer is for.
        product: Number of the product that asks it.
        parts: The tables under one id it is made of, one for each answer and the others.
    """

    table: Items
    context: Context
    answers: tuple[Key, ...]
    product: int
    parts: tuple[tuple[Key, Items], ...] = ()


class Entries(NamedTuple):
    """Every table on lists.

    Attributes:
        sure: Where only tables count that are known to be asked.
        all: Where every table counts that may be asked; equal to ``sure`` where that is all known.
    """

    sure: list[Entry]
    all: list[Entry]


def settled(table: Items, context: Context) -> Items:
    """A table with the amounts of its own product counted in."""
    return table._replace(keys=tuple(resolve(key, context) for key in table.keys))


def competes(table: Items, product: int, other: Items, other_product: int) -> bool:
    """Whether tables of two products, or of one, may claim items from each other."""
    record = table.record
    return record.name == other.record.name and (product == other_product or not record.shared_by_products)


def _under(tables: Sequence[tuple[Key, Items]], context: Context, product: int) -> Entries:
    if len(tables) == 1:
        ((key, table),) = tables
        alone = [Entry(table, context, (key,), product)]
        return Entries(alone, alone)
    rest: list[Entry] = []
    sure: list[tuple[Key, Items]] = []
    maybe: list[tuple[Key, Items]] = []
    for key, table in tables:
        about = applies(table.meta.when, context).truth
        if about is Truth.FALSE:
            rest.append(Entry(table, context, (key,), product))
            continue
        if table.maximum is not None or table.better_maximum is not None:
            limit = table._replace(minimum=None, better_minimum=None, claims=False)
            rest.append(Entry(limit, context, (key,), product))
        if table.minimum is not None or table.better_minimum is not None:
            low = table._replace(maximum=None, better_maximum=None)
            (sure if about is Truth.TRUE else maybe).append((key, low))
    if not sure or not maybe:
        whole = _whole(sure or maybe, sure or maybe, context, product)
        return Entries(whole + rest, whole + rest)
    return Entries(
        _whole(sure, sure, context, product) + rest, _whole(sure + maybe, maybe, context, product) + rest
    )


def _whole(
    tables: Sequence[tuple[Key, Items]], answers: Sequence[tuple[Key, Items]], context: Context, product: int
) -> list[Entry]:
    if not tables:
        return []
    whole = merged([table for _, table in tables])
    return [Entry(whole, context, tuple(key for key, _ in answers), product, tuple(tables))]


def _required_only(table: Items) -> Items:
    keys = tuple(key._replace(advised=()) for key in table.keys)
    return table._replace(keys=keys, better_minimum=None, better_maximum=None)


def _own_part(entry: Entry, key: Key) -> Items:
    """What one of several tables under an id asks, beside what the others require."""
    return merged([table if other == key else _required_only(table) for other, table in entry.parts])


def _answers(group: Sequence[Entry], index: int, result: Result) -> Iterator[tuple[Key, Result]]:
    """The answer for each condition: what one only advises does not make another one marginal."""
    entry = group[index]
    if len(entry.parts) > 1:  # what names the things of one of them does not for another
        result = result._replace(others=frozenset())
    for key in entry.answers:
        if result.verdict is not Verdict.MARGINAL or len(entry.parts) < 2:
            yield key, result
            continue
        tables = [one.table for one in group]
        tables[index] = _own_part(entry, key)
        again = judge_lists(tables, [one.context for one in group])[index]
        yield key, again._replace(others=frozenset())


def _judged(entries: Sequence[Entry]) -> dict[Key, Result]:
    """The worst answer for each condition, tables that compete for items judged together."""
    groups: dict[tuple[str, int], list[Entry]] = {}
    for entry in entries:
        record = entry.table.record
        product = entry.product if record.shared_by_products else -1
        groups.setdefault((record.name, product), []).append(entry)
    found: dict[Key, Result] = {}
    for group in groups.values():
        results = judge_lists([one.table for one in group], [one.context for one in group])
        for index, whole in enumerate(results):
            for key, result in _answers(group, index, whole):
                before = found.get(key, result)
                worse = all_of((before.verdict, result.verdict)) is not before.verdict
                found[key] = result if worse else before
    return found


def list_entries(questions: Sequence[Question], contexts: Sequence[Context]) -> Entries:
    """Every table on lists outside alternatives, in written order.

    Args:
        questions: Everything asked.
        contexts: Of each product.
    """
    groups = []
    for question in questions:
        tables: dict[int, list[tuple[Key, Items]]] = {}
        for index, (number, condition) in enumerate(question.asked):
            if isinstance(condition, Items):
                ready = settled(condition, contexts[number])
                tables.setdefault(number, []).append(((question.id, index), ready))
        groups += [_under(same, contexts[number], number) for number, same in tables.items()]
    return Entries(
        [entry for group in groups for entry in group.sure],
        [entry for group in groups for entry in group.all],
    )


def doubted(result: Result, with_all: Result) -> Result:
    """An answer where only sure tables count, held against the one where all count that may be asked."""
    if result.verdict in _GOOD and with_all.verdict not in _GOOD:
        return result._replace(
            verdict=Verdict.UNVERIFIED, why="items that serve it may be needed by another condition"
        )
    return result


def judge_all_lists(entries: Entries, after: Sequence[Entry] = ()) -> dict[Key, Result]:
    """Hold every table on lists against the PC, with those that compete for the same items.

    Args:
        entries: Everything asked of lists outside alternatives.
        after: What alternatives claim of what these leave: it is required, so that nothing
            recommended here is met at its cost.

    Returns:
        What each condition on a list comes to.
    """
    found = _judged([*entries.sure, *after])
    if entries.sure == entries.all:
        return found
    for key, result in _judged([*entries.all, *after]).items():
        found[key] = doubted(found[key], result) if key in found else result
    return found
