"""MIB_IF_ROW2 (netioapi.h), the row GetIfTable2 gives for each adapter, as 64-bit Windows lays it out."""

from __future__ import annotations

import struct
from typing import Final, NamedTuple

ROW: Final = 1352
"""Bytes of a row."""

# NDIS_PHYSICAL_MEDIUM, ntddndis.h.
UNSPECIFIED, WIRELESS_LAN, WIRELESS_WAN, NATIVE_802_11, BLUETOOTH, WIMAX, UWB, ETHERNET = (
    *(0, 1, 8, 9, 10, 12, 13, 14),
)
MEDIUM_802_3: Final = 0  # NDIS_MEDIUM, ntddndis.h
# IF_TYPE, ipifcons.h.
TYPE_ETHERNET, TYPE_LOOPBACK, TYPE_WIRELESS, TYPE_TUNNEL = 6, 24, 71, 131
# IF_OPER_STATUS, ifdef.h.
UP, DOWN, NOT_PRESENT, LOWER_LAYER_DOWN = 1, 2, 6, 7
# NET_IF_MEDIA_CONNECT_STATE, ifdef.h.
CONNECTED, DISCONNECTED = 1, 2

_HARDWARE, _FILTER, _CONNECTOR = 1, 2, 4  # InterfaceAndOperStatusFlags, first bit first


class Row(NamedTuple):
    """One adapter.

    Attributes:
        guid: In braces, upper case.
        name: For people, as shown under network connections.
        description: The driver's name for it.
        mac: Hardware address.
        mtu: Bytes.
        type: IF_TYPE.
        medium: NDIS_MEDIUM.
        physical: NDIS_PHYSICAL_MEDIUM.
        hardware: The driver says that it is hardware.
        filter: It is a filter on another adapter, not an adapter.
        connector: It has a socket.
        state: IF_OPER_STATUS.
        connected: NET_IF_MEDIA_CONNECT_STATE.
        transmit, receive: Link speed in bit/s, as given.
    """

    guid: str
    name: str
    description: str
    mac: bytes
    mtu: int
    type: int
    medium: int
    physical: int
    hardware: bool
    filter: bool
    connector: bool
    state: int
    connected: int
    transmit: int
    receive: int


def _guid(data: bytes) -> str:
    # GUID, guiddef.h: a word, two half words, eight bytes.
    first, second, third = struct.unpack_from("<IHH", data)
    rest = data[8:16].hex().upper()
    return f"{{{first:08X}-{second:04X}-{third:04X}-{rest[:4]}-{rest[4:]}}}"


def _text(data: bytes) -> str:
    return data.decode("utf-16-le", "replace").partition("\0")[0]


def _row(data: bytes) -> Row:
    # 0 NET_LUID; 8 index; 12 GUID; 28 WCHAR Alias[257]; 542 WCHAR Description[257]; 1056 length of the
    # address; 1060 UCHAR PhysicalAddress[32], PermanentPhysicalAddress[32].
    (length,) = struct.unpack_from("<I", data, 1056)
    # 1124 Mtu, Type, TunnelType, MediaType, PhysicalMediumType, AccessType, DirectionType; 1152 flags;
    # 1156 OperStatus, AdminStatus, MediaConnectState; NetworkGuid; ConnectionType; 1192 link speeds.
    mtu, kind, _, medium, physical = struct.unpack_from("<5I", data, 1124)
    flags, state, _, connected = struct.unpack_from("<B3xIII", data, 1152)
    transmit, receive = struct.unpack_from("<QQ", data, 1192)
    return Row(
        guid=_guid(data[12:28]),
        name=_text(data[28:542]),
        description=_text(data[542:1056]),
        mac=data[1060 : 1060 + min(length, 32)],
        mtu=mtu,
        type=kind,
        medium=medium,
        physical=physical,
        hardware=bool(flags & _HARDWARE),
        filter=bool(flags & _FILTER),
        connector=bool(flags & _CONNECTOR),
        state=state,
        connected=connected,
        transmit=transmit,
        receive=receive,
    )


def rows(data: bytes) -> list[Row]:
    """The rows of a table; a rest that is cut short is left out."""
    return [_row(data[at : at + ROW]) for at in range(0, len(data) - ROW + 1, ROW)]
