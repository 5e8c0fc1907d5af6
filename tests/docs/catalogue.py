"""Writes docs/readings.md from the catalogue: ``python -m tests.docs.catalogue``.

A test fails while the page and the catalogue differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Absent, Property, Reading

PAGE = Path(__file__).parent.parent.parent / "docs" / "readings.md"

_HEAD = """# Readings

Written from the catalogue in `pcaudit/core/catalogue.py`; change it there and run
`python -m tests.docs.catalogue`. `pcaudit readings NAME` shows the same for one reading.

A reading is *observed* on the PC, or *derived* from observations when it is asked for. Each has one
of four forms in a snapshot: a value, a lower bound, absent, or unknown with a reason. Where a cell is
empty, this version does not read it on that system.
"""


def _type(spec: Property) -> str:
    text = spec.type.value if spec.kind is None else f"{spec.type.value}, {spec.kind.base}"
    words = f": {', '.join(spec.words)}" if spec.words and len(spec.words) < 12 else ""
    return text + words


def _notes(record: Reading) -> str:
    notes = ["derived"] if record.derived else []
    notes += ["absence satisfies"] if record.absent is Absent.SATISFIES else []
    notes += ["volatile"] if record.volatile else []
    notes += ["items are exclusive"] if record.exclusive else []
    notes += ["amounts add up"] if record.adds else []
    return "; ".join(notes)


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _table(titles: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    lines = [titles, ["---"] * len(titles), *([_cell(cell) for cell in row] for row in rows)]
    return [f"| {' | '.join(line)} |" for line in lines]


def page() -> str:
    """The whole page."""
    lines = [_HEAD]
    for group, title in GROUPS.items():
        lines += [f"## {title}", ""]
        records = [record for record in CATALOGUE.values() if record.group == group]
        lines += _table(
            ("reading", "type and unit", "meaning", "notes"),
            [(f"`{r.name}`", _type(r.value), r.meaning, _notes(r)) for r in records],
        )
        lines.append("")
        lines += _table(
            ("read from", "on Windows", "on Linux", "on macOS"),
            [(f"`{r.name}`", r.windows, r.linux, r.macos) for r in records if not r.derived],
        )
        for record in records:
            if record.items:
                keys = ", ".join(f"`{key}` ({_type(spec)})" for key, spec in record.items.items())
                lines += ["", f"Keys of `{record.name}`: {keys}."]
        lines.append("")
    return "\n".join(lines)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
