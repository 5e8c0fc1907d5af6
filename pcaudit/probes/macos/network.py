"""Network adapters, name servers and the proxy."""

from __future__ import annotations

import re
from typing import Any, Final, NamedTuple

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import macos_documents, macos_network, macos_text
from pcaudit.probes.decode.macos_network import Interface, Noted
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, machine
from pcaudit.probes.macos.host import Host

_IFCONFIG: Final = ("/sbin/ifconfig", "-a", "-m")
_ROUTES: Final = ("/usr/sbin/netstat", "-r", "-n", "-f", "inet")
_NOTES: Final = "/Library/Preferences/SystemConfiguration/NetworkInterfaces.plist"
_PROFILE: Final = "SPNetworkDataType"
_SETTINGS: Final = ("network.name_servers", "network.proxy", "network.endpoints")
# ConfigMethod of SPNetworkDataType: the words of Apple's System Configuration schema.
_METHODS: Final = {"DHCP": "dynamic", "BOOTP": "dynamic", "Manual": "static"}
# Drivers of interfaces that are no ports for a network cable: IP over Thunderbolt, the Mac as a device of
# another one (which macOS hides from its settings). Names from Apple's I/O registry.
_NO_PORT: Final = ("AppleThunderboltIP", "AppleUSBDeviceNCM")
_RADIO: Final = ("IOBluetoothBNEP",)
# SCNetworkInterfaceType: the words of Apple's System Configuration framework.
_TYPES: Final = {
    **dict.fromkeys(("IEEE80211", "Bluetooth", "WWAN"), "wireless"),
    **dict.fromkeys(("Bridge", "VLAN", "Bond", "6to4", "PPP", "PPTP", "L2TP", "IPSec", "VPN"), "virtual"),
}
_BUSES: Final = {"virtio": "virtio", "usb": "usb", "pci": "pci"}
_PROXIES: Final = ("https_proxy", "HTTPS_PROXY", "http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY")
_SECRET: Final = re.compile(r"(?<=//)[^/@]*@|^[^/@]*@")


class _Around(NamedTuple):
    """What is known of all interfaces together."""

    noted: dict[str, Noted]
    methods: dict[str, str | None]
    gateways: dict[str, str]
    virtual: bool


def _methods(entries: list[dict[str, Any]]) -> dict[str, str | None]:
    """How each interface gets its address; None where its services differ."""
    found: dict[str, str | None] = {}
    for entry in entries:
        name, settings = macos_documents.word(entry, "interface"), entry.get("IPv4")
        if not name or not isinstance(settings, dict):
            continue
        method = _METHODS.get(macos_documents.word(settings, "ConfigMethod"))
        found[name] = method if found.get(name, method) == method else None
    return found


def _note(interface: Interface, around: _Around) -> Noted | None:
    """What macOS notes of this very interface, not of another that once had its name."""
    note = around.noted.get(interface.name)
    if note is None:
        return None
    # A wireless adapter may show the network another address than its own.
    same = note.type == "IEEE80211" or not note.mac or note.mac == interface.mac.casefold()
    return note if same else None


def _medium(interface: Interface, note: Noted | None, virtual: bool) -> str | None:
    if note is None:
        # Hardware is called en and a number; what software makes has other names.
        return None if re.fullmatch(r"en\d+", interface.name) else "virtual"
    if note.type != "Ethernet":
        return _TYPES.get(note.type)
    if any(name in note.path for name in _RADIO):
        return "wireless"
    if any(name in note.path for name in _NO_PORT):
        return "virtual"
    # A port for a cable supports Ethernet's media; a virtual machine's adapter names none.
    return "wired" if interface.fastest or virtual else None


def _bus(note: Noted | None) -> str | None:
    path = note.path.casefold() if note else ""
    return next((word for mark, word in _BUSES.items() if mark in path), None)


def _item(interface: Interface, around: _Around) -> dict[str, Any]:
    note = _note(interface, around)
    medium = _medium(interface, note, around.virtual)
    own = [address for address in interface.addresses if "." in address]
    return {
        "name": interface.name,
        "medium": medium,
        "bus": _bus(note) if medium != "virtual" else None,
        "link_up": interface.link_up,
        "speed": interface.speed if medium == "wired" else None,
        "capable_speed": interface.fastest if medium == "wired" else None,
        "mtu": interface.mtu,
        "mac": interface.mac or None,
        "addresses": list(interface.addresses),
        "addressing": around.methods.get(interface.name) if own else None,
        "gateway": around.gateways.get(interface.name),
        "power_saving": None,
    }


def probe_adapters(host: Host) -> Observations:
    """Reading network.adapters."""
    printed = ask.text(host, _IFCONFIG)
    interfaces = macos_network.interfaces(printed.value or "")
    if not interfaces:
        return {"network.adapters": unknown(printed.why or "ifconfig lists no interface: run it by hand")}
    around = _Around(
        noted=macos_network.noted(ask.file_plist(host, _NOTES).value or {}),
        methods=_methods(ask.profile(host, _PROFILE).value or []),
        gateways=macos_network.gateways(ask.text(host, _ROUTES).value or ""),
        virtual=machine.virtual(host).value is True,
    )
    items = [_item(interface, around) for interface in interfaces if not interface.loopback]
    source = f"ifconfig -a -m, {_NOTES}, system_profiler {_PROFILE}, netstat -r"
    return {"network.adapters": known(items, source)}


def _name_servers(host: Host) -> Observation:
    printed = ask.text(host, ("/usr/sbin/scutil", "--dns"))
    servers = macos_network.name_servers(printed.value or "")
    if servers is None:
        return unknown(printed.why or "scutil --dns gives no answer that can be read: run it by hand")
    return known(servers, "scutil --dns")


def _chosen(settings: dict[str, str]) -> Observation | None:
    """The proxy that the system settings choose, None where they choose none."""
    if settings.get("ProxyAutoConfigEnable") == "1":
        script = settings.get("ProxyAutoConfigURLString")
        if not script:
            return unknown("a proxy script is switched on but not named: look in the proxy settings")
        return known(_SECRET.sub("", script), "scutil --proxy: a script chooses")
    if settings.get("ProxyAutoDiscoveryEnable") == "1":
        return unknown("the network is asked for a proxy (WPAD): look which one it gives")
    for kind in ("HTTPS", "HTTP", "SOCKS"):
        if settings.get(f"{kind}Enable") == "1":
            name, port = settings.get(f"{kind}Proxy", ""), settings.get(f"{kind}Port", "")
            if not name:
                return unknown("a proxy is switched on but not named: look in the proxy settings")
            return known(_SECRET.sub("", name) + (f":{port}" if port else ""), f"scutil --proxy: {kind}")
    return None


def _proxy(host: Host) -> Observation:
    printed = ask.text(host, ("/usr/sbin/scutil", "--proxy"))
    settings = macos_text.dictionary(printed.value or "")
    if settings is None:
        return unknown(printed.why or "scutil --proxy gives no answer that can be read: run it by hand")
    if chosen := _chosen(settings):
        return chosen
    for name in _PROXIES:
        if value := host.environ.get(name, "").strip():
            return known(_SECRET.sub("", value), f"environment: {name}")
    return absent("no proxy in the system settings or in the environment", "scutil --proxy")


def probe_settings(host: Host) -> Observations:
    """Readings network.name_servers, network.proxy and network.endpoints."""
    return {
        "network.name_servers": _name_servers(host),
        "network.proxy": _proxy(host),
        "network.endpoints": unknown("no endpoint was asked: name a profile that lists endpoints"),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group network."""
    return (
        Probe("network adapters", ("network.adapters",), lambda: probe_adapters(host), 35.0),
        Probe("network settings", _SETTINGS, lambda: probe_settings(host), 15.0),
    )
