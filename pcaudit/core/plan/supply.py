"""Uninterruptible supplies: what is behind them, and how long they carry it.

Runtime = voltage x charge x batteries x efficiency x remaining charge / load. That is the most: at
high currents and low temperatures a battery gives less than its nominal charge. So it can show that
a supply falls short and never that it does not; the maker's table, or a test, can.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.bounds import ZERO, Bounds, Held, Limit, hold, number, show, show_bounds, worse_within
from pcaudit.core.plan.mains import HOUSE_MARGIN
from pcaudit.core.plan.plugs import supply_plugs
from pcaudit.core.plan.section import Figure, Section
from pcaudit.core.plan.site_findings import PREVAILS, Desk, Words, called
from pcaudit.core.plan.wiring import Load, Wiring
from pcaudit.core.worksheet.site import Site, Supply

NAME: Final = "place.supply"

AGED: Final = Fraction(4, 5)
"""Share of its charge at which a battery is due for replacement (common practice, no source)."""

CAUTIONS: Final = (
    PREVAILS,
    (
        "Test the runtime with everything running that the supply is to carry, when it is new and every "
        "year. Batteries age faster in warm rooms."
    ),
    "A supply gives time to stop a run and shut down; it does not replace a backup.",
)

_NOTES: Final = (
    "Runtimes are taken in proportion to the charge that is left; at high loads they shrink faster.",
)
_MINUTE: Final = 60


def formula_minutes(
    voltage: Fraction, charge: Fraction, batteries: int, efficiency: Fraction, watts: Fraction
) -> Fraction:
    """The most minutes batteries carry a load.

    Args:
        voltage: Volts of one battery.
        charge: Ampere-hours of one battery.
        batteries: How many of them.
        efficiency: Of the inverter, from 0 to 1.
        watts: The load, above 0.
    """
    return voltage * charge * batteries * efficiency * _MINUTE / watts


def _new_minutes(supply: Supply, watts: Fraction) -> Fraction | None:
    """By the formula, of new batteries, from what is entered; what is not counts as ideal."""
    battery = supply.battery
    if battery.voltage is None or battery.charge is None or not battery.pieces or not watts:
        return None
    efficiency = supply.efficiency if supply.efficiency is not None else Fraction(1)
    return formula_minutes(battery.voltage, battery.charge, battery.pieces, efficiency, watts)


def _most_minutes(supply: Supply, load: Load) -> Fraction | None:
    """By the formula, with what is left of the charge."""
    ideal, remaining = _new_minutes(supply, load.watts.low), supply.battery.remaining
    return None if ideal is None else ideal * (remaining if remaining is not None else 1)


def _contradictions(supply: Supply) -> tuple[str, ...]:
    """Runtimes that are longer than new batteries of this size can give."""
    found = []
    for one in supply.runtimes:
        most = _new_minutes(supply, one.load)
        if most is not None and one.seconds / _MINUTE > most:
            at, longest = show(one.load, "W"), show(most, "min", 1, up=False)
            found.append(
                f"the runtime at {at} of supply {supply.id} contradicts the battery entered, which "
                f"gives at most {longest}: one of the two is wrong"
            )
    return tuple(found)


def minutes_of(supply: Supply, load: Load) -> Bounds:
    """How long a supply carries a load, in minutes; what is left of its charge counts in proportion.

    At least what its table says of a load as high; at most what it says of one as low, and what the
    formula says. A table that contradicts the battery shows nothing but the most.
    """
    remaining = supply.battery.remaining
    share = remaining if remaining is not None else Fraction(1)
    most = load.watts.high
    lows = [one.seconds for one in supply.runtimes if most is not None and one.load >= most]
    low = max(lows, default=ZERO)
    highs = [one.seconds * share / _MINUTE for one in supply.runtimes if one.load <= load.watts.low]
    by_formula = _most_minutes(supply, load)
    if by_formula is not None:
        highs.append(by_formula)
    wrong = _contradictions(supply)
    missing = [*wrong, *load.watts.missing]
    if wrong:
        low = ZERO
    elif not low and most is not None:
        missing.append(f"enter `runtimes` of supply {supply.id}: the maker's table, or a test, at this load")
    if low and remaining is None:
        missing.append(f"enter `remaining` of the battery of supply {supply.id} (100 % where it is new)")
        low = ZERO
    return Bounds(low * share / _MINUTE, min(highs, default=None), tuple(missing))


def _runtime_verdict(supply: Supply, minutes: Bounds, needed: Fraction) -> Held:
    """Enough at least, enough at most, and enough still when the batteries have aged."""
    if minutes.high is not None and minutes.high < needed:
        return Held(Verdict.UNMET, "")
    if minutes.low < needed:
        return Held(
            Verdict.UNVERIFIED,
            "; ".join(minutes.missing)
            or f"enter one of `runtimes` for this load: {_show_minutes(minutes)} is all that follows",
        )
    remaining = supply.battery.remaining or Fraction(1)
    if minutes.low * min(AGED / remaining, Fraction(1)) < needed:
        return Held(Verdict.MARGINAL, "falls short once the batteries have aged to 80 % of their charge")
    return Held(Verdict.MET, "")


def _show_minutes(minutes: Bounds) -> str:
    low = number(minutes.low, 1, up=False)
    if minutes.high is None:
        return f"at least {low} min" if minutes.low else "not known"
    high = number(minutes.high, 1, up=False)
    if not minutes.low:
        return f"at most {high} min"
    return f"{low} min" if minutes.high <= minutes.low else f"{low} to {high} min"


def _runtime(supply: Supply, load: Load, plugged: bool, desk: Desk) -> Finding | None:
    if supply.runtime_needed is None:
        return None
    needed = supply.runtime_needed / _MINUTE
    words = Words(
        f"Runtime of {called('supply', supply.id, supply.title)}",
        "A run that stops without warning is lost, and a computer that stops while writing may lose more.",
        "Take a larger supply or new batteries, or plug less into it.",
        "purchasing",
    )
    required = f"at least {show(needed, 'min')}"
    name = f"supply[{supply.id}].runtime"
    if not plugged:
        held = Held(Verdict.NOT_APPLICABLE, "nothing is plugged into it")
        return desk.say(name, supply.line, words, held, required, "no load")
    minutes = minutes_of(supply, load)
    held = _runtime_verdict(supply, minutes, needed)
    return desk.say(name, supply.line, words, held, required, _show_minutes(minutes))


def _capacity(
    supply: Supply, bounds: Bounds, capacity: Fraction | None, key: str, unit: str, desk: Desk
) -> Finding:
    limits = [Limit(capacity, "the supply", f"enter `{key}` of supply {supply.id}")]
    tighter = [one._replace(amount=one.amount * HOUSE_MARGIN) for one in limits if one.amount is not None]
    why = "more than 80 % of what it gives: past a margin of the house, in no code"
    held = worse_within(hold(bounds, limits), bounds, tighter, Verdict.MARGINAL, why)
    words = Words(
        f"Load in {unit} of {called('supply', supply.id, supply.title)}",
        "A supply that is overloaded switches off at once; it has a limit in W and one in VA.",
        "Take a larger supply, or plug less into it.",
        "purchasing",
    )
    name = f"supply[{supply.id}].{unit.lower()}"
    return desk.amount(name, supply.line, words, held, bounds, limits, unit)


def _figure(supply: Supply, load: Load) -> Figure | None:
    minutes = _most_minutes(supply, load)
    if minutes is None:
        return None
    battery = supply.battery
    inputs = [
        ("voltage", f"{float(battery.voltage or 0):g} V"),
        ("charge", f"{float(battery.charge or 0):g} Ah"),
        ("batteries", str(battery.pieces)),
        (
            "efficiency",
            "100 %, not entered" if supply.efficiency is None else f"{float(supply.efficiency * 100):.4g} %",
        ),
        (
            "remaining",
            "100 %, not entered" if battery.remaining is None else f"{float(battery.remaining * 100):.4g} %",
        ),
        ("load", show_bounds(load.watts, "W")),
    ]
    return Figure(
        f"{NAME}.supply[{supply.id}].runtime",
        f"Most runtime of {called('supply', supply.id, supply.title)}",
        float(minutes * _MINUTE),
        "s",
        show(minutes, "min", 1, up=False),
        "voltage x charge x batteries x efficiency x remaining / load",
        tuple(inputs),
        note="Too long rather than too short: the maker's table, or a test, counts before it.",
    )


def _supply(supply: Supply, wiring: Wiring, desk: Desk) -> list[Finding]:
    load = wiring.load(supply.id)
    plugged = wiring.plugs_in(supply.id) > 0
    runtime = _runtime(supply, load, plugged, desk)
    return [
        _capacity(supply, load.va, supply.capacity_va, "capacity_va", "VA", desk),
        _capacity(supply, load.watts, supply.capacity_w, "capacity_w", "W", desk),
        *([runtime] if runtime else []),
        *supply_plugs(supply, wiring, desk),
    ]


def supply_section(site: Site, wiring: Wiring) -> Section:
    """The uninterruptible supplies of a place."""
    desk = Desk(NAME, site.file)
    supplies: Sequence[Supply] = site.supplies
    figures = [_figure(one, wiring.load(one.id)) for one in supplies]
    blanks = [
        f"`runtime_needed` of supply {one.id} is not entered"
        for one in supplies
        if one.runtime_needed is None
    ]
    return Section(
        NAME,
        "Uninterruptible supplies",
        tuple(finding for one in supplies for finding in _supply(one, wiring, desk)),
        tuple(figure for figure in figures if figure),
        notes=_NOTES if supplies else (),
        cautions=CAUTIONS,
        not_asked=tuple(blanks) if supplies else ("no `[[place.supplies]]` is entered",),
    )
