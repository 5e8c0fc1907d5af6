"""Holding a profile against a snapshot: findings, and nothing else.

Pure functions over frozen data: the same profile and snapshot give the same findings on any
PC and any day.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from pcaudit.core.catalogue import Reading, Type
from pcaudit.core.conditions import AMOUNTS, Requirement, judge, judge_value
from pcaudit.core.derive import Readings
from pcaudit.core.lists import Count, Demand, count, count_better
from pcaudit.core.profile import Alternative, AnyOf, Condition, Items, Meta, Profile, Scalar
from pcaudit.core.report import Finding, Verdict, all_of, any_of
from pcaudit.core.snapshot import Form, Observation, Snapshot, known
from pcaudit.core.texts import fold
from pcaudit.core.truth import Answer, Truth, cannot_tell
from pcaudit.core.wording import show_bound, show_value


class Result(NamedTuple):
    """What one condition comes to, before words are put around it."""

    verdict: Verdict
    found: str
    value: Any = None
    source: str = ""
    why: str = ""


def _verdict(required: Answer, full: Answer, only_advised: bool) -> tuple[Verdict, str]:
    """The verdict of a condition judged once as required and once as recommended or advised."""
    if required.truth is Truth.FALSE:
        return Verdict.UNMET, required.why
    if required.truth is Truth.UNKNOWN:
        return Verdict.UNVERIFIED, required.why
    if full.truth is Truth.TRUE:
        return Verdict.MET, ""
    if full.truth is Truth.UNKNOWN and only_advised:
        return Verdict.UNVERIFIED, full.why
    return Verdict.MARGINAL, full.why


# -- one reading


def _bound(requirement: Requirement) -> Any:
    """The bound a value is closest to failing, which it must not look equal to."""
    for test in (*requirement.required, *requirement.advised):
        if test.form.key in ("minimum", "maximum", "equal"):
            return test.operand
    return None


def _found_set(requirement: Requirement, value: list[str]) -> str:
    """Of a long set only the words the profile asks about."""
    present = {fold(one) for one in value}
    asked = [word for test in requirement.tests(with_advised=True) for word in test.operand]
    there = [word for word in asked if fold(word) in present]
    missing = [word for word in asked if fold(word) not in present]
    parts = [f"has {', '.join(there)}"] if there else []
    return "; ".join(parts + ([f"lacks {', '.join(missing)}"] if missing else []))


def found_text(requirement: Requirement, seen: Observation) -> str:
    """What the PC has, in words."""
    if seen.form is Form.UNKNOWN:
        return "not known"
    if seen.form is Form.ABSENT:
        return f"none ({seen.why})" if seen.why else "none"
    spec = requirement.spec
    other = _bound(requirement) if spec.type in AMOUNTS else None
    if seen.form is Form.AT_LEAST:
        return show_bound(seen.value, spec)
    if spec.type is Type.SET:
        return _found_set(requirement, seen.value)
    return show_value(seen.value, spec, other)


def _guarded(condition: Scalar, readings: Readings) -> Answer | None:
    """Why the reading means nothing on this PC, or None where it does."""
    for guard in condition.guards:
        held = judge(guard, readings.get(guard.name))
        if held.truth is Truth.FALSE:
            seen = found_text(guard, readings.get(guard.name))
            return Answer(Truth.FALSE, f"asked of {guard.says()}, and this is {seen}")
        if held.truth is Truth.UNKNOWN:
            return held
    return None


def judge_scalar(condition: Scalar, readings: Readings) -> Result:
    """Hold a condition on one reading against the PC."""
    requirement = condition.requirement
    seen = readings.get(condition.record.name)
    required = judge(requirement, seen)
    full = judge(requirement, seen, with_advised=True)
    guard = _guarded(condition, readings)
    if guard is not None:
        required = guard if requirement.required else required
        full = guard
    verdict, why = _verdict(required, full, not requirement.required)
    value = seen.value if seen.form in (Form.KNOWN, Form.AT_LEAST) else None
    reason = why or (seen.why if verdict is Verdict.UNVERIFIED or seen.form is Form.AT_LEAST else "")
    return Result(verdict, found_text(requirement, seen), value, seen.source, reason)


# -- lists


class _Sorted(NamedTuple):
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


def _sort(table: Items, items: list[dict[str, Any]], advised: bool) -> _Sorted:
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
    return _Sorted(frozenset(certain), frozenset(possible), decided)


def _reason(found: _Sorted, index: int, item: dict[str, Any]) -> str:
    """Why an item does not serve, or cannot be known to."""
    key, why = found.decided[index]
    if why:
        return why
    return f"{key.spec.title.lower()} {found_text(key, known(item.get(key.name), ''))}"


def _demand(table: Items, found: _Sorted, advised: bool) -> Demand:
    low = table.better_minimum if advised and table.better_minimum is not None else table.minimum
    high = table.better_maximum if advised and table.better_maximum is not None else table.maximum
    return Demand(low, high, found.certain, found.possible, table.claims)


def _label(item: dict[str, Any], index: int, record: Reading) -> str:
    for key in ("name", "mount", "model", "host", "size"):
        value = item.get(key)
        if value is not None and key in record.items:
            return show_value(value, record.items[key])
    return f"item {index + 1}"


_SHOWN = 4


def _named(indexes: Sequence[int], items: list[dict[str, Any]], record: Reading) -> str:
    names = [_label(items[i], i, record) for i in indexes[:_SHOWN]]
    more = len(indexes) - len(names)
    return ", ".join(names) + (f" and {more} more" if more > 0 else "")


def _found_items(table: Items, items: list[dict[str, Any]], found: _Sorted) -> str:
    record = table.record
    sure, maybe = sorted(found.certain), sorted(found.possible - found.certain)
    parts = [_named(sure, items, record)] if sure else []
    parts += [f"perhaps {_named(maybe, items, record)}"] if maybe else []
    if parts:
        return "; ".join(parts)
    of = f"none of {len(items)}" if items else "none"
    if len(items) > _SHOWN or not found.decided:
        return of
    missed = [f"{_label(items[i], i, record)}: {_reason(found, i, items[i])}" for i in found.decided]
    return f"{of} ({'; '.join(missed)})"


def _open_question(found: _Sorted, seen: Observation, items: list[dict[str, Any]], record: Reading) -> str:
    if not seen.complete:
        return seen.why
    for index in sorted(found.possible - found.certain):
        return f"{_label(items[index], index, record)}: {_reason(found, index, items[index])}"
    return "items that serve it may be needed by another condition"


def _asked(table: Items, items: list[dict[str, Any]]) -> bool:
    """Whether the list was asked for what the table names at all."""
    names = [key for key in table.keys if key.name in table.record.lookup]
    return any(_item_answer(names, item, advised=True)[0] is Truth.TRUE for item in items)


def judge_lists(tables: Sequence[Items], readings: Readings) -> list[Result]:
    """Hold every table on one list against the PC, items claimed in written order."""
    record = tables[0].record
    seen = readings.get(record.name)
    if seen.form is not Form.KNOWN:
        why = seen.why or "not known"
        if seen.form is Form.ABSENT:
            seen = seen._replace(form=Form.KNOWN, value=[])
        else:
            verdicts = [_without_list(table) for table in tables]
            return [Result(v, "not known", None, seen.source, why) for v in verdicts]
    items = seen.value
    found = [_sort(table, items, advised=False) for table in tables]
    better = [
        _sort(table, items, advised=True) if any(key.advised for key in table.keys) else one
        for table, one in zip(tables, found, strict=True)
    ]
    demands = [_demand(t, f, advised=False) for t, f in zip(tables, found, strict=True)]
    wishes = [_demand(t, f, advised=True) for t, f in zip(tables, better, strict=True)]
    counts = count(demands, seen.complete)
    good = count_better(demands, wishes, counts, seen.complete)
    results = []
    for index, table in enumerate(tables):
        shown = better[index] if table.meta.advised else found[index]
        verdict = _list_verdict(table, counts[index], good[index], wishes[index], seen.complete)
        why = ""
        if table.record.lookup and not _asked(table, items):
            verdict, why = Verdict.UNVERIFIED, "it was not asked"
        elif verdict is Verdict.UNVERIFIED:
            why = _open_question(shown, seen, items, record)
        elif verdict is Verdict.UNMET and shown.certain and table.minimum is not None:
            why = _too_few(table, shown)
        results.append(Result(verdict, _found_items(table, items, shown), None, seen.source, why))
    return results


def _too_few(table: Items, found: _Sorted) -> str:
    if table.minimum is not None and len(found.possible) >= table.minimum:
        return "each serves one condition only, and another one claims it"
    return ""


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


# -- alternatives


class _Tried(NamedTuple):
    """An alternative and what each of its conditions came to."""

    alternative: Alternative
    results: list[Result]

    @property
    def verdict(self) -> Verdict:
        verdicts = [
            _softened(condition, result.verdict)
            for condition, result in zip(self.alternative.conditions, self.results, strict=True)
        ]
        return all_of(verdicts)

    def distance(self) -> tuple[int, int]:
        """How far from met: unmet conditions first, then unverified ones."""
        verdicts = [result.verdict for result in self.results]
        return verdicts.count(Verdict.UNMET), verdicts.count(Verdict.UNVERIFIED)


def _softened(condition: Scalar | Items, verdict: Verdict) -> Verdict:
    """What an advised condition counts for among others: it never sinks them."""
    return Verdict.MARGINAL if verdict is Verdict.UNVERIFIED and not _binds(condition) else verdict


def _binds(condition: Scalar | Items) -> bool:
    return (
        bool(condition.requirement.required) if isinstance(condition, Scalar) else not condition.meta.advised
    )


def _says(condition: Scalar | Items) -> str:
    if isinstance(condition, Items):
        return f"{condition.record.value.title.lower()}: {says_items(condition)}"
    text = condition.requirement.says()
    title = condition.record.value.title.lower()
    return text if text.startswith(title) else f"{title} {text}"


def _try(alternative: Alternative, readings: Readings) -> _Tried:
    results = [
        judge_scalar(condition, readings)
        if isinstance(condition, Scalar)
        else judge_lists([condition], readings)[0]
        for condition in alternative.conditions
    ]
    return _Tried(alternative, results)


def says_any_of(condition: AnyOf) -> str:
    """Alternatives in words."""
    return "; or ".join(
        alternative.meta.title or ", ".join(_says(one) for one in alternative.conditions)
        for alternative in condition.alternatives
    )


def judge_any_of(condition: AnyOf, readings: Readings) -> tuple[Result, Meta]:
    """Hold alternatives against the PC; also the words said of the one that came nearest."""
    tried = [_try(alternative, readings) for alternative in condition.alternatives]
    verdict = any_of(one.verdict for one in tried)
    nearest = min(tried, key=lambda one: (one.verdict is not verdict, *one.distance()))
    pairs = list(zip(nearest.alternative.conditions, nearest.results, strict=True))
    found = ", ".join(f"{_title(one).lower()} {result.found}" for one, result in pairs)
    source = next((result.source for _, result in pairs if result.source), "")
    if verdict in (Verdict.MET, Verdict.MARGINAL):
        title = nearest.alternative.meta.title
        short = [_says(one) for one, result in pairs if result.verdict is not Verdict.MET]
        why = (
            f"falls short of: {', '.join(short)}"
            if verdict is Verdict.MARGINAL
            else f"meets {title}" * bool(title)
        )
        return Result(verdict, found, None, source, why), nearest.alternative.meta
    wanted = Verdict.UNMET if verdict is Verdict.UNMET else Verdict.UNVERIFIED
    short = [
        f"{_says(one)}{f' ({result.why})' if result.why else ''}"
        for one, result in pairs
        if result.verdict is wanted
    ]
    name = nearest.alternative.meta.title
    lead = f"nearest is {name}, which asks" if name else "the nearest alternative asks"
    return Result(verdict, found, None, source, f"{lead} {'; '.join(short)}"), nearest.alternative.meta


def _title(condition: Scalar | Items) -> str:
    return condition.meta.title or condition.record.value.title


# -- the whole


def _finding(condition: Condition, result: Result, meta: Meta, required: str, profile: str) -> Finding:
    if isinstance(condition, AnyOf):
        group, title, owner, binding = condition.group, "", "IT", True
    else:
        group, title = condition.record.group, condition.record.value.title
        owner, binding = condition.record.owner, _binds(condition)
    base = condition.meta
    return Finding(
        id=condition.id,
        title=base.title or title or _ANY_OF_TITLES.get(group, group),
        group=group,
        verdict=result.verdict,
        binding=binding,
        required=required,
        found=result.found,
        value=result.value if not isinstance(result.value, list) else None,
        source=result.source,
        why=result.why,
        because=meta.because or base.because,
        remedy=meta.remedy or base.remedy,
        owner=meta.owner or base.owner or owner,
        profile=profile,
        line=base.line,
        digest=condition.digest,
    )


_ANY_OF_TITLES = {
    "os": "Operating system",
    "cpu": "Processor",
    "memory": "Memory",
    "storage": "Storage",
    "display": "Display",
    "network": "Network",
    "power": "Power",
    "software": "Software",
    "computer": "Computer",
    "session": "Session",
}


def evaluate(profile: Profile, snapshot: Snapshot) -> tuple[Finding, ...]:
    """Hold every condition of a profile against a snapshot.

    Args:
        profile: Compiled conditions.
        snapshot: What was observed.

    Returns:
        One finding for each condition, in the order the profile is written.
    """
    readings = Readings(snapshot)
    tables: dict[str, list[Items]] = {}
    for condition in profile.conditions:
        if isinstance(condition, Items):
            tables.setdefault(condition.record.name, []).append(condition)
    listed = {
        table.id: result
        for group in tables.values()
        for table, result in zip(group, judge_lists(group, readings), strict=True)
    }
    findings = []
    for condition in profile.conditions:
        if isinstance(condition, Scalar):
            result, meta, required = (
                judge_scalar(condition, readings),
                condition.meta,
                condition.requirement.says(),
            )
        elif isinstance(condition, Items):
            result, meta, required = listed[condition.id], condition.meta, says_items(condition)
        else:
            result, meta = judge_any_of(condition, readings)
            required = says_any_of(condition)
        findings.append(_finding(condition, result, meta, required, profile.path))
    return tuple(findings)
