"""Another screen of those that are connected, made the primary one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pcaudit.core.parts import Seen
from pcaudit.core.snapshot import Form, known, unknown

MADE: Final = "as if that screen were the primary one"
"""Source of the readings of the primary screen then."""

_SIDES: Final = ("width", "height", "scaling")


def others(seen: Seen | Mapping[str, Any]) -> list[tuple[int, dict[str, Any]]]:
    """Screens that may become primary, with their positions; none where it is not told which one is."""
    screens = seen.get("display.screens")
    if screens is None or screens.form is not Form.KNOWN:
        return []
    flags = [one.get("primary") for one in screens.value]
    if flags.count(True) != 1 or None in flags:
        return []
    return [(index, one) for index, one in enumerate(screens.value) if one["primary"] is False]


def shown(name: str, screen: Mapping[str, Any]) -> int | None:
    """What a reading of the primary screen (``display.primary_logical_width``) would be with another one.

    Returns:
        Pixels; None where they are not known.
    """
    pixels, scaling = screen.get(name.rpartition("_")[2]), screen.get("scaling")
    if "_logical_" not in name:
        return pixels
    return int(pixels * 100 // scaling) if pixels and scaling else None


def make_primary(index: int, seen: Seen) -> None:
    """Make a screen the primary one, in its list and in the readings of the primary screen."""
    screens = seen["display.screens"]
    items = [{**one, "primary": at == index} for at, one in enumerate(screens.value)]
    seen["display.screens"] = screens._replace(value=items)
    for key in _SIDES:
        value = items[index].get(key)
        seen[f"display.primary_{key}"] = (
            unknown(f"the {key} of that screen is not known") if value is None else known(value, MADE)
        )
