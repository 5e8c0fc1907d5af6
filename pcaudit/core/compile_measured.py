"""Compiling what a profile asks of an arrangement that can be measured."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pcaudit.core.compile_requirement import MEASURED_KEYS, RequirementReader
from pcaudit.core.measured import QUANTITIES, Measured, Quantity
from pcaudit.core.places import Path
from pcaudit.core.texts import did_you_mean
from pcaudit.core.units import UnitError


def read_measured(reader: RequirementReader, table: Mapping[str, Any], path: Path) -> Measured | None:
    """What is asked of a measured value; None where nothing is, or where it is wrong.

    Args:
        reader: Notes the mistakes.
        table: The arrangement.
        path: Its key.
    """
    there = [key for key in MEASURED_KEYS if key in table]
    if not there:
        return None
    quantity = _quantity(reader, table, path, there)
    if quantity is None:
        return None
    before = len(reader.mistakes)
    if there == ["quantity"]:
        hint = f"write minimum = {quantity.example} or maximum = {quantity.example}"
        reader.wrong((*path, "quantity"), "a quantity without a bound asks nothing", hint)
        return None
    bounds = {key: _bound(reader, table, path, key, quantity) for key in there if key != "quantity"}
    if len(reader.mistakes) == before:
        _together(reader, bounds, path)
    return Measured(quantity.name, **bounds) if len(reader.mistakes) == before else None


def _quantity(
    reader: RequirementReader, table: Mapping[str, Any], path: Path, there: list[str]
) -> Quantity | None:
    if "quantity" not in table:
        message = f"`{there[0]}` without the quantity that is measured"
        reader.wrong((*path, there[0]), message, f"add quantity: {', '.join(QUANTITIES)}")
        return None
    text = reader.text(table, path, "quantity")
    if text and text not in QUANTITIES:
        message = f"{text!r:.60} is no quantity that can be measured here"
        reader.wrong((*path, "quantity"), message, did_you_mean(text, QUANTITIES))
    return QUANTITIES.get(text)


def _bound(
    reader: RequirementReader, table: Mapping[str, Any], path: Path, key: str, quantity: Quantity
) -> int | float | None:
    try:
        return quantity.read(table[key])
    except UnitError as error:
        reader.wrong((*path, key), str(error), error.hint)
        return None


def _together(reader: RequirementReader, bounds: Mapping[str, int | float | None], path: Path) -> None:
    low, high, better = (bounds.get(key) for key in MEASURED_KEYS[1:])
    if low is not None and high is not None and low > high:
        reader.wrong((*path, "minimum"), "the minimum is above the maximum", "nothing could meet both")
    if better is None:
        return
    here = (*path, "recommended")
    if (low is None) == (high is None):
        hint = "leave one of them out" if low is not None else "write minimum or maximum beside it"
        reader.wrong(here, "`recommended` goes with exactly one of `minimum` and `maximum`", hint)
    elif (low is not None and better < low) or (high is not None and better > high):
        bound, way = ("minimum", "more") if low is not None else ("maximum", "less")
        message = f"what is recommended is looser than the {bound}"
        reader.wrong(here, message, f"recommend {way}, or leave it out")
