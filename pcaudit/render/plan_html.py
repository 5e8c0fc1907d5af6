"""A plan as one HTML file, in the look of the report."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from pcaudit.core.plan.document import Plan
from pcaudit.core.visible import visible
from pcaudit.render import html_words, plan_html_words
from pcaudit.render.html_files import shipped
from pcaudit.render.html_page import environment
from pcaudit.render.html_style import sheet
from pcaudit.render.plan_text import day_words
from pcaudit.render.sections.plan_section import without_repeats

if TYPE_CHECKING:
    from jinja2 import Environment


def style(plan: Plan) -> str:
    """The style sheet of a plan, its title and day at the top of every sheet of paper."""
    head = f"{visible(plan.title, 60)}: {plan.outcome.value}, {day_words(plan)}"
    return sheet(head, shipped("report.css") + shipped("plan.css"))


@cache
def _environment() -> Environment:
    """The templates, compiled once for a run."""
    functions = html_words.FUNCTIONS | plan_html_words.FUNCTIONS
    return environment(functions, html_words.MARKUP | plan_html_words.MARKUP | {"style": style})


def render(plan: Plan) -> str:
    """Lay a plan out as a page.

    Args:
        plan: What to show.

    Returns:
        A whole HTML document.
    """
    anchors = {finding.id: f"f{number}" for number, finding in enumerate(plan.every, 1)}
    files = plan_html_words.short_paths(plan)
    page = _environment().get_template("plan.html.j2")
    shown = plan._replace(sections=without_repeats(plan.sections))
    return page.render(plan=shown, anchors=anchors, files=files, sheet=plan.path) + "\n"
