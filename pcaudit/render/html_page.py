"""What every HTML page of this package has: templates whose every value is made safe and escaped.

A page asks for nothing from anywhere: no script, no font, no picture of its own. What profiles
and PCs say reaches it only through ``visible`` and then through escaping, so no text
can become an element, an attribute or a style.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from pcaudit.core.visible import visible
from pcaudit.render import gauge_svg
from pcaudit.render.html_files import shipped
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


def environment(words: Mapping[str, Any], markup: Mapping[str, Callable[..., str]]) -> Environment:
    """The templates.

    Args:
        words: What they may call, by name; whatever text it gives is escaped.
        markup: The same for what gives markup: drawn from numbers, or written as letters and
            escapes only.
    """
    # No other format needs either.
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup, escape

    def marked(function: Callable[..., str]) -> Callable[..., Markup]:
        return lambda *arguments: Markup(function(*arguments))  # noqa: S704

    made = Environment(
        loader=FunctionLoader(shipped),
        autoescape=True,
        finalize=_shown,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters["lines"] = lambda text: escape(visible(text, LONGEST, newlines=True))
    made.globals.update(words)
    made.globals.update({name: marked(function) for name, function in markup.items()})
    made.globals.update(sign=marked(gauge_svg.sign), signs=Markup(gauge_svg.signs()))  # noqa: S704
    return made
