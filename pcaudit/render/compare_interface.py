"""What a renderer of a comparison is, and the formats there are."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from pcaudit.render.formats import chosen, laid_out, written
from pcaudit.render.interface import PLAIN, Screen

if TYPE_CHECKING:
    from pcaudit.core.compare import Comparison

Renderer = Callable[["Comparison"], str]


_FORMATS: Final[dict[str, Callable[[Screen], Renderer]]] = {
    "text": laid_out("pcaudit.render.compare_text"),
    "json": written("pcaudit.render.compare_json"),
    "html": written("pcaudit.render.compare_html"),
}

FORMATS: Final = tuple(_FORMATS)
"""Names of the formats a comparison can be rendered in."""


def renderer(name: str, screen: Screen = PLAIN) -> Renderer:
    """The renderer of a format.

    Args:
        name: One of ``FORMATS``.
        screen: What text is laid out for; formats for machines ignore it.

    Raises:
        UsageError: No such format.
    """
    return chosen(_FORMATS, name, screen, "of a comparison")
