"""What hangs on which outlet, strip and supply, and what that comes to."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final, NamedTuple

from pcaudit.core.plan.bounds import ZERO, Bounds, known, open_above, times, total
from pcaudit.core.worksheet.site import Circuit, Outlet, Site, Strip, Supply, Thing

_ONE: Final = Fraction(1)
_DIGITS: Final = 1000


class Load(NamedTuple):
    """What something draws.

    Attributes:
        watts: Power.
        va: Apparent power, in volt-amperes.
        counted: Apparent power, what runs for hours counted as the country's rule asks.
    """

    watts: Bounds
    va: Bounds
    counted: Bounds


def together(loads: Iterable[Load]) -> Load:
    """The sum of loads."""
    loads = tuple(loads)
    return Load(
        total(one.watts for one in loads),
        total(one.va for one in loads),
        total(one.counted for one in loads),
    )


def perhaps(load: Load, why: str) -> Load:
    """A load that may hang elsewhere: none of it at least, all of it at most; ``why`` says what to enter."""
    return Load(*(Bounds(ZERO, one.high, () if one.high == ZERO else (*one.missing, why)) for one in load))


def _floor(share: Fraction) -> Fraction:
    """A share with three decimals, rounded down: fewer digits keep long sums short, and the load no less."""
    return max(Fraction(share * _DIGITS // 1, _DIGITS), Fraction(1, _DIGITS))


def draws(thing: Thing) -> bool:
    """Whether a thing draws power, as far as its kind and its entries say."""
    said = thing.plugged_into or thing.power is not None or thing.apparent is not None
    return bool(said) or thing.kind not in ("", "other")


def watts_of(thing: Thing) -> Bounds:
    """The power of one piece: as entered, else from apparent power and power factor.

    Where only the apparent power is known, the power is at most that.
    """
    if thing.power is not None:
        return known(thing.power)
    if thing.apparent is None:
        return open_above(ZERO, f"enter `power` or `apparent` of thing {thing.id}")
    if thing.power_factor is not None:
        return known(thing.apparent * thing.power_factor)
    return Bounds(ZERO, thing.apparent, (f"enter `power` of thing {thing.id}",))


def volt_amperes_of(thing: Thing) -> Bounds:
    """The apparent power of one piece: the larger of what was entered and power over power factor."""
    by_factor = None
    if thing.power is not None and thing.power_factor is not None:
        by_factor = thing.power / _floor(thing.power_factor)
    both = [amount for amount in (thing.apparent, by_factor) if amount is not None]
    if both:
        return known(max(both))
    if thing.power is not None:
        return open_above(thing.power, f"enter `power_factor` or `apparent` of thing {thing.id}")
    return open_above(ZERO, f"enter `power` or `apparent` of thing {thing.id}")


def load_of(thing: Thing, factor: Fraction) -> Load:
    """What all pieces of a thing draw.

    Args:
        thing: The thing.
        factor: How many times what runs for hours counts: 1 where no rule says so. Where it is not
            known whether the thing does, it counts once at least and so many times at most.
    """
    va = times(volt_amperes_of(thing), thing.pieces)
    return Load(times(watts_of(thing), thing.pieces), va, _counted(thing, va, factor))


def _counted(thing: Thing, va: Bounds, factor: Fraction) -> Bounds:
    if thing.continuous is not None or factor == 1:
        return times(va, factor if thing.continuous else _ONE)
    high = None if va.high is None else va.high * factor
    return Bounds(va.low, high, (*va.missing, f"enter `continuous` of thing {thing.id}"))


def _at_the_plug(supply: Supply, behind: Load, factor: Fraction) -> Load:
    """What a supply takes from the mains for what is plugged into it.

    At least the power behind it over its efficiency; at most what its maker says it takes.
    """
    efficiency = _ONE if supply.efficiency is None else _floor(supply.efficiency)
    low = behind.watts.low / efficiency
    if supply.input_va is None:
        unknown = Bounds(low, None, (*behind.watts.missing, f"enter `input_va` of supply {supply.id}"))
        return Load(unknown, unknown, unknown)
    if supply.input_va < low:
        again = f"look at `input_va` of supply {supply.id} again: it is less than what is behind it"
        odd = Bounds(low, None, (again,))
        return Load(odd, odd, odd)
    most = supply.input_va
    why = f"supply {supply.id} takes {float(supply.input_va):g} VA at most: measure what it takes"
    taken = Bounds(low, most, (why,))
    return Load(taken, taken, Bounds(low, most * factor, (why,)))


class Wiring:
    """The outlets of a site with everything that hangs on them.

    Args:
        site: The place; reading it refuses strips plugged into themselves, and long chains.
        factor: How many times what runs for hours counts.
    """

    def __init__(self, site: Site, factor: Fraction = _ONE) -> None:
        self.things: dict[str, list[Thing]] = {}
        self.plugs: dict[str, list[Strip | Supply]] = {}
        for thing in site.things:
            self.things.setdefault(thing.plugged_into, []).append(thing)
        plugs: tuple[Strip | Supply, ...] = (*site.strips, *site.supplies)
        for plug in plugs:
            self.plugs.setdefault(plug.plugged_into, []).append(plug)
        self._circuits = {one.id: one for one in site.circuits}
        self._outlets = {one.id: one for one in site.outlets}
        self._into = {one.id: one.plugged_into for one in plugs}
        self._strips = {one.id for one in site.strips}
        self._factor = factor
        self._loads: dict[str, Load] = {}

    def _sum(self, name: str) -> Load:
        own = [load_of(thing, self._factor) for thing in self.things.get(name, [])]
        return together((*own, *self._below(name), *self._lost(name)))

    def _lost(self, name: str) -> list[Load]:
        """What may be plugged in here, for nobody entered where it is; counted wherever it may be."""
        loads = [
            perhaps(load_of(one, self._factor), f"enter `plugged_into` of thing {one.id}")
            for one in self.things.get("", [])
            if draws(one)
        ]
        # What is itself plugged in nowhere would wait for its own sum.
        if name in self._outlets or self.outlet(name) is not None:
            for plug, load in zip(self.plugs.get("", []), self._below(""), strict=True):
                what = "supply" if isinstance(plug, Supply) else "strip"
                loads.append(perhaps(load, f"enter `plugged_into` of {what} {plug.id}"))
        return loads

    def _below(self, name: str) -> list[Load]:
        """What every strip and supply in an outlet, a strip or a supply takes."""
        return [
            _at_the_plug(one, self.load(one.id), self._factor)
            if isinstance(one, Supply)
            else self.load(one.id)
            for one in self.plugs.get(name, [])
        ]

    def load(self, name: str) -> Load:
        """What hangs on an outlet, a strip or a supply, at whatever remove."""
        if name not in self._loads:
            self._loads[name] = self._sum(name)
        return self._loads[name]

    def each_plug(self, name: str) -> list[Bounds]:
        """The apparent power of every plug in an outlet by itself."""
        own = [volt_amperes_of(thing) for thing in self.things.get(name, [])]
        return [*own, *(one.va for one in self._below(name))]

    def plugs_in(self, name: str) -> int:
        """How many plugs stick in an outlet, a strip or a supply itself."""
        return len(self.plugs.get(name, [])) + sum(thing.pieces for thing in self.things.get(name, []))

    def outlet(self, name: str) -> Outlet | None:
        """The outlet a strip or supply hangs on in the end; None where that is not entered."""
        while name in self._into:
            name = self._into[name]
        return self._outlets.get(name)

    def circuit(self, name: str) -> Circuit | None:
        """The circuit behind an outlet, a strip or a supply; None where that is not entered."""
        outlet = self.outlet(name)
        return self._circuits.get(outlet.circuit) if outlet else None

    def is_strip(self, name: str) -> bool:
        """Whether an id is that of a strip."""
        return name in self._strips

    def is_supply(self, name: str) -> bool:
        """Whether an id is that of an uninterruptible supply."""
        return name in self._into and name not in self._strips

    def is_outlet(self, name: str) -> bool:
        """Whether an id is that of an outlet."""
        return name in self._outlets


def other_load(circuit: Circuit, factor: Fraction) -> Load:
    """What else hangs on a circuit, as entered; for how long it runs is not known."""
    missing = f"enter `other_load` of circuit {circuit.id} (0 W where nothing else hangs on it)"
    if circuit.other_va is not None:
        va = known(circuit.other_va)
        watts = Bounds(ZERO, circuit.other_va)
        most = circuit.other_va * factor
        why = f"measure for how long what else hangs on circuit {circuit.id} runs"
        counted = Bounds(circuit.other_va, most, (why,) if most > circuit.other_va else ())
        return Load(watts, va, counted)
    if circuit.other_watts is None:
        unknown = open_above(ZERO, missing)
        return Load(unknown, unknown, unknown)
    va = open_above(circuit.other_watts, f"enter `other_load` of circuit {circuit.id} in VA")
    return Load(known(circuit.other_watts), va, va)
