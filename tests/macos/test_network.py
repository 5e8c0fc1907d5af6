"""Network: what is a port for a cable, what is not, and links as they are."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.snapshot import Form
from pcaudit.probes.decode import macos_network
from tests.macos import macs
from tests.macos.recorded import Mac, plist, read, snapshot

_NOTES = "/Library/Preferences/SystemConfiguration/NetworkInterfaces.plist"

_LOOPBACK_AND_PORT = (
    "lo0: flags=8049<UP,LOOPBACK> mtu 16384\nen0: flags=8863<UP> mtu 1500\n\tether 02:00:5e:00:53:01\n{media}"
)


def _adapters(mac: Mac) -> dict[str, dict[str, Any]]:
    return {adapter["name"]: adapter for adapter in read(mac, "network.adapters").value}


def test_each_interface_has_its_medium() -> None:
    """IP over Thunderbolt, the Mac as a USB device and bridges are no ports for a cable."""
    media = {name: adapter["medium"] for name, adapter in _adapters(macs.DESKTOP).items()}
    assert media == {
        "gif0": "virtual",
        "en0": "wired",
        "en1": "wireless",
        "en2": "virtual",
        "en5": "virtual",
        "en7": "wired",
        "bridge0": "virtual",
    }


def test_a_desktop_has_as_many_wired_adapters_as_ports() -> None:
    """With every interface told apart, the count is exact."""
    count = Readings(snapshot(macs.DESKTOP), Knowledge()).get("network.wired_count")
    assert (count.form, count.value) == (Form.KNOWN, 2)


def test_a_type_that_is_not_known_is_not_guessed() -> None:
    """An interface of another type may be anything."""
    note = macs.note("en0", "02:00:5e:00:53:01", "IOService:/en0", "FireWire")
    mac = macs.DESKTOP.holding({_NOTES: plist({"Interfaces": [note]})})
    assert _adapters(mac)["en0"]["medium"] is None


def test_a_port_is_read_with_its_link() -> None:
    """The built-in port: its bus, its link, what it could do, its addresses and where they come from."""
    assert _adapters(macs.DESKTOP)["en0"] == {
        "name": "en0",
        "medium": "wired",
        "bus": "pci",
        "link_up": True,
        "speed": 10**9,
        "capable_speed": 10**10,
        "mtu": 1500,
        "mac": "02:00:5e:00:53:01",
        "addresses": ["fe80::1c2d/64", "192.0.2.7/24"],
        "addressing": "dynamic",
        "gateway": "192.0.2.1",
        "power_saving": None,
    }


def test_a_port_without_a_cable_is_down() -> None:
    """Trap N3: an interface is up although no cable is in; its media status tells."""
    port = _adapters(macs.DESKTOP)["en7"]
    assert (port["link_up"], port["speed"], port["capable_speed"]) == (False, None, 10**9)
    assert (port["addressing"], port["bus"], port["gateway"]) == ("static", "usb", None)


def test_a_name_that_another_adapter_once_had_proves_nothing() -> None:
    """Notes of an interface with another hardware address are those of an adapter that is gone."""
    note = macs.note("en0", "02:00:5e:00:53:ff", "IOService:/lan@0/en0")
    mac = macs.DESKTOP.holding({_NOTES: plist({"Interfaces": [note]})})
    assert _adapters(mac)["en0"]["medium"] is None


def test_without_notes_hardware_is_unknown() -> None:
    """Where the notes cannot be read, no adapter called en is taken for wired."""
    mac = macs.DESKTOP.holding({_NOTES: PermissionError(13, "Permission denied")})
    media = {name: adapter["medium"] for name, adapter in _adapters(mac).items()}
    assert (media["en0"], media["en7"], media["gif0"]) == (None, None, "virtual")
    count = Readings(snapshot(mac), Knowledge()).get("network.wired_count")
    assert (count.form, count.value) == (Form.AT_LEAST, 0)


def test_a_guests_adapter_is_wired() -> None:
    """A virtual machine's adapter has a bus behind it and is read as the PC it presents."""
    adapter = _adapters(macs.GUEST)["en0"]
    assert (adapter["medium"], adapter["bus"], adapter["capable_speed"]) == ("wired", "virtio", None)


# Media names: ifconfig(8) outputs recorded by others, and net/if_media.h of XNU.
@pytest.mark.parametrize(
    ("text", "speed"),
    [
        ("autoselect (1000baseT <full-duplex>)", 10**9),
        ("autoselect (2500Base-T <full-duplex>)", 2_500_000_000),
        ("autoselect (2.5GbaseT <full-duplex>)", 2_500_000_000),
        ("10GbaseT <full-duplex>", 10**10),
        ("100baseTX <full-duplex>", 10**8),
        ("autoselect (<unknown type>)", None),
        ("autoselect (none)", None),
        ("autoselect <full-duplex>", None),
    ],
)
def test_media_names_have_a_speed(text: str, speed: int | None) -> None:
    """Only Ethernet's own media names tell a speed."""
    assert macos_network.media_speed(text) == speed


def test_a_link_that_is_down_has_no_speed() -> None:
    """A speed that was chosen by hand is none while the link is down."""
    text = "en0: flags=8863<UP> mtu 1500\n\tmedia: 1000baseT <full-duplex>\n\tstatus: inactive\n"
    assert macos_network.interfaces(text)[0].speed is None
    assert macos_network.interfaces(text.replace("inactive", "active"))[0].speed == 10**9


def test_hardware_that_names_no_media_may_be_anything() -> None:
    """An adapter of type Ethernet is a port for a cable only where it supports Ethernet's media."""
    text = _LOOPBACK_AND_PORT.format(media="\tmedia: autoselect\n\tstatus: active\n")
    assert _adapters(macs.DESKTOP.saying({"ifconfig -a -m": text}))["en0"]["medium"] is None
    text = _LOOPBACK_AND_PORT.format(media="\tsupported media:\n\t\tmedia 1000baseT\n")
    assert _adapters(macs.DESKTOP.saying({"ifconfig -a -m": text}))["en0"]["medium"] == "wired"


def test_a_route_without_a_gateway_has_none() -> None:
    """Only routes marked with G lead over a gateway, netstat(1)."""
    text = "default 192.0.2.9 UCS en1\ndefault 192.0.2.1 UGSc en0\ndefault 192.0.2.2 UGSc en0\n"
    assert macos_network.gateways(text) == {"en0": "192.0.2.1"}


def test_two_services_that_differ_leave_addressing_open() -> None:
    """An interface with a static and a dynamic service has neither for certain."""
    entries = [{"interface": "en0", "IPv4": {"ConfigMethod": method}} for method in ("DHCP", "Manual")]
    answer = {"system_profiler -json SPNetworkDataType": macs.profile("SPNetworkDataType", entries)}
    assert _adapters(macs.DESKTOP.saying(answer))["en0"]["addressing"] is None


@pytest.mark.parametrize(
    ("settings", "proxy"),
    [
        (
            "  HTTPEnable : 1\n  HTTPPort : 8080\n  HTTPProxy : user:word@proxy.example\n",
            "proxy.example:8080",
        ),
        ("  HTTPEnable : 0\n  HTTPPort : 8080\n  HTTPProxy : proxy.example\n", None),
        ("  __SCOPED__ : <dictionary> {\n    HTTPEnable : 1\n    HTTPProxy : a.example\n  }\n", None),
        (
            "  ProxyAutoConfigEnable : 1\n  ProxyAutoConfigURLString : http://proxy.example/wpad.dat\n",
            "http://proxy.example/wpad.dat",
        ),
    ],
)
def test_a_proxy_counts_where_it_is_switched_on(settings: str, proxy: str | None) -> None:
    """A proxy that is noted but off is none, and a password in one is not kept."""
    seen = read(macs.DESKTOP.saying({"scutil --proxy": f"<dictionary> {{\n{settings}}}\n"}), "network.proxy")
    assert seen.value == proxy
    assert (seen.form is Form.ABSENT) == (proxy is None)


@pytest.mark.parametrize(
    "printed",
    [
        "<dictionary> {\n  HTTPEnable : 0\n",
        "<dictionary> {\n  ProxyAutoDiscoveryEnable : 1\n}\n",
        "<dictionary> {\n  HTTPSEnable : 1\n}\n",
    ],
)
def test_a_proxy_that_cannot_be_told_is_unknown(printed: str) -> None:
    """A dictionary cut off, a proxy the network names, and one without a name prove no absence."""
    assert read(macs.DESKTOP.saying({"scutil --proxy": printed}), "network.proxy").form is Form.UNKNOWN


def test_without_any_resolver_there_are_no_name_servers() -> None:
    """That there is none is said in words, which is an answer."""
    mac = macs.DESKTOP.saying({"scutil --dns": "No DNS configuration available\n"})
    assert read(mac, "network.name_servers").value == []
