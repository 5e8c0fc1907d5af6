"""Heat given off in the room, held against what its cooling takes.

What a thing draws ends up as heat in the room, unless a fume extraction or cooling water takes it
away: then its ``heat`` is entered. A supply adds what it loses.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from pcaudit.core.finding import Finding
from pcaudit.core.plan.bounds import (
    ZERO,
    Bounds,
    Limit,
    hold,
    known,
    number,
    open_above,
    show_bounds,
    times,
    total,
)
from pcaudit.core.plan.section import Figure, Section, Table
from pcaudit.core.plan.site_findings import PREVAILS, Desk, Words, called
from pcaudit.core.plan.wiring import Wiring, draws, watts_of
from pcaudit.core.site_units import BTU_PER_HOUR, show_temperature
from pcaudit.core.worksheet.site import Room, Site, Supply, Thing

NAME: Final = "place.heat"
SOURCE: Final = "NIST SP 811 (2008), appendix B.8: 1 BTU_IT/h = 0.293 071 1 W"

CAUTIONS: Final = (
    PREVAILS,
    (
        "People, lamps, sunlight and neighbouring rooms are not in the sum. Heat that stays behind a bench "
        "counts as well: keep vents clear."
    ),
)


def btu_per_hour(watts: Fraction) -> Fraction:
    """A heat flow in BTU_IT per hour (NIST SP 811, appendix B.8)."""
    return watts / BTU_PER_HOUR


def heat_of(thing: Thing) -> Bounds:
    """What all pieces of a thing give off, in watts: as entered, else what they draw."""
    return times(known(thing.heat) if thing.heat is not None else watts_of(thing), thing.pieces)


def loss_of(supply: Supply, wiring: Wiring) -> Bounds:
    """What a supply loses: the power behind it by its efficiency."""
    behind = wiring.load(supply.id).watts
    if supply.efficiency is None:
        return open_above(ZERO, f"enter `efficiency` of supply {supply.id}")
    return times(behind, 1 / supply.efficiency - 1)


def _show(bounds: Bounds) -> str:
    """Watts and BTU/h; the latter to the nearest tenth, for the watts decide."""
    watts = show_bounds(bounds, "W")
    if bounds.high is None:
        return watts
    return f"{watts} ({float(btu_per_hour(bounds.high)):.1f} BTU/h)"


def _finding(room: Room, heat: Bounds, desk: Desk, line: int) -> Finding:
    limits = [Limit(room.cooling, "the room's cooling", "enter `cooling` of the room")]
    words = Words(
        "Heat in the room",
        "A room that warms up shifts retention times and baselines, and shuts instruments down.",
        "Have more cooling put in, or give off less: ask facilities what is free.",
        "facilities",
    )
    return desk.amount("room", room.line or line, words, hold(heat, limits), heat, limits, "W")


def _figure(heat: Bounds, things: Sequence[Bounds], losses: Sequence[Bounds]) -> Figure:
    return Figure(
        f"{NAME}.total",
        "Heat given off",
        None if heat.high is None else float(heat.high),
        "W",
        _show(heat),
        "what the things give off + what the supplies lose; BTU/h = W / 0.2930711",
        (
            ("what the things give off", show_bounds(total(things), "W")),
            ("what the supplies lose", show_bounds(total(losses), "W")),
        ),
        note="a lower bound: something is not entered" if heat.high is None else "",
        source=SOURCE,
    )


def _table(parts: list[tuple[str, Bounds]]) -> Table:
    rows = tuple((name, *_cells(heat)) for name, heat in parts)
    data = tuple(
        {
            "what": name,
            "at_least": float(heat.low),
            "at_most": None if heat.high is None else float(heat.high),
        }
        for name, heat in parts
    )
    return Table("What gives off heat", ("what", "W", "BTU/h"), rows, data)


def _cells(heat: Bounds) -> tuple[str, str]:
    if heat.high is None:
        return f"from {number(heat.low, 1, up=False)}", f"from {float(btu_per_hour(heat.low)):.1f}"
    return number(heat.high, 1, up=True), f"{float(btu_per_hour(heat.high)):.1f}"


def _notes(room: Room) -> tuple[str, ...]:
    out = []
    if room.temperature is not None:
        out.append(f"Temperature of the room as entered: {show_temperature(room.temperature)}.")
    if room.humidity is not None:
        out.append(f"Relative humidity as entered: {float(room.humidity * 100):g} %.")
    if out:
        out.append("What is allowed the instrument's paper says; the profile's arrangements can ask for it.")
    return tuple(out)


def heat_section(site: Site, wiring: Wiring) -> Section:
    """The heat given off in the room of a place."""
    desk = Desk(NAME, site.file)
    things = [(one.title, heat_of(one)) for one in site.things if draws(one) or one.heat is not None]
    losses = [
        (f"losses of {called('supply', one.id, one.title)}", loss_of(one, wiring)) for one in site.supplies
    ]
    parts = things + losses
    if not parts:
        return Section(
            NAME,
            "Heat",
            notes=_notes(site.room),
            cautions=CAUTIONS,
            not_asked=("no `[[place.things]]` is entered",),
        )
    heat = total(bounds for _, bounds in parts)
    return Section(
        NAME,
        "Heat",
        (_finding(site.room, heat, desk, site.line),),
        (_figure(heat, [one for _, one in things], [one for _, one in losses]),),
        (_table(parts),),
        notes=_notes(site.room),
        cautions=CAUTIONS,
    )
