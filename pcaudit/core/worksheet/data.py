"""What is acquired, and how much of it, as a worksheet tells it."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import ceil, floor
from typing import Any, Final, NamedTuple

from pcaudit.core.units import STORAGE
from pcaudit.core.worksheet.people import is_nobody
from pcaudit.core.worksheet.reader import Reader
from pcaudit.core.worksheet.term import Term, read_term

MOST_BYTES: Final = 10**18
"""Largest size a worksheet may give, 1 EB: beyond it is a slip of the finger."""

OUT_OF_REASON: Final = 'more than nothing and at most 1000 PB, such as "500 GB"'
"""What a size may be."""

MOST_RUNS: Final = 86_400
"""Most runs of a day: one each second."""

_LEAST: Final = 0.01
_MOST_RESERVE: Final = 95.0
_MOST_SAVED: Final = 99.0
_KEYS: Final = (
    "per_run",
    "runs_per_day",
    "days_per_week",
    "retention",
    "compressibility",
    "change_rate",
    "volume",
    "capacity",
    "reserve",
    "used",
    "configuration",
    "archive",
)


class Data(NamedTuple):
    """What the worksheet says of the data; what it leaves blank is None or empty.

    Attributes:
        asked: Whether the section is there.
        file: The worksheet's name.
        line: Line of the section.
        per_run: Bytes of one run.
        runs_per_day: Runs on a day with runs.
        days_per_week: Days with runs in a week.
        retention: How long raw data must be kept.
        compressibility: Share that compression saves.
        change_rate: Share of ``configuration`` that changes each day.
        volume: Mount point of the volume that acquired data lies on.
        capacity: Bytes of that volume, where no snapshot says it.
        reserve: Share of the volume that is kept free.
        used: Bytes taken on it, where no snapshot says it.
        configuration: Bytes of methods, sequences, results database and licence files.
        archive: Where raw data is moved to from the PC.
        lines: Line of each key that is there.
    """

    asked: bool = False
    file: str = ""
    line: int = 0
    per_run: int | None = None
    runs_per_day: Fraction | None = None
    days_per_week: Fraction | None = None
    retention: Term | None = None
    compressibility: Fraction | None = None
    change_rate: Fraction | None = None
    volume: str = ""
    capacity: int | None = None
    reserve: Fraction | None = None
    used: int | None = None
    configuration: int | None = None
    archive: str = ""
    lines: Mapping[str, int] = {}

    def line_of(self, key: str) -> int:
        """Line of a key, else of the section."""
        return self.lines.get(key, self.line)


def read_data(reader: Reader, data: Mapping[str, Any]) -> Data:
    """Read ``[data]``; a worksheet without it is asked nothing of it."""
    table = reader.table(data, "data")
    if table is None:
        return Data()
    path = ("data",)
    reader.known(table, path, _KEYS)
    archive = reader.text(table, path, "archive")
    return Data(
        asked=True,
        file=reader.file,
        line=reader.line(path),
        per_run=size(reader, table, "per_run", path, low=1),
        runs_per_day=exact(reader.number(table, path, "runs_per_day", _LEAST, MOST_RUNS)),
        days_per_week=exact(reader.number(table, path, "days_per_week", _LEAST, 7)),
        retention=read_term(reader, table, path, "retention", "10 years"),
        compressibility=exact(reader.percent(table, path, "compressibility", _MOST_SAVED)),
        change_rate=exact(reader.percent(table, path, "change_rate")),
        volume=reader.text(table, path, "volume"),
        capacity=size(reader, table, "capacity", path, low=1, down=True),
        reserve=exact(reader.percent(table, path, "reserve", _MOST_RESERVE)),
        used=size(reader, table, "used", path),
        configuration=size(reader, table, "configuration", path),
        archive="" if is_nobody(archive) else archive,
        lines={key: reader.line((*path, key)) for key in _KEYS if key in table},
    )


def size(
    reader: Reader,
    table: Mapping[str, Any],
    key: str,
    path: tuple[str | int, ...],
    low: int = 0,
    down: bool = False,
) -> int | None:
    """Bytes of a key, rounded up, what is there ``down``; None where it is blank or wrong."""
    amount = reader.quantity(table, path, key, STORAGE)
    if amount is None or low <= amount <= MOST_BYTES:
        return None if amount is None else floor(amount) if down else ceil(amount)
    reader.wrong((*path, key), f"{table[key]!r:.60} is out of reason", OUT_OF_REASON)
    return None


def exact(value: float | None) -> Fraction | None:
    """The decimal number a person wrote, as a fraction: 0.1 is a tenth."""
    return None if value is None else Fraction(str(value))
