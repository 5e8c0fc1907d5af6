"""What a renderer of a survey is, and the formats there are."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from pcaudit.errors import UsageError
from pcaudit.render.interface import PLAIN, Screen

if TYPE_CHECKING:
    from pcaudit.core.survey import Survey

Renderer = Callable[["Survey"], str]


def _text(screen: Screen) -> Renderer:
    from pcaudit.render.survey_text import render

    return lambda survey: render(survey, screen)


def _json(_screen: Screen) -> Renderer:
    from pcaudit.render.survey_json import render

    return render


def _csv(_screen: Screen) -> Renderer:
    from pcaudit.render.survey_csv import render

    return render


def _html(_screen: Screen) -> Renderer:
    from pcaudit.render.survey_html import render

    return render


_FORMATS: Final[dict[str, Callable[[Screen], Renderer]]] = {
    "text": _text,
    "json": _json,
    "csv": _csv,
    "html": _html,
}

FORMATS: Final = tuple(_FORMATS)
"""Names of the formats a survey can be rendered in."""


def renderer(name: str, screen: Screen = PLAIN) -> Renderer:
    """The renderer of a format.

    Args:
        name: One of ``FORMATS``.
        screen: What text is laid out for; formats for machines ignore it.

    Raises:
        UsageError: No such format.
    """
    make = _FORMATS.get(name)
    if make is None:
        raise UsageError(
            f"{name!r:.60} is not a format of a survey", next_step=f"formats: {', '.join(FORMATS)}"
        )
    return make(screen)
