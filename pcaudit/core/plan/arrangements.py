"""Arrangements judged: what the lab answered, held against the days on which it matters."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final, NamedTuple

from pcaudit.core.choose import Asked
from pcaudit.core.context import applies
from pcaudit.core.derive import Readings
from pcaudit.core.finding import DOES_NOT_APPLY, NOT_ANSWERED, Arrangement, Verdict, all_of
from pcaudit.core.lead_time import read_lead_time
from pcaudit.core.plan.in_hand import Held, judge_in_hand
from pcaudit.core.plan.spans import ON_THE_DAY, due, start_for
from pcaudit.core.plan.wanted import Wanted, wanted
from pcaudit.core.plan.working_days import WorkingDays
from pcaudit.core.truth import Truth
from pcaudit.core.worksheet.arrangements import MISSING, NOT_NEEDED, REQUESTED, Answer
from pcaudit.core.worksheet.sheet import Worksheet

NO_DAY: Final = "the installation day is not said: write `day` into [installation]"


class Days(NamedTuple):
    """The days that arrangements are judged by.

    Attributes:
        needed: The installation day, or the day judged for instead; None where neither is said.
        as_of: The day work counts from.
        working: The working calendar.
    """

    needed: date | None
    as_of: date
    working: WorkingDays


class _Result(NamedTuple):
    verdict: Verdict
    why: str = ""
    open: bool = False
    remedy: str = ""
    found: str = ""


def judge_arrangements(
    asked: Sequence[Asked], readings: Readings, worksheet: Worksheet, days: Days
) -> tuple[Arrangement, ...]:
    """Every arrangement the profiles and the lab ask, with the worksheet's answer and what it comes to.

    Args:
        asked: What is asked of profiles.
        readings: Of the PC, by which ``when`` limits arrangements.
        worksheet: The answers.
        days: The days they are held against.

    Returns:
        In the order of the profiles, the lab's own last.
    """
    found: dict[str, Arrangement] = {}
    for one in wanted(asked, readings, worksheet):
        arrangement = _judged(one, worksheet, days)
        if one.id not in found or _is_worse(arrangement, found[one.id]):
            found[one.id] = arrangement
    return tuple(found.values())


def _is_worse(one: Arrangement, other: Arrangement) -> bool:
    """Of one thing that several profiles ask, the strictest counts, and that it applies at all."""
    if one.verdict is other.verdict:
        return one.latest_start < other.latest_start  # both are said, or neither: they hang on the same day
    return all_of(each.verdict for each in (one, other) if each.verdict is not None) is one.verdict


def _judged(one: Wanted, worksheet: Worksheet, days: Days) -> Arrangement:
    arrangement = _filled(one, worksheet, days)
    limit = applies(one.asked.meta.when, one.context)
    if limit.truth is Truth.FALSE:
        return arrangement._replace(state=DOES_NOT_APPLY, verdict=Verdict.NOT_APPLICABLE)
    result = _answered(one, arrangement, worksheet, days)
    if limit.truth is not Truth.TRUE and result.verdict in (Verdict.UNMET, Verdict.UNVERIFIED):
        why = f"whether it is needed cannot be known: {limit.why}"
        result = result._replace(verdict=Verdict.UNVERIFIED, why=f"{why}; {result.why}")
    return arrangement._replace(
        verdict=result.verdict,
        why=result.why,
        open=result.open,
        remedy=arrangement.remedy or result.remedy,
        found=result.found,
    )


def _filled(one: Wanted, worksheet: Worksheet, days: Days) -> Arrangement:
    """The arrangement with everything said of it, not yet judged."""
    asked, meta = one.asked, one.asked.meta
    answer = one.answer or Answer(one.id, 0)
    people = worksheet.people
    lead = answer.lead_time or asked.lead_time
    needed = answer.needed or asked.needed
    last = start = ""
    if days.needed is not None:
        finish = due(days.needed, needed, days.working)
        last = finish.isoformat()
        start = start_for(finish, read_lead_time(lead), days.working).isoformat()
    return Arrangement(
        id=one.id,
        kind=asked.kind,
        title=meta.title,
        because=meta.because,
        remedy=meta.remedy,
        owner=people.shown(answer.owner) or meta.owner or "lab",
        needed=needed,
        lead_time=lead,
        profile=meta.profile,
        line=meta.line,
        state=answer.state or NOT_ANSWERED,
        holder=people.shown(answer.holder),
        kept=answer.kept,
        expires="never" if answer.never_expires else _iso(answer.expires),
        due=last,
        latest_start=start,
        deputy=people.shown(answer.deputy),
        requested=_iso(answer.requested),
        expected=_iso(answer.expected),
        required=asked.measured.says() if asked.measured else "",
        found=answer.measured,
        note=answer.note,
        answered=answer.line,
    )


def _iso(day: date | None) -> str:
    return "" if day is None else day.isoformat()


def _answered(one: Wanted, arrangement: Arrangement, worksheet: Worksheet, days: Days) -> _Result:
    answer = one.answer
    if one.shared:
        keys = " and ".join(f'[arrangements."{name}"]' for name in one.shared)
        if answer is None:
            why = f"several profiles use the id `{one.asked.id}` for different things: answer {keys}"
            return _Result(Verdict.UNVERIFIED, why, remedy="Answer each of them in the worksheet.")
    measured_only = answer is not None and not answer.state and one.asked.measured and answer.measured
    if answer is None or (not answer.state and not measured_only):
        return _Result(Verdict.UNVERIFIED, _unanswered(one, arrangement), remedy=_ANSWER)
    if answer.state == NOT_NEEDED:
        by = worksheet.people.shown(answer.by)
        return _Result(Verdict.NOT_APPLICABLE, f"not needed: {answer.because}, says {by}")
    if answer.state == MISSING:
        return _missing(arrangement, days)
    if answer.state == REQUESTED:
        return _requested(answer, arrangement, days)
    return _in_hand(one, answer, worksheet, days)


_ANSWER: Final = "Answer it in the worksheet."


def _unanswered(one: Wanted, arrangement: Arrangement) -> str:
    name = f'"{one.id}"' if "/" in one.id else one.id
    begin = f", and may have to be begun by {arrangement.latest_start}" if arrangement.latest_start else ""
    return f"the worksheet does not say: write `state` into [arrangements.{name}]{begin}"


# -- what is not in hand


def _missing(arrangement: Arrangement, days: Days) -> _Result:
    if days.needed is None:
        return _Result(Verdict.UNVERIFIED, f"missing, and {NO_DAY}", remedy=_REQUEST)
    start, today = arrangement.latest_start, days.as_of.isoformat()
    if _is_late(days, start):
        # Of what takes no known time the last day to begin is the day it is needed.
        last = f"should have been begun by {start}" if today > start else f"needed by {arrangement.due}"
        return _Result(Verdict.UNMET, f"{last}, and is missing on {today}", remedy=_REQUEST)
    return _open(arrangement, f"begin by {start}", _REQUEST)


_REQUEST: Final = "Request it, and write down when and for when."
_PRESS: Final = "Ask for it to come sooner, or for another day of the installation."


def _is_late(days: Days, last: str) -> bool:
    """Past a day that was the last one; on the installation day itself nothing is in time any more."""
    today = days.as_of.isoformat()
    return today > last or (days.needed is not None and days.as_of >= days.needed)


def _may_still_come(arrangement: Arrangement, days: Days) -> bool:
    """Whether it is the day itself, and the last one on which it may come."""
    today = days.as_of
    return today == days.needed and arrangement.needed == ON_THE_DAY and today.isoformat() == arrangement.due


def _open(arrangement: Arrangement, what: str, remedy: str) -> _Result:
    return _Result(Verdict.UNVERIFIED, f"{what} ({arrangement.owner})", open=True, remedy=remedy)


def _requested(answer: Answer, arrangement: Arrangement, days: Days) -> _Result:
    if days.needed is None:
        return _Result(Verdict.UNVERIFIED, f"requested, and {NO_DAY}")
    if answer.expires is not None and answer.expires < days.needed:
        why = f"expires on {_iso(answer.expires)}, before {_iso(days.needed)}"
        return _Result(Verdict.UNMET, why, remedy="Ask for one that is valid on the day.")
    if answer.requested is not None and answer.requested > days.as_of:
        return _still_to_request(answer.requested, arrangement, days)
    last, start = arrangement.due, arrangement.latest_start
    if answer.expected is not None and answer.expected.isoformat() > last:
        why = f"promised for {answer.expected.isoformat()}, and needed by {last}"
        return _Result(Verdict.UNMET, why, remedy=_PRESS)
    promised = answer.expected
    late = answer.requested is not None and answer.requested.isoformat() > start
    if late and promised is None:
        lead = f", as it takes {arrangement.lead_time}" if arrangement.lead_time else ""
        why = f"requested on {_iso(answer.requested)}, and had to be by {start}{lead}"
        return _Result(Verdict.UNMET, why, remedy=_PRESS)
    if _is_late(days, last) and not _may_still_come(arrangement, days):
        return _Result(Verdict.UNMET, f"needed by {last}, and not there yet", remedy=_PRESS)
    if answer.requested is None and promised is None and days.as_of.isoformat() > start:
        why = f"when it was requested is not said, and it had to be by {start}: write `requested`"
        return _Result(Verdict.UNVERIFIED, why, remedy=_ANSWER)
    return _open(arrangement, *_awaited(promised, late, arrangement, days))


def _awaited(promised: date | None, late: bool, arrangement: Arrangement, days: Days) -> tuple[str, str]:
    """What is to be said of something requested that may come in time, and what to do."""
    last = arrangement.due
    if promised is None:
        return f"due by {last}", "See that it comes."
    if promised < days.as_of:
        return f"promised for {promised.isoformat()}, and due by {last}", "Ask where it is."
    if late and arrangement.lead_time:
        usual = f"though it usually takes {arrangement.lead_time}: ask again"
        return f"promised for {promised.isoformat()}, {usual}", "Ask again whether it comes by then."
    return f"due by {last}, promised for {promised.isoformat()}", "See that it comes."


def _still_to_request(day: date, arrangement: Arrangement, days: Days) -> _Result:
    """A request that is still to come, seen from the day work counts from, is none yet."""
    if day.isoformat() > arrangement.latest_start or _is_late(days, arrangement.latest_start):
        why = f"to be requested on {day.isoformat()}, and had to be by {arrangement.latest_start}"
        return _Result(Verdict.UNMET, why, remedy=_PRESS)
    return _open(arrangement, f"to be requested on {day.isoformat()}", _REQUEST)


# -- what is in hand


def _in_hand(one: Wanted, answer: Answer, worksheet: Worksheet, days: Days) -> _Result:
    life = worksheet.installation.service_life
    until = None
    if days.needed is not None and life is not None:
        until = days.needed + timedelta(days=min(int(life), (date.max - days.needed).days))
    needed = answer.needed or one.asked.needed
    held = Held(one.asked, answer, needed, days.needed, until, days.as_of, worksheet.people)
    verdict, why, found = judge_in_hand(held)
    return _Result(verdict, why, found=found)
