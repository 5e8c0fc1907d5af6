"""Judging alternatives of which one must be met."""

from __future__ import annotations

from typing import NamedTuple

from pcaudit.core.context import Context, applies, resolve
from pcaudit.core.judge_items import judge_lists, says_items
from pcaudit.core.judge_scalar import binds, judge_scalar
from pcaudit.core.profile import Alternative, AnyOf, Items, Meta, Scalar
from pcaudit.core.report import Verdict, all_of, any_of
from pcaudit.core.results import NOT_ABOUT_THIS, Result, limited
from pcaudit.core.truth import Answer, Truth


class _Tried(NamedTuple):
    """An alternative and what each of its conditions came to."""

    alternative: Alternative
    results: list[Result]
    about: Answer

    @property
    def verdict(self) -> Verdict:
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


def _try(alternative: Alternative, context: Context) -> _Tried:
    results = [
        judge_scalar(condition, context)
        if isinstance(condition, Scalar)
        else judge_lists([condition], [context])[0]
        for condition in alternative.conditions
    ]
    return _Tried(alternative, results, applies(alternative.meta.when, context))


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
        alternative.meta.title or ", ".join(_says(one) for one in alternative.conditions)
        for alternative in condition.alternatives
    )


def judge_any_of(condition: AnyOf, context: Context) -> tuple[Result, Meta]:
    """Hold alternatives against the PC; also the words said of the one that came nearest."""
    about = applies(condition.meta.when, context)
    condition = _settled(condition, context)
    tried = [_try(alternative, context) for alternative in condition.alternatives]
    verdict = any_of(one.verdict for one in tried)
    if about.truth is Truth.FALSE or verdict is Verdict.NOT_APPLICABLE:
        return NOT_ABOUT_THIS, condition.meta
    result, meta = _of_nearest(tried, verdict)
    return limited(result, about), meta


def _of_nearest(tried: list[_Tried], verdict: Verdict) -> tuple[Result, Meta]:
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
