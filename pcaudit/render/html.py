"""A report as one HTML file, for a browser, a phone or paper."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from pcaudit.core.report import Report
from pcaudit.render import html_words, plan_html_words
from pcaudit.render.html_page import environment
from pcaudit.render.html_style import style
from pcaudit.render.sections.plan_section import without_repeats

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def _environment() -> Environment:
    """The templates, compiled once for a run."""
    functions = html_words.FUNCTIONS | plan_html_words.FUNCTIONS
    return environment(functions, html_words.MARKUP | plan_html_words.MARKUP | {"style": style})


def render(report: Report) -> str:
    """Lay a report out as a page.

    Args:
        report: What to show.

    Returns:
        A whole HTML document.
    """
    anchors = {finding.id: f"f{number}" for number, finding in enumerate(report.every, 1)}
    files = html_words.short_files(report)
    page = _environment().get_template("report.html.j2")
    shown = report._replace(sections=without_repeats(report.sections))
    sheet = report.worksheet.path if report.worksheet else ""
    return page.render(report=shown, anchors=anchors, files=files, sheet=sheet) + "\n"
