"""The installation and what is used for it: the day, the site, profiles and choices."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.worksheet.reader import Reader

DAYS_OF_A_YEAR: Final = 365.25
"""Mean length of a year of the Julian calendar, in days."""

MOST_YEARS: Final = 100
"""Longest service life of an instrument: beyond it is a slip of the finger."""

_LIFE: Final = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,2})?) ?(years?|months?|weeks?|days?)", re.ASCII)
_DAYS: Final = {"year": DAYS_OF_A_YEAR, "month": DAYS_OF_A_YEAR / 12, "week": 7.0, "day": 1.0}


class Installation(NamedTuple):
    """When and where the instrument is installed.

    Attributes:
        asked: Whether the section is there.
        day: The day judged for; None where it is blank.
        site: Where.
        service_life: Days the instrument is to be in use; None where it is blank.
        line: Line of the day, else of the section; 0 without one.
    """

    asked: bool = False
    day: date | None = None
    site: str = ""
    service_life: float | None = None
    line: int = 0


class Use(NamedTuple):
    """What the lab chose.

    Attributes:
        asked: Whether the section is there.
        profiles: Files, relative to the worksheet; the first is the main one.
        options: Names of the options chosen.
        parameters: Text of each parameter chosen, by name.
        concessions: File of concessions, relative to the worksheet; empty for none.
        lines: Line of each of these keys that is there.
    """

    asked: bool = False
    profiles: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    parameters: Mapping[str, str] = {}
    concessions: str = ""
    lines: Mapping[str, int] = {}


def read_installation(reader: Reader, data: Mapping[str, Any]) -> Installation:
    """Read ``[installation]``."""
    table = reader.table(data, "installation")
    if table is None:
        return Installation()
    path = ("installation",)
    reader.known(table, path, ("day", "site", "service_life"))
    return Installation(
        asked=True,
        day=reader.day(table, path, "day"),
        site=reader.text(table, path, "site"),
        service_life=_service_life(reader, table),
        line=reader.line((*path, "day")),
    )


def _service_life(reader: Reader, table: Mapping[str, Any]) -> float | None:
    text = reader.text(table, ("installation",), "service_life")
    if not text:
        return None
    match = _LIFE.fullmatch(text)
    days = float(match[1]) * _DAYS[match[2].removesuffix("s")] if match else 0.0
    if not 0 < days <= MOST_YEARS * DAYS_OF_A_YEAR:
        hint = f'write service_life = "10 years", {MOST_YEARS} at most'
        reader.wrong(("installation", "service_life"), f"{text!r:.60} is no service life", hint)
        return None
    return days


def read_use(reader: Reader, data: Mapping[str, Any]) -> Use:
    """Read ``[use]``."""
    table = reader.table(data, "use")
    if table is None:
        return Use()
    path = ("use",)
    keys = ("profiles", "options", "parameters", "concessions")
    reader.known(table, path, keys)
    return Use(
        asked=True,
        profiles=reader.texts(table, path, "profiles"),
        options=reader.texts(table, path, "options"),
        parameters=_parameters(reader, table),
        concessions=reader.text(table, path, "concessions"),
        lines={key: reader.line((*path, key)) for key in keys if key in table},
    )


def _parameters(reader: Reader, table: Mapping[str, Any]) -> dict[str, str]:
    raw = table.get("parameters", {})
    path = ("use", "parameters")
    if not isinstance(raw, Mapping):
        reader.wrong(path, "`parameters` is a table", "write parameters = { instruments = 2 }")
        return {}
    found = {}
    for name, value in raw.items():
        if value == "":
            continue
        if isinstance(value, bool) or not isinstance(value, int | float):
            hint = f"write parameters = {{ {name:.40} = 2 }}, without quotes"
            reader.wrong((*path, name), f"`{name:.60}` is a number", hint)
            continue
        found[name] = str(value)
    return found
