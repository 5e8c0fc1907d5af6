"""What a renderer is: a function from a report to text; and the formats there are."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

from pcaudit.core.report import Report
from pcaudit.render.formats import chosen, laid_out, written

Renderer = Callable[[Report], str]


class Screen(NamedTuple):
    """What text is laid out for.

    Attributes:
        width: Columns; narrower than 40 is laid out for 40.
        colours: How many colours it shows: 0, 16, 256 or 16777216; at 0 no escape codes at all.
        unicode: Whether it shows box and block characters.
    """

    width: int = 80
    colours: int = 0
    unicode: bool = False


TRUE_COLOUR: Final = 1 << 24
PLAIN: Final = Screen()
"""80 columns of plain text, for files, pipes and terminals of which nothing is known."""


_FORMATS: Final[dict[str, Callable[[Screen], Renderer]]] = {
    "text": laid_out("pcaudit.render.console"),
    "json": written("pcaudit.render.json"),
    "html": written("pcaudit.render.html"),
    "junit": written("pcaudit.render.junit"),
    "csv": written("pcaudit.render.csv_text"),
    "markdown": written("pcaudit.render.markdown"),
}

FORMATS: Final = tuple(_FORMATS)
"""Names of the formats a report can be rendered in."""


def renderer(name: str, screen: Screen = PLAIN) -> Renderer:
    """The renderer of a format.

    Args:
        name: One of ``FORMATS``.
        screen: What text is laid out for; formats for machines ignore it.

    Raises:
        UsageError: No such format.
    """
    return chosen(_FORMATS, name, screen)
