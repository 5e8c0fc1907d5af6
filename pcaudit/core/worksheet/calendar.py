"""The working calendar: on which days the lab and those it waits for work."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any, Final, NamedTuple

from pcaudit.core.places import Path
from pcaudit.core.texts import did_you_mean, fold
from pcaudit.core.worksheet.reader import Reader

WEEKDAYS: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
"""Names of the days of a week, in the order of ``date.weekday``."""

DEFAULT_WEEK: Final = (0, 1, 2, 3, 4)
"""Monday to Friday, where a worksheet does not say otherwise (common practice, no source)."""

MOST_CLOSED: Final = 366
"""Most days of one span of holidays: beyond it is a slip of the finger."""

_COUNTRY: Final = re.compile(r"[A-Z]{2}")
_SUBDIVISION: Final = re.compile(r"[A-Z0-9]{1,8}")


class WorkCalendar(NamedTuple):
    """What the worksheet says of working days.

    Attributes:
        asked: Whether the section is there.
        weekdays: Working days of a week, 0 for Monday.
        holidays: Days without work, as listed.
        country: ISO 3166-1 code of the country whose public holidays count too; empty for none.
        subdivision: Its part, by the second half of an ISO 3166-2 code.
        line: Line of the section.
    """

    asked: bool = False
    weekdays: tuple[int, ...] = DEFAULT_WEEK
    holidays: frozenset[date] = frozenset()
    country: str = ""
    subdivision: str = ""
    line: int = 0


def read_calendar(reader: Reader, data: Mapping[str, Any]) -> WorkCalendar:
    """Read ``[calendar]``; a worksheet without one has the usual week and no holidays."""
    table = reader.table(data, "calendar")
    if table is None:
        return WorkCalendar()
    path: Path = ("calendar",)
    reader.known(table, path, ("working_days", "holidays", "country", "subdivision"))
    country = _code(reader, table, "country", _COUNTRY, 'the two letters of ISO 3166-1, such as "AT"')
    subdivision = _code(reader, table, "subdivision", _SUBDIVISION, 'the part after AT- in "AT-9"')
    if subdivision and not country:
        reader.wrong((*path, "subdivision"), "a subdivision without its country", 'add country = "AT"')
    return WorkCalendar(
        asked=True,
        weekdays=_week(reader, table),
        holidays=frozenset(_holidays(reader, table)),
        country=country,
        subdivision=subdivision,
        line=reader.line(path),
    )


def _code(reader: Reader, table: Mapping[str, Any], key: str, form: re.Pattern[str], right: str) -> str:
    text = reader.text(table, ("calendar",), key).upper()
    if text and not form.fullmatch(text):
        reader.wrong(("calendar", key), f"{text!r:.60} is no {key}", right)
        return ""
    return text


def _week(reader: Reader, table: Mapping[str, Any]) -> tuple[int, ...]:
    path: Path = ("calendar", "working_days")
    found = set()
    for index, text in enumerate(reader.texts(table, ("calendar",), "working_days")):
        word = fold(text)
        if word in WEEKDAYS:
            found.add(WEEKDAYS.index(word))
        else:
            here = (*path, index) if isinstance(table["working_days"], list) else path
            reader.wrong(here, f"{text!r:.60} is no day of the week", did_you_mean(text, WEEKDAYS))
    return tuple(sorted(found)) or DEFAULT_WEEK


def _holidays(reader: Reader, table: Mapping[str, Any]) -> list[date]:
    path: Path = ("calendar", "holidays")
    raw = table.get("holidays")
    if raw is None or raw == "":
        return []
    if not isinstance(raw, list):
        reader.wrong(path, "`holidays` is a list of days", "write holidays = [2026-12-25, 2027-01-01]")
        return []
    found = []
    for index, one in enumerate(raw):
        found += _closed(reader, one, (*path, index))
    return found


def _closed(reader: Reader, value: Any, path: Path) -> list[date]:
    """The days of one entry: a day, or a span with both ends."""
    if isinstance(value, datetime):
        return [value.date()]
    if isinstance(value, date):
        return [value]
    if isinstance(value, Mapping):
        return _span(reader, value, path)
    hint = "write 2026-12-25 without quotes, or { from = 2026-12-24, to = 2027-01-06 }"
    reader.wrong(path, f"{value!r:.60} is no day", hint)
    return []


def _span(reader: Reader, table: Mapping[str, Any], path: Path) -> list[date]:
    reader.known(table, path, ("from", "to"))
    first, last = reader.day(table, path, "from"), reader.day(table, path, "to")
    if first is None or last is None:
        for key in ("from", "to"):
            if table.get(key, "") == "":
                reader.wrong(path, f"a span of holidays has a day `{key}`", "both days are inclusive")
        return []
    days = (last - first).days + 1
    if not 0 < days <= MOST_CLOSED:
        message = "the holidays end before they begin" if days <= 0 else f"{days} days of holidays at once"
        reader.wrong((*path, "to"), message, f"both days are inclusive, {MOST_CLOSED} days at most")
        return []
    return [first + timedelta(days=count) for count in range(days)]
