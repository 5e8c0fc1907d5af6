"""A report as JSON."""

from __future__ import annotations

from typing import Any

from pcaudit.core.report import Report, report_mapping


def dump(document: dict[str, Any]) -> str:
    """Write a document the one way all are written: sorted, indented, UTF-8, a newline at the end.

    Raises:
        ValueError: A number in it is not finite.
    """
    import json

    text = json.dumps(document, sort_keys=True, indent=2, allow_nan=False, ensure_ascii=False) + "\n"
    # Python writes a lone surrogate as \udc80, which is JSON's escape for the same.
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def render(report: Report) -> str:
    """The JSON form of a report."""
    return dump(report_mapping(report))
