"""Spans of the calendar, such as ten years or three months, and the days they lead to."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction
from typing import Any, Final, NamedTuple

from pcaudit.core.places import Path
from pcaudit.core.worksheet.reader import Reader

MOST_YEARS: Final = 100
"""Longest span a worksheet may ask for: beyond it is a slip of the finger."""

_SPAN: Final = re.compile(r"([0-9]{1,5}(?:\.[0-9]{1,2})?) ?(years?|months?|weeks?|days?)", re.ASCII)
_MONTHS: Final = {"year": 12, "month": 1}
_DAYS: Final = {"week": 7, "day": 1}
_MOST_DAYS: Final = MOST_YEARS * 366


class Term(NamedTuple):
    """A span of whole months or of whole days; one of the two is 0."""

    months: int = 0
    days: int = 0

    def after(self, day: date, times: int = 1) -> date:
        """The day this span leads to, ``times`` over.

        Months are those of the calendar: a month after 31 January is the last day of February.
        What would lie beyond the last year of the calendar is its last day.
        """
        months = day.year * 12 + day.month - 1 + self.months * times
        year, month = months // 12, months % 12 + 1
        if year > date.max.year:
            return date.max
        start = date(year, month, min(day.day, days_of(year, month)))
        return later(start, self.days * times)

    def shown(self) -> str:
        """For a person: ``"10 years"``, ``"18 months"``, ``"90 days"``."""
        if self.months and self.months % 12 == 0:
            number, unit = self.months // 12, "year"
        elif self.months:
            number, unit = self.months, "month"
        else:
            number, unit = self.days, "day"
        return f"{number} {unit}" if number == 1 else f"{number} {unit}s"


YEAR: Final = Term(months=12)
"""A year of the calendar."""


def days_of(year: int, month: int) -> int:
    """Days of a month by the Gregorian calendar."""
    if month == 2:
        return 29 if year % 4 == 0 and (year % 100 != 0 or year % 400 == 0) else 28
    return 30 if month in (4, 6, 9, 11) else 31


def later(day: date, days: int) -> date:
    """So many days after a day; the last day of the calendar where that lies beyond it."""
    return day + timedelta(days=days) if days <= (date.max - day).days else date.max


def read_term(reader: Reader, table: Mapping[str, Any], path: Path, key: str, example: str) -> Term | None:
    """Read a span: ``"10 years"``, ``"18 months"``, ``"1.5 years"``, ``"90 days"``.

    Args:
        reader: Notes what is wrong with it.
        table: The table it stands in.
        path: Of that table.
        key: Of the span.
        example: What would be right, for the hint.

    Returns:
        The span; None where it is blank, or wrong, which is noted.
    """
    text = reader.text(table, path, key)
    if not text:
        return None
    match = _SPAN.fullmatch(text)
    if not match:
        hint = f'write {key} = "{example}": a number and days, weeks, months or years'
        reader.wrong((*path, key), f"{text!r:.60} is no span of time", hint)
        return None
    unit = match[2].removesuffix("s")
    amount = Fraction(match[1]) * (_MONTHS.get(unit) or _DAYS[unit])
    if amount.denominator != 1:
        smaller = "months" if unit in _MONTHS else "days"
        reader.wrong((*path, key), f"{text!r:.60} is no whole number of {smaller}", f"write it in {smaller}")
        return None
    term = Term(months=int(amount)) if unit in _MONTHS else Term(days=int(amount))
    if not amount or term.months > MOST_YEARS * 12 or term.days > _MOST_DAYS:
        hint = f'write {key} = "{example}", {MOST_YEARS} years at most'
        reader.wrong((*path, key), f"{text!r:.60} is out of reason", hint)
        return None
    return term
