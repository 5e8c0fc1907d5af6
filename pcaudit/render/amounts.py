"""Amounts of a plan, in words: each in the unit that suits its size."""

from __future__ import annotations

from typing import Final

from pcaudit.core import site_units, units

KINDS: Final = {
    kind.base: kind
    for kind in (
        units.STORAGE,
        units.LINK,
        units.DURATION,
        units.LENGTH,
        site_units.POWER,
        site_units.APPARENT,
        site_units.CURRENT,
        site_units.VOLTAGE,
        site_units.MASS,
    )
}
"""How amounts are written, by the base unit they are kept in."""


def amount_words(value: float, unit: str, digits: int | None = None) -> str:
    """An amount for people.

    Args:
        value: In the base unit.
        unit: The base unit; one without a kind is written behind the number.
        digits: Decimals at most; by default as many as suit the kind.
    """
    kind = KINDS.get(unit)
    if kind is None:
        number = f"{value:.{1 if digits is None else digits}f}"
        return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}".rstrip()
    # The second ladder of units would fill an axis.
    return units.show(value, kind._replace(also=()), digits)
