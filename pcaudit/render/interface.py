"""What a renderer is: a function from a report to text; and the formats there are."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

from pcaudit.core.report import Report
from pcaudit.errors import UsageError

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


def _text(screen: Screen) -> Renderer:
    from pcaudit.render.console import render

    return lambda report: render(report, screen)


def _json(_screen: Screen) -> Renderer:
    from pcaudit.render.json import render

    return render


def _junit(_screen: Screen) -> Renderer:
    from pcaudit.render.junit import render

    return render


def _csv(_screen: Screen) -> Renderer:
    from pcaudit.render.csv_text import render

    return render


def _markdown(_screen: Screen) -> Renderer:
    from pcaudit.render.markdown import render

    return render


def _html(_screen: Screen) -> Renderer:
    from pcaudit.render.html import render

    return render


_FORMATS: Final[dict[str, Callable[[Screen], Renderer]]] = {
    "text": _text,
    "json": _json,
    "html": _html,
    "junit": _junit,
    "csv": _csv,
    "markdown": _markdown,
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
    make = _FORMATS.get(name)
    if make is None:
        raise UsageError(f"{name!r:.60} is not a format", next_step=f"formats: {', '.join(FORMATS)}")
    return make(screen)
