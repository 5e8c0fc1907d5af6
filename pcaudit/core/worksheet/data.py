"""What is acquired, and how much of it, as a worksheet tells it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pcaudit.core.worksheet.reader import Reader


class Data(NamedTuple):
    """What the worksheet says; ``asked`` is whether the section is there."""

    asked: bool = False


def read_data(reader: Reader, data: Mapping[str, Any]) -> Data:
    """Read the section; a worksheet without one is asked nothing of it."""
    return Data(reader.table(data, "data") is not None if not isinstance(data.get("data"), list) else True)
