"""A snapshot as text: every reading with its value, or why there is none."""

from __future__ import annotations

from collections import Counter
from typing import Any, Final

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Reading, Type
from pcaudit.core.snapshot import Form, Observation, Snapshot
from pcaudit.core.visible import visible
from pcaudit.core.wording import say_value, show_bound, show_value
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell, Page
from pcaudit.render.paint import painter

ITEMS: Final = 12
"""Items of a list shown one by one; a longer list is counted."""

_FORMS: Final = {
    Form.KNOWN: "known",
    Form.AT_LEAST: "known as a lower bound",
    Form.ABSENT: "known not to exist",
    Form.UNKNOWN: "unknown",
}
_PROSE: Final = 600
_TITLE: Final = 26


def value_words(observation: Observation, record: Reading) -> str:
    """What is known of a reading, in one line, safe to print."""
    form = observation.form
    why = visible(observation.why, _PROSE)
    if form is Form.UNKNOWN:
        return f"unknown: {why}"
    if form is Form.ABSENT:
        # "no lid" says it all; "none: no lid" would say it twice.
        return why if why.startswith(("no ", "none")) else f"none: {why}" if why else "none"
    if form is Form.AT_LEAST:
        text = show_bound(observation.value, record.value)
        return f"{text} ({why})" if why else text
    text = visible(say_value(observation.value, record.value), _PROSE)
    if not observation.complete:
        text = f"{text}, perhaps more"
    return f"{text} ({why})" if why else text


def counts_words(snapshot: Snapshot) -> str:
    """How much of a snapshot is known: "69 known, 2 of them perhaps incomplete, 1 unknown"."""
    seen = snapshot.readings.values()
    forms = Counter(one.form for one in seen)
    partial = sum(one.form is Form.KNOWN and not one.complete for one in seen)
    words = {
        **_FORMS,
        Form.KNOWN: f"known{f', {partial} of them perhaps incomplete' if partial else ''}",
    }
    return ", ".join(f"{forms[form]} {text}" for form, text in words.items() if forms[form]) or "no readings"


def _inside(title: str) -> str:
    """A title as it stands within a sentence; initialisms keep their capitals."""
    return title if title[:2].isupper() else title[0].lower() + title[1:]


def item_words(item: dict[str, Any], record: Reading) -> str:
    """One item of a list in one line, safe to print."""
    parts: list[str] = []
    for key, spec in record.items.items():
        value = item.get(key)
        if value is None:
            continue
        if parts:
            parts.append(f"{_inside(spec.title)} {visible(say_value(value, spec))}")
        else:
            parts.append(visible(show_value(value, spec)))
    return ", ".join(parts) or "nothing known of it"


def draw_items(page: Page, record: Reading, observation: Observation, indent: int) -> None:
    """Draw the items of a list one by one, unless there are too many to read."""
    items = observation.value if record.value.type is Type.LIST else None
    if items and len(items) <= ITEMS:
        for item in items:
            page.item(item_words(item, record), indent)


def _draw(page: Page, record: Reading, observation: Observation) -> None:
    style = "quiet" if observation.form is Form.UNKNOWN else ""
    cells = [Cell(record.value.title), Cell(value_words(observation, record), style)]
    page.row(cells, [_TITLE, page.width - _TITLE - 4], 2)
    draw_items(page, record, observation, _TITLE + 4)


def render(snapshot: Snapshot, screen: Screen = PLAIN) -> str:
    """Lay a snapshot out as text.

    Args:
        snapshot: What to show.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    host = snapshot.get("computer.host_name").value
    page.row([Cell(f"Snapshot of {visible(str(host or 'this PC'))}", "strong")], [page.width])
    page.text(f"taken {visible(snapshot.taken_at)} by pcaudit {visible(snapshot.tool_version)}")
    page.text(counts_words(snapshot))
    for group, title in GROUPS.items():
        records = [r for n, r in CATALOGUE.items() if r.group == group and n in snapshot.readings]
        if records:
            page.heading(title)
        for record in records:
            _draw(page, record, snapshot.readings[record.name])
    return str(page)
