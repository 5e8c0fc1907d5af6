"""Judging tables on the items of a list."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import Reading
from pcaudit.core.conditions import Requirement, judge_value
from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.judge_scalar import found_text
from pcaudit.core.lists import Count, Demand, assigned, count, count_better
from pcaudit.core.profile import Items
from pcaudit.core.report import Verdict
from pcaudit.core.results import NOT_ABOUT_THIS, Result, limited
from pcaudit.core.snapshot import Form, Observation, known
from pcaudit.core.truth import Truth, cannot_tell
from pcaudit.core.wording import show_value


class Sorted(NamedTuple):
    """Items of a list by what one table makes of them.

    Attributes:
        certain: Items (by position) that meet every key.
        possible: Those, and the items that fail no key but have one that is not known.
        decided: For every other item the key that decides, and what is not known of it.
    """

    certain: frozenset[int]
    possible: frozenset[int]
    decided: dict[int, tuple[Requirement, str]]


def _item_answer(
    keys: Sequence[Requirement], item: dict[str, Any], advised: bool
) -> tuple[Truth, tuple[Requirement, str] | None]:
    """Whether an item meets every key, and the key that decides where it does not."""
    open_question = None
    for key in keys:
        value = item.get(key.name)
        if value is None:
            held = cannot_tell(f"{key.spec.title.lower()} not known")
        else:
            held = judge_value(key, value, advised)
        if held.truth is Truth.FALSE:
            return Truth.FALSE, (key, "")
        if held.truth is Truth.UNKNOWN and open_question is None:
            open_question = key, held.why
    return (Truth.UNKNOWN if open_question else Truth.TRUE), open_question


def sort_items(table: Items, items: list[dict[str, Any]], advised: bool) -> Sorted:
    """Tell the items that meet every key from those that may and those that do not.

    Args:
        table: Its keys are asked.
        items: Of the list.
        advised: Ask what is recommended or advised as well.
    """
    certain, possible, decided = set(), set(), {}
    keys = [key for key in table.keys if key.tests(advised)]
    for index, item in enumerate(items):
        truth, deciding = _item_answer(keys, item, advised)
        if truth is Truth.TRUE:
            certain.add(index)
        if truth is not Truth.FALSE:
            possible.add(index)
        if deciding is not None:
            decided[index] = deciding
    return Sorted(frozenset(certain), frozenset(possible), decided)


def _reason(found: Sorted, index: int, item: dict[str, Any]) -> str:
    """Why an item does not serve, or cannot be known to."""
    key, why = found.decided[index]
    if why:
        return why
    return f"{key.spec.title.lower()} {found_text(key, known(item.get(key.name), ''))}"


def _demand(table: Items, found: Sorted, certain: bool, advised: bool) -> Demand:
    low = table.better_minimum if advised and table.better_minimum is not None else table.minimum
    high = table.better_maximum if advised and table.better_maximum is not None else table.maximum
    return Demand(low, high, found.certain, found.possible, table.claims, certain)


def _label(item: dict[str, Any], index: int, record: Reading) -> str:
    for key in ("name", "mount", "model", "host", "size"):
        value = item.get(key)
        if value is not None and key in record.items:
            return show_value(value, record.items[key])
    return f"item {index + 1}"


_SHOWN = 4
_WAY_OUT: Final = "where one item does for both, write own = false"


def _named(indexes: Sequence[int], items: list[dict[str, Any]], record: Reading) -> str:
    names = [_label(items[i], i, record) for i in indexes[:_SHOWN]]
    more = len(indexes) - len(names)
    return ", ".join(names) + (f" and {more} more" if more > 0 else "")


def _found_items(
    table: Items, items: list[dict[str, Any]], found: Sorted, given: frozenset[int], taken: frozenset[int]
) -> str:
    """The items that serve a table: those given to it first, another table's only where none is left."""
    record = table.record
    free = found.certain - given - taken if table.claims else found.certain - given
    sure = [*sorted(given), *sorted(free)] or sorted(found.certain)
    maybe = sorted(found.possible - found.certain)
    parts = [_named(sure, items, record)] if sure else []
    parts += [f"perhaps {_named(maybe, items, record)}"] if maybe else []
    if parts:
        return "; ".join(parts)
    of = f"none of {len(items)}" if items else "none"
    if len(items) > _SHOWN or not found.decided or table.minimum is None:
        return of
    missed = [f"{_label(items[i], i, record)}: {_reason(found, i, items[i])}" for i in found.decided]
    return f"{of} ({'; '.join(missed)})"


def _open_question(found: Sorted, seen: Observation, items: list[dict[str, Any]], record: Reading) -> str:
    if not seen.complete:
        return seen.why
    for index in sorted(found.possible - found.certain):
        return f"{_label(items[index], index, record)}: {_reason(found, index, items[index])}"
    return "items that serve it may be needed by another condition"


def _asked(table: Items, items: list[dict[str, Any]]) -> bool:
    """Whether the list was asked for what the table names at all."""
    names = [key for key in table.keys if key.name in table.record.lookup]
    return any(_item_answer(names, item, advised=True)[0] is Truth.TRUE for item in items)


class _Asked(NamedTuple):
    """A table that is, or may be, asked of the PC; it is settled where it is for sure."""

    table: Items
    settled: bool


def judge_lists(
    tables: Sequence[Items], contexts: Sequence[Context], unsettled: Collection[int] = ()
) -> list[Result]:
    """Hold every table on one list against the PC, items claimed in written order.

    Args:
        tables: On one list, of one product or several.
        contexts: What each of them is judged in; all of one PC.
        unsettled: Tables (by position) that may claim items or not, whatever their own ``when`` says.
    """
    about = [applies(table.meta.when, one) for table, one in zip(tables, contexts, strict=True)]
    asked = [
        _Asked(
            table._replace(keys=tuple(resolve(key, context) for key in table.keys)),
            one.truth is Truth.TRUE and index not in unsettled,
        )
        for index, (table, context, one) in enumerate(zip(tables, contexts, about, strict=True))
        if one.truth is not Truth.FALSE
    ]
    results = iter(_judge_asked(asked, contexts[0].get(tables[0].record.name)) if asked else [])
    return [NOT_ABOUT_THIS if one.truth is Truth.FALSE else limited(next(results), one) for one in about]


def _judge_asked(asked: Sequence[_Asked], seen: Observation) -> list[Result]:
    tables = [one.table for one in asked]
    if seen.form is Form.ABSENT:
        seen = seen._replace(form=Form.KNOWN, value=[])
    if seen.form is not Form.KNOWN:
        why = seen.why or "not known"
        return [Result(_without_list(table), "not known", None, seen.source, why) for table in tables]
    items = seen.value
    found = [sort_items(table, items, advised=False) for table in tables]
    better = [
        sort_items(table, items, advised=True) if any(key.advised for key in table.keys) else one
        for table, one in zip(tables, found, strict=True)
    ]
    certain = [one.settled for one in asked]
    demands = [_demand(t, f, c, advised=False) for t, f, c in zip(tables, found, certain, strict=True)]
    wishes = [_demand(t, f, c, advised=True) for t, f, c in zip(tables, better, certain, strict=True)]
    counts = count(demands, seen.complete)
    good = count_better(demands, wishes, counts, seen.complete)
    given = assigned(demands, counts)
    results = []
    for index, table in enumerate(tables):
        shown = better[index] if table.meta.advised else found[index]
        verdict = _list_verdict(table, counts[index], good[index], wishes[index], seen.complete)
        why = ""
        if table.record.lookup and not _asked(table, items):
            verdict, why = Verdict.UNVERIFIED, "it was not asked"
        elif _never_proved(table) and verdict in (Verdict.MET, Verdict.MARGINAL):
            verdict, why = Verdict.UNVERIFIED, table.record.unlisted
        elif verdict is Verdict.UNVERIFIED:
            why = _open_question(shown, seen, items, table.record)
        elif verdict is Verdict.UNMET and shown.certain and table.minimum is not None:
            why = _too_few(index, tables, shown, given)
        taken = frozenset[int]().union(*given) - given[index]
        text = _found_items(table, items, shown, given[index], taken)
        results.append(Result(verdict, text, None, seen.source, why, _others(table, found[index])))
    return results


def names_thing(key: Requirement, table: Items) -> bool:
    """Whether a key says which thing is meant: one of another name is another thing."""
    return key.name == "name" or key.name in table.record.lookup


def _others(table: Items, found: Sorted) -> frozenset[int]:
    """Items that a key rules out which says what thing is meant."""
    naming = {key.name for key in table.keys if names_thing(key, table)}
    if not naming:
        return frozenset()
    return frozenset(
        index
        for index, (key, why) in found.decided.items()
        if key.name in naming and not why and index not in found.possible
    )


def _never_proved(table: Items) -> bool:
    """Whether a table limits the number of things that may be there and be in no list."""
    return bool(table.record.unlisted) and (table.maximum is not None or table.better_maximum is not None)


def _too_few(index: int, tables: Sequence[Items], found: Sorted, given: Sequence[frozenset[int]]) -> str:
    table = tables[index]
    if table.minimum is None or len(found.possible) < table.minimum:
        return ""
    holders = [
        f"{one.id} ({one.meta.profile}:{one.meta.line})"
        for number, (one, items) in enumerate(zip(tables, given, strict=True))
        if number != index and items & found.possible
    ]
    by = " and ".join(holders) or "another condition"
    return f"each serves one condition only, and this is claimed by {by}; {_WAY_OUT}"


def _without_list(table: Items) -> Verdict:
    """A table's verdict where the list itself is not known: none for sure, no bound above."""
    empty = Demand(table.minimum, table.maximum, frozenset(), frozenset(), claims=False)
    truth = count([empty], complete=False)[0].truth
    if table.meta.advised or truth is not Truth.TRUE:
        return Verdict.UNVERIFIED
    return Verdict.MARGINAL


def _list_verdict(table: Items, counted: Count, good: bool, wish: Demand, complete: bool) -> Verdict:
    if counted.truth is Truth.FALSE:
        return Verdict.UNMET
    if counted.truth is Truth.UNKNOWN:
        return Verdict.UNVERIFIED
    if good:
        return Verdict.MET
    if table.meta.advised and count([wish._replace(claims=False)], complete)[0].truth is Truth.UNKNOWN:
        return Verdict.UNVERIFIED
    return Verdict.MARGINAL


def _how_many(low: int | None, high: int | None) -> str:
    if high == 0:
        return "none"
    if low is not None and high is not None:
        return str(low) if low == high else f"{low} to {high}"
    return f"at most {high}" if low is None else f"at least {low}"


def says_items(table: Items) -> str:
    """A table on a list in words."""
    low = table.minimum if table.minimum is not None else table.better_minimum
    high = table.maximum if table.maximum is not None else table.better_maximum
    text = _how_many(low, high)
    if not table.meta.advised and (table.better_minimum or table.better_maximum is not None):
        text += f" ({table.better_minimum or table.better_maximum} recommended)"
    if not table.keys:
        return text
    if table.meta.advised:
        keys = [key._replace(required=key.required + key.advised, advised=()) for key in table.keys]
    else:
        keys = list(table.keys)
    return (
        f"{text} with "
        + ", ".join(f"{key.spec.title.lower()} {key.says()}" for key in keys)
        + (" (advised)" if table.meta.advised else "")
    )
