"""The catalogue as text: all readings in a list, or one in detail."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Absent, Property, Reading
from pcaudit.core.snapshot import Observation
from pcaudit.core.visible import visible
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell, Page
from pcaudit.render.paint import painter
from pcaudit.render.snapshot_text import draw_items, value_words

_NAME: Final = 30
_TYPE: Final = 15
_ABSENT: Final = {
    Absent.SATISFIES: "absence satisfies a condition",
    Absent.FALLS_SHORT: "absence falls short of a condition",
}


def type_words(spec: Property) -> str:
    """The type of a value and its unit: "quantity, bytes"."""
    return spec.type.value if spec.kind is None else f"{spec.type.value}, {spec.kind.base}"


def _origin(record: Reading) -> str:
    return "derived from other readings and the knowledge files" if record.derived else "observed on the PC"


def render_list(
    observations: Mapping[str, Observation] | None = None,
    screen: Screen = PLAIN,
) -> str:
    """All readings: name, type and unit, meaning; with observations, the values instead.

    Args:
        observations: Readings of one PC by name, derived ones too.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    name, kind = (_NAME, _TYPE) if page.width >= 80 else (16, 10)
    widths = [name, kind, page.width - name - kind - 4]
    for group, title in GROUPS.items():
        page.heading(title)
        for record in CATALOGUE.values():
            if record.group != group:
                continue
            about = record.meaning + (" Derived." if record.derived else "")
            if observations is not None:
                observation = observations.get(record.name)
                about = "not read" if observation is None else value_words(observation, record)
            page.row([Cell(record.name), Cell(type_words(record.value), "quiet"), Cell(about)], widths)
    return str(page)


def _draw_items(page: Page, record: Reading) -> None:
    if not record.items:
        return
    page.text("Keys of its items:", "strong")
    for key, spec in record.items.items():
        words = f": {', '.join(spec.words)}" if spec.words else ""
        cells = [Cell(key), Cell(f"{spec.title}, {type_words(spec)}{words}")]
        page.row(cells, [16, page.width - 20], 2)


def render_one(
    record: Reading,
    observation: Observation | None = None,
    screen: Screen = PLAIN,
) -> str:
    """One reading in detail.

    Args:
        record: Which.
        observation: What is known of it on one PC.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    page.row([Cell(f"{record.name}: {record.value.title}", "strong")], [page.width])
    page.text(record.meaning)
    page.blank()
    page.labelled("type", type_words(record.value))
    if record.value.words:
        page.labelled("one of", ", ".join(record.value.words))
    page.labelled("origin", _origin(record))
    if not record.derived:
        for system, text in (("Linux", record.linux), ("Windows", record.windows), ("macOS", record.macos)):
            page.labelled(system, text or "not read by this version")
    page.labelled("where absent", _ABSENT[record.absent])
    if record.needs:
        page.labelled("needs", f"{', '.join(record.needs)} in the same table of a profile")
    page.labelled(
        "changes", "by itself from day to day" if record.volatile else "only when somebody changes it"
    )
    page.labelled("owner", record.owner)
    _draw_items(page, record)
    if observation is not None:
        page.blank()
        page.labelled("in the snapshot", value_words(observation, record))
        draw_items(page, record, observation, 18)
        if observation.source:
            page.labelled("source", visible(observation.source))
    return str(page)
