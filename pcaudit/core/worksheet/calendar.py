"""The working calendar, as a worksheet tells it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pcaudit.core.worksheet.reader import Reader


class WorkCalendar(NamedTuple):
    """What the worksheet says; ``asked`` is whether the section is there."""

    asked: bool = False


def read_calendar(reader: Reader, data: Mapping[str, Any]) -> WorkCalendar:
    """Read the section; a worksheet without one is asked nothing of it."""
    return WorkCalendar(
        reader.table(data, "calendar") is not None if not isinstance(data.get("calendar"), list) else True
    )
