"""Screens and graphics adapters of Linux hosts."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.decode import pciids
from pcaudit.probes.linux import display
from tests.probes.hosts import Entry, Link, host
from tests.probes.test_edid import changed

_PCI = "/sys/devices/pci0/0000:00:02.0"
_CONSOLE = {"XDG_SESSION_ID": "2"}
# The published block with a size both places agree on: 1280x720 at 60 Hz, 708 x 398 mm.
_EDID = changed(b21=71, b22=40)


def card(*connectors: tuple[str, str, str, str], device: str = _PCI, edid: bytes = _EDID) -> dict[str, Entry]:
    """A graphics card; connectors are (name, status, enabled, modes)."""
    files: dict[str, Entry] = {
        "/sys/class/drm/card0": Link(f"../..{device[4:]}/drm/card0"),
        f"{device}/drm/card0/device": Link("../.."),
        f"{device}/class": "0x030000",
        f"{device}/vendor": "0x1234",
        f"{device}/device": "0x00a1",
        f"{device}/driver": Link("/sys/bus/pci/drivers/exgpu"),
        "/sys/bus/pci/devices/0000:00:02.0": Link(f"../../..{_PCI[4:]}"),
    }
    for name, status, enabled, modes in connectors:
        path = f"{device}/drm/card0/card0-{name}"
        files[f"/sys/class/drm/card0-{name}"] = Link(f"../..{path[4:]}")
        for key, value in (("status", status), ("enabled", enabled), ("modes", modes), ("edid", edid)):
            files[f"{path}/{key}"] = value
    return files


_ONE = ("HDMI-A-1", "connected", "enabled", "1280x720\n800x600")
_TWO = ("DP-1", "connected", "enabled", "2560x1440")
_DARK = ("DP-2", "connected", "disabled", "1920x1080")
_EMPTY = ("DP-3", "disconnected", "disabled", "")


def probe(files: Mapping[str, Entry], environ: Mapping[str, str] = _CONSOLE) -> dict[str, Observation]:
    """Every reading of the group; by default somebody sits at the PC."""
    base: dict[str, Entry] = {
        "/proc/self/ns/pid": Link("pid:[4026531836]"),
        "/run/systemd/sessions/2": "SEAT=seat0\nREMOTE=0\n",
    }
    (each,) = display.probes(host({**base, **files}, environ=environ))
    seen = dict(each.take())
    assert set(seen) == set(each.reads)
    return seen


def test_one_screen_is_the_primary() -> None:
    """The only screen in use gives the primary's pixels, its name, size and refresh rate."""
    seen = probe(card(_ONE, _EMPTY))
    assert (seen["display.primary_width"].value, seen["display.primary_height"].value) == (1280, 720)
    assert "preferred mode" in seen["display.primary_width"].source
    assert seen["display.primary_scaling"].form is Form.UNKNOWN
    assert seen["display.screens"].value == [
        {
            "name": "LONTIUM",
            "width": 1280,
            "height": 720,
            "refresh": 60.0,
            "scaling": None,
            "diagonal": 32.0,
            "colour_depth": None,
            "primary": True,
        }
    ]


def test_of_two_screens_none_is_known_as_primary() -> None:
    """With two screens in use only the desktop knows the primary one."""
    seen = probe(card(_ONE, _TWO))
    assert seen["display.primary_width"].form is Form.UNKNOWN
    assert [item["primary"] for item in seen["display.screens"].value] == [None, None]


def test_screen_switched_off_leaves_the_list_open() -> None:
    """A connected screen without a picture is neither in use nor none; the one in use is the primary."""
    seen = probe(card(_ONE, _DARK))
    screens = seen["display.screens"]
    assert len(screens.value) == 1
    assert not screens.complete and "card0-DP-2" in screens.why
    assert seen["display.primary_width"].value == 1280


def test_no_screen_connected_is_an_empty_list() -> None:
    """Connectors without a screen are knowledge: there is none."""
    seen = probe(card(_EMPTY))
    assert seen["display.screens"].value == [] and seen["display.screens"].complete
    assert seen["display.primary_width"].form is Form.UNKNOWN


def test_driver_without_connectors_leaves_the_list_open() -> None:
    """A card whose driver shows no connectors may have screens that are not seen."""
    seen = probe(card())
    assert not seen["display.screens"].complete
    assert seen["display.primary_width"].form is Form.UNKNOWN


@pytest.mark.parametrize("files", [{}, {"/sys/class/drm/version": "drm 1.1.0"}])
def test_no_graphics_in_the_kernel_is_unknown(files: Mapping[str, Entry]) -> None:
    """Where the kernel has no graphics driver, screens are unknown rather than none."""
    assert probe(files)["display.screens"].form is Form.UNKNOWN


def test_console_that_contradicts_the_preferred_mode() -> None:
    """Where the text console shows fewer pixels than the preferred mode, the pixels are unknown."""
    files = card(_ONE)
    fb = f"{_PCI}/graphics/fb0"
    files |= {
        "/sys/class/graphics/fb0": Link(f"../..{fb[4:]}"),
        f"{fb}/device": Link("../.."),
        f"{fb}/virtual_size": "1280,720",
    }
    assert probe(files)["display.primary_width"].value == 1280
    files[f"{fb}/virtual_size"] = "1024,768"
    seen = probe(files)
    assert seen["display.primary_width"].form is Form.UNKNOWN
    assert seen["display.screens"].value[0]["width"] is None


def test_refresh_needs_the_same_mode_in_the_edid() -> None:
    """The refresh rate of another mode than the connector's is not given."""
    (item,) = probe(card(_TWO))["display.screens"].value
    assert item["width"] == 2560 and item["refresh"] is None


def test_damaged_edid_costs_name_and_size_only() -> None:
    """A screen with a damaged EDID still has its pixels."""
    (item,) = probe(card(_ONE, edid=_EDID[:-1] + b"\0"))["display.screens"].value
    assert item["name"] is None and item["diagonal"] is None and item["width"] == 1280


def test_remote_session_has_no_primary() -> None:
    """From a remote session the primary screen is unknown: run at the console."""
    seen = probe(card(_ONE), {"SSH_CONNECTION": "192.0.2.9 1 192.0.2.2 22"})
    for name in ("display.primary_width", "display.primary_height", "display.primary_scaling"):
        assert "run at the console" in seen[name].why
    assert len(seen["display.screens"].value) == 1


def test_container_sees_no_screens() -> None:
    """In a container every display reading is unknown, with the container as the reason."""
    seen = probe({"/run/systemd/container": "example", **card(_ONE)})
    assert all(given.form is Form.UNKNOWN and "container" in given.why for given in seen.values())


_IDS = (
    b"# list\n0123  Other\n\t00a1  Wrong\n1234  Example Works\n\t00a1  Example Vision\n\t\t1 2  x\n"
    b"5678  Last\n"
)


def test_graphics_card_by_its_name() -> None:
    """A card is named by the system's list of PCI devices, with its driver's version if it has one."""
    files = {**card(_ONE), "/usr/share/misc/pci.ids": _IDS, "/sys/module/exgpu/version": "555.1"}
    (item,) = probe(files)["display.graphics"].value
    assert item == {
        "model": "Example Works Example Vision (PCI 1234:00a1)",
        "memory": None,
        "driver_version": "555.1",
    }


def test_graphics_card_without_a_list() -> None:
    """Without the list of names a card is its numbers, and an in-kernel driver has no version."""
    (item,) = probe(card(_ONE))["display.graphics"].value
    assert item["model"] == "PCI 1234:00a1" and item["driver_version"] is None


def test_graphics_behind_a_pci_device_are_one_card() -> None:
    """A card on a bus that hangs on a PCI display device is not counted twice."""
    files = card(_ONE, device=f"{_PCI}/virtio0")
    files |= {f"{_PCI}/class": "0x038000", f"{_PCI}/vendor": "0x1af4", f"{_PCI}/device": "0x1050"}
    assert len(probe(files)["display.graphics"].value) == 1


@pytest.mark.parametrize(
    ("vendor", "device", "name"),
    [
        ("1234", "00a1", "Example Works Example Vision"),
        ("1234", "00A1", "Example Works Example Vision"),
        ("0123", "ffff", ""),
        ("5678", "00a1", ""),
        ("9999", "00a1", ""),
    ],
)
def test_names_stay_within_their_vendor(vendor: str, device: str, name: str) -> None:
    """A device number is looked up under its own vendor only."""
    assert pciids.name(_IDS, vendor, device) == name


_NETWORK_CARD: dict[str, Entry] = {
    # Debian's kernel has the Xen bus on every PC, with nothing on it.
    "/sys/bus/xen/devices/": "",
    "/sys/devices/pci0/0000:00:03.0/class": "0x020000",
    "/sys/bus/pci/devices/0000:00:03.0": Link("../../../devices/pci0/0000:00:03.0"),
}


def test_a_server_without_graphics_has_no_screen() -> None:
    """Where the PCI bus has no graphics card and nothing else draws, there is no screen."""
    seen = probe(_NETWORK_CARD)
    assert seen["display.screens"].form is Form.KNOWN
    assert seen["display.screens"].value == []
    assert seen["display.screens"].complete


@pytest.mark.parametrize(
    "more",
    [
        {"/sys/class/graphics/fb0/name": "EFI VGA"},
        {"/sys/bus/vmbus/devices/video": ""},
        {"/sys/bus/xen/devices/vfb-0": ""},
        {"/sys/bus/pci/devices/0000:00:02.0": Link(f"../../..{_PCI[4:]}"), f"{_PCI}/class": "0x030000"},
    ],
    ids=["frame buffer", "Hyper-V", "Xen", "graphics card without a driver"],
)
def test_no_driver_is_not_no_screen(more: dict[str, Entry]) -> None:
    """Where something may drive a screen that the kernel does not show, the screens are unknown."""
    assert probe({**_NETWORK_CARD, **more})["display.screens"].form is Form.UNKNOWN
