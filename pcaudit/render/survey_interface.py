"""What a renderer of a survey is, and the formats there are."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from pcaudit.render.formats import chosen, laid_out, written
from pcaudit.render.interface import PLAIN, Screen

if TYPE_CHECKING:
    from pcaudit.core.survey import Survey

Renderer = Callable[["Survey"], str]


_FORMATS: Final[dict[str, Callable[[Screen], Renderer]]] = {
    "text": laid_out("pcaudit.render.survey_text"),
    "json": written("pcaudit.render.survey_json"),
    "csv": written("pcaudit.render.survey_csv"),
    "html": written("pcaudit.render.survey_html"),
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
    return chosen(_FORMATS, name, screen, "of a survey")
