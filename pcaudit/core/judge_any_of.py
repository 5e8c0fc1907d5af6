"""Judging alternatives of which one must be met."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.judge_items import judge_lists, says_items
from pcaudit.core.judge_scalar import binds, judge_scalar
from pcaudit.core.profile import Alternative, AnyOf, Items, Meta, Scalar
from pcaudit.core.report import Verdict, all_of, any_of
from pcaudit.core.results import NOT_ABOUT_THIS, Result, limited
from pcaudit.core.truth import Answer, Truth

JudgeLists = Callable[[Sequence[Items]], list[Result]]
"""Holds an alternative's tables on one list against the PC."""


class Tried(NamedTuple):
    """An alternative and what each of its conditions came to."""

    alternative: Alternative
    results: list[Result]
    about: Answer

    @property
    def verdict(self) -> Verdict:
        """What the alternative comes to as a whole."""
        if self.about.truth is Truth.FALSE:
            return Verdict.NOT_APPLICABLE
        if self.about.truth is Truth.UNKNOWN:  # where it does not apply it serves nobody
            return Verdict.UNVERIFIED
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
    return Verdict.MARGINAL if verdict is Verdict.UNVERIFIED and not binds(condition) else verdict


def _says(condition: Scalar | Items) -> str:
    if isinstance(condition, Items):
        return f"{condition.record.value.title.lower()}: {says_items(condition)}"
    text = condition.requirement.says()
    title = condition.record.value.title.lower()
    return text if text.startswith(title) else f"{title} {text}"


def _try(alternative: Alternative, context: Context, judge: JudgeLists) -> Tried:
    results: dict[int, Result] = {}
    by_list: dict[str, list[int]] = {}
    for index, condition in enumerate(alternative.conditions):
        if isinstance(condition, Scalar):
            results[index] = judge_scalar(condition, context)
        else:
            by_list.setdefault(condition.record.name, []).append(index)
    for indexes in by_list.values():
        tables = [one for index in indexes if isinstance(one := alternative.conditions[index], Items)]
        results.update(zip(indexes, judge(tables), strict=True))
    return Tried(
        alternative, [results[index] for index in sorted(results)], applies(alternative.meta.when, context)
    )


def _settled(condition: AnyOf, context: Context) -> AnyOf:
    """Alternatives with the amounts asked per something counted in."""

    def one(part: Scalar | Items) -> Scalar | Items:
        if isinstance(part, Scalar):
            return part._replace(requirement=resolve(part.requirement, context))
        return part._replace(keys=tuple(resolve(key, context) for key in part.keys))

    alternatives = [a._replace(conditions=tuple(map(one, a.conditions))) for a in condition.alternatives]
    return condition._replace(alternatives=tuple(alternatives))


def says_any_of(condition: AnyOf, context: Context) -> str:
    """Alternatives in words, amounts counted in."""
    condition = _settled(condition, context)
    return "; or ".join(
        (alternative.meta.title or ", ".join(_says(one) for one in alternative.conditions))
        + _only_with(alternative, context)
        for alternative in condition.alternatives
    )


def _only_with(alternative: Alternative, context: Context) -> str:
    """That an alternative counts only where options are chosen that were not."""
    names = [name for name, wanted in alternative.meta.when.options if wanted and name not in context.options]
    return f" (only with --option {' --option '.join(names)})" if names else ""


def try_all(condition: AnyOf, context: Context, judge: JudgeLists | None = None) -> list[Tried]:
    """Hold each alternative against the PC.

    Args:
        condition: The alternatives.
        context: What they are judged in.
        judge: Holds their tables on a list against the PC; without it they have all its items.
    """

    def alone(tables: Sequence[Items]) -> list[Result]:
        return judge_lists(tables, [context] * len(tables))

    return [_try(one, context, judge or alone) for one in _settled(condition, context).alternatives]


def result_of(condition: AnyOf, tried: Sequence[Tried], context: Context) -> tuple[Result, Meta]:
    """What alternatives come to; also the words said of the one that came nearest."""
    about = applies(condition.meta.when, context)
    verdict = any_of(one.verdict for one in tried)
    if about.truth is Truth.FALSE or verdict is Verdict.NOT_APPLICABLE:
        return NOT_ABOUT_THIS, condition.meta
    result, meta = _of_nearest(tried, verdict)
    return limited(result, about), meta


def judge_any_of(condition: AnyOf, context: Context) -> tuple[Result, Meta]:
    """Hold alternatives against a PC of which nothing else claims an item."""
    return result_of(condition, try_all(condition, context), context)


def _of_nearest(tried: Sequence[Tried], verdict: Verdict) -> tuple[Result, Meta]:
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
    if nearest.about.truth is Truth.UNKNOWN:
        short.append(f"whether it is asked of this PC is not known: {nearest.about.why}")
    name = nearest.alternative.meta.title
    lead = f"nearest is {name}, which asks" if name else "the nearest alternative asks"
    return Result(verdict, found, None, source, f"{lead} {'; '.join(short)}"), nearest.alternative.meta


def _title(condition: Scalar | Items) -> str:
    return condition.meta.title or condition.record.value.title
