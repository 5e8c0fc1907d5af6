"""A report as JSON."""

from __future__ import annotations

from pcaudit.core.json_text import dump_json
from pcaudit.core.report import Report, report_mapping


def render(report: Report) -> str:
    """The JSON form of a report."""
    return dump_json(report_mapping(report))
