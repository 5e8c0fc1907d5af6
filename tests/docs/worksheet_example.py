"""Writes the output in docs/worksheet-example.md anew: ``python -m tests.docs.worksheet_example``.

A test fails while the page and what the program prints differ. The sums on the page are written by
hand, and checked.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Final

from tests.cli.program import TOP, pcaudit

PAGE: Final = TOP / "docs" / "worksheet-example.md"
COMMAND: Final = (
    *("plan", "fixtures/worksheets/lab4-worksheet.toml", "fixtures/snapshots/fit-workstation.json"),
    *("--as-of", "2026-12-14"),
)
LATE: Final = ("plan", "fixtures/worksheets/lab4-worksheet-late.toml", "--as-of", "2027-03-08")

_CUT: Final = "[...]"
_SHOWN: Final = {
    "": 99,
    "Warnings": 99,
    "At a glance": 99,
    "What to do": 25,
    "Arrangements": 11,
    "Backup and recovery": 12,
    "Storage forecast": 99,
    "Uninterruptible supplies": 14,
    "Calendar": 99,
    "Run sheet for 2027-03-15": 34,
}
"""Lines shown of each part; the others are left out."""

_SHOWN_LATE: Final = {"": 99, "Warnings": 99, "At a glance": 99, "What to do": 9}
_BLOCK: Final = re.compile(r"^```text\n.*?^```$", re.M | re.S)


def printed(command: tuple[str, ...], *more: str) -> str:
    """What the program prints, 80 columns wide."""
    done = pcaudit(*command, *more, COLUMNS="80")
    assert (done.code, done.err) == (0, ""), done
    return done.out


def abbreviated(output: str, shown: dict[str, int]) -> str:
    """The output with parts, and ends of parts, left out."""
    lines: list[str] = []
    for part in re.split(r"\n(?=-- )", output):
        name = match[1] if (match := re.match(r"-- (.*?) -+\n", part)) else ""
        own = part.rstrip("\n").split("\n")
        kept = own[: shown.get(name, 0)]
        while kept and not kept[-1].strip():
            kept.pop()
        cut = [_CUT] if len(kept) < len(own) and (kept or lines[-2:] != [_CUT, ""]) else []
        lines += [*kept, *cut, ""] if kept or cut else []
    return "\n".join(lines).rstrip("\n") + "\n"


def page(old: str) -> str:
    """The page with what the program prints today."""
    blocks = iter((abbreviated(printed(COMMAND), _SHOWN), abbreviated(printed(LATE), _SHOWN_LATE)))
    return _BLOCK.sub(lambda _: f"```text\n{next(blocks)}```", old)


def tables(text: str, title: str) -> list[list[str]]:
    """Rows of every table whose first column has this title, cells without their code marks."""
    rows: list[list[str]] = []
    for table in re.findall(rf"^\| {title} \|.*\n\|[- |]+\|\n((?:\|.*\n)+)", text, re.M):
        rows += [[cell.strip() for cell in line.strip("|").split(" | ")] for line in table.splitlines()]
    return rows


def figures(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Every figure of a plan in JSON, by its id."""
    return {one["id"]: one for section in document["sections"] for one in section["figures"]}


if __name__ == "__main__":
    Path(PAGE).write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
