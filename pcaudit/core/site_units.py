"""Quantities of the place around a PC: electricity, heat, mass, temperature.

Factors: NIST SP 811 (2008), appendix B.8: 1 BTU_IT/h = 0.293 071 1 W; 1 lb = 0.453 592 37 kg exactly;
1 in = 25.4 mm exactly; temperatures by section B.8 too: t/degC = (t/degF - 32) / 1.8.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from pcaudit.core.units import Kind, UnitError

_ONE: Final = Fraction(1)
_KILO: Final = Fraction(1000)

BTU_PER_HOUR: Final = Fraction(2930711, 10_000_000)
"""Watts of one BTU_IT per hour (NIST SP 811, appendix B.8)."""

POWER: Final = Kind(
    "a power",
    "W",
    {"mW": 1 / _KILO, "W": _ONE, "kW": _KILO},
    ("kW", "W"),
    '"350 W"',
    digits=2,
)
HEAT: Final = Kind(
    "a heat flow",
    "W",
    {"W": _ONE, "kW": _KILO, "BTU/h": BTU_PER_HOUR, "BTU/hr": BTU_PER_HOUR},
    ("kW", "W"),
    '"3.5 kW" or "12000 BTU/h"',
    digits=2,
)
APPARENT: Final = Kind(
    "an apparent power", "VA", {"VA": _ONE, "kVA": _KILO}, ("kVA", "VA"), '"1500 VA"', digits=2
)
CURRENT: Final = Kind("a current", "A", {"mA": 1 / _KILO, "A": _ONE}, ("A",), '"16 A"', digits=2)
VOLTAGE: Final = Kind("a voltage", "V", {"V": _ONE, "kV": _KILO}, ("V",), '"230 V"')
ENERGY: Final = Kind("an energy", "Wh", {"Wh": _ONE, "kWh": _KILO}, ("kWh", "Wh"), '"900 Wh"', digits=2)
CHARGE: Final = Kind("a battery capacity", "Ah", {"Ah": _ONE}, ("Ah",), '"9 Ah"', digits=2)
MASS: Final = Kind(
    "a mass",
    "kg",
    {"g": 1 / _KILO, "kg": _ONE, "t": _KILO, "lb": Fraction(45359237, 10**8)},
    ("kg",),
    '"25 kg"',
    digits=2,
)

TEMPERATURE: Final = "°C"
"""Base unit of temperatures."""

_TEMPERATURE = re.compile(r"\s*([+-]?[0-9]{1,6}(?:\.[0-9]{1,6})?)\s*(?:°\s*)?([CFK])\s*", re.ASCII)
_ZERO: Final = Fraction(27315, 100)


def read_temperature(text: str) -> float:
    """Read a temperature: ``"22 °C"``, ``"71.6 F"``, ``"295 K"``.

    Returns:
        Degrees Celsius.

    Raises:
        UnitError: It is none, or below absolute zero.
    """
    match = _TEMPERATURE.fullmatch(text)
    if not match:
        raise UnitError(f"{text!r:.60} is not a temperature", 'write "22 °C"')
    number, unit = Fraction(match[1]), match[2]
    celsius = number if unit == "C" else number - _ZERO if unit == "K" else (number - 32) * 5 / 9
    if celsius < -_ZERO:
        raise UnitError(f"{text!r:.60} is below absolute zero", 'write "22 °C"')
    return float(celsius)


def show_temperature(celsius: float) -> str:
    """Write a temperature for a person: ``"22.5 °C"``."""
    return f"{celsius:.1f}".rstrip("0").rstrip(".") + f" {TEMPERATURE}"
