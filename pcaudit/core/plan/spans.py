"""Lead times on the calendar: when something must begin to be done by a day, and when it is done.

What is begun on a day and takes n days is done n days later: the day of the beginning is not
counted, as in Regulation (EEC, Euratom) No 1182/71, article 3(1). So what is ordered on Monday
with two working days is there on Wednesday, and what waits for it begins on Wednesday.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from pcaudit.core.lead_time import LeadTime
from pcaudit.core.plan.working_days import WorkingDays

ON_THE_DAY: Final = "on the day"
"""When an arrangement is needed that may still come on the installation day itself."""

_ONE: Final = timedelta(days=1)
_MONTHS: Final = 12


def due(day: date, needed: str, days: WorkingDays) -> date:
    """The last working day on which something may be done that is needed before or on a day.

    Args:
        day: The installation day.
        needed: "on the day", or anything else for before it.
        days: The working calendar.
    """
    return days.back(day, 0 if needed == ON_THE_DAY else 1)


def start_for(finish: date, lead: LeadTime | None, days: WorkingDays) -> date:
    """The last working day on which something may begin that is to be done on ``finish``.

    Args:
        finish: A working day.
        lead: How long it takes. A month is back to the same day of the month before, or to the
            last day of a shorter month. None, where that is not known, counts as no time.
        days: The working calendar.
    """
    if lead is None:
        return finish
    if lead.unit == "working day":
        return days.back(finish, lead.number)
    return days.back(_moved(finish, lead, -1), 0)


def finish_from(start: date, lead: LeadTime | None, days: WorkingDays) -> date:
    """The first working day on which something is done that begins on ``start``, a working day."""
    if lead is None:
        return start
    if lead.unit == "working day":
        return days.forward(start, lead.number)
    return days.forward(_moved(start, lead, 1), 0)


def lead_words(lead: LeadTime | None) -> str:
    """A lead time for people: "10 working days"; "not said" where it is not known."""
    if lead is None:
        return "not said"
    return f"{lead.number} {lead.unit}{'s' if lead.number != 1 else ''}"


def _moved(day: date, lead: LeadTime, sign: int) -> date:
    """The same number of days or months away; the first or last day there is where that is beyond it."""
    try:
        if lead.unit == "month":
            return _months(day, sign * lead.number)
        return day + timedelta(days=sign * lead.number * (7 if lead.unit == "week" else 1))
    except OverflowError:
        return date.min if sign < 0 else date.max


def _months(day: date, count: int) -> date:
    year, month = divmod(day.year * _MONTHS + day.month - 1 + count, _MONTHS)
    if not date.min.year <= year <= date.max.year:
        raise OverflowError
    following = divmod(year * _MONTHS + month + 1, _MONTHS)
    last = 31 if following[0] > date.max.year else (date(following[0], following[1] + 1, 1) - _ONE).day
    return date(year, month + 1, min(day.day, last))
