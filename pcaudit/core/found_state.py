"""What was found in full, so that a concession for one state of a PC does not cover another.

A finding names four items of a list and one alternative of several. Where that is not all that
decides, a digest of the rest stands behind it: "none of 5 [state 1a2b3c4d]".
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from pcaudit.core.asked_digest import short_digest
from pcaudit.core.conditions import judge, judge_value
from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.judge_items import names_thing
from pcaudit.core.judge_scalar import found_text, judge_scalar
from pcaudit.core.profile import Alternative, AnyOf, Condition, Items, Scalar
from pcaudit.core.report import Verdict
from pcaudit.core.results import Result
from pcaudit.core.snapshot import Form, known
from pcaudit.core.truth import Truth
from pcaudit.core.wording import untold

_DIGITS = 8
_GOOD = (Verdict.MET, Verdict.MARGINAL)
_INCOMPLETE = "the list may not be complete"
_PERHAPS_ASKED = "whether it is asked is not known"


def hidden_state(condition: Condition, context: Context, result: Result) -> str:
    """A digest of what was found, where the words of the finding do not say all of it.

    Args:
        condition: What is asked.
        context: The PC and the choice it was judged in.
        result: What the condition came to.

    Returns:
        Eight hexadecimal digits; empty where the words say everything.
    """
    full = _in_full(condition, context, result)
    return "" if full == result.found else short_digest(full, _DIGITS)


def with_state(found: str, state: str) -> str:
    """What was found, as a finding prints it and a concession quotes it."""
    return f"{found} [state {state}]" if state else found


def same_state(granted: str, found: str, state: str) -> bool:
    """Whether a concession was granted for what is found now.

    Args:
        granted: What it quotes.
        found: What is found now, in words with the digest behind them.
        state: That digest; it decides alone, since the words may count what does not matter.
    """
    if state:
        return granted.endswith(with_state("", state))
    words = found.strip()
    # What a finding puts in quotation marks may be given without them.
    return granted in (words, untold(words).strip())


def _in_full(condition: Condition, context: Context, result: Result) -> str:
    if isinstance(condition, Scalar):
        parts = _of_scalar(condition, context)
    elif isinstance(condition, Items):
        parts = _of_items(condition, context, result)
    else:
        parts = _of_any_of(condition, context, result.verdict)
    if applies(condition.meta.when, context).truth is Truth.UNKNOWN:
        parts.append(_PERHAPS_ASKED)
    return "; ".join(parts)


def _of_scalar(condition: Scalar, context: Context) -> list[str]:
    seen = context.get(condition.record.name)
    parts = [found_text(resolve(condition.requirement, context), seen)]
    if not seen.complete:
        parts.append(_INCOMPLETE)
    for guard in condition.guards:
        pinned = context.get(guard.name)
        if judge(guard, pinned).truth is not Truth.TRUE:
            parts.append(f"{guard.name} {found_text(guard, pinned)}")
    return parts


class _Sorted(NamedTuple):
    """Items in words: those that meet every key, those that may, and those that fail one."""

    sure: list[str]
    maybe: list[str]
    short: list[str]


def _label(item: dict[str, Any], index: int) -> str:
    names = (item.get(key) for key in ("name", "mount", "model", "host"))
    return next((name for name in names if isinstance(name, str)), f"item {index + 1}")


def _sort(table: Items, items: Sequence[dict[str, Any]], others: frozenset[int]) -> _Sorted:
    found = _Sorted([], [], [])
    for index, item in enumerate(items):
        if index in others:  # nearly all of a long list, and judging them anew takes as long as before
            continue
        words, truths = [], set()
        for key in table.keys:
            value = item.get(key.name)
            held = Truth.UNKNOWN if value is None else judge_value(key, value, table.meta.advised).truth
            if held is Truth.FALSE and names_thing(key, table):
                break
            if held is not Truth.TRUE:
                truths.add(held)
                words.append(f"{key.spec.title.lower()} {found_text(key, known(value, ''))}")
        else:
            text = f"{_label(item, index)}: {', '.join(words)}"
            if Truth.FALSE in truths:
                found.short.append(text)
            elif truths:
                found.maybe.append(text)
            else:
                found.sure.append(_label(item, index))
    return found


def _of_items(condition: Items, context: Context, result: Result) -> list[str]:
    seen = context.get(condition.record.name)
    if seen.form is not Form.KNOWN:
        return ["none" if seen.form is Form.ABSENT else "not known"]
    table = condition._replace(keys=tuple(resolve(key, context) for key in condition.keys))
    low = table.minimum if table.minimum is not None else table.better_minimum
    found = _sort(table, seen.value, result.others)
    if low is None:  # what limits a number does not ask about what does not count
        found.short.clear()
    parts = _listed(found, len(seen.value))
    if not seen.complete:
        parts.append(_INCOMPLETE)
    if low is not None and len(found.sure) >= low and result.verdict not in _GOOD:
        parts.append(f"{result.verdict.value}, since items that serve it serve another condition")
    return parts


def _listed(found: _Sorted, number: int) -> list[str]:
    sure, maybe, short = map(sorted, found)
    if not sure and not maybe:
        # Things of another name come and go, and their number says nothing.
        of = f" of {number}" if number == len(short) else ""
        return [f"none{of} ({'; '.join(short)})" if short else "none"]
    named = [", ".join(sure)] if sure else []
    return named + [f"perhaps {one}" for one in maybe] + [f"not {one}" for one in short]


def _of_any_of(condition: AnyOf, context: Context, verdict: Verdict) -> list[str]:
    return [_of_alternative(one, context, verdict) for one in condition.alternatives]


def _of_alternative(alternative: Alternative, context: Context, verdict: Verdict) -> str:
    about = applies(alternative.meta.when, context).truth
    if about is Truth.FALSE:
        return "does not apply"
    parts = [_PERHAPS_ASKED] if about is Truth.UNKNOWN else []
    whole = Result(verdict, "")
    parts += [
        f"{one.id} {_in_full(one, context, whole)}"
        for one in alternative.conditions
        if isinstance(one, Items) or judge_scalar(one, context).verdict not in _GOOD
    ]
    return ", ".join(parts)
