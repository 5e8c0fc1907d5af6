"""What may be plugged into what: sockets, strips in a chain, company on a computer's strip."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.bounds import Held, Limit, hold, known
from pcaudit.core.plan.mains import Mains
from pcaudit.core.plan.site_findings import Desk, Words, called
from pcaudit.core.plan.wiring import Wiring, draws, volt_amperes_of
from pcaudit.core.worksheet.site import MODULE, Outlet, Site, Strip, Supply, Thing

_PRACTICE: Final = "common practice, no source"
_CORDS: Final = "29 CFR 1910.303(b)(2), by secondary texts"
_MAY_SHARE: Final = ("computer", "screen")
_MOST_NAMED: Final = 5


def _named(things: list[Thing]) -> str:
    names = [one.title for one in things]
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def _sockets(what: str, one: Outlet | Strip | Supply, wiring: Wiring, desk: Desk) -> Finding | None:
    plugs = wiring.plugs_in(one.id)
    if not plugs:
        return None
    sockets = None if one.sockets is None else Fraction(one.sockets)
    limits = [Limit(sockets, "it has", f"enter `sockets` of {what} {one.id}")]
    held = hold(known(Fraction(plugs)), limits)
    words = Words(
        f"Sockets of {called(what, one.id, one.title)}",
        "What has no socket ends up on an adaptor or a second strip.",
        "Plug something in elsewhere, or have another outlet put in.",
        "facilities",
    )
    required = f"{plugs} socket{'s' * (plugs != 1)}"
    found = "not entered" if one.sockets is None else f"{one.sockets}"
    return desk.say(f"{what}[{one.id}].sockets", one.line, words, held, required, found)


def _straight(what: str, one: Strip | Supply, wiring: Wiring, desk: Desk) -> Finding:
    """Whether a strip or supply is plugged straight into an outlet."""
    into = one.plugged_into
    held, found = Held(Verdict.MET, ""), f"outlet {into}"
    if not into:
        held, found = Held(Verdict.UNVERIFIED, f"enter `plugged_into` of {what} {one.id}"), "not entered"
    elif not wiring.is_outlet(into):
        found = f"{'strip' if wiring.is_strip(into) else 'supply'} {into}"
        allowed = what == "strip" and wiring.is_supply(into)
        why = "a strip behind a supply only where the supply's maker allows it"
        held = Held(Verdict.MARGINAL, why) if allowed else Held(Verdict.UNMET, "")
    words = Words(
        f"Where {called(what, one.id, one.title)} is plugged in",
        "A strip in a strip, or a supply behind one, loads the first cord with everything.",
        f"Plug {what} {one.id} straight into a permanent outlet.",
        "lab",
        _CORDS if what == "strip" else _PRACTICE,
    )
    return desk.say(f"{what}[{one.id}].plug", one.line, words, held, "straight into an outlet", found)


def _company(strip: Strip, wiring: Wiring, desk: Desk) -> Finding | None:
    """Whether nothing but its screens shares a strip with a computer."""
    things = wiring.things.get(strip.id, [])
    computers = sum(one.pieces for one in things if one.kind == "computer")
    unknown = [one for one in things if not one.kind]
    others = [one for one in things if one.kind and one.kind not in _MAY_SHARE]
    if not computers and not (unknown and len(things) > 1):
        return None
    held = Held(Verdict.MET, "")
    if computers > 1 or (computers and others):
        held = Held(Verdict.UNMET, "")
    elif unknown:
        held = Held(Verdict.UNVERIFIED, f"enter `kind` of thing {unknown[0].id}")
    words = Words(
        f"What shares {called('strip', strip.id, strip.title)} with the computer",
        "A motor or heater that starts pulls the voltage down, and the computer restarts.",
        f"Plug {_named(others)} in elsewhere." if others else "Give each computer a strip of its own.",
        "lab",
        _PRACTICE,
    )
    required = "a computer and its screens, nothing else"
    return desk.say(f"strip[{strip.id}].company", strip.line, words, held, required, _named(things))


def _circuit(outlet: Outlet, wiring: Wiring, desk: Desk) -> Finding | None:
    """Whether it is known which circuit carries what is plugged into an outlet."""
    if outlet.circuit or not wiring.plugs_in(outlet.id):
        return None
    words = Words(
        f"Circuit of {called('outlet', outlet.id, outlet.title)}",
        "What hangs on no known circuit is held against no breaker.",
        "Find the breaker or fuse of this outlet.",
        "facilities",
    )
    held = Held(Verdict.UNVERIFIED, f"enter `circuit` of outlet {outlet.id}")
    return desk.say(f"outlet[{outlet.id}].circuit", outlet.line, words, held, "a circuit", "not entered")


def _own_socket(thing: Thing, wiring: Wiring, desk: Desk) -> Finding | None:
    """Whether an instrument module has a socket of its own."""
    if thing.kind != MODULE or not thing.plugged_into:
        return None
    on_strip = wiring.is_strip(thing.plugged_into)
    held = Held(Verdict.UNMET if on_strip else Verdict.MET, "")
    words = Words(
        f"Socket of {thing.title}",
        "Each instrument module has a socket of its own, not one of a strip.",
        f"Plug {thing.id} into an outlet.",
        "lab",
        _PRACTICE,
    )
    found = f"{'strip' if on_strip else 'supply' if wiring.is_supply(thing.plugged_into) else 'outlet'} "
    return desk.say(
        f"thing[{thing.id}].socket",
        thing.line,
        words,
        held,
        "a socket of an outlet or a supply",
        found + thing.plugged_into,
    )


def _plugged(thing: Thing, desk: Desk) -> Finding | None:
    """Whether it is known where a thing that draws power is plugged in."""
    if thing.plugged_into or not draws(thing):
        return None
    words = Words(
        f"Where {thing.title} is plugged in",
        "What is plugged in nowhere may be plugged in anywhere.",
        "Say into which outlet, strip or supply it goes.",
    )
    held = Held(Verdict.UNVERIFIED, f"enter `plugged_into` of thing {thing.id}")
    return desk.say(
        f"thing[{thing.id}].plug", thing.line, words, held, "an outlet, strip or supply", "not entered"
    )


def _fuse(thing: Thing, wiring: Wiring, mains: Mains, desk: Desk) -> Finding | None:
    """Whether a thing draws no more than the fuse in its plug carries."""
    if thing.plug_fuse is None:
        return None
    drawn = mains.amperes(volt_amperes_of(thing), wiring.circuit(thing.plugged_into))
    limits = [Limit(thing.plug_fuse, "the fuse in its plug")]
    fuses = mains.country.plug_fuses if mains.country else None
    words = Words(
        f"Plug fuse of {thing.title}",
        "A fuse too small blows in the middle of a run.",
        "Look at what it draws and at what fuse its maker asks for; fit no larger one than that.",
        "lab",
        fuses.source if fuses else "",
    )
    return desk.amount(
        f"thing[{thing.id}].fuse", thing.line, words, hold(drawn, limits), drawn, limits, "A", 2
    )


def _all(site: Site, wiring: Wiring, mains: Mains, desk: Desk) -> Iterator[Finding | None]:
    for outlet in site.outlets:
        yield _circuit(outlet, wiring, desk)
        yield _sockets("outlet", outlet, wiring, desk)
    for strip in site.strips:
        yield _sockets("strip", strip, wiring, desk)
        yield _straight("strip", strip, wiring, desk)
        yield _company(strip, wiring, desk)
    for thing in site.things:
        yield _plugged(thing, desk)
        yield _own_socket(thing, wiring, desk)
        yield _fuse(thing, wiring, mains, desk)


def plug_findings(site: Site, wiring: Wiring, mains: Mains, desk: Desk) -> list[Finding]:
    """Every finding on what is plugged into what, but for supplies."""
    return [one for one in _all(site, wiring, mains, desk) if one is not None]


def supply_plugs(supply: Supply, wiring: Wiring, desk: Desk) -> list[Finding]:
    """The same for a supply."""
    sockets = _sockets("supply", supply, wiring, desk)
    return [_straight("supply", supply, wiring, desk), *([sockets] if sockets else [])]
