"""The place of an installation: power, supplies, heat, benches and wall ports, a section each."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Final

from pcaudit.core.plan.bench import bench_section
from pcaudit.core.plan.grid import Grid
from pcaudit.core.plan.heat import heat_section
from pcaudit.core.plan.mains import mains_of
from pcaudit.core.plan.ports import ports_section
from pcaudit.core.plan.power import NAME, power_section
from pcaudit.core.plan.section import Section
from pcaudit.core.plan.site_findings import Desk
from pcaudit.core.plan.supply import supply_section
from pcaudit.core.plan.wiring import Wiring
from pcaudit.core.snapshot import Form
from pcaudit.core.worksheet.site import Site

if TYPE_CHECKING:
    from pcaudit.core.derive import Readings
    from pcaudit.core.plan.electrical_rules import ElectricalKnowledge

_NOT_THERE: Final = "the worksheet has no section [place]"


def place_sections(
    place: Site,
    readings: Readings | None,
    knowledge: ElectricalKnowledge | None,
    on: date,
    as_of: date,  # noqa: ARG001 - every part of a plan is asked with both days
) -> tuple[Section, ...]:
    """What follows from the place.

    Args:
        place: As the worksheet tells it.
        readings: Of the PC that is to stand there, if there is a snapshot.
        knowledge: Of mains electricity; without it only the ratings entered are used.
        on: Day judged for.
        as_of: Day work counts from; nothing here depends on it.

    Returns:
        A section for power, supplies, heat, benches and wall ports each; one that says so where the
        worksheet has no place.
    """
    if not place.asked:
        return (Section("place", "Place", not_asked=(_NOT_THERE,)),)
    mains = mains_of(place, knowledge)
    wiring = Wiring(place, mains.factor)
    grid = Grid(place, wiring, mains, Desk(NAME, place.file))
    rules = (*mains.notes(place, on), *_screens(place, readings))
    return (
        power_section(grid, rules),
        supply_section(place, wiring),
        heat_section(place, wiring),
        bench_section(place),
        ports_section(place),
    )


def _screens(site: Site, readings: Readings | None) -> tuple[str, ...]:
    """Screens that the PC has and the worksheet does not: they draw power too."""
    if readings is None:
        return ()
    seen = readings.get("display.screen_count")
    listed = sum(one.pieces for one in site.things if one.kind == "screen")
    if seen.form is not Form.KNOWN or seen.value <= listed:
        return ()
    return (f"The snapshot has {seen.value} screens, the worksheet {listed}: the others are in no sum.",)
