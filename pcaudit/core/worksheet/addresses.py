"""Addresses, subnets and ranges as people write them, IPv4 and IPv6."""

from __future__ import annotations

import re
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network
from typing import Final, NamedTuple

Address = IPv4Address | IPv6Address
Subnet = IPv4Network | IPv6Network

_BETWEEN: Final = re.compile(r"\s*(?:-|\u2013|\bto\b)\s*")
_LEADING_ZERO: Final = re.compile(r"(?<![0-9])0+(?=[0-9])")


_USUAL: Final = {4: 24, 6: 64}
"""Prefix length of a LAN, for hints; of IPv6 by RFC 4291, section 2.5.4."""


class AddressError(ValueError):
    """Text that is no address, subnet or range; the message says why, ``hint`` what would be right."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


class Range(NamedTuple):
    """Addresses from one to another, both included."""

    first: Address
    last: Address

    def holds(self, address: Address) -> bool:
        """Whether an address is in it."""
        return address.version == self.first.version and int(self.first) <= int(address) <= int(self.last)

    @property
    def shown(self) -> str:
        """For people."""
        return f"{self.first}-{self.last}" if self.first != self.last else str(self.first)


def read_address(text: str) -> Address:
    """Read one address: ``10.20.30.5``, ``fd12:3456::5``.

    Raises:
        AddressError: It is none, or more than one.
    """
    if "/" in text:
        hint = f"write {text.partition('/')[0]:.40}; the subnet of its LAN says the rest"
        raise AddressError(f"{text!r:.60} is an address with a prefix length", hint)
    if "%" in text:
        raise AddressError(f"{text!r:.60} names an adapter of one PC", f"write {text.partition('%')[0]:.40}")
    try:
        address = ip_address(text)
    except ValueError:
        raise AddressError(f"{text!r:.60} is no address", _address_hint(text)) from None
    inner = address.ipv4_mapped if isinstance(address, IPv6Address) else None
    if inner:  # RFC 4291, section 2.5.5.2: an IPv4 host, which compares unlike its own address
        raise AddressError(
            f"{text!r:.60} is an IPv4 address in the notation of IPv6",
            f"write {inner}; of a subnet, its prefix length for IPv4 too",
        )
    return address


def _address_hint(text: str) -> str:
    parts = text.split(".")
    if len(parts) == 4 and all(part.isascii() and part.isdigit() for part in parts):
        bare = _LEADING_ZERO.sub("", text)
        if all(int(part[:4]) <= 255 for part in parts):
            return f"zeros in front have two meanings: write {bare}"
        return "each of the four numbers is from 0 to 255"
    return "write 10.20.30.5, or fd12:3456::5"


def read_subnet(text: str) -> Subnet:
    """Read a subnet in CIDR notation (RFC 4632, RFC 4291): ``10.20.30.0/24``; a mask will do too.

    Raises:
        AddressError: It is none, has bits set behind its prefix, or no room for two hosts.
    """
    start, slash, length = text.partition("/")
    address = read_address(start.strip())
    usual = f"{address}/{_USUAL[address.version]}"
    if not slash:
        right = f"write {usual}" + (" for the mask 255.255.255.0" if address.version == 4 else "")
        raise AddressError(f"{text!r:.60} has no prefix length", right)
    try:
        subnet = ip_network(f"{address}/{_prefix(length.strip(), address)}", strict=False)
    except ValueError:
        most = address.max_prefixlen
        hint = f"write {usual}, a number from 1 to {most - 1}"
        raise AddressError(f"{length!r:.60} is no prefix length", hint) from None
    if subnet.network_address != address:
        hint = f"the subnet it lies in is {subnet}"
        raise AddressError(f"{text!r:.60} is an address in a subnet, not a subnet", hint)
    if not 0 < subnet.prefixlen < subnet.max_prefixlen:
        what = "every address there is" if subnet.prefixlen == 0 else "one address"
        raise AddressError(f"{text!r:.60} holds {what}", f"write the subnet of the LAN, such as {usual}")
    return subnet


def _prefix(length: str, address: Address) -> str:
    """The prefix length; of a mask, which Python would also take the wrong way round, its own."""
    if "." not in length or address.version != 4:
        return length
    bits = f"{int(IPv4Address(length)):032b}"
    if "01" in bits:
        raise ValueError("not a mask")
    return str(bits.count("1"))


def read_range(text: str) -> Range:
    """Read a range of addresses: ``10.20.30.100-10.20.30.199``, or one address.

    Raises:
        AddressError: An end is no address, or it ends before it begins.
    """
    ends = _BETWEEN.split(text)
    if len(ends) > 2:
        hint = "write 10.20.30.100-10.20.30.199, each range as a text of its own"
        raise AddressError(f"{text!r:.60} is no range", hint)
    first, last = read_address(ends[0]), read_address(ends[-1])
    if first.version != last.version:
        raise AddressError(f"{text!r:.60} mixes IPv4 and IPv6", "write a range for each")
    if int(first) > int(last):
        raise AddressError(f"{text!r:.60} ends before it begins", f"write {last}-{first}")
    return Range(first, last)
