"""Lead times: how long something takes from asking for it to having it."""

from __future__ import annotations

import re
from typing import Final, NamedTuple

LEAD_TIME: Final = re.compile(r"([0-9]{1,4}) ((?:working )?days?|weeks?|months?)", re.ASCII)
"""How a lead time is written: "10 working days", "3 days", "2 weeks", "1 month"."""


class LeadTime(NamedTuple):
    """A number of "working day", "day", "week" or "month"."""

    number: int
    unit: str


def read_lead_time(text: str) -> LeadTime | None:
    """Read a lead time; None where the text is none."""
    match = LEAD_TIME.fullmatch(text.strip())
    return LeadTime(int(match[1]), match[2].removesuffix("s")) if match else None
