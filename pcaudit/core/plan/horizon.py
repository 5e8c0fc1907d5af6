"""The days between which data is looked at: from the first run to the end of its retention."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from pcaudit.core.worksheet.data import Data
from pcaudit.core.worksheet.term import YEAR, later


class Horizon(NamedTuple):
    """How far ahead is looked.

    Attributes:
        start: The day data begins to grow.
        first: Days until a year after the day judged for, which a plan must hold at least
            (common practice, no source: what is ordered once a year); less where less is kept.
        end: Days until the end of the retention; None where it is blank.
    """

    start: date
    first: int
    end: int | None

    def day(self, days: int) -> date:
        """The day so many days after the start."""
        return later(self.start, days)

    def least(self, data: Data) -> str:
        """How long a plan must hold at least: "for a year", or until when."""
        if data.retention is not None and self.end == self.first:
            return f"for {data.retention.shown()}"
        last = self.day(self.first)
        return "for a year" if last == YEAR.after(self.start) else f"until {last.isoformat()}"

    def longer(self) -> bool:
        """Whether the retention asks for more than that."""
        return self.end is not None and self.end > self.first

    def far(self) -> int:
        """Days that a curve is drawn over."""
        return self.first if self.end is None else self.end


def horizon(data: Data, on: date, as_of: date, begins: date | None = None) -> Horizon:
    """How far ahead is looked.

    Args:
        data: For the retention.
        on: The day judged for.
        as_of: The day work counts from.
        begins: The day of the first run, such as the installation day. Without it data counts
            as growing from ``as_of``, which is never too late.
    """
    start = max(begins, as_of) if begins else as_of
    first = (YEAR.after(max(on, start)) - start).days
    if data.retention is None:
        return Horizon(start, first, None)
    end = (data.retention.after(start) - start).days
    return Horizon(start, min(first, end), end)
