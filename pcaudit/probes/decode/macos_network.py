"""What ifconfig(8), netstat(1) and scutil(8) print, and what macOS notes of its network interfaces.

Shapes: outputs recorded in public test suites; the file ``NetworkInterfaces.plist`` as shown in public
tutorials of macOS 13 and later.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, Final, NamedTuple

from pcaudit.probes.decode import macos_documents

_HEAD: Final = re.compile(r"(\S+): flags=[0-9a-f]+<([A-Z0-9_,]*)> mtu (\d{1,6})(?:\s.*)?", re.ASCII)
_SPEED: Final = re.compile(r"(\d{1,5}(?:\.\d)?)(G?)base", re.ASCII | re.IGNORECASE)
_SERVER: Final = re.compile(r"nameserver\[\d+\]\s*:\s*(\S+)", re.ASCII)
_SCOPED: Final = "DNS configuration (for scoped queries)"


class Interface(NamedTuple):
    """One interface of ifconfig(8).

    Attributes:
        name: ``en0``.
        loopback: It leads back to this Mac.
        mtu: Bytes.
        mac: Hardware address; empty where there is none.
        addresses: With the length of their network: ``192.0.2.7/24``.
        link_up: None where it has no status.
        speed: Of the link, bit/s.
        fastest: Of all it supports, bit/s; None where none of them is Ethernet's.
    """

    name: str
    loopback: bool
    mtu: int
    mac: str
    addresses: tuple[str, ...]
    link_up: bool | None
    speed: int | None
    fastest: int | None


class Noted(NamedTuple):
    """What macOS notes of an interface.

    Attributes:
        type: ``Ethernet``, ``IEEE80211``, ``Bridge``, ...
        path: Its place in the I/O registry.
        mac: Hardware address.
    """

    type: str
    path: str
    mac: str


def media_speed(text: str) -> int | None:
    """Bit/s of a media name: ``1000baseT``, ``2500Base-T``, ``10Gbase-T``; None for others."""
    match = _SPEED.search(text)
    if match is None:
        return None
    return round(float(match[1]) * (10**9 if match[2] else 10**6)) or None


def _address(words: list[str]) -> str | None:
    """The address of a line ``inet ADDRESS netmask 0x...`` or ``inet6 ADDRESS%zone prefixlen N``."""
    from ipaddress import ip_interface

    try:
        if words[0] == "inet":
            length = int(words[words.index("netmask") + 1], 16).bit_count()
        else:
            length = int(words[words.index("prefixlen") + 1])
        return str(ip_interface(f"{words[1].partition('%')[0]}/{length}"))
    except (ValueError, IndexError):
        return None


def _value(lines: Iterable[str], key: str) -> str:
    """The rest of the first line that begins with a key."""
    return next((line.removeprefix(key).strip() for line in lines if line.startswith(key)), "")


def _interface(head: re.Match[str], lines: list[str]) -> Interface:
    words = [line.split() for line in lines]
    addresses = [_address(line) for line in words if line and line[0] in ("inet", "inet6")]
    status = _value(lines, "status:")
    supported = [media_speed(line) for line in lines if line.startswith("media ")]
    mac = _value(lines, "ether ")
    return Interface(
        name=head[1],
        loopback="LOOPBACK" in head[2].split(","),
        mtu=int(head[3]),
        mac=mac if mac.strip("0:") else "",
        addresses=tuple(address for address in addresses if address),
        link_up={"active": True, "inactive": False}.get(status),
        speed=media_speed(_value(lines, "media:")) if status == "active" else None,
        fastest=max((speed for speed in supported if speed), default=None),
    )


def interfaces(content: str) -> list[Interface]:
    """The interfaces of ``ifconfig -a -m``; -m lists the media each supports."""
    found: list[tuple[re.Match[str], list[str]]] = []
    for line in content.splitlines():
        if head := _HEAD.fullmatch(line):
            found.append((head, []))
        elif found and line[:1].isspace():
            found[-1][1].append(line.strip())
    return [_interface(head, lines) for head, lines in found]


def noted(table: dict[str, Any]) -> dict[str, Noted]:
    """By name, what ``NetworkInterfaces.plist`` notes; it also keeps interfaces that are gone."""
    found = {}
    for entry in macos_documents.entries(table, "Interfaces"):
        mac = entry.get("IOMACAddress")
        found[macos_documents.word(entry, "BSD Name")] = Noted(
            type=macos_documents.word(entry, "SCNetworkInterfaceType"),
            path=macos_documents.word(entry, "IOPathMatch"),
            mac=mac.hex(":") if isinstance(mac, bytes) else "",
        )
    return found


def gateways(content: str) -> dict[str, str]:
    """The IPv4 gateway of each interface, from ``netstat -r -n -f inet``."""
    from ipaddress import IPv4Address

    found: dict[str, str] = {}
    for line in content.splitlines():
        words = line.split()
        if len(words) < 4 or words[0] != "default" or "G" not in words[2]:
            continue
        try:
            found.setdefault(words[3], str(IPv4Address(words[1])))
        except ValueError:
            continue
    return found


def name_servers(content: str) -> list[str] | None:
    """The name servers for every name, from ``scutil --dns``; None where it is no such answer.

    A resolver with a domain of its own is asked for that domain only; resolvers of single interfaces
    stand under a heading of their own.
    """
    if not content.startswith(("DNS configuration", "No DNS configuration available")):
        return None
    found: dict[str, None] = {}
    for block in content.partition(_SCOPED)[0].split("resolver #")[1:]:
        keys = {line.partition(":")[0].strip() for line in block.splitlines()}
        if "domain" not in keys:
            found |= dict.fromkeys(_SERVER.findall(block))
    return list(found)
