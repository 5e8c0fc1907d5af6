"""Work to be done, as a worksheet tells it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pcaudit.core.worksheet.reader import Reader


class Tasks(NamedTuple):
    """What the worksheet says; ``asked`` is whether the section is there."""

    asked: bool = False


def read_tasks(reader: Reader, data: Mapping[str, Any]) -> Tasks:
    """Read the section; a worksheet without one is asked nothing of it."""
    return Tasks(reader.table(data, "tasks") is not None if not isinstance(data.get("tasks"), list) else True)
