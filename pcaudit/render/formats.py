"""Formats of a document by name: each is a module that is loaded when it is asked for, and not before."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from pcaudit.errors import UsageError

_Screen = TypeVar("_Screen")
_Renderer = TypeVar("_Renderer")

Render = Callable[[Any], str]
"""Takes what is rendered."""


def _render(module: str) -> Callable[..., str]:
    from importlib import import_module

    found: Callable[..., str] = import_module(module).render
    return found


def laid_out(module: str) -> Callable[[Any], Render]:
    """A format that is laid out for a screen.

    Args:
        module: Its full name; ``render`` in it takes what is rendered, and the screen.
    """

    def load(screen: Any) -> Render:
        render = _render(module)
        return lambda said: render(said, screen)

    return load


def written(module: str) -> Callable[[Any], Render]:
    """A format that is the same for every screen.

    Args:
        module: Its full name; ``render`` in it takes what is rendered.
    """
    return lambda _screen: _render(module)


def chosen(
    formats: Mapping[str, Callable[[_Screen], _Renderer]], name: str, screen: _Screen, of: str = ""
) -> _Renderer:
    """The renderer of a format.

    Args:
        formats: All there are, by name.
        name: Which.
        screen: What text is laid out for.
        of: What the formats are of, for people: "of a plan".

    Raises:
        UsageError: No such format.
    """
    make = formats.get(name)
    if make is None:
        what = f"format {of}".strip()
        raise UsageError(f"{name!r:.60} is not a {what}", next_step=f"formats: {', '.join(formats)}")
    return make(screen)
