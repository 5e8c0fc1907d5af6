"""Addresses of network adapters: answers to RTM_GETADDR, rtnetlink(7)."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Final, NamedTuple

_MESSAGE: Final = struct.Struct("=IHHII")  # struct nlmsghdr, linux/netlink.h
_ADDRESS: Final = struct.Struct("=BBBBI")  # struct ifaddrmsg, linux/if_addr.h
_ATTRIBUTE: Final = struct.Struct("=HH")  # struct rtattr, linux/rtnetlink.h
NEW_ADDRESS: Final = 20
DONE: Final = 3
_IFA_ADDRESS, _IFA_LOCAL, _IFA_FLAGS = 1, 2, 8
_PERMANENT: Final = 0x80  # IFA_F_PERMANENT: no limited lifetime


class Address(NamedTuple):
    """One address.

    Attributes:
        adapter: Number of the adapter.
        text: ``192.0.2.2/24``.
        version: 4 or 6.
        permanent: Whether it has no limited lifetime; one from DHCP usually has.
    """

    adapter: int
    text: str
    version: int
    permanent: bool


def messages(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Type and body of each message in a datagram."""
    at = 0
    while at + _MESSAGE.size <= len(data):
        length, kind, *_ = _MESSAGE.unpack_from(data, at)
        if length < _MESSAGE.size:
            return
        yield kind, data[at + _MESSAGE.size : at + length]
        at += (length + 3) & ~3


def _attributes(data: bytes) -> dict[int, bytes]:
    out = {}
    at = 0
    while at + _ATTRIBUTE.size <= len(data):
        length, kind = _ATTRIBUTE.unpack_from(data, at)
        if length < _ATTRIBUTE.size:
            break
        out[kind] = data[at + _ATTRIBUTE.size : at + length]
        at += (length + 3) & ~3
    return out


def _address(body: bytes) -> Address | None:
    from socket import AF_INET, AF_INET6, inet_ntop

    if len(body) < _ADDRESS.size:
        return None
    _family, prefix, flags, _scope, index = _ADDRESS.unpack_from(body)
    attributes = _attributes(body[_ADDRESS.size :])
    # On a point-to-point link IFA_ADDRESS is the far end; IFA_LOCAL is always this one.
    raw = attributes.get(_IFA_LOCAL) or attributes.get(_IFA_ADDRESS) or b""
    if len(raw) not in {4, 16}:
        return None
    if len(attributes.get(_IFA_FLAGS, b"")) == 4:
        flags = int.from_bytes(attributes[_IFA_FLAGS], "little" if _LITTLE else "big")
    version = 4 if len(raw) == 4 else 6
    text = inet_ntop(AF_INET if version == 4 else AF_INET6, raw)
    return Address(index, f"{text}/{prefix}", version, bool(flags & _PERMANENT))


_LITTLE: Final = struct.pack("=H", 1) == b"\1\0"


def addresses(datagrams: list[bytes]) -> list[Address]:
    """The addresses in the answer, in the kernel's order."""
    found = []
    for datagram in datagrams:
        for kind, body in messages(datagram):
            address = _address(body) if kind == NEW_ADDRESS else None
            if address is not None:
                found.append(address)
    return found
