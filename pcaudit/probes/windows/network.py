"""Network adapters and name servers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import windows_network as decode
from pcaudit.probes.decode.windows_network import Row
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.addressing import addressing
from pcaudit.probes.windows.ask import container_reason
from pcaudit.probes.windows.calls.network import Adapter
from pcaudit.probes.windows.cards import CLASS, Card, capable_speed, cards, connection_name, power_saving
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.proxy import proxy

Bound = Mapping[str, Adapter]
"""What IP knows of adapters, by their identifiers."""
_RADIO: Final = {
    *(decode.WIRELESS_LAN, decode.WIRELESS_WAN, decode.NATIVE_802_11),
    *(decode.BLUETOOTH, decode.WIMAX, decode.UWB),
}
_NOT_ADAPTERS: Final = {decode.TYPE_LOOPBACK, decode.TYPE_TUNNEL}
_NO_SPEED: Final = {0, (1 << 32) - 1, (1 << 64) - 1}
_FASTEST: Final = 10**13
_INVALID, _DUPLICATE = 0, 2  # NL_DAD_STATE, nldef.h
_SOURCE: Final = "GetIfTable2, GetAdaptersAddresses, registry of network cards"
# What Windows lists for an adapter that was given no name server (draft-ietf-ipv6-dns-discovery-07).
_PLACEHOLDER: Final = bytes.fromhex("fec00000ffff")


def _by_type(physical: int | None, kind: int | None) -> str | None:
    """Wired or wireless, from what the driver says of its medium; None where that is neither."""
    if physical in _RADIO or kind == decode.TYPE_WIRELESS:
        return "wireless"
    if physical in {decode.UNSPECIFIED, decode.ETHERNET, None} and kind == decode.TYPE_ETHERNET:
        return "wired"
    return None


def _medium(row: Row, card: Card | None) -> str | None:
    """Wired or wireless only where driver and bus agree that there is hardware."""
    if card is None or not card.device:
        return None if row.hardware else "virtual"
    if card.program:
        return "virtual"
    if card.bus is None or not row.hardware:
        return None
    found = _by_type(row.physical, row.type)
    return None if found == "wired" and row.medium != decode.MEDIUM_802_3 else found


def _link_up(row: Row) -> bool | None:
    if row.state == decode.UP and row.connected == decode.CONNECTED:
        return True
    down = {decode.DOWN, decode.NOT_PRESENT, decode.LOWER_LAYER_DOWN}
    return False if row.connected == decode.DISCONNECTED or row.state in down else None


def _speed(row: Row, medium: str | None) -> int | None:
    if not _link_up(row) or medium == "virtual":
        return None
    given = {row.transmit, row.receive}
    return min(given) if not given & _NO_SPEED and max(given) <= _FASTEST else None


def _texts(packed: tuple[bytes, ...]) -> list[str]:
    from ipaddress import ip_address

    return [str(ip_address(each)) for each in packed]


def _addresses(adapter: Adapter | None) -> list[str]:
    if adapter is None:
        return []
    usable = [each for each in adapter.addresses if each.state not in {_INVALID, _DUPLICATE}]
    texts = _texts(tuple(each.packed for each in usable))
    return [f"{text}/{each.length}" for text, each in zip(texts, usable, strict=True)]


def _gateway(adapter: Adapter | None) -> str | None:
    found = _texts(tuple(each for each in (adapter.gateways if adapter else ()) if len(each) == 4))
    return found[0] if found else None


def _mac(row: Row) -> str | None:
    return row.mac.hex(":") if any(row.mac) else None


def _capable(host: Host, card: Card, speed: int | None) -> int | None:
    fastest = capable_speed(host, card)
    # A link faster than every speed the driver lists shows that its list is not whole.
    return fastest if fastest is not None and fastest >= (speed or 0) else None


def _item(host: Host, row: Row, bound: Bound | None, card: Card | None) -> dict[str, Any]:
    adapter = bound.get(row.guid) if bound is not None else None
    medium = _medium(row, card)
    speed = _speed(row, medium)
    physical = card if card and medium != "virtual" else None
    return {
        "name": (adapter.name if adapter else "") or row.name or row.description or None,
        "medium": medium,
        "bus": card.bus if card else None,
        "link_up": _link_up(row),
        "speed": speed,
        "capable_speed": _capable(host, physical, speed) if physical and medium == "wired" else None,
        "mtu": row.mtu,
        "mac": _mac(row),
        "addresses": None if bound is None else _addresses(adapter),
        "addressing": addressing(host, adapter),
        "gateway": _gateway(adapter),
        "power_saving": power_saving(host, physical) if physical else None,
    }


def _silent(host: Host, guid: str, card: Card) -> dict[str, Any]:
    """A card that is here but has no adapter, as when it is switched off in Device Manager."""
    physical = reads.number(host.registry, card.path, "*PhysicalMediaType")
    kind = reads.number(host.registry, card.path, "*IfType")
    medium = _by_type(physical, kind)
    return {
        "name": connection_name(host, guid) or reads.text(host.registry, card.path, "DriverDesc") or None,
        "medium": medium,
        "bus": card.bus,
        "link_up": False,
        "capable_speed": capable_speed(host, card) if medium == "wired" else None,
        "power_saving": power_saving(host, card),
    }


def _present(host: Host) -> set[str] | None:
    """Devices of network cards that are here now, None where Windows does not say."""
    try:
        return {device.upper() for device in host.network.present(CLASS)}
    except OSError:
        return None


def _shown(rows: list[Row], bound: Bound | None) -> list[Row]:
    """The rows that are adapters: no filters, no loopback, and no miniports nobody uses."""
    used = bound or {}
    return [
        row
        for row in rows
        if not row.filter
        and row.type not in _NOT_ADAPTERS
        and (row.hardware or row.connector or row.guid in used)
    ]


def _bound(host: Host) -> tuple[Bound | None, str]:
    """What IP knows, and what cannot be seen where Windows does not say."""
    try:
        return {adapter.guid: adapter for adapter in host.network.adapters()}, ""
    except OSError as error:
        return None, f"adapters that are programs may be missing: {error}"


def probe_adapters(host: Host) -> Observations:
    """Reading network.adapters."""
    rows = decode.rows(host.network.interfaces())
    bound, missing = _bound(host)
    if reason := container_reason(host):
        missing = f"only this container's own: {reason}"
    known_cards, here = cards(host), _present(host)

    def gone(card: Card | None) -> bool:
        return bool(card and card.device and here is not None and card.device.upper() not in here)

    items = []
    for row in _shown(rows, bound):
        card = known_cards.pop(row.guid, None)
        if not gone(card):
            items.append(_item(host, row, bound, card))
    listed = {row.guid for row in rows}
    items += [
        _silent(host, guid, card)
        for guid, card in known_cards.items()
        if here is not None and card.bus and not gone(card) and guid not in listed
    ]
    return {"network.adapters": known(items, _SOURCE, missing=missing)}


def _name_servers(host: Host) -> Observation:
    try:
        adapters = host.network.adapters()
    except OSError as error:
        return unknown(f"Windows does not list its name servers ({error}): run ipconfig /all")
    packed = [server for adapter in adapters if adapter.up for server in adapter.name_servers]
    real = tuple(server for server in packed if not server.startswith(_PLACEHOLDER))
    return known(list(dict.fromkeys(_texts(real))), "GetAdaptersAddresses")


def probe_settings(host: Host) -> Observations:
    """Readings network.name_servers, network.proxy and network.endpoints."""
    return {
        "network.name_servers": _name_servers(host),
        "network.proxy": proxy(host),
        "network.endpoints": unknown("no endpoint was asked: name a profile that lists endpoints"),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group network."""
    settings = ("network.name_servers", "network.proxy", "network.endpoints")
    return (
        Probe("network adapters", ("network.adapters",), lambda: probe_adapters(host)),
        Probe("network settings", settings, lambda: probe_settings(host)),
    )
