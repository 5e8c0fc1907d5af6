"""The load of circuits, outlets and strips, held against what they may carry."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.bounds import Limit, hold, largest, show_against, show_bounds, worse_within
from pcaudit.core.plan.grid import Grid
from pcaudit.core.plan.mains import HOUSE_MARGIN
from pcaudit.core.plan.plugs import plug_findings
from pcaudit.core.plan.power_tables import figures, power_tables
from pcaudit.core.plan.section import Section
from pcaudit.core.plan.site_findings import PREVAILS, Words, called, limit_words
from pcaudit.core.worksheet.site import Circuit, Outlet, Site, Strip

NAME: Final = "place.power"

CAUTIONS: Final = (
    PREVAILS,
    (
        "Watts on a nameplate are the most a thing draws: measure. Inrush currents, losses of supplies and "
        "what neighbours hang on the circuit are not seen here."
    ),
    (
        "Never plug a strip or an extension lead into another. A strip goes straight into a permanent "
        "outlet, its rating is no less than its load, and flexible cords do not replace fixed wiring (29 CFR "
        "1910.303(b)(2), .304(b)(4), .305(g)(1), by secondary texts)."
    ),
    (
        "Heaters, pumps, ovens and compressors stay off the PC's strip. Keep the protective earth; use no "
        "plug adaptors."
    ),
    "Keep the emergency stop, the isolator and the eyewash free, and lead no cable over a walkway.",
)

_NOTES: Final = (
    "Every verdict holds for the figures entered and no others.",
    (
        "Everything on one outlet, strip or circuit counts as running at once, at the power entered: current "
        "= apparent power / voltage, apparent power = power / power factor."
    ),
)


def _reduced(limits: Sequence[Limit]) -> list[Limit]:
    """Limits with the house margin taken off."""
    return [one._replace(amount=one.amount * HOUSE_MARGIN) for one in limits if one.amount is not None]


def _usual(grid: Grid) -> str:
    country = grid.mains.country
    if not country or not country.breakers:
        return ""
    ratings = ", ".join(map(str, country.breakers))
    return f" (it stands on the breaker or fuse; usual in {country.name}: {ratings} A)"


def _circuit(grid: Grid, circuit: Circuit) -> Finding:
    load, factor = grid.circuit_load(circuit), grid.mains.factor
    drawn, counted = (grid.mains.amperes(one, circuit) for one in (load.va, load.counted))
    missing = f"enter `rating` of circuit {circuit.id}{_usual(grid)}"
    device = circuit.protection or "breaker or fuse"
    words = device if factor == 1 else f"{device}, what runs for hours counted {float(factor):g} times"
    limits = [Limit(circuit.rating, words, missing)]
    held = hold(counted, limits)
    if factor == 1:
        held = worse_within(held, drawn, _reduced(limits), *grid.mains.close())
    found = show_against(counted, "A", limits, 2)
    if factor != 1:
        found = f"{found} counted, {show_bounds(drawn, 'A', 2)} drawn"
    text = Words(
        f"Load of {called('circuit', circuit.id, circuit.title)}",
        "A breaker or fuse that opens stops everything on the circuit, in the middle of a run.",
        "Move something to another circuit, or measure what it draws; what the wiring bears a licensed "
        "electrician says.",
        "facilities",
        grid.mains.rule,
    )
    required = f"at most {limit_words(limits[0], 'A', 2)}"
    return grid.desk.say(f"circuit[{circuit.id}].load", circuit.line, text, held, required, found)


def _outlet(grid: Grid, outlet: Outlet) -> Finding:
    load, circuit = grid.wiring.load(outlet.id), grid.wiring.circuit(outlet.id)
    limits = grid.outlet_limits(outlet)
    country = grid.mains.country
    shared = country.socket_share if country else None
    # A share of the rating is the stricter of the two rules, or the same.
    drawn = grid.mains.amperes(load.va if shared else load.counted, circuit)
    held = hold(drawn, limits)
    if grid.mains.factor == 1:
        held = worse_within(held, drawn, _reduced(limits), *grid.mains.close())
    text = Words(
        f"Load of {called('outlet', outlet.id, outlet.title)}",
        "A socket loaded past its rating heats.",
        "Plug something into another outlet.",
        "lab",
        shared.source if shared else grid.mains.rule,
    )
    return grid.desk.amount(f"outlet[{outlet.id}].load", outlet.line, text, held, drawn, limits, "A", 2)


def _largest_plug(grid: Grid, outlet: Outlet) -> Finding | None:
    """Whether no single plug draws more than one socket gives, where the outlet has several."""
    limit = grid.socket_limit(outlet)
    plugs = grid.wiring.each_plug(outlet.id)
    if limit is None or not plugs:
        return None
    drawn = grid.mains.amperes(largest(plugs), grid.wiring.circuit(outlet.id))
    words = Words(
        f"Largest plug in {called('outlet', outlet.id, outlet.title)}",
        "A socket loaded past its rating heats.",
        "Have an outlet of a larger type put in for it.",
        "facilities",
        grid.mains.country.sockets_source if grid.mains.country else "",
    )
    held = hold(drawn, [limit])
    name = f"outlet[{outlet.id}].plug"
    return grid.desk.amount(name, outlet.line, words, held, drawn, [limit], "A", 2)


def _strip_limits(grid: Grid, strip: Strip) -> list[Limit]:
    limits = [Limit(strip.rating, "the strip", f"enter `rating` of strip {strip.id}")]
    fuses = grid.mains.country.plug_fuses if grid.mains.country else None
    if strip.plug_fuse is not None:
        limits.append(Limit(strip.plug_fuse, "the fuse in its plug"))
    elif fuses:
        limits.append(Limit(Fraction(fuses.ratings[-1]), "the largest fuse of a plug"))
    outlet = grid.wiring.outlet(strip.id)
    if outlet and not grid.wiring.is_supply(strip.plugged_into):
        limits.extend(grid.outlet_limits(outlet))
        socket = grid.socket_limit(outlet)
        limits += [socket] if socket else []
    elif not strip.plugged_into:
        limits.append(Limit(None, "its outlet", f"enter `plugged_into` of strip {strip.id}"))
    return limits


def _strip(grid: Grid, strip: Strip) -> Finding:
    drawn = grid.mains.amperes(grid.wiring.load(strip.id).va, grid.wiring.circuit(strip.id))
    limits = _strip_limits(grid, strip)
    held = hold(drawn, limits)
    close = "more than 80 % of the strip's rating: past a margin of the house, in no code"
    held = worse_within(held, drawn, _reduced(limits[:1]), Verdict.MARGINAL, close)
    fuses = grid.mains.country.plug_fuses if grid.mains.country else None
    text = Words(
        f"Load of {called('strip', strip.id, strip.title)}",
        "The draw on a strip stays below its rating and below what its outlet gives (common practice, no "
        "source).",
        "Plug something into an outlet of its own.",
        "lab",
        fuses.source if fuses else "",
    )
    return grid.desk.amount(f"strip[{strip.id}].load", strip.line, text, held, drawn, limits, "A", 2)


def power_section(grid: Grid, rules: Sequence[str]) -> Section:
    """The electrical part of a place.

    Args:
        grid: The site and its wiring.
        rules: What a reader must know of the rules used.
    """
    site = grid.site
    findings = [
        *(_circuit(grid, one) for one in site.circuits),
        *(_outlet(grid, one) for one in site.outlets),
        *(found for one in site.outlets if (found := _largest_plug(grid, one))),
        *(_strip(grid, one) for one in site.strips),
        *plug_findings(grid.site, grid.wiring, grid.mains, grid.desk),
    ]
    wired = bool(site.circuits or site.outlets or site.strips)
    return Section(
        NAME,
        "Power: circuits, outlets and strips",
        tuple(findings),
        figures(grid),
        power_tables(grid),
        notes=(*rules, *_NOTES) if wired or site.things else (),
        cautions=CAUTIONS,
        not_asked=tuple(_not_asked(site)),
    )


def _not_asked(site: Site) -> list[str]:
    blanks = {
        "circuits": site.circuits,
        "outlets": site.outlets,
        "things": site.things,
    }
    out = [f"no `[[place.{name}]]` is entered" for name, entries in blanks.items() if not entries]
    out += [f"`kind` of thing {one.id} is not entered" for one in site.things if not one.kind]
    return out
