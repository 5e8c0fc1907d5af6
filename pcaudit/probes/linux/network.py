"""Network adapters, name servers and the proxy."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from posixpath import basename
from typing import Any, Final

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import ethtool
from pcaudit.probes.decode.rtnetlink import Address
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import adapters, reads
from pcaudit.probes.linux.addressing import addressing
from pcaudit.probes.linux.container import container_reason, wsl_reason
from pcaudit.probes.linux.host import Host, Tree
from pcaudit.probes.linux.sysfs import real

_NET: Final = "/sys/class/net"
_MBIT: Final = 10**6
_ETHERNET, _INFINIBAND, _LOOPBACK, _CAN = 1, 32, 772, 280  # linux/if_arp.h
# Values that stand for "unknown" in Mbit/s: SPEED_UNKNOWN (linux/ethtool.h) in 16 and 32 bits.
_NO_SPEED: Final = {65535, 4294967295}
_FASTEST: Final = 10**7
_DOWN: Final = {"down", "notpresent", "lowerlayerdown"}  # RFC 2863, ifOperStatus, as the kernel spells it
_RADIO: Final = {"wlan", "wwan", "bluetooth", "wimax"}  # DEVTYPE in uevent, set by the drivers
_BUSES: Final = {
    *("pci", "usb", "virtio", "platform", "sdio", "mmc", "pcmcia", "ssb", "bcma", "vmbus", "xen", "mdio_bus"),
    *("thunderbolt", "fsl-mc", "auxiliary", "acpi", "of_platform", "amba"),
}
# Linux drivers/net/usb: what phones, management controllers and cables from PC to PC speak, and some
# adapters with a port too. Other adapters have drivers of their own.
_ANY_USB_DEVICE: Final = {
    *("cdc_ether", "cdc_ncm", "cdc_eem", "cdc_subset", "rndis_host", "ipheth", "zaurus"),
    *("net1080", "plusb", "gl620a"),
}
_PROXIES: Final = ("https_proxy", "HTTPS_PROXY", "http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY")
_SECRET: Final = re.compile(r"(?<=//)[^/@]*@|^[^/@]*@")
_MAC: Final = re.compile(r"[0-9a-f]{2}(?::[0-9a-f]{2})+")  # six bytes for Ethernet, twenty for InfiniBand
_STUBS: Final = {"127.0.0.53", "127.0.0.54"}  # systemd-resolved.service(8)


def _bus(tree: Tree, path: str) -> str | None:
    """The bus behind an adapter, None where there is none."""
    device = real(tree, f"{path}/device")
    if device == f"{path}/device" and not tree.exists(device):
        return None
    if "/devices/virtual/" in device:
        return None
    subsystem = real(tree, f"{device}/subsystem")
    return basename(subsystem) if subsystem != f"{device}/subsystem" else "other"


def _radio(tree: Tree, path: str) -> bool:
    if tree.exists(f"{path}/wireless") or tree.exists(f"{path}/phy80211"):
        return True
    events = reads.text(tree, f"{path}/uevent").splitlines()
    return any(line.partition("=")[2] in _RADIO for line in events if line.startswith("DEVTYPE="))


def _may_lack_a_port(tree: Tree, path: str, bus: str | None) -> bool:
    return bus == "usb" and basename(real(tree, f"{path}/device/driver")) in _ANY_USB_DEVICE


def _medium(tree: Tree, path: str, bus: str | None) -> str | None:
    # A part of an adapter that is shared out (SR-IOV) is no port of its own.
    if bus is None or bus == "gadget" or tree.exists(f"{path}/device/physfn"):
        return "virtual"
    if _radio(tree, path):
        return "wireless"
    kind = reads.number(tree, f"{path}/type")
    if kind is None:
        return None
    if kind not in {_ETHERNET, _INFINIBAND}:
        return "virtual"
    return "wired" if bus in _BUSES and not _may_lack_a_port(tree, path, bus) else None


def _link_up(tree: Tree, path: str) -> bool | None:
    carrier = reads.number(tree, f"{path}/carrier")
    state = reads.text(tree, f"{path}/operstate")
    # An adapter that is switched off refuses to say its carrier.
    if carrier is None:
        return False if state in _DOWN else None
    if carrier == 1 and state not in {"up", "dormant", "testing", *_DOWN}:
        return None  # drivers that do not watch the cable ("unknown") always show a carrier
    return carrier == 1 and state == "up"


def _speed(tree: Tree, path: str, link_up: bool | None, medium: str | None) -> int | None:
    if not link_up or medium == "virtual":
        return None
    speed = reads.number(tree, f"{path}/speed")
    if speed is None or speed in _NO_SPEED or not 0 < speed <= _FASTEST:
        return None
    return speed * _MBIT


def _capable_speed(host: Host, name: str, medium: str | None) -> int | None:
    # A recorded host has no kernel to ask.
    if medium == "virtual" or host.tree.root:
        return None
    try:
        return ethtool.fastest(adapters.link_settings(name))
    except OSError:
        return None


def _mac(tree: Tree, path: str) -> str | None:
    address = reads.text(tree, f"{path}/address")
    return address if _MAC.fullmatch(address) and address.strip("0:") else None


def _power_saving(tree: Tree, path: str) -> bool | None:
    state = reads.text(tree, f"{path}/device/power/control")
    return {"auto": True, "on": False}.get(state)


def gateways(routes: str) -> dict[str, str]:
    """The IPv4 gateway of each adapter with a default route, from ``/proc/net/route``."""
    best: dict[str, tuple[int, str]] = {}
    for line in routes.splitlines()[1:]:
        fields = line.split()
        if len(fields) < 8 or fields[1] != "00000000" or fields[7] != "00000000":
            continue
        try:
            # The kernel prints addresses as numbers in the machine's own order: here the low byte first.
            flags, metric, raw = int(fields[3], 16), int(fields[6]), bytes.fromhex(fields[2])[::-1]
        except ValueError:
            continue
        if not flags & 2 or len(raw) != 4:  # RTF_GATEWAY, linux/route.h
            continue
        found = metric, ".".join(map(str, raw))
        best[fields[0]] = min(best.get(fields[0], found), found)
    return {name: gateway for name, (_, gateway) in best.items()}


def _netmask_length(netmask: str) -> int:
    from ipaddress import ip_address

    return int(ip_address(netmask)).bit_count()


def _shaped(given: Mapping[str, Iterable[Any]]) -> dict[str, list[Address]]:
    """Addresses as the recorded host has them."""
    from ipaddress import ip_address

    out: dict[str, list[Address]] = {}
    for name, entries in given.items():
        for entry in entries:
            try:
                address = ip_address(str(entry.address).partition("%")[0])
                length = _netmask_length(entry.netmask)
            except ValueError:
                continue  # a hardware address
            # Nothing here says how long the address lasts: permanent is what leaves it open.
            found = Address(0, f"{address}/{length}", address.version, True)
            out.setdefault(name, []).append(found)
    return out


def _addresses(host: Host) -> dict[str, list[Address]]:
    if host.tree.root:
        return _shaped(host.addresses())
    try:
        found = adapters.addresses()
    except OSError:
        return _shaped(host.addresses())
    names = {reads.number(host.tree, f"{_NET}/{name}/ifindex"): name for name in host.tree.names(_NET)}
    out: dict[str, list[Address]] = {}
    for address in found:
        out.setdefault(names.get(address.adapter) or "", []).append(address)
    return out


def _adapter(host: Host, name: str, addresses: list[Address], gateway: str | None) -> dict[str, Any]:
    tree = host.tree
    path = real(tree, f"{_NET}/{name}")
    bus = _bus(tree, path)
    # What Windows lends to WSL has a bus behind it, but no port of the PC.
    medium = "virtual" if wsl_reason(tree) else _medium(tree, path, bus)
    link_up = _link_up(tree, path)
    return {
        "name": name,
        "medium": medium,
        "bus": bus,
        "link_up": link_up,
        "speed": _speed(tree, path, link_up, medium),
        "capable_speed": _capable_speed(host, name, medium),
        "mtu": reads.number(tree, f"{path}/mtu"),
        "mac": _mac(tree, path),
        "addresses": [address.text for address in addresses],
        "addressing": addressing(tree, name, reads.number(tree, f"{path}/ifindex"), addresses),
        "gateway": gateway,
        "power_saving": _power_saving(tree, path) if medium != "virtual" else None,
    }


def _is_network(tree: Tree, name: str) -> bool:
    kind = reads.number(tree, f"{_NET}/{name}/type")
    return name != "lo" and kind not in {_LOOPBACK, _CAN} and tree.exists(f"{_NET}/{name}/ifindex")


def probe_adapters(host: Host) -> Observations:
    """Reading network.adapters."""
    try:
        names = [name for name in host.tree.names(_NET) if _is_network(host.tree, name)]
    except OSError as error:
        return {"network.adapters": unknown(reads.refusal(_NET, error))}
    addresses = _addresses(host)
    routes = gateways(reads.text(host.tree, "/proc/net/route"))
    items = [_adapter(host, name, addresses.get(name, []), routes.get(name)) for name in names]
    source = "/sys/class/net, rtnetlink, ethtool, /proc/net/route"
    if reason := container_reason(host):
        return {"network.adapters": known(items, source, missing=f"only this container's own: {reason}")}
    return {"network.adapters": known(items, source)}


def _servers(content: str) -> list[str]:
    lines = (line.split() for line in content.splitlines())
    return list(dict.fromkeys(words[1] for words in lines if len(words) > 1 and words[0] == "nameserver"))


def _name_servers(tree: Tree) -> Observation:
    source = "/etc/resolv.conf"
    try:
        servers = _servers(tree.text(source))
    except FileNotFoundError:
        return unknown("there is no /etc/resolv.conf: see which name servers the network set-up gives")
    except OSError as error:
        return unknown(reads.refusal(source, error))
    upstream = "/run/systemd/resolve/resolv.conf"
    if servers and _STUBS.issuperset(servers):
        servers, source = _servers(reads.text(tree, upstream)), upstream
        if not servers:
            return unknown("systemd-resolved answers, but names no servers of its own: run resolvectl")
    return known(servers, source)


def _assigned(content: str) -> dict[str, str]:
    out = {}
    for line in content.splitlines():
        key, equals, value = line.strip().removeprefix("export ").partition("=")
        if equals and not key.startswith("#"):
            out[key.strip()] = value.strip().strip("\"'")
    return out


def _proxy(host: Host) -> Observation:
    file = _assigned(reads.text(host.tree, "/etc/environment"))
    for source, values in (("environment", host.environ), ("/etc/environment", file)):
        for name in _PROXIES:
            if value := values.get(name, "").strip():
                return known(_SECRET.sub("", value), f"{source}: {name}")
    return absent("no proxy in the environment or in /etc/environment")


def probe_settings(host: Host) -> Observations:
    """Readings network.name_servers, network.proxy and network.endpoints."""
    return {
        "network.name_servers": _name_servers(host.tree),
        "network.proxy": _proxy(host),
        "network.endpoints": unknown("no endpoint was asked: name a profile that lists endpoints"),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group network."""
    settings = ("network.name_servers", "network.proxy", "network.endpoints")
    return (
        Probe("network adapters", ("network.adapters",), lambda: probe_adapters(host)),
        Probe("network settings", settings, lambda: probe_settings(host)),
    )
