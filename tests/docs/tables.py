"""Tables and sections of a Markdown page."""

from __future__ import annotations

import re
from collections.abc import Iterator


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in re.split(r"(?<!\\)\|", line.strip())[1:-1]]


def rows(page: str, *head: str) -> Iterator[list[str]]:
    """The rows of every table with a head.

    Args:
        page: The page, or a part of it.
        head: Its cells.

    Raises:
        ValueError: There is no such table, or a row has another number of cells.
    """
    lines = iter(page.splitlines())
    found = False
    for line in lines:
        if not line.startswith("|") or _cells(line) != list(head):
            continue
        found = True
        next(lines)
        for row in lines:
            if not row.startswith("|"):
                break
            cells = _cells(row)
            if len(cells) != len(head):
                raise ValueError(f"a row of {len(cells)} cells under {head}: {row}")
            yield cells
    if not found:
        raise ValueError(f"no table has the head {head}")


def section(page: str, anchor: str) -> str:
    """The text under a heading, up to the next one of its level.

    Raises:
        ValueError: No heading has that anchor.
    """
    parts = re.split(r"^(?=## )", page, flags=re.M)
    for part in parts:
        title = part.partition("\n")[0].removeprefix("## ")
        if re.sub(r"[^a-z0-9 -]", "", title.lower()).replace(" ", "-") == anchor:
            return part
    raise ValueError(f"no section {anchor}")
