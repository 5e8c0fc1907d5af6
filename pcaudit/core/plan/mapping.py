"""The JSON form of the parts of a plan."""

from __future__ import annotations

from typing import Any

from pcaudit.core.finding import finding_mapping
from pcaudit.core.plan.section import Curve, Figure, Section, Table


def _figure(figure: Figure) -> dict[str, Any]:
    inputs = [{"name": name, "value": value} for name, value in figure.inputs]
    return {**figure._asdict(), "inputs": inputs}


def _table(table: Table) -> dict[str, Any]:
    return {
        **table._asdict(),
        "columns": list(table.columns),
        "rows": [list(row) for row in table.rows],
        "data": list(table.data),
    }


def _curve(curve: Curve) -> dict[str, Any]:
    return {
        **curve._asdict(),
        "points": [{"on": day, "amount": amount} for day, amount in curve.points],
        "limits": [{"name": name, "amount": amount} for name, amount in curve.limits],
    }


def section_mapping(section: Section) -> dict[str, Any]:
    """The JSON form of a part of a plan."""
    return {
        "name": section.name,
        "title": section.title,
        "findings": [finding_mapping(one) for one in section.findings],
        "figures": [_figure(one) for one in section.figures],
        "tables": [_table(one) for one in section.tables],
        "curves": [_curve(one) for one in section.curves],
        "notes": list(section.notes),
        "cautions": list(section.cautions),
        "not_asked": list(section.not_asked),
    }
