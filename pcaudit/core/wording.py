"""Values in words: what a person reads in place of a bare value."""

from __future__ import annotations

from typing import Any

from pcaudit.core import units
from pcaudit.core.catalogue import Property, Type

_QUANTITIES = (Type.QUANTITY, Type.DURATION)


def _count(number: int, what: str) -> str:
    return f"no {what}s" if number == 0 else f"{number} {what}{'s' if number != 1 else ''}"


def _number(value: float, other: Any) -> str:
    for digits in range(1, 7):
        text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
        if not isinstance(other, int | float) or value == other:
            return text
        if text != f"{other:.{digits}f}".rstrip("0").rstrip("."):
            return text
    return repr(value)


def _amount(value: int | float | str, spec: Property, other: Any) -> str:
    kind = spec.kind
    if kind is None or isinstance(value, str):
        return str(value)
    if isinstance(other, int | float) and not isinstance(other, bool):
        return units.show_apart(value, other, kind)
    return units.show(value, kind)


def show_value(value: Any, spec: Property, other: Any = None) -> str:
    """Write a value for a person.

    Args:
        value: A value of ``spec``'s type, quantities in their base unit; None where unknown.
        spec: What the value is.
        other: A value it must not look equal to unless it is: the bound it is held against.

    Returns:
        For example ``"16 GB"``, ``"never"``, ``"yes"``, ``"sse4.2, avx2"``, ``"3 items"``;
        ``"unknown"`` for None. Text stands as it is: whoever prints it makes it safe to show.
    """
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if spec.type in _QUANTITIES:
        return _amount(value, spec, other)
    if spec.type is Type.NUMBER and isinstance(value, float):
        return _number(value, other)
    if spec.type is Type.SET:
        return ", ".join(str(text) for text in value) or "none"
    if spec.type is Type.LIST:
        return _count(len(value), "item")
    return str(value)


def show_bound(value: int | float, spec: Property) -> str:
    """Write a lower bound: "at least 23.9 GB", never rounded up to what is not known."""
    text = show_value(value, spec) if spec.kind is None else units.show(value, spec.kind, down=True)
    return f"at least {text}"
