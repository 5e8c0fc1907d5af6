"""What is in hand, and whether anything contradicts that: expiry, people who are away, a measured value."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Final, NamedTuple

from pcaudit.core.finding import Verdict, all_of
from pcaudit.core.measured import QUANTITIES
from pcaudit.core.plan.spans import ON_THE_DAY
from pcaudit.core.profile import WantedArrangement
from pcaudit.core.texts import fold
from pcaudit.core.units import UnitError
from pcaudit.core.worksheet.arrangements import Answer
from pcaudit.core.worksheet.people import Away, People
from pcaudit.core.worksheet.term import YEAR

EXPIRING: Final = ("licence", "certificate", "support contract")
"""Kinds that commonly end on a day: whether they do must be said (common practice, no source)."""

PERSON: Final = "person"
CREDENTIAL: Final = "credential"


class Held(NamedTuple):
    """An arrangement in hand.

    Attributes:
        asked: As it is asked.
        answer: What the worksheet says.
        needed: "before the day" or "on the day".
        day: The installation day; None where it is not said.
        until: Last day of the instrument's service life; None where that is not said.
        as_of: The day it is said to be in hand on.
        people: Whom the worksheet names.
    """

    asked: WantedArrangement
    answer: Answer
    needed: str
    day: date | None
    until: date | None
    as_of: date
    people: People


_Said = tuple[Verdict, str]


def judge_in_hand(held: Held) -> tuple[Verdict, str, str]:
    """The verdict on what is said to be in hand, what it rests on, and what was measured, for people."""
    said = [*_arrival(held), *_expiry(held), *_measured(held), *_presence(held), *_two_persons(held)]
    verdict = all_of([Verdict.MET, *(one for one, _ in said)])
    why = "; ".join(words for one, words in said if one is verdict and one is not Verdict.MET)
    return verdict, why, _found(held)


# -- arrival and expiry


def _arrival(held: Held) -> Iterator[_Said]:
    """What is in hand was asked for, and did not come only after the day."""
    requested, expected = held.answer.requested, held.answer.expected
    if requested is not None and requested > held.as_of:
        why = f"said to be in hand, and to be requested only on {requested.isoformat()}"
        yield Verdict.UNVERIFIED, f"{why}: correct `state` or `requested`"
    if expected is not None and held.day is not None and expected > max(held.day, held.as_of):
        why = f"said to be in hand, and promised only for {expected.isoformat()}"
        yield Verdict.UNVERIFIED, f"{why}: correct `state` or `expected`"


def _expiry(held: Held) -> Iterator[_Said]:
    answer = held.answer
    if answer.never_expires:
        return
    if answer.expires is None:
        if held.asked.kind in EXPIRING:
            hint = 'write `expires`, a day or "never"'
            yield Verdict.UNVERIFIED, f"whether it is valid on the day is not said: {hint}"
        return
    day = answer.expires.isoformat()
    if held.day is not None and answer.expires < held.day:
        yield Verdict.UNMET, f"expires on {day}, before {held.day.isoformat()}"
    elif answer.expires < held.as_of:
        yield Verdict.UNMET, f"expired on {day}, before {held.as_of.isoformat()}: renew it"
    elif held.day is None:
        why = f"it expires on {day}, and the installation day is not said: write `day` into [installation]"
        yield Verdict.UNVERIFIED, why
    elif held.until is None and answer.expires < YEAR.after(held.day):
        unsaid = "how long the instrument is in use is not said (`service_life`)"
        yield Verdict.MARGINAL, f"expires on {day}, within a year of the day, and {unsaid}: plan its renewal"
    elif held.until is not None and answer.expires < held.until:
        yield Verdict.MARGINAL, f"expires on {day}, within the service life: plan its renewal"


# -- measuring


def _amount(held: Held) -> int | float | None:
    measured = held.asked.measured
    if measured is None or not held.answer.measured:
        return None
    try:
        return QUANTITIES[measured.quantity].read(held.answer.measured)
    except UnitError:
        return None  # told as a mistake before anything is judged


def _measured(held: Held) -> Iterator[_Said]:
    measured, amount = held.asked.measured, _amount(held)
    if measured is None:
        return
    if amount is None:
        yield Verdict.UNVERIFIED, f"the {measured.quantity} is not measured: write `measured`"
        return
    verdict = measured.judge(amount)
    if verdict is not Verdict.MET:
        yield verdict, f"measured {_found(held)}, asked {measured.says()}"


def _found(held: Held) -> str:
    measured, amount = held.asked.measured, _amount(held)
    if measured is None or amount is None:
        return held.answer.measured
    quantity = QUANTITIES[measured.quantity]
    words = quantity.show(amount)
    try:
        exact = quantity.read(words) == amount
    except UnitError:  # shown with a second unit in brackets, which is not how it is written
        exact = True
    # Rounded, 14.96 °C would stand as 15 °C beside a limit it falls short of.
    return words if exact else f"{held.answer.measured}, about {words}"


# -- people


def _absence(held: Held, who: str) -> Away | None:
    person = held.people.by_id.get(who)
    return person.away_on(held.day) if person and held.day is not None else None


def _presence(held: Held) -> Iterator[_Said]:
    """Whoever is needed on the day must be there on it."""
    if held.needed != ON_THE_DAY:
        return
    answer, binds = held.answer, held.asked.kind in (PERSON, CREDENTIAL)
    reach = [who for who in (answer.holder, answer.deputy) if who]
    if not reach:
        if binds:
            yield Verdict.UNVERIFIED, "who is there on the day is not said: write `holder`"
        return
    if held.day is None:
        if binds and any(p.away for who in reach if (p := held.people.by_id.get(who))):
            yield (
                Verdict.UNVERIFIED,
                "whether anybody is there is not known: the installation day is not said",
            )
        return
    yield from _perhaps_away(held, reach)
    away = [(who, absence) for who in reach if (absence := _absence(held, who))]
    words = ", ".join(
        f"{held.people.shown(who)} is away from {one.first.isoformat()} to {one.last.isoformat()}"
        for who, one in away
    )
    if len(away) == len(reach):
        yield (Verdict.UNMET if binds else Verdict.MARGINAL), f"{words}, and nobody else is named"
    elif away and away[0][0] == answer.holder:
        yield Verdict.MARGINAL, f"{words}; {held.people.shown(answer.deputy)} must be there instead"


def _perhaps_away(held: Held, reach: Iterable[str]) -> Iterator[_Said]:
    """A text with the name of somebody in it who is away: whether it is that person is not known."""
    texts = [who for who in reach if who not in held.people.by_id]
    if held.day is None or not texts:
        return
    away = [one for one in held.people.by_id.values() if one.away_on(held.day) and _words(one.name).strip()]
    for text in texts:
        for person in away:
            if _words(person.name) in _words(text):
                why = f"whether {text!r:.80} is {person.shown}, who is away on the day, is not known"
                yield Verdict.UNVERIFIED, f"{why}: write `{person.id}`"


def _words(text: str) -> str:
    """The words of a text with a space around each, so that no name is found inside a word."""
    words = "".join(c if c.isalnum() else " " for c in fold(text)).split()
    return f" {' '.join(words)} "


def _name(people: People, who: str) -> str:
    person = people.by_id.get(who)
    return fold(person.name or person.id) if person else fold(who)


def _two_persons(held: Held) -> Iterator[_Said]:
    """A credential that one person alone can reach is lost with that person's illness."""
    if held.asked.kind != CREDENTIAL:
        return
    names = {_name(held.people, who) for who in (held.answer.holder, held.answer.deputy) if who}
    if len(names) < 2:
        whom = "only one person can reach it" if names else "nobody is named who can reach it"
        key = "`deputy`" if held.answer.holder else "`holder` and `deputy`"
        yield Verdict.MARGINAL, f"{whom}: name a second one as {key}"
