"""Judging all tables on lists: those under one id are about the same items.

One item must meet every key that tables under one id ask for. What limits the number of items
is each table's own: more keys would make it looser.
"""

from __future__ import annotations

from collections.abc import Sequence
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


class _Entry(NamedTuple):
    """A table to judge, in what, and the conditions its answer is for."""

    table: Items
    context: Context
    answers: tuple[Key, ...]


class _Under(NamedTuple):
    """Entries of one id and product.

    Attributes:
        sure: Where only tables count that are known to be asked.
        all: Where every table counts that may be asked.
    """

    sure: list[_Entry]
    all: list[_Entry]


def settled(table: Items, context: Context) -> Items:
    """A table with the amounts of its own product counted in."""
    return table._replace(keys=tuple(resolve(key, context) for key in table.keys))


def _under(tables: Sequence[tuple[Key, Items]], context: Context) -> _Under:
    if len(tables) == 1:
        ((key, table),) = tables
        alone = [_Entry(table, context, (key,))]
        return _Under(alone, alone)
    rest: list[_Entry] = []
    sure: list[tuple[Key, Items]] = []
    maybe: list[tuple[Key, Items]] = []
    for key, table in tables:
        about = applies(table.meta.when, context).truth
        if about is Truth.FALSE:
            rest.append(_Entry(table, context, (key,)))
            continue
        if table.maximum is not None or table.better_maximum is not None:
            limit = table._replace(minimum=None, better_minimum=None, claims=False)
            rest.append(_Entry(limit, context, (key,)))
        if table.minimum is not None or table.better_minimum is not None:
            low = table._replace(maximum=None, better_maximum=None)
            (sure if about is Truth.TRUE else maybe).append((key, low))
    if not sure or not maybe:
        whole = _whole(sure or maybe, sure or maybe, context)
        return _Under(whole + rest, whole + rest)
    return _Under(_whole(sure, sure, context) + rest, _whole(sure + maybe, maybe, context) + rest)


def _whole(
    tables: Sequence[tuple[Key, Items]], answers: Sequence[tuple[Key, Items]], context: Context
) -> list[_Entry]:
    if not tables:
        return []
    return [_Entry(merged([table for _, table in tables]), context, tuple(key for key, _ in answers))]


def _judged(entries: Sequence[_Entry]) -> dict[Key, Result]:
    """The worst answer for each condition, tables on one list judged together."""
    by_list: dict[str, list[_Entry]] = {}
    for entry in entries:
        by_list.setdefault(entry.table.record.name, []).append(entry)
    found: dict[Key, Result] = {}
    for group in by_list.values():
        results = judge_lists([one.table for one in group], [one.context for one in group])
        for entry, result in zip(group, results, strict=True):
            for key in entry.answers:
                before = found.get(key, result)
                worse = all_of((before.verdict, result.verdict)) is not before.verdict
                found[key] = result if worse else before
    return found


def judge_all_lists(questions: Sequence[Question], contexts: Sequence[Context]) -> dict[Key, Result]:
    """Hold every table on lists against the PC, with those that compete for the same items.

    Args:
        questions: Everything asked.
        contexts: Of each product.

    Returns:
        What each condition on a list comes to.
    """
    groups = []
    for question in questions:
        tables: dict[int, list[tuple[Key, Items]]] = {}
        for index, (number, condition) in enumerate(question.asked):
            if isinstance(condition, Items):
                ready = settled(condition, contexts[number])
                tables.setdefault(number, []).append(((question.id, index), ready))
        groups += [_under(same, contexts[number]) for number, same in tables.items()]
    sure = [entry for group in groups for entry in group.sure]
    everything = [entry for group in groups for entry in group.all]
    found = _judged(sure)
    if sure == everything:
        return found
    for key, result in _judged(everything).items():
        before = found.get(key)
        if before is None:
            found[key] = result
        elif before.verdict in _GOOD and result.verdict not in _GOOD:
            found[key] = result._replace(
                verdict=Verdict.UNVERIFIED, why="items that serve it may be needed by another condition"
            )
    return found
