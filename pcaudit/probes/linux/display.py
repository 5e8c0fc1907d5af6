"""Screens and graphics adapters, from the kernel's mode setting.

The kernel's files give a connector's preferred mode, which on a flat panel is its own pixels; the
mode a desktop has chosen is not among them. Where the console's own picture contradicts the
preferred mode, width and height are unknown.
"""

from __future__ import annotations

import re
from posixpath import basename
from typing import Any, NamedTuple

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import edid, pciids
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import reads, session
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree
from pcaudit.probes.linux.sysfs import real

_READINGS = (
    "display.primary_width",
    "display.primary_height",
    "display.primary_scaling",
    "display.screens",
    "display.graphics",
)
_DRM = "/sys/class/drm"
_CARD = re.compile(r"card\d+")
_CONNECTOR = re.compile(r"(card\d+)-.+")
_NO_SCREEN = re.compile(r"card\d+-Writeback-\d+")
_MODE = re.compile(r"(\d+)x(\d+)(i?)")
_PCI_ID = re.compile(r"0x([0-9a-f]{4})")
# PCI Code and ID Assignment Specification: base class 03h, display controllers.
_DISPLAY_CLASS = "0x03"
_PCI_IDS = ("/usr/share/misc/pci.ids", "/usr/share/hwdata/pci.ids")
_MODE_SOURCE = "preferred mode of the only screen in use (/sys/class/drm); the mode in use is not in /sys"
_AT_CONSOLE = "run at the console: from elsewhere the screen in use is not this PC's own"


class Screen(NamedTuple):
    """A connected screen in use; what cannot be known is None."""

    connector: str
    width: int | None
    height: int | None
    name: str | None
    refresh: float | None
    diagonal: float | None


def _mode(tree: Tree, path: str) -> tuple[int, int] | None:
    first = reads.text(tree, f"{path}/modes").partition("\n")[0]
    match = _MODE.fullmatch(first)
    return (int(match[1]), int(match[2])) if match else None


def _edid(tree: Tree, path: str) -> edid.Edid | None:
    try:
        return edid.decode(tree.data(f"{path}/edid"))
    except (OSError, edid.EdidError):
        return None


def _name(said: edid.Edid | None) -> str | None:
    if said is None:
        return None
    return said.name or (f"{said.vendor} {said.product:04x}" if said.vendor else None)


def _screen(tree: Tree, connector: str) -> Screen:
    path = f"{_DRM}/{connector}"
    mode = _mode(tree, path)
    said = _edid(tree, path)
    preferred = said.preferred if said else None
    refresh = None
    if preferred and not preferred.interlaced and (preferred.width, preferred.height) == mode:
        refresh = preferred.refresh
    width, height = mode or (None, None)
    return Screen(connector, width, height, _name(said), refresh, said.diagonal if said else None)


def _console_size(tree: Tree, card: str) -> tuple[int, int] | None:
    """Pixels of the text console on a card, None where it has none."""
    owner = real(tree, f"{real(tree, f'{_DRM}/{card}')}/device")
    for name in reads.names(tree, "/sys/class/graphics"):
        path = real(tree, f"/sys/class/graphics/{name}")
        if not re.fullmatch(r"fb\d+", name) or real(tree, f"{path}/device") != owner:
            continue
        width, _, height = reads.text(tree, f"{path}/virtual_size").partition(",")
        if width.isdecimal() and height.isdecimal():
            return int(width), int(height)
    return None


def _checked(tree: Tree, screen: Screen) -> Screen:
    """The only screen, its pixels unknown where the console on it shows another number of them."""
    size = _console_size(tree, screen.connector.partition("-")[0])
    if size is None or size == (screen.width, screen.height):
        return screen
    return screen._replace(width=None, height=None, refresh=None)


_STATES = ("used", "idle", "vague")


class _Connectors(NamedTuple):
    used: list[str]
    idle: list[str]
    mute: list[str]  # cards without any connector: a screen on them would not be seen
    vague: list[str]  # which do not say whether a screen is connected, or in use


def _connectors(tree: Tree, names: list[str]) -> _Connectors:
    connectors = [name for name in names if _CONNECTOR.fullmatch(name) and not _NO_SCREEN.fullmatch(name)]
    states = {name: _state(tree, name) for name in connectors}
    used, idle, vague = ([name for name in connectors if states[name] == state] for state in _STATES)
    cards = [name for name in names if _CARD.fullmatch(name)]
    mute = [card for card in cards if not any(name.startswith(f"{card}-") for name in connectors)]
    return _Connectors(used, idle, mute, vague)


def _state(tree: Tree, connector: str) -> str:
    """Whether the screen at a connector is in use: one of ``_STATES``; empty where there is none."""
    # Linux, drivers/gpu/drm/drm_connector.c, drm_get_connector_status_name(): the third word is "unknown".
    status = reads.text(tree, f"{_DRM}/{connector}/status")
    if status == "disconnected":
        return ""
    enabled = reads.text(tree, f"{_DRM}/{connector}/enabled")
    if status != "connected" or enabled not in {"enabled", "disabled"}:
        return "vague"
    return "used" if enabled == "enabled" else "idle"


def _items(screens: list[Screen], sure: bool) -> list[dict[str, Any]]:
    return [
        {
            "name": screen.name,
            "width": screen.width,
            "height": screen.height,
            "refresh": screen.refresh,
            "scaling": None,
            "diagonal": screen.diagonal,
            "colour_depth": None,
            "primary": True if sure and len(screens) == 1 else None,
        }
        for screen in screens
    ]


class _Screens(NamedTuple):
    """The reading, the screens in use, and why there may be one that is not seen."""

    observed: Observation
    shown: list[Screen]
    doubt: str


def _no_graphics(host: Host) -> bool:
    """Whether it is sure that nothing in this PC can drive a screen, rather than that no driver does."""
    tree = host.tree
    # Hyper-V and Xen give their guests screens that are on no PCI bus; so do PCs that are no PC.
    elsewhere = [*reads.names(tree, "/sys/bus/vmbus/devices"), *reads.names(tree, "/sys/bus/xen/devices")]
    if host.machine != "x86_64" or elsewhere:
        return False
    on_pci = reads.names(tree, "/sys/bus/pci/devices")
    frame_buffer = any(
        name.startswith("fb") for name in reads.names(tree, "/sys/class/graphics") if name != "fbcon"
    )
    return bool(on_pci) and not frame_buffer and not _pci_displays(tree)


def _screens(host: Host) -> _Screens:
    try:
        names = reads.listed(host.tree, _DRM)
    except OSError as error:
        why = reads.refusal(_DRM, error)
        return _Screens(unknown(why), [], why)
    if not any(_CARD.fullmatch(name) for name in names):
        if _no_graphics(host):
            return _Screens(known([], "no graphics card: none on the PCI bus, no frame buffer"), [], "")
        why = "the kernel shows no graphics card with connectors (/sys/class/drm): look at the screens"
        return _Screens(unknown(why), [], why)
    connectors = _connectors(host.tree, names)
    screens = [_screen(host.tree, name) for name in connectors.used]
    if len(screens) == 1:
        screens = [_checked(host.tree, screens[0])]
    source = "/sys/class/drm: preferred mode and EDID of connected screens in use"
    doubt = ""
    if connectors.mute:
        doubt = f"the driver of {', '.join(connectors.mute)} does not show its connectors"
    elif connectors.vague:
        doubt = f"whether a screen is in use at {', '.join(connectors.vague)} is not known: look at it"
    gaps = [doubt] if doubt else []
    if connectors.idle:
        # A closed notebook, or a second screen that a text console leaves dark: only people know.
        gaps.append(f"connected but switched off, so not listed: {', '.join(connectors.idle)}")
    return _Screens(known(_items(screens, not doubt), source, missing="; ".join(gaps)), screens, doubt)


def _pixels(value: int | None) -> Observation:
    if value is None:
        return unknown("the mode of the screen cannot be told from /sys: look in the display settings")
    return known(value, _MODE_SOURCE)


def _primary_doubt(host: Host, screens: _Screens) -> str:
    """Why nothing can be said of the primary screen, empty where it can."""
    remote = session.probe(host)["session.remote"]
    if remote.value is None:
        return remote.why
    if remote.value:
        return _AT_CONSOLE
    if screens.doubt:
        return screens.doubt
    if not screens.shown:
        return "no screen is connected and in use: connect one and run at the console"
    if len(screens.shown) > 1:
        return "several screens are in use, and only the desktop knows the primary one: look in its settings"
    return ""


def _primary(host: Host, screens: _Screens) -> dict[str, Observation]:
    if doubt := _primary_doubt(host, screens):
        return reads.all_unknown(_READINGS[:3], doubt)
    return {
        "display.primary_width": _pixels(screens.shown[0].width),
        "display.primary_height": _pixels(screens.shown[0].height),
        "display.primary_scaling": unknown(
            "scaling belongs to the desktop, which this version does not ask: look in its display settings"
        ),
    }


def _pci_names(tree: Tree) -> bytes:
    for name in _PCI_IDS:
        try:
            return tree.data(name)
        except OSError:
            continue
    return b""


def _pci_displays(tree: Tree) -> list[str]:
    found = []
    for name in reads.names(tree, "/sys/bus/pci/devices"):
        path = real(tree, f"/sys/bus/pci/devices/{name}")
        if reads.text(tree, f"{path}/class").startswith(_DISPLAY_CLASS):
            found.append(path)
    return found


def _other_displays(tree: Tree, pci: list[str]) -> list[str]:
    """Devices of graphics cards that are not on the PCI bus (or above one that is)."""
    found = []
    for name in reads.names(tree, _DRM):
        if not _CARD.fullmatch(name):
            continue
        card = real(tree, f"{_DRM}/{name}")
        device = real(tree, f"{card}/device")
        below_pci = any(device == path or device.startswith(f"{path}/") for path in pci)
        if device != f"{card}/device" and not below_pci:
            found.append(device)
    return found


def _driver(tree: Tree, device: str) -> str:
    path = real(tree, f"{device}/driver")
    return basename(path) if path != f"{device}/driver" else ""


def _driver_version(tree: Tree, driver: str) -> str | None:
    # Drivers that come with the kernel have no version of their own.
    return reads.text(tree, f"/sys/module/{driver}/version") or None if driver else None


def _card(tree: Tree, device: str, names: bytes) -> dict[str, Any]:
    driver = _driver(tree, device)
    vendor = _PCI_ID.fullmatch(reads.text(tree, f"{device}/vendor"))
    product = _PCI_ID.fullmatch(reads.text(tree, f"{device}/device"))
    model = driver or None
    if vendor and product:
        model = f"PCI {vendor[1]}:{product[1]}"
        if name := pciids.name(names, vendor[1], product[1]):
            model = f"{name} ({model})"
    return {"model": model, "memory": None, "driver_version": _driver_version(tree, driver)}


def _graphics(host: Host) -> Observation:
    tree = host.tree
    if not tree.exists("/sys/bus/pci") and not tree.exists(_DRM):
        return unknown("the kernel shows neither a PCI bus nor graphics cards: look at the machine")
    try:
        reads.listed(tree, "/sys/bus/pci/devices")
        reads.listed(tree, _DRM)
    except OSError as error:
        return unknown(reads.refusal("the list of graphics cards", error))
    pci = _pci_displays(tree)
    names = _pci_names(tree) if pci else b""
    cards = [_card(tree, device, names) for device in (*pci, *_other_displays(tree, pci))]
    # A name nobody found must not pass for another one in a condition on names.
    models = [card["model"] or "a card without driver" for card in cards]
    nameless = [model for model in models if not model.endswith(")")]
    missing = f"the names behind {', '.join(nameless)} are not known (pci.ids)" if nameless else ""
    return known(cards, "PCI devices of class 03h, /sys/class/drm, pci.ids", missing=missing)


def probe(host: Host) -> Observations:
    """Readings of group display."""
    if reason := container_reason(host):
        return reads.all_unknown(_READINGS, reason)
    screens = _screens(host)
    return {
        **_primary(host, screens),
        "display.screens": screens.observed,
        "display.graphics": _graphics(host),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group display."""
    return (Probe("display", _READINGS, lambda: probe(host)),)
