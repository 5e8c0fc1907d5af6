"""Writes docs/readings.md from the catalogue: ``python -m tests.docs.catalogue``.

A test fails while the page and the catalogue differ.
"""

from __future__ import annotations

from pathlib import Path

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Absent, Property, Reading

PAGE = Path(__file__).parent.parent.parent / "docs" / "readings.md"

_HEAD = """# Readings

Written from the catalogue in `pcaudit/core/catalogue.py`; change it there and run
`python -m tests.docs.catalogue`. `pcaudit readings NAME` shows the same for one reading.

A reading is *observed* on the PC, or *derived* from observations when it is asked for. Each has one
of four forms in a snapshot: a value, a lower bound, absent, or unknown with a reason. Windows and
macOS columns are empty where this version does not read them yet.
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


def page() -> str:
    """The whole page."""
    lines = [_HEAD]
    for group, title in GROUPS.items():
        lines += [f"## {title}", "", "| reading | type and unit | meaning | on Linux from | notes |"]
        lines += ["| --- | --- | --- | --- | --- |"]
        records = [record for record in CATALOGUE.values() if record.group == group]
        for record in records:
            row = (f"`{record.name}`", _type(record.value), record.meaning, record.linux, _notes(record))
            lines.append("| " + " | ".join(_cell(cell) for cell in row) + " |")
        for record in records:
            if record.items:
                keys = ", ".join(f"`{key}` ({_type(spec)})" for key, spec in record.items.items())
                lines += ["", f"Keys of `{record.name}`: {keys}."]
        lines.append("")
    return "\n".join(lines)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
