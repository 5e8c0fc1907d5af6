"""Holding profiles against a snapshot: findings, and nothing else.

Pure functions over frozen data: the same profiles, choice and snapshot give the same findings on
any PC; the day counts only for concessions.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final, NamedTuple

from pcaudit.core.asked_digest import asked_digest, claims, sum_digest
from pcaudit.core.catalogue import GROUPS
from pcaudit.core.choose import Asked, ask
from pcaudit.core.concessions import Concession, Judged, concede
from pcaudit.core.context import Context, resolve
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.found_state import hidden_state, with_state
from pcaudit.core.judge_alternatives import Either, judge_alternatives
from pcaudit.core.judge_any_of import says_any_of
from pcaudit.core.judge_items import says_items
from pcaudit.core.judge_same_items import Entries, Key, judge_all_lists, list_entries, settled
from pcaudit.core.judge_scalar import binds, judge_scalar
from pcaudit.core.profile import AnyOf, Condition, Items, Profile, Scalar
from pcaudit.core.report import Finding, Part, Verdict
from pcaudit.core.results import Result
from pcaudit.core.snapshot import Snapshot
from pcaudit.core.union import Question, Sum, questions, summed

_WORST: Final = (
    Verdict.UNMET,
    Verdict.UNVERIFIED,
    Verdict.MARGINAL,
    Verdict.ACCEPTED,
    Verdict.MET,
    Verdict.NOT_APPLICABLE,
)

_OF_NEAREST: Final = ("because", "remedy", "owner")


class Evaluation(NamedTuple):
    """Findings, and what became of concessions that were not applied."""

    findings: tuple[Finding, ...]
    notes: tuple[str, ...]


class _Contested(NamedTuple):
    """What is judged together, since conditions compete for items: lists, and alternatives.

    ``claims`` says by list what claims its items.
    """

    lists: dict[Key, Result]
    either: dict[Key, Either]
    claims: dict[str, tuple[str, ...]]


def _with_room(
    listed: _Contested, together: Sequence[Question], contexts: Sequence[Context], entries: Entries
) -> _Contested:
    """The same, with what has no room beside other products no longer met."""
    from pcaudit.core.judge_space import without_room  # one product alone never needs it

    short = without_room(together, contexts, entries, listed.lists, listed.either)
    either = {key: one._replace(result=short.get(key, one.result)) for key, one in listed.either.items()}
    return listed._replace(lists={**listed.lists, **short}, either=either)


def _says(condition: Condition, context: Context) -> str:
    if isinstance(condition, Scalar):
        return resolve(condition.requirement, context).says()
    return (
        says_items(settled(condition, context))
        if isinstance(condition, Items)
        else says_any_of(condition, context)
    )


def _result(key: Key, condition: Condition, context: Context, listed: _Contested) -> Result:
    """What one condition comes to, whoever asks it."""
    if isinstance(condition, Scalar):
        return judge_scalar(condition, context)
    return listed.lists[key] if isinstance(condition, Items) else listed.either[key].result


def _binding(condition: Condition) -> bool:
    return True if isinstance(condition, AnyOf) else binds(condition)


def _total(question: Question, contexts: Sequence[Context]) -> Sum | None:
    """The sum over products of what is asked under one id, where the reading needs that."""
    scalars = [(n, c, contexts[n]) for n, c in question.asked if isinstance(c, Scalar)]
    return summed(scalars) if len(scalars) > 1 else None


def _judge(question: Question, contexts: Sequence[Context], listed: _Contested, texts: bool) -> list[Judged]:
    judged = []
    for index, (number, condition) in enumerate(question.asked):
        context, key = contexts[number], (question.id, index)
        digest, meta = asked_digest(condition, context, listed.claims), condition.meta
        result = _result(key, condition, context, listed)
        if isinstance(condition, AnyOf):
            nearest = listed.either[key].words
            words = {name: getattr(nearest, name) or getattr(meta, name) for name in _OF_NEAREST}
            meta = meta._replace(**words)
        required = _says(condition, context) if texts else ""
        whole = _counted_in(condition, context)
        binding = _binding(condition)
        one = Judged(question.id, whole, digest, result, meta, required, binding, number=number)
        judged.append(_with_state(one, context))
    total = _total(question, contexts)
    if total is not None:
        parts = [one.digest for one in judged]
        judged.append(_judge_sum(question.id, total, contexts[0], parts))
    return judged


def _counted_in(condition: Condition, context: Context) -> Condition:
    if not isinstance(condition, Scalar):
        return condition
    return condition._replace(requirement=resolve(condition.requirement, context))


def _with_state(judged: Judged, context: Context) -> Judged:
    """What can be conceded, with a digest of what the words on it leave out."""
    result = judged.result
    if result.verdict not in (Verdict.UNMET, Verdict.UNVERIFIED):
        return judged
    state = hidden_state(judged.condition, context, result)
    if not state:
        return judged
    return judged._replace(result=result._replace(found=with_state(result.found, state)), state=state)


def _sum_result(total: Sum, context: Context) -> tuple[Scalar, Result]:
    """What a sum over products asks and comes to; where not all surely ask, it fails by those that do."""
    whole = total.whole
    result = judge_scalar(whole, context)
    if total.why and result.verdict not in (Verdict.MET, Verdict.MARGINAL):
        sure = total.sure
        if sure is not None and judge_scalar(sure, context).verdict is Verdict.UNMET:
            return sure, judge_scalar(sure, context)
        why = f"whether every product asks for it is not known: {total.why}"
        return whole, result._replace(verdict=Verdict.UNVERIFIED, why=why)
    return whole, result


def _judge_sum(name: str, total: Sum, context: Context, parts: Sequence[str]) -> Judged:
    whole, result = _sum_result(total, context)
    digest = sum_digest(parts, whole.requirement, doubtful=bool(total.why))
    required, binding = whole.requirement.says(), binds(whole)
    return _with_state(Judged(name, whole, digest, result, whole.meta, required, binding), context)


def _badness(judged: Judged) -> tuple[int, bool]:
    return _worse_of(judged.result.verdict, judged.binding)


def _worse_of(verdict: Verdict, binding: bool) -> tuple[int, bool]:
    return _WORST.index(verdict), not binding


def _in_order(all_judged: list[Judged]) -> list[Judged]:
    """Conditions on one reading: the worst verdict first, of equal ones the tightest; others as written."""
    asked = [one.condition.requirement for one in all_judged if isinstance(one.condition, Scalar)]
    if len(asked) < 2 or len(asked) < len(all_judged):
        return all_judged
    from pcaudit.core.tightness import tightness  # most readings are asked one thing

    order = sorted(
        zip(all_judged, tightness(asked), strict=True), key=lambda one: (*_badness(one[0]), -one[1])
    )
    return [judged for judged, _ in order]


def _part(judged: Judged) -> Part:
    meta = judged.meta
    return Part(
        required=judged.required,
        verdict=judged.result.verdict,
        binding=judged.binding,
        because=meta.because,
        owner=_owner(judged),
        profile=meta.profile,
        line=meta.line,
        digest=judged.digest,
        acceptance=judged.acceptance,
    )


def _owner(judged: Judged) -> str:
    condition = judged.condition
    return judged.meta.owner or ("IT" if isinstance(condition, AnyOf) else condition.record.owner)


def _title(judged: Judged) -> str:
    condition = judged.condition
    if judged.meta.title:
        return judged.meta.title
    return GROUPS[condition.group] if isinstance(condition, AnyOf) else condition.record.value.title


def _finding(all_judged: list[Judged]) -> Finding:
    """One finding of everything judged under one id: the worst of it, the tightest shown."""
    all_judged = _in_order(all_judged)
    worst = min(all_judged, key=_badness)
    condition, result, meta = worst.condition, worst.result, worst.meta
    return Finding(
        id=worst.id,
        title=_title(worst),
        group=condition.group if isinstance(condition, AnyOf) else condition.record.group,
        verdict=result.verdict,
        binding=worst.binding,
        required=worst.required,
        found=result.found,
        value=result.value if not isinstance(result.value, list) else None,
        source=result.source,
        why=result.why,
        because=meta.because,
        remedy=meta.remedy,
        owner=_owner(worst),
        profile=meta.profile,
        line=meta.line,
        digest=worst.digest,
        parts=tuple(map(_part, all_judged)) if len(all_judged) > 1 else (),
        acceptance=worst.acceptance,
    )


def _contested(together: Sequence[Question], contexts: Sequence[Context]) -> _Contested:
    """Everything whose conditions compete for items, held against the PC."""
    entries = list_entries(together, contexts)
    either, taken = judge_alternatives(together, contexts, entries)
    listed = _Contested(judge_all_lists(entries, taken), either, {})
    return _with_room(listed, together, contexts, entries) if len(contexts) > 1 else listed


class Came(NamedTuple):
    """What is asked under one id came to, without words.

    Attributes:
        verdict: Of the finding.
        binding: Whether it decides the outcome.
    """

    verdict: Verdict
    binding: bool


def verdicts(together: Sequence[Question], contexts: Sequence[Context]) -> list[Came]:
    """Verdicts alone, for whoever judges many PCs and shows words for few.

    Args:
        together: What is asked: everything, or a part of which nothing competes with the rest.
        contexts: Of each product; all of one PC.

    Returns:
        For each question what its finding would come to, concessions left aside.
    """
    listed = _contested(together, contexts)
    found = []
    for question in together:
        came = [
            Came(
                _result((question.id, index), condition, contexts[number], listed).verdict,
                _binding(condition),
            )
            for index, (number, condition) in enumerate(question.asked)
        ]
        total = _total(question, contexts)
        if total is not None:
            whole, result = _sum_result(total, contexts[0])
            came.append(Came(result.verdict, binds(whole)))
        found.append(min(came, key=lambda one: _worse_of(*one)))
    return found


def judge_all(
    asked: Sequence[Asked],
    readings: Readings,
    concessions: Sequence[Concession] = (),
    on: date | None = None,
    *,
    texts: bool = True,
) -> tuple[list[Judged], tuple[str, ...]]:
    """Hold every condition of every profile against a PC, before findings are made of them.

    Args:
        asked: The profiles, with what was chosen of each.
        readings: Of the PC.
        concessions: What may be accepted although it falls short.
        on: Day judged for, by which concessions expire; needed where there are any.
        texts: Say what each condition asks; whoever needs verdicts only saves half the time.

    Returns:
        What each condition came to, in the order the profiles are written, and a note for each
        concession that was not applied.
    """
    contexts = [Context(readings, one.parameters, one.options) for one in asked]
    together = questions(asked)
    listed = _contested(together, contexts)
    listed = listed._replace(
        claims=claims((one, contexts[number]) for each in together for number, one in each.asked)
    )
    judged = [one for question in together for one in _judge(question, contexts, listed, texts)]
    if not concessions:
        return judged, ()
    assert on is not None, "concessions expire, so a day is needed"
    return concede(judged, concessions, readings, on)


def evaluate_all(
    asked: Sequence[Asked],
    snapshot: Snapshot,
    *,
    knowledge: Knowledge | None = None,
    concessions: Sequence[Concession] = (),
    on: date | None = None,
) -> Evaluation:
    """Hold every condition of every profile against a snapshot.

    Args:
        asked: The profiles, with what was chosen of each.
        snapshot: What was observed.
        knowledge: For what follows from observations; without it that is unknown.
        concessions: What may be accepted although it falls short.
        on: Day judged for, by which concessions expire; needed where there are any.

    Returns:
        One finding for each id, in the order the profiles are written, and a note for each
        concession that was not applied.
    """
    judged, notes = judge_all(asked, Readings(snapshot, knowledge), concessions, on)
    groups: dict[str, list[Judged]] = {}
    for one in judged:
        groups.setdefault(one.id, []).append(one)
    return Evaluation(tuple(map(_finding, groups.values())), notes)


def evaluate(profile: Profile, snapshot: Snapshot) -> tuple[Finding, ...]:
    """Hold one profile, with nothing chosen, against a snapshot.

    Returns:
        Its findings, in the order it is written.
    """
    return evaluate_all(ask([profile]), snapshot).findings
