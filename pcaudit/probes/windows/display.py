"""Screens and graphics cards."""

from __future__ import annotations

from typing import Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import reads, screens
from pcaudit.probes.windows.ask import container_reason
from pcaudit.probes.windows.graphics import graphics
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.screens import Screen

_PRIMARY: Final = ("display.primary_width", "display.primary_height", "display.primary_scaling")
_SCREENS: Final = (*_PRIMARY, "display.screens")
_NOT_AT_CONSOLE: Final = "run at the console: from elsewhere the screens are not this PC's own"
_LISTED: Final = "QueryDisplayConfig, EnumDisplaySettingsExW, GetDpiForMonitor, EDID in the registry"
_MODE: Final = "EnumDisplaySettingsExW: the mode in use"
_NO_CONSOLE: Final = 0xFFFFFFFF  # WTSGetActiveConsoleSessionId: nobody is there at the moment


def _console_doubt(host: Host) -> str:
    """Why the screens seen from here may not be those of this PC, empty where they are."""
    try:
        remote, own, console = host.display.session()
    except OSError as error:
        return f"whether this runs at the console cannot be told ({error}): run at the console"
    # Session 0 is that of services; nobody sits there (from memory).
    if remote or not own or own != console or console == _NO_CONSOLE:
        return _NOT_AT_CONSOLE
    return ""


def _listed(found: list[Screen]) -> Observation:
    physical = [screen for screen in found if screen.physical]
    shown = [screen for screen in physical if not screen.doubtful]
    missing = ""
    if len(shown) < len(physical):
        missing = (
            "an output shows a picture, small or of unknown size, to a screen that does not say what it is: "
            "look whether there is one"
        )
    return known([screens.item(screen) for screen in shown], _LISTED, missing=missing)


def _primary_doubt(shown: list[Screen]) -> str:
    """Why nothing can be said of the primary screen, given those that show it."""
    if not shown:
        return "no screen shows the primary part of the desktop: connect one and run at the console"
    if not shown[0].physical:
        return "the primary screen is a program or a radio link, not a screen of this PC: connect one"
    if shown[0].doubtful:
        return "the primary screen does not say what it is and may not be there: look at it"
    return ""


def _number(value: float | None, source: str, why: str) -> Observation:
    return unknown(why) if value is None else known(value, source)


def _primary(found: list[Screen]) -> dict[str, Observation]:
    # Of several screens that show the same picture, one that is really there speaks for them.
    shown = [screen for screen in found if screen.primary]
    shown.sort(key=lambda screen: (not screen.physical, screen.doubtful, not screen.identified))
    if doubt := _primary_doubt(shown):
        return reads.all_unknown(_PRIMARY, doubt)
    screen = shown[0]
    pixels = f"the mode of {screen.device} cannot be told: look in the display settings"
    scaling = f"Windows does not give the scaling of {screen.device}: look in the display settings"
    source = f"{_MODE} of {screen.device}"
    if not screen.identified:
        source += ", a screen that does not say what it is"
    return {
        "display.primary_width": _number(screen.width, source, pixels),
        "display.primary_height": _number(screen.height, source, pixels),
        "display.primary_scaling": _number(screen.scaling, f"GetDpiForMonitor {screen.device}", scaling),
    }


def probe_screens(host: Host) -> Observations:
    """Readings of screens."""
    if doubt := container_reason(host) or _console_doubt(host):
        return reads.all_unknown(_SCREENS, doubt)
    try:
        found = screens.screens(host)
    except OSError as error:
        why = f"Windows does not list its screens ({error}): look in the display settings"
        return reads.all_unknown(_SCREENS, why)
    return {**_primary(found), "display.screens": _listed(found)}


def probe_graphics(host: Host) -> Observations:
    """Reading display.graphics."""
    reason = container_reason(host)
    return {"display.graphics": unknown(reason) if reason else graphics(host)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group display."""
    return (
        Probe("screens", _SCREENS, lambda: probe_screens(host)),
        Probe("graphics", ("display.graphics",), lambda: probe_graphics(host)),
    )
