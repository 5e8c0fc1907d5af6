"""A report as one HTML file, for a browser, a phone or paper."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from pcaudit.core.report import Report
from pcaudit.render import html_words
from pcaudit.render.html_page import environment
from pcaudit.render.html_style import style

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def _environment() -> Environment:
    """The templates, compiled once for a run."""
    return environment(html_words.FUNCTIONS, html_words.MARKUP | {"style": style})


def render(report: Report) -> str:
    """Lay a report out as a page.

    Args:
        report: What to show.

    Returns:
        A whole HTML document.
    """
    anchors = {finding.id: f"f{number}" for number, finding in enumerate(report.findings, 1)}
    files = html_words.short_files(report)
    page = _environment().get_template("report.html.j2")
    return page.render(report=report, anchors=anchors, files=files) + "\n"
