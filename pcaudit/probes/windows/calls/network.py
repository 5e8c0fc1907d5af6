"""What Windows answers about network adapters and proxies."""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterator
from typing import Any, Final, NamedTuple

from pcaudit.probes.windows.calls import devices
from pcaudit.probes.windows.calls.win32 import NoAnswerError, failed, function, last_error, once

_WORD, _LONG, _POINTER = ctypes.c_uint32, ctypes.c_uint64, ctypes.c_void_p
_ROW: Final = 1352  # bytes of MIB_IF_ROW2 on 64-bit Windows, netioapi.h
_MOST_ROWS: Final = 4096
_BUFFER_OVERFLOW, _NO_DATA = 111, 232  # ERROR_BUFFER_OVERFLOW, ERROR_NO_DATA, winerror.h
# GAA_FLAG_SKIP_ANYCAST | GAA_FLAG_SKIP_MULTICAST | GAA_FLAG_INCLUDE_GATEWAYS, iptypes.h.
_WITHOUT_CASTS: Final = 0x2 | 0x4 | 0x80
_LARGEST: Final = 16 << 20
_INET, _INET6 = 2, 23  # AF_INET, AF_INET6, ws2def.h
_DHCP: Final = 0x4  # IP_ADAPTER_DHCP_ENABLED, iptypes.h


class Address(NamedTuple):
    """An address of an adapter.

    Attributes:
        packed: 4 or 16 bytes in network order.
        length: Bits of the network part.
        prefix_origin: NL_PREFIX_ORIGIN, nldef.h: where the network part came from.
        state: NL_DAD_STATE, nldef.h: whether another machine has the same address.
    """

    packed: bytes
    length: int
    prefix_origin: int
    state: int


class Adapter(NamedTuple):
    """What IP knows of an adapter; adapters that no IP is bound to are not among them.

    Attributes:
        guid: In braces.
        name: For people.
        up: It can carry packets.
        dhcp: IPv4 is to come from a DHCP server.
        addresses: Its addresses.
        gateways, name_servers: Packed addresses.
    """

    guid: str
    name: str
    up: bool
    dhcp: bool
    addresses: tuple[Address, ...]
    gateways: tuple[bytes, ...]
    name_servers: tuple[bytes, ...]


class NetworkCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer.

    Attributes:
        interfaces: MIB_IF_ROW2, one after the other.
        adapters: What IP knows.
        present: As ``devices.present``.
        machine_proxy: The PC's own proxy (WinHTTP): kind of access (winhttp.h), and its text.
    """

    interfaces: Callable[[], bytes]
    adapters: Callable[[], list[Adapter]]
    present: Callable[[str], list[str]]
    machine_proxy: Callable[[], tuple[int, str]]


def _ip(name: str, result: Any, *arguments: Any) -> Callable[..., Any]:
    return function("iphlpapi", name, result, *arguments)


def _interfaces() -> bytes:
    table = _POINTER()
    code = _ip("GetIfTable2", _WORD, _POINTER)(ctypes.byref(table))
    if code or not table.value:
        raise failed("GetIfTable2", code)
    try:
        # MIB_IF_TABLE2: ULONG NumEntries; rows, which begin at a multiple of 8.
        count = int.from_bytes(ctypes.string_at(table.value, 4), "little")
        if count > _MOST_ROWS:
            raise NoAnswerError(f"GetIfTable2 gives {count} adapters")
        return ctypes.string_at(table.value + 8, count * _ROW)
    finally:
        _ip("FreeMibTable", None, _POINTER)(table)


class _SocketAddress(ctypes.Structure):
    """SOCKET_ADDRESS, ws2def.h."""

    _fields_ = [("address", _POINTER), ("length", ctypes.c_int)]


class _Entry(ctypes.Structure):
    """The common head of IP_ADAPTER_DNS_SERVER_ADDRESS and IP_ADAPTER_GATEWAY_ADDRESS, iptypes.h."""

    _fields_ = [("length", _WORD), ("reserved", _WORD), ("next", _POINTER), ("address", _SocketAddress)]


class _Unicast(ctypes.Structure):
    """IP_ADAPTER_UNICAST_ADDRESS_LH, iptypes.h."""

    _fields_ = [
        ("length", _WORD),
        ("flags", _WORD),
        ("next", _POINTER),
        ("address", _SocketAddress),
        ("prefix_origin", ctypes.c_int),
        ("suffix_origin", ctypes.c_int),
        ("state", ctypes.c_int),
        ("valid", _WORD),
        ("preferred", _WORD),
        ("lease", _WORD),
        ("prefix", ctypes.c_uint8),
    ]


class _Addresses(ctypes.Structure):
    """IP_ADAPTER_ADDRESSES_LH, iptypes.h, up to the gateways."""

    _fields_ = [
        ("length", _WORD),
        ("index", _WORD),
        ("next", _POINTER),
        ("name", ctypes.c_char_p),
        ("unicast", _POINTER),
        ("anycast", _POINTER),
        ("multicast", _POINTER),
        ("servers", _POINTER),
        ("suffix", _POINTER),
        ("description", ctypes.c_wchar_p),
        ("friendly", ctypes.c_wchar_p),
        ("physical", ctypes.c_uint8 * 8),
        ("physical_length", _WORD),
        ("flags", _WORD),
        ("mtu", _WORD),
        ("type", _WORD),
        ("state", ctypes.c_int),
        ("index6", _WORD),
        ("zones", _WORD * 16),
        ("prefixes", _POINTER),
        ("transmit", _LONG),
        ("receive", _LONG),
        ("wins", _POINTER),
        ("gateways", _POINTER),
    ]


def _walk(kind: Any, first: int | None) -> Iterator[Any]:
    """The entries of a linked list, at most 4096 of them."""
    at = first
    for _ in range(_MOST_ROWS):
        if not at:
            return
        entry = kind.from_address(at)
        yield entry
        at = entry.next


def _packed(given: Any) -> bytes:
    """The bytes of a socket address (ws2def.h, ws2ipdef.h); empty where it is of another family."""
    if not given.address:
        return b""
    family = int.from_bytes(ctypes.string_at(given.address, 2), "little")
    if family == _INET and given.length >= 8:
        return ctypes.string_at(given.address + 4, 4)
    if family == _INET6 and given.length >= 24:
        return ctypes.string_at(given.address + 8, 16)
    return b""


def _adapter(entry: Any) -> Adapter:
    unicast = [
        Address(_packed(each.address), each.prefix, each.prefix_origin, each.state)
        for each in _walk(_Unicast, entry.unicast)
    ]
    gateways = (_packed(each.address) for each in _walk(_Entry, entry.gateways))
    servers = (_packed(each.address) for each in _walk(_Entry, entry.servers))
    return Adapter(
        guid=(entry.name or b"").decode("ascii", "replace").upper(),
        name=entry.friendly or "",
        up=entry.state == 1,  # IfOperStatusUp, ifdef.h
        dhcp=bool(entry.flags & _DHCP),
        addresses=tuple(address for address in unicast if address.packed),
        gateways=tuple(packed for packed in gateways if packed),
        name_servers=tuple(packed for packed in servers if packed),
    )


def _adapters() -> list[Adapter]:
    ask = _ip("GetAdaptersAddresses", _WORD, _WORD, _WORD, _POINTER, _POINTER, _POINTER)
    size = _WORD(32 << 10)
    for _ in range(4):
        buffer = ctypes.create_string_buffer(size.value)
        code = ask(0, _WITHOUT_CASTS, None, buffer, ctypes.byref(size))
        if not code:
            return [_adapter(entry) for entry in _walk(_Addresses, ctypes.addressof(buffer))]
        if code == _NO_DATA:
            return []
        if code != _BUFFER_OVERFLOW or size.value > _LARGEST:
            break
    raise failed("GetAdaptersAddresses", code)


class _ProxyInformation(ctypes.Structure):
    """WINHTTP_PROXY_INFO, winhttp.h."""

    _fields_ = [("access", _WORD), ("proxy", _POINTER), ("bypass", _POINTER)]


def _machine_proxy() -> tuple[int, str]:
    given = _ProxyInformation()
    ask = function("winhttp", "WinHttpGetDefaultProxyConfiguration", ctypes.c_int, _POINTER)
    if not ask(ctypes.byref(given)):
        raise failed("WinHttpGetDefaultProxyConfiguration", last_error())
    text = ctypes.wstring_at(given.proxy) if given.proxy else ""
    free = function("kernel32", "GlobalFree", _POINTER, _POINTER)
    for pointer in (given.proxy, given.bypass):
        if pointer:
            free(pointer)
    return given.access, text


def live() -> NetworkCalls:
    """The calls of this PC."""
    return NetworkCalls(
        interfaces=_interfaces,
        adapters=once(_adapters),
        present=devices.present,
        machine_proxy=_machine_proxy,
    )
