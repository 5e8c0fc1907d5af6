"""Screens and graphics cards, at the console only."""

from __future__ import annotations

from typing import Final

from pcaudit.core.snapshot import Observation, at_least, known, unknown
from pcaudit.probes.decode import macos_display
from pcaudit.probes.decode.macos_display import Screen
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, session
from pcaudit.probes.macos.host import Host

_PRIMARY: Final = ("display.primary_width", "display.primary_height", "display.primary_scaling")
_SCREENS: Final = (*_PRIMARY, "display.screens")
_PROFILE: Final = "SPDisplaysDataType"
_SOURCE: Final = f"system_profiler {_PROFILE}"
_SCALED: Final = (
    "the picture is scaled, and macOS does not tell how many pixels this screen has: see its data sheet"
)


def _item(screen: Screen) -> dict[str, object]:
    width, height = screen.pixels or (None, None)
    return {
        "name": screen.name,
        "width": width,
        "height": height,
        "refresh": screen.refresh,
        "scaling": screen.scaling,
        "diagonal": screen.diagonal,
        "colour_depth": screen.colour_depth,
        "primary": screen.primary,
    }


def _side(screen: Screen, side: int) -> Observation:
    if screen.pixels:
        return known(screen.pixels[side], f"{_SOURCE}, {screen.name}")
    if screen.logical:
        # macOS offers no size of the picture that has more points than the screen has pixels.
        return at_least(screen.logical[side], f"{_SOURCE}, {screen.name}: size after scaling", _SCALED)
    return unknown(f"{_SOURCE} gives no size of {screen.name}: look in System Settings > Displays")


def _primary(screens: list[Screen]) -> dict[str, Observation]:
    shown = [screen for screen in screens if screen.primary]
    if len(shown) != 1:
        return ask.all_unknown(
            _PRIMARY, "no screen is called the main one: connect one and run at the console"
        )
    screen = shown[0]
    if not screen.physical:
        why = "the main screen is a program or a radio link, not a screen of this Mac: connect one"
        return ask.all_unknown(_PRIMARY, why)
    scaling = screen.scaling
    no_scaling = unknown(f"{_SCALED if screen.logical else 'macOS does not give its size'}")
    return {
        "display.primary_width": _side(screen, 0),
        "display.primary_height": _side(screen, 1),
        "display.primary_scaling": known(scaling, f"{_SOURCE}, {screen.name}") if scaling else no_scaling,
    }


def probe_screens(host: Host) -> Observations:
    """Readings of screens."""
    if doubt := session.console_doubt(host):
        return ask.all_unknown(_SCREENS, doubt)
    cards = ask.profile(host, _PROFILE)
    if cards.value is None:
        return ask.all_unknown(_SCREENS, cards.why)
    if not cards.value:
        return ask.all_unknown(_SCREENS, f"{_SOURCE} names no graphics: run at the console")
    screens = macos_display.screens(cards.value)
    missing = "" if all(screen.physical for screen in screens) else "screens that are no screens of this Mac"
    shown = [_item(screen) for screen in screens if screen.physical]
    listed = known(shown, _SOURCE, missing=f"left out: {missing}" if missing else "")
    return {**_primary(screens), "display.screens": listed}


def probe_graphics(host: Host) -> Observations:
    """Reading display.graphics."""
    cards = ask.profile(host, _PROFILE)
    if not cards.value:
        return {"display.graphics": unknown(cards.why or f"{_SOURCE} names no graphics")}
    return {"display.graphics": known(macos_display.graphics(cards.value), _SOURCE)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group display."""
    return (
        Probe("screens", _SCREENS, lambda: probe_screens(host), 20.0),
        Probe("graphics", ("display.graphics",), lambda: probe_graphics(host), 20.0),
    )
