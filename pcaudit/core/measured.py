"""What can be measured of an arrangement: quantities, bounds, and a value held against them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, NamedTuple

from pcaudit.core import site_units, units
from pcaudit.core.finding import Verdict
from pcaudit.core.units import Kind, UnitError

MOST_COUNT: Final = 10**9
"""Largest count: beyond it is a slip of the finger."""


class Quantity(NamedTuple):
    """Something that can be measured.

    Attributes:
        name: As profiles write it.
        read: What is written, to an amount in the base unit; raises ``UnitError``.
        show: An amount for people.
        example: As it is written, for hints.
        signed: It may be below zero.
    """

    name: str
    read: Callable[[Any], int | float]
    show: Callable[[int | float], str]
    example: str
    signed: bool = False


def _of(name: str, kind: Kind, high: float | None = None) -> Quantity:
    def read(value: Any) -> int | float:
        if not isinstance(value, str):
            raise UnitError(f"{value!r:.40} is not {kind.name} with its unit", f"write {kind.example}")
        amount = units.parse(value, kind)
        units.check_thousands(value)
        if isinstance(amount, str) or (high is not None and amount > high):
            raise UnitError(f"{value!r:.60} is out of reason", f"write {kind.example}")
        return amount

    def show(amount: int | float) -> str:
        return units.show(amount, kind, digits=3)

    return Quantity(name, read, show, kind.example.partition(" or ")[0])


def _read_temperature(value: Any) -> float:
    if not isinstance(value, str):
        raise UnitError(f"{value!r:.40} is not a temperature with its unit", 'write "22 °C"')
    return site_units.read_temperature(value)


def _read_count(value: Any) -> int:
    """A whole number; the worksheet hands over what it says as text."""
    text = value.strip() if isinstance(value, str) else value
    if isinstance(text, str) and text.isascii() and text.isdigit() and len(text) <= 10:
        text = int(text)
    if isinstance(text, bool) or not isinstance(text, int) or not 0 <= text <= MOST_COUNT:
        raise UnitError(f"{value!r:.40} is not a whole number from 0 up", "write 2, without a unit")
    return text


_HUMIDITY: Final = units.PERCENT._replace(name="a relative humidity", example='"45 %"')

QUANTITIES: Final = {
    one.name: one
    for one in (
        Quantity("temperature", _read_temperature, site_units.show_temperature, '"22 °C"', signed=True),
        _of("humidity", _HUMIDITY, 100),
        _of("length", units.LENGTH),
        _of("mass", site_units.MASS),
        _of("power", site_units.POWER),
        _of("apparent power", site_units.APPARENT),
        _of("heat", site_units.HEAT),
        _of("current", site_units.CURRENT),
        _of("voltage", site_units.VOLTAGE),
        _of("storage", units.STORAGE),
        _of("link speed", units.LINK),
        _of("duration", units.DURATION),
        Quantity("count", _read_count, str, "2"),
    )
}
"""Every quantity a profile may ask to be measured, by name."""


class Measured(NamedTuple):
    """What a profile asks of a measured value, in base units; None where it asks nothing.

    ``recommended`` goes with exactly one of the other two and is not looser.
    """

    quantity: str
    minimum: int | float | None = None
    maximum: int | float | None = None
    recommended: int | float | None = None

    def says(self) -> str:
        """What is asked, in words: "at least 18 °C, at most 25 °C"."""
        show = QUANTITIES[self.quantity].show
        bounds = [f"at least {show(self.minimum)}"] if self.minimum is not None else []
        bounds += [f"at most {show(self.maximum)}"] if self.maximum is not None else []
        better = f" ({show(self.recommended)} recommended)" if self.recommended is not None else ""
        return ", ".join(bounds) + better

    def judge(self, amount: int | float) -> Verdict:
        """Hold an amount against it; both bounds are allowed themselves."""
        if self.minimum is not None and amount < self.minimum:
            return Verdict.UNMET
        if self.maximum is not None and amount > self.maximum:
            return Verdict.UNMET
        if self.recommended is None:
            return Verdict.MET
        good = amount >= self.recommended if self.minimum is not None else amount <= self.recommended
        return Verdict.MET if good else Verdict.MARGINAL
