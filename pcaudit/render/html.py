"""A report as one HTML file, for a browser, a phone or paper.

The file asks for nothing from anywhere: no script, no font, no picture of its own. What profiles
and PCs say reaches it in one way only, through ``_shown`` and then through escaping, so no text
can become an element, an attribute or a style.
"""

from __future__ import annotations

import os
from typing import Any, Final

from pcaudit.core.report import Report
from pcaudit.core.visible import visible
from pcaudit.render import gauge_svg, html_words
from pcaudit.render.html_style import style

_FOLDER: Final = os.path.join(os.path.dirname(__file__), "templates")

LONGEST: Final = 2000
"""Characters shown of one text; longer than in a terminal, since steps to take stand in full."""


def _shown(value: Any) -> Any:
    """What a template may write of a value: markup of this package, or text that nothing obeys."""
    if value is None or hasattr(value, "__html__"):
        return value
    return visible(str(value), LONGEST, newlines=True)


def render(report: Report) -> str:
    """Lay a report out as a page.

    Args:
        report: What to show.

    Returns:
        A whole HTML document.
    """
    # Neither is needed for any other format.
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=FileSystemLoader(_FOLDER),
        autoescape=True,
        finalize=_shown,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.globals.update(html_words.FUNCTIONS)
    environment.globals.update(
        gauge=lambda finding: Markup(html_words.gauge(finding)),  # noqa: S704  # drawn from numbers only
        sign=lambda verdict: Markup(gauge_svg.sign(verdict)),  # noqa: S704
        signs=Markup(gauge_svg.signs()),  # noqa: S704
        whole=Markup(html_words.whole_gauge(report)),  # noqa: S704
        style=Markup(style(report)),  # noqa: S704  # texts in it are letters and escapes only
    )
    anchors = {finding.id: f"f{number}" for number, finding in enumerate(report.findings, 1)}
    return environment.get_template("report.html.j2").render(
        report=report, anchors=anchors, files=html_words.short_files(report)
    )
