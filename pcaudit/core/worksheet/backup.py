"""Backup destinations, windows and objectives, as a worksheet tells it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pcaudit.core.worksheet.reader import Reader


class Backup(NamedTuple):
    """What the worksheet says; ``asked`` is whether the section is there."""

    asked: bool = False


def read_backup(reader: Reader, data: Mapping[str, Any]) -> Backup:
    """Read the section; a worksheet without one is asked nothing of it."""
    return Backup(
        reader.table(data, "backup") is not None if not isinstance(data.get("backup"), list) else True
    )
