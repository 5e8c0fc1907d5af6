"""The networks, as a worksheet tells it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pcaudit.core.worksheet.reader import Reader


class Network(NamedTuple):
    """What the worksheet says; ``asked`` is whether the section is there."""

    asked: bool = False


def read_network(reader: Reader, data: Mapping[str, Any]) -> Network:
    """Read the section; a worksheet without one is asked nothing of it."""
    return Network(
        reader.table(data, "network") is not None if not isinstance(data.get("network"), list) else True
    )
