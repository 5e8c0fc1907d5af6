"""What a renderer of a plan is, and the formats there are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final

from pcaudit.errors import UsageError
from pcaudit.render.formats import Render, chosen, laid_out, written
from pcaudit.render.interface import PLAIN, Screen

if TYPE_CHECKING:
    from pcaudit.core.plan.calendar_entries import Entry
    from pcaudit.core.plan.document import Plan

Renderer = Callable[["Plan", Sequence["Entry"]], str]
"""Takes the plan, and what of it stands in a calendar."""


def _alone(load: Callable[[Screen], Render]) -> Callable[[Screen], Renderer]:
    """A format without the calendar's entries."""

    def loaded(screen: Screen) -> Renderer:
        render = load(screen)
        return lambda plan, _entries: render(plan)

    return loaded


def _ics(_screen: Screen) -> Renderer:
    from datetime import UTC, datetime

    from pcaudit.render.ical import render

    def drawn(plan: Plan, entries: Sequence[Entry]) -> str:
        # A calendar holds at least one entry (RFC 5545, section 3.6).
        if not entries:
            raise UsageError(
                "the worksheet has no installation day, and a calendar is counted back from it",
                next_step="write day = 2027-03-15 into [installation], or give --on",
            )
        return render(plan.title, entries, datetime.now(UTC))

    return drawn


_FORMATS: Final[dict[str, Callable[[Screen], Renderer]]] = {
    "text": _alone(laid_out("pcaudit.render.plan_text")),
    "json": _alone(written("pcaudit.render.plan_json")),
    "html": _alone(written("pcaudit.render.plan_html")),
    "ics": _ics,
}

FORMATS: Final = tuple(_FORMATS)
"""Names of the formats a plan can be rendered in."""


def renderer(name: str, screen: Screen = PLAIN) -> Renderer:
    """The renderer of a format.

    Args:
        name: One of ``FORMATS``.
        screen: What text is laid out for; formats for machines ignore it.

    Raises:
        UsageError: No such format.
    """
    return chosen(_FORMATS, name, screen, "of a plan")
