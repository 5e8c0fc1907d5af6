"""Readings that follow from observations: derived when asked for, never stored."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot
from typing import Any, Final, NamedTuple

from pcaudit.core import cpu_names, os_knowledge
from pcaudit.core.catalogue import CATALOGUE, LEVEL_FEATURES, LEVELS
from pcaudit.core.cpu_names import CpuKnowledge
from pcaudit.core.os_knowledge import OsKnowledge
from pcaudit.core.snapshot import Form, Observation, Snapshot, absent, at_least, known, unknown, value_problem
from pcaudit.core.texts import fold

Get = Callable[[str], Observation]

_BY_PSABI: Final = "features by the x86-64 psABI, from"


def level(get: Get) -> Observation:
    """x86-64 micro-architecture level from the features, by the lists of the x86-64 psABI."""
    machine = get("os.machine")
    if machine.form is Form.KNOWN and machine.value not in ("x86_64", "x86"):
        return absent(f"a level of x86-64 processors, and this is {machine.value}")
    features = get("cpu.features")
    if features.form is not Form.KNOWN:
        return unknown(features.why or "the processor's features are not known")
    present = {fold(name) for name in features.value}
    reached = ""
    for name in LEVELS:
        missing = [feature for feature in LEVEL_FEATURES[name] if feature not in present]
        if missing and not features.complete:
            why = f"{', '.join(missing)} not seen, and the list may not be complete: {features.why}"
            return (
                at_least(reached, f"features by the x86-64 psABI, from {features.source}", why)
                if reached
                else unknown(why)
            )
        if missing:
            break
        reached = name
    if not reached:
        return unknown("the features do not make up even x86-64-v1")
    return known(reached, f"{_BY_PSABI} {features.source}")


def _counted(get: Get, name: str, wanted: Callable[[dict[str, Any]], bool | None]) -> Observation:
    """How many items of a list are wanted; unknown where an item or the list cannot tell."""
    items = get(name)
    if items.form is not Form.KNOWN:
        return unknown(items.why or f"{CATALOGUE[name].value.title.lower()} not known")
    answers = [wanted(item) for item in items.value]
    if not items.complete or None in answers:
        sure = sum(answer is True for answer in answers)
        why = items.why or "what some of them are is not known"
        return Observation(Form.AT_LEAST, sure, items.source, why)
    return known(sum(answer is True for answer in answers), f"counted from {items.source}")


def screen_count(get: Get) -> Observation:
    """Screens in use."""
    return _counted(get, "display.screens", lambda _item: True)


def wired_count(get: Get) -> Observation:
    """Physical wired adapters, cabled or not."""

    def wired(item: dict[str, Any]) -> bool | None:
        medium = item.get("medium")
        return None if medium is None else medium == "wired"

    return _counted(get, "network.adapters", wired)


def _logical(get: Get, side: str) -> Observation:
    """Pixels as programs see them: physical pixels by the scaling, rounded down."""
    pixels, scaling = get(f"display.primary_{side}"), get("display.primary_scaling")
    for part in (pixels, scaling):
        if part.form is not Form.KNOWN:
            return part if part.form is Form.ABSENT else unknown(part.why)
    return known(int(pixels.value * 100 // scaling.value), f"{pixels.source}; {scaling.source}")


def logical_width(get: Get) -> Observation:
    """Pixels across after scaling."""
    return _logical(get, "width")


def logical_height(get: Get) -> Observation:
    """Pixels down after scaling."""
    return _logical(get, "height")


class Knowledge(NamedTuple):
    """What is known beside the PC: releases of operating systems, and names of processors.

    A table is None where nothing asks for it, so that it need not be read.
    """

    os: OsKnowledge | None = None
    cpu: CpuKnowledge | None = None


OS_DERIVATIONS: Final[dict[str, Callable[[Get, OsKnowledge], Observation]]] = {
    "os.feature_release": os_knowledge.feature_release,
    "os.servicing": os_knowledge.servicing,
    "os.support_ends": os_knowledge.support_ends,
}
"""Readings that follow from the table of operating-system releases."""

CPU_DERIVATIONS: Final[dict[str, Callable[[Get, CpuKnowledge], Observation]]] = {
    "cpu.series": cpu_names.series,
    "cpu.generation": cpu_names.generation,
}
"""Readings that follow from the table of processor names."""

DERIVATIONS: Final[dict[str, Callable[[Get], Observation]]] = {
    "cpu.level": level,
    "display.screen_count": screen_count,
    "display.primary_logical_width": logical_width,
    "display.primary_logical_height": logical_height,
    "network.wired_count": wired_count,
}
"""Readings that follow from observations alone."""


def _with_ppi(screen: dict[str, Any]) -> dict[str, Any]:
    """A screen with its pixels per inch, whatever the snapshot says of them: they are derived."""
    width, height, diagonal = (screen.get(key) for key in ("width", "height", "diagonal"))
    ppi = hypot(width, height) / diagonal if width and height and diagonal else None
    possible = ppi is not None and not value_problem(ppi, CATALOGUE["display.screens"].items["ppi"])
    return {**screen, "ppi": ppi if possible else None}


_NO_TABLE: Final = "the knowledge files were not read"


class Readings:
    """A snapshot's readings and what follows from them, each derived once."""

    def __init__(self, snapshot: Snapshot, knowledge: Knowledge | None = None) -> None:
        self._snapshot = snapshot
        self._knowledge = knowledge or Knowledge()
        self._derived: dict[str, Observation] = {}

    def get(self, name: str) -> Observation:
        """The observation of ``name``, observed or derived.

        Raises:
            KeyError: The catalogue has no such reading.
        """
        if CATALOGUE[name].derived:
            if name not in self._derived:
                self._derived[name] = self._derive(name)
            return self._derived[name]
        seen = self._snapshot.get(name)
        if name == "display.screens" and seen.form is Form.KNOWN:
            return seen._replace(value=[_with_ppi(screen) for screen in seen.value])
        return seen

    def _derive(self, name: str) -> Observation:
        os, cpu = self._knowledge
        if name in OS_DERIVATIONS:
            return OS_DERIVATIONS[name](self.get, os) if os else unknown(_NO_TABLE)
        if name in CPU_DERIVATIONS:
            return CPU_DERIVATIONS[name](self.get, cpu) if cpu else unknown(_NO_TABLE)
        return DERIVATIONS[name](self.get)
