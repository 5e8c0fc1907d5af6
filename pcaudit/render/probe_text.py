"""A snapshot just taken, for a person who doubts a figure: sources, times, and what is in the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Reading
from pcaudit.core.obstacles import obstacles
from pcaudit.core.snapshot import Form, Observation, Snapshot
from pcaudit.core.visible import visible
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell, Page
from pcaudit.render.paint import painter
from pcaudit.render.snapshot_text import draw_items, value_words

_LABEL: Final = 10
_NAME: Final = 34


class Took(NamedTuple):
    """How long the probe of some readings took: its name, milliseconds, and what went wrong."""

    probe: str
    milliseconds: float
    problem: str = ""


def _took(took: Took | None) -> str:
    if took is None:
        return "no probe of this version reads it"
    return f"{took.milliseconds:.1f} ms with the others of probe {took.probe}"


def _draw(page: Page, record: Reading, observation: Observation, took: Took | None) -> None:
    page.row([Cell(record.name, "strong"), Cell(record.value.title)], [_NAME, page.width - _NAME - 2])
    style = "quiet" if observation.form is Form.UNKNOWN else ""
    row = [Cell("value", "quiet"), Cell(value_words(observation, record), style)]
    page.row(row, [_LABEL, page.width - _LABEL - 6], 4)
    draw_items(page, record, observation, 4)
    if observation.source:
        page.labelled("source", visible(observation.source, 600), _LABEL, 4)
    page.labelled("took", _took(took), _LABEL, 4)


def _way_on(page: Page, snapshot: Snapshot) -> None:
    found = obstacles(snapshot)
    page.heading("What would make more of it readable")
    rows = (
        ("elevation", "run again with administrator rights", found.elevation),
        ("console", "run again while sitting at the PC", found.console),
        ("cable", "plug in a cable, or nothing, on purpose", found.cable),
        ("other", "the reason stands beside each", found.other),
    )
    for label, remedy, names in rows:
        text = f"{remedy}: {visible(', '.join(names), 2000)}" if names else "nothing"
        page.labelled(label, text, _LABEL, 2)


def render(snapshot: Snapshot, took: Mapping[str, Took], screen: Screen = PLAIN) -> str:
    """Lay out every reading with its source and what it took.

    Args:
        snapshot: What was read.
        took: By the name of the reading.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    probes: Sequence[Took] = sorted(set(took.values()), key=lambda one: -one.milliseconds)
    page.text(f"taken {visible(snapshot.taken_at)} by pcaudit {visible(snapshot.tool_version)}", "strong")
    slowest = ", ".join(f"{one.probe} {one.milliseconds:.1f} ms" for one in probes[:3])
    page.text(f"{len(probes)} probes ran side by side; the longest took: {slowest or 'none'}")
    for group, title in GROUPS.items():
        names = [n for n, r in CATALOGUE.items() if r.group == group and n in snapshot.readings]
        if names:
            page.heading(title)
        for name in names:
            _draw(page, CATALOGUE[name], snapshot.readings[name], took.get(name))
    _way_on(page, snapshot)
    for one in probes:
        if one.problem:
            page.labelled("failed", visible(one.problem, 400), _LABEL, 2)
    return str(page)
