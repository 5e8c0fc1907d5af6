"""Network ports at the wall: needed, present, and tested."""

from __future__ import annotations

from typing import Final

from pcaudit.core import units
from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.bounds import Held
from pcaudit.core.plan.section import Section, Table
from pcaudit.core.plan.site_findings import PREVAILS, Desk, Words
from pcaudit.core.worksheet.site import Site, Thing, WallPort

NAME: Final = "place.ports"

CAUTIONS: Final = (
    PREVAILS,
    "A port in the wall may be patched to nothing, or to another network: see a link come up on it, by day.",
)


_MOSTLY_WIRED: Final = ("computer", "printer", "switch")


def needed_by(thing: Thing) -> int:
    """Wall ports that all pieces of a thing need: one each, where nothing else is said."""
    each = 1 if thing.wall_ports is None else thing.wall_ports
    return each * thing.pieces if thing.lan else 0


def _verdict(needed: int, ports: list[WallPort], doubtful: list[WallPort]) -> Held:
    """Enough that are tested is met; too few, those whose network is not said counted in, is unmet."""
    tested = sum(1 for one in ports if one.tested)
    if tested >= needed:
        return Held(Verdict.MET, "")
    if len(ports) + len(doubtful) < needed:
        return Held(Verdict.UNMET, "")
    if len(ports) < needed:
        return Held(Verdict.UNVERIFIED, f"enter `lan` of port {doubtful[0].id}")
    untested = next(one for one in ports if not one.tested)
    return Held(Verdict.UNVERIFIED, f"enter `tested` of port {untested.id} once a link came up on it")


def _finding(lan: str, site: Site, desk: Desk) -> Finding:
    things = [one for one in site.things if one.lan == lan]
    ports = [one for one in site.ports if one.lan == lan]
    doubtful = [one for one in site.ports if not one.lan]
    needed = sum(map(needed_by, things))
    tested = sum(1 for one in ports if one.tested)
    words = Words(
        f"Wall ports of network {lan}",
        "A dead port, or one patched to another network, is found on the day of the installation.",
        "Have ports put in or patched, and see a link come up on each.",
        "IT",
    )
    required = f"{needed} tested"
    found = f"{len(ports)} there, {tested} tested"
    line = things[0].line if things else site.line
    return desk.say(f"lan[{lan}]", line, words, _verdict(needed, ports, doubtful), required, found)


def _unnamed(thing: Thing, desk: Desk) -> Finding:
    """A thing that needs wall ports, of a network that is not said."""
    words = Words(
        f"Network of {thing.title}",
        "A port of another network is as good as none.",
        "Say which network it is to be plugged into.",
    )
    held = Held(Verdict.UNVERIFIED, f"enter `lan` of thing {thing.id}")
    return desk.say(f"thing[{thing.id}].lan", thing.line, words, held, "a network", "not entered")


def _table(site: Site) -> Table:
    words = {True: "yes", False: "no", None: "not said"}
    rows = tuple(
        (
            one.title,
            one.lan or "not said",
            "not said" if one.speed is None else units.show(float(one.speed), units.LINK),
            words[one.tested],
        )
        for one in site.ports
    )
    data = tuple({"port": one.id, "lan": one.lan, "tested": one.tested} for one in site.ports)
    return Table("Ports at the wall", ("port", "network", "speed", "tested"), rows, data)


def ports_section(site: Site) -> Section:
    """The network ports of a place."""
    desk = Desk(NAME, site.file)
    lans = dict.fromkeys(one.lan for one in site.things if one.lan)
    unnamed = [one for one in site.things if one.wall_ports and not one.lan]
    blanks = [] if lans else ["no thing says which network it needs a wall port of (`lan`)"]
    blanks += [
        f"`lan` of {one.kind} {one.id} is not entered: it counts as needing no wall port"
        for one in site.things
        if lans and one.kind in _MOSTLY_WIRED and not one.lan and not one.wall_ports
    ]
    return Section(
        NAME,
        "Network ports at the wall",
        (*(_finding(lan, site, desk) for lan in lans), *(_unnamed(one, desk) for one in unnamed)),
        tables=(_table(site),) if site.ports else (),
        cautions=CAUTIONS,
        not_asked=tuple(blanks),
    )
