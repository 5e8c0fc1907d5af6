"""A report as one HTML file, for a browser, a phone or paper.

The file asks for nothing from anywhere: no script, no font, no picture of its own. What profiles
and PCs say reaches it only through ``visible`` and then through escaping, so no text
can become an element, an attribute or a style.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final

from pcaudit.core.report import Report
from pcaudit.core.visible import visible
from pcaudit.render import gauge_svg, html_words
from pcaudit.render.html_files import shipped
from pcaudit.render.html_style import style
from pcaudit.render.sections.actions import PROSE

if TYPE_CHECKING:
    from jinja2 import Environment

LONGEST: Final = 2000
"""Characters shown of steps and reasons; more than in a terminal, so that they stand in full."""


def _shown(value: Any) -> Any:
    """What a template may write of a value: markup of this package, or text that nothing obeys."""
    if value is None or hasattr(value, "__html__"):
        return value
    return visible(str(value), PROSE)


@cache
def _environment() -> Environment:
    """The templates, compiled once for a run."""
    # No other format needs either.
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup, escape

    environment = Environment(
        loader=FunctionLoader(shipped),
        autoescape=True,
        finalize=_shown,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.filters["lines"] = lambda text: escape(visible(text, LONGEST, newlines=True))
    # What becomes markup is drawn from numbers, or written as letters and escapes only.
    environment.globals.update(
        html_words.FUNCTIONS,
        gauge=lambda finding: Markup(html_words.gauge(finding)),  # noqa: S704
        sign=lambda verdict: Markup(gauge_svg.sign(verdict)),  # noqa: S704
        signs=Markup(gauge_svg.signs()),  # noqa: S704
        whole=lambda report: Markup(html_words.whole_gauge(report)),  # noqa: S704
        style=lambda report: Markup(style(report)),  # noqa: S704
    )
    return environment


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
