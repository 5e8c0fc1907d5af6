"""How long a copy takes through a link: a lower bound, and a cautious estimate.

A lower bound can show that a job does not fit; it never shows that one does. So each job has two
times: the least, at what the link can carry, and a cautious one. A measured rate takes the place of
both.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Final, NamedTuple

from pcaudit.core.worksheet.backup import Destination

# Octets around the payload of an Ethernet frame: IEEE 802.3-2022, 3.1.1 (packet format) and 4.4.2
# (interpacket gap of 96 bits); IEEE 802.1Q-2022, 9.3 (tag).
_PREAMBLE: Final = 8
_ADDRESSES_AND_TYPE: Final = 14
_FRAME_CHECK: Final = 4
_GAP: Final = 12
_TAG: Final = 4
# Headers inside it, without options: RFC 791 3.1, RFC 8200 3, RFC 793 3.1; the timestamps option of
# RFC 7323 3.2 takes 10 octets, sent as 12.
_IPV4: Final = 20
_IPV6: Final = 40
_TCP: Final = 20
_TIMESTAMPS: Final = 12

CAUTIOUS: Final = Fraction(400_000_000)
"""Rate that copies of many files to one disk reach, bit/s: 50 MB/s (common practice, no source)."""

CAUTIOUS_SHARE: Final = Fraction(1, 2)
"""Share of a link's goodput that file protocols and other traffic leave (common practice, no source)."""

ETHERNET_SOURCE: Final = "IEEE 802.3; RFC 791; RFC 793"
"""Where the goodput comes from."""

_OVER_ETHERNET: Final = ("file server", "cloud")


def goodput(mtu: int = 1500, *, vlan: bool = False, ipv6: bool = False, timestamps: bool = False) -> Fraction:
    """Share of an Ethernet link's rate that carries the data of a TCP stream.

    Args:
        mtu: Octets of an IP packet: 1500, or 9000 where every device takes jumbo frames.
        vlan: Whether frames carry an IEEE 802.1Q tag.
        ipv6: Whether the packets are IPv6.
        timestamps: Whether TCP sends timestamps.

    Returns:
        1460/1538 for a full frame of IPv4 without options.
    """
    headers = (_IPV6 if ipv6 else _IPV4) + _TCP + (_TIMESTAMPS if timestamps else 0)
    around = _PREAMBLE + _ADDRESSES_AND_TYPE + _FRAME_CHECK + _GAP + (_TAG if vlan else 0)
    return Fraction(mtu - headers, mtu + around)


class Rates(NamedTuple):
    """Rates of copies to a destination, bit/s.

    Attributes:
        fastest: No copy is faster.
        cautious: A copy is hardly slower; None where only measuring tells.
        measured: Whether both are what the lab measured.
        share: Share of the link's rate that ``fastest`` is.
    """

    fastest: Fraction
    cautious: Fraction | None
    measured: bool
    share: Fraction


def rates(destination: Destination) -> Rates | None:
    """The rates of copies to a destination; None where neither link nor a measured rate is given.

    A file server and a cloud are reached over Ethernet, a disk or tape through its interface. What
    an optical drive writes has little to do with its interface.
    """
    if destination.measured is not None:
        return Rates(destination.measured, destination.measured, measured=True, share=Fraction(1))
    if destination.link is None:
        return None
    ethernet = destination.kind in _OVER_ETHERNET
    share = goodput(destination.mtu, vlan=destination.vlan) if ethernet else Fraction(1)
    fastest = destination.link * share
    cautious = None if destination.kind == "optical" else min(fastest * CAUTIOUS_SHARE, CAUTIOUS)
    return Rates(fastest, cautious, measured=False, share=share)


def seconds(size: int, rate: Fraction) -> Fraction:
    """Seconds that so many bytes take at a rate in bit/s."""
    return Fraction(size * 8) / rate


def show_time(amount: Fraction | int, down: bool = False) -> str:
    """Write seconds for a person, never shorter than they are; with ``down`` never longer.

    Returns:
        For example ``"8.5 s"``, ``"14.1 min"``, ``"24 h 15 min"``, ``"7 d 2 h"``.
    """
    for limit, factor, unit in ((60, 1, "s"), (3600, 60, "min")):
        if amount < limit:
            tenths = Fraction(amount) * 10 / factor
            number = (tenths // 1 if down else ceil(tenths)) / 10
            if number * factor < limit:
                return f"{number:.1f}".removesuffix(".0") + f" {unit}"
    minutes = int(Fraction(amount) / 60) if down else ceil(Fraction(amount) / 60)
    return _clock(minutes)


def _clock(minutes: int) -> str:
    """Whole minutes as days, hours and minutes; hours up to two days."""
    days, rest = divmod(minutes, 24 * 60) if minutes >= 48 * 60 else (0, minutes)
    hours, rest = divmod(rest, 60)
    parts = [(days, "d"), (hours, "h"), (rest, "min")]
    return " ".join(f"{number} {unit}" for number, unit in parts if number)
