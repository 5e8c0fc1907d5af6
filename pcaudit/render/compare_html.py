"""A comparison as one HTML file, in the look of the report."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from pcaudit.core.compare import Comparison
from pcaudit.render import compare_html_words as words
from pcaudit.render.html_files import shipped
from pcaudit.render.html_page import environment
from pcaudit.render.html_style import sheet

if TYPE_CHECKING:
    from jinja2 import Environment

_FEW: Final = 4
_STACKED_BELOW: Final = {True: 44, False: 68}
"""Width in rem below which the columns of few and of many candidates are stacked."""


def style(said: Comparison) -> str:
    """The style sheet of a comparison."""
    few = len(said.candidates) <= _FEW
    stacked = f"@media screen and (max-width:{_STACKED_BELOW[few]}rem){{{shipped('compare_stacked.css')}}}\n"
    return sheet(words.running_head(said), shipped("report.css") + shipped("compare.css") + stacked)


@cache
def _environment() -> Environment:
    """The templates, compiled once for a run."""
    return environment(words.FUNCTIONS, words.MARKUP | {"style": style})


def render(comparison: Comparison) -> str:
    """Lay a comparison out as a page.

    Args:
        comparison: What to show.

    Returns:
        A whole HTML document.
    """
    page = _environment().get_template("compare.html.j2")
    titles = {row.id: row.title for row in comparison.rows}
    return page.render(said=comparison, titles=titles) + "\n"
