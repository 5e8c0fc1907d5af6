"""The shipped schemas; ``python -m tests.render.schemas`` brings them up to the catalogue.

What it writes: the readings of the snapshot's schema, the copies of that schema which two others
hold, those of the report's which the record's holds, and what a report and a plan have in common.
All else in them is written by hand.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pcaudit.knowledge
from pcaudit.core.catalogue import CATALOGUE, Type

KINDS: Final = ("snapshot", "report", "readings")

_FOLDER: Final = Path(pcaudit.knowledge.__file__).with_name("schemas")
_DEFINITIONS: Final = {
    Type.TEXT: "text",
    Type.WORD: "text",
    Type.LEVEL: "text",
    Type.VERSION: "text",
    Type.BOOLEAN: "boolean",
    Type.INTEGER: "count",
    Type.NUMBER: "amount",
    Type.QUANTITY: "amount",
    Type.DURATION: "duration",
    Type.DATE: "date",
    Type.SET: "texts",
    Type.LIST: "tables",
}


def _path(kind: str) -> Path:
    return _FOLDER / f"{kind}.schema.json"


def read(kind: str) -> Any:
    """A schema as it ships."""
    return json.loads(_path(kind).read_text(encoding="utf-8"))


def readings() -> dict[str, Any]:
    """What the snapshot's schema says of each observed reading."""
    return {
        name: {"$ref": f"#/$defs/{_DEFINITIONS[record.value.type]}"}
        for name, record in CATALOGUE.items()
        if not record.derived
    }


OF_REPORTS: Final = ("concession", "condition", "finding", "arrangement")
"""What the report's schema defines and the plan's copies."""

OF_PLANS: Final = ("section", "figure", "table", "curve")
"""What the plan's schema defines and the report's copies."""


def _share() -> None:
    """What a report and a plan have in common stands in both."""
    report, plan = read("report"), read("plan")
    plan["$defs"] |= {name: report["$defs"][name] for name in OF_REPORTS}
    report["$defs"] = {name: plan["$defs"][name] for name in OF_PLANS} | {
        name: one for name, one in report["$defs"].items() if name not in OF_PLANS
    }
    report["properties"]["plan"] = {
        "type": "array",
        "description": "The parts of the plan that a worksheet makes; left out without one.",
        "items": {"$ref": "#/$defs/section"},
    }
    _write("report", report)
    _write("plan", plan)


def main() -> None:
    """Bring the schemas up to the catalogue."""
    snapshot = read("snapshot")
    snapshot["properties"]["readings"]["properties"] = readings()
    for kind in KINDS:
        schema = snapshot if kind == "snapshot" else read(kind)
        if kind != "snapshot":
            schema["$defs"]["snapshot"] = snapshot
        _write(kind, schema)
    _share()
    record = read("record")
    record["$defs"]["report"] = read("report")
    _write("record", record)


def _write(kind: str, schema: Any) -> None:
    text = json.dumps(schema, indent=2) + "\n"
    _path(kind).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
