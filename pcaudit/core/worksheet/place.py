"""The place, as a worksheet tells it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pcaudit.core.worksheet.reader import Reader


class Site(NamedTuple):
    """What the worksheet says; ``asked`` is whether the section is there."""

    asked: bool = False


def read_place(reader: Reader, data: Mapping[str, Any]) -> Site:
    """Read the section; a worksheet without one is asked nothing of it."""
    return Site(reader.table(data, "place") is not None if not isinstance(data.get("place"), list) else True)
