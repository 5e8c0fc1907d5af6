"""The names of processor series that a table of processors can give."""

from __future__ import annotations

import re
from typing import Final

from pcaudit.core.cpu_names import CpuKnowledge, Pattern
from pcaudit.core.texts import fold

_GROUP: Final = re.compile(r"\{([a-z_]+)\}")


def _of(pattern: Pattern) -> list[str] | None:
    """The series of one pattern; None where a group of it is no plain choice of characters."""
    name = _GROUP.search(pattern.series)
    if not name:
        return [fold(pattern.series)]
    choice = re.search(
        rf"\(\?P<{name[1]}>([a-z0-9 ]*)\[([a-z0-9]+)\]\)", pattern.expression.pattern, re.ASCII
    )
    if not choice or len(_GROUP.findall(pattern.series)) > 1:
        return None
    return [fold(pattern.series.replace(name[0], choice[1] + one)) for one in choice[2]]


def series_names(knowledge: CpuKnowledge) -> frozenset[str]:
    """Every series a table can give.

    Returns:
        The names; none where the table has one that cannot be told from its pattern alone.
    """
    found: set[str] = set()
    for pattern in knowledge.patterns:
        names = _of(pattern)
        if names is None:
            return frozenset()
        found.update(names)
    return frozenset(found)
