"""The LANs of an address plan: which addresses they have, and whether they are apart."""

from __future__ import annotations

from collections.abc import Sequence
from ipaddress import ip_network
from typing import Final

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.section import finding
from pcaudit.core.worksheet.addresses import Address, Subnet
from pcaudit.core.worksheet.network import NONE, Lan

_UNUSABLE: Final = tuple(
    (ip_network(subnet), what, source)
    for subnet, what, source in (
        ("0.0.0.0/8", "addresses of a host that has none yet", "RFC 1122, section 3.2.1.3"),
        ("127.0.0.0/8", "addresses of a PC for itself", "RFC 1122, section 3.2.1.3"),
        ("169.254.0.0/16", "addresses PCs give themselves where nobody gives them one", "RFC 3927"),
        ("224.0.0.0/4", "addresses of groups, not of hosts", "RFC 5771"),
        ("240.0.0.0/4", "addresses kept for the future", "RFC 1112, section 4"),
        ("::/127", "addresses of a PC for itself", "RFC 4291, section 2.5"),
        ("::ffff:0:0/96", "IPv4 addresses in the notation of IPv6", "RFC 4291, section 2.5.5.2"),
        ("fe80::/10", "addresses every adapter gives itself", "RFC 4291, section 2.5.6"),
        ("ff00::/8", "addresses of groups, not of hosts", "RFC 4291, section 2.7"),
    )
)
_PRIVATE: Final = tuple(map(ip_network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7")))
_PRIVATE_SOURCE: Final = "RFC 1918, section 3; RFC 4193, section 3"
_POINT_TO_POINT: Final = {4: 31, 6: 127}
"""Prefix length from which every address is a host's (RFC 3021; RFC 6164)."""


def lan_findings(lans: Sequence[Lan], file: str) -> list[Finding]:
    """Whether each LAN's addresses, gateway and dynamic ranges can be used, and whether LANs overlap."""
    found = [] if len(lans) < 2 else overlap_findings(lans, file)
    for lan in lans:
        found.append(_addresses(lan, file))
        found += [one for one in (_gateway(lan, file), _dynamic(lan, file)) if one]
    return found


# -- overlap


def overlaps(lans: Sequence[Lan]) -> list[tuple[Lan, Lan]]:
    """Each LAN that shares addresses with one that begins before it, with the widest of those.

    Of two subnets that share an address one lies in the other; so one pass in order of their
    first addresses finds every LAN that is not apart.
    """
    known = [(lan.subnet, lan) for lan in lans if lan.subnet]
    known.sort(key=lambda one: (one[0].version, int(one[0].network_address), one[0].prefixlen))
    found = []
    outer: tuple[Subnet, Lan] | None = None
    for subnet, lan in known:
        if outer and outer[0].version == subnet.version and subnet.network_address in outer[0]:
            found.append((outer[1], lan))
        else:
            outer = (subnet, lan)
    return found


def overlap_findings(lans: Sequence[Lan], file: str) -> list[Finding]:
    """A finding for each LAN that is not apart from the others; else one for all."""
    because = "A PC sends what is for the other LAN to the wrong one; neither answers as it should."
    found = [
        finding(
            "network",
            f"overlap[{inner.id}]",
            f"{inner.shown} apart from {outer.shown}",
            Verdict.UNMET,
            required="no address in two LANs",
            found=f"{inner.subnet} and {outer.subnet} (line {outer.line}) overlap",
            because=because,
            remedy=f"Give one of them another subnet: `subnet` of `{inner.id}` or `{outer.id}`.",
            owner="IT",
            file=file,
            line=inner.line,
        )
        for outer, inner in overlaps(lans)
    ]
    if found:
        return found
    blank = [lan.shown for lan in lans if lan.subnet is None]
    return [
        finding(
            "network",
            "overlap",
            "LANs apart from each other",
            Verdict.UNVERIFIED if blank else Verdict.MET,
            required="no address in two LANs",
            found=f"{len(lans) - len(blank)} of {len(lans)} subnets known, none overlaps another",
            because=because,
            why=f"`subnet` is blank: {', '.join(blank)}" if blank else "",
            remedy="Ask the network administrator for the subnets in use, of VPNs too." if blank else "",
            owner="IT",
            file=file,
            line=lans[0].line,
        )
    ]


# -- one LAN


def unusable(subnet: Subnet) -> tuple[str, str]:
    """What addresses of a subnet are kept for, and who says so; empty where hosts may have them."""
    for kept, what, source in _UNUSABLE:
        if kept.version == subnet.version and kept.overlaps(subnet):
            return f"{subnet} holds {what} ({kept})", source
    return "", ""


def is_private(subnet: Subnet) -> bool:
    """Whether all of a subnet is for use within a site (RFC 1918, RFC 4193)."""
    return any(
        one.version == subnet.version and subnet.subnet_of(one)  # type: ignore[arg-type]
        for one in _PRIVATE
    )


def _addresses(lan: Lan, file: str) -> Finding:
    verdict, found, source, why, remedy = Verdict.MET, str(lan.subnet), "worksheet", "", ""
    free = "a private subnet that the site does not use"
    if lan.subnet is None:
        verdict, found, why = Verdict.UNVERIFIED, "not said", "`subnet` is blank"
        remedy = 'Enter it: subnet = "10.20.30.0/24".'
    else:
        problem, says = unusable(lan.subnet)
        if problem:
            verdict, found, source = Verdict.UNMET, problem, says
            remedy = f"Choose {free}."
        elif lan.role == "instrument" and not is_private(lan.subnet):
            verdict, source = Verdict.MARGINAL, _PRIVATE_SOURCE
            found, remedy = (
                f"{lan.subnet}, which is not private",
                f"Choose {free}, such as one of 192.168.0.0/16.",
            )
    return finding(
        "network",
        f"lans[{lan.id}].subnet",
        f"Addresses of {lan.shown}",
        verdict,
        required="addresses hosts may have" + (", private ones" if lan.role == "instrument" else ""),
        found=found,
        why=why,
        because="Other addresses belong to somebody else, or no host answers under them.",
        remedy=remedy,
        owner="IT",
        source=source,
        file=file,
        line=lan.line,
    )


def host_problem(address: Address, subnet: Subnet) -> str:
    """Why no host of a subnet may have an address; empty where one may."""
    if address not in subnet:
        return f"{address} lies outside {subnet}"
    if subnet.prefixlen >= _POINT_TO_POINT[subnet.version]:
        return ""
    if address == subnet.network_address:
        # RFC 1122, section 3.2.1.3; RFC 4291, section 2.6.1.
        return f"{address} is the address of {subnet} itself" + (
            ", of any router on it" if address.version == 6 else ""
        )
    if address.version == 4 and address == subnet.broadcast_address:
        return f"{address} is the broadcast address of {subnet}"
    return ""


def _gateway(lan: Lan, file: str) -> Finding | None:
    verdict, found, why, remedy = Verdict.MET, str(lan.gateway or NONE), "", ""
    if lan.role == "instrument":
        required = "no gateway"
        if lan.gateway:
            verdict, remedy = Verdict.UNMET, 'Leave the gateway out on this side: gateway = "none".'
        elif not lan.no_gateway:
            verdict, found, why = Verdict.UNVERIFIED, "not said", "`gateway` is blank"
            remedy = 'Write gateway = "none" where it has none.'
    elif lan.gateway is None:
        return None
    else:
        required = f"an address of {lan.subnet or 'the LAN'}"
        problem = host_problem(lan.gateway, lan.subnet) if lan.subnet else ""
        given = next((one for one in lan.dynamic or () if one.holds(lan.gateway)), None)
        if problem or given:
            verdict, found = (
                Verdict.UNMET,
                problem or f"{lan.gateway} is given out to others ({given.shown if given else ''})",
            )
            remedy = f"Ask the network administrator; correct `gateway` of `{lan.id}`."
        elif lan.subnet is None:
            verdict, why = Verdict.UNVERIFIED, "`subnet` is blank"
            remedy = 'Enter it: subnet = "10.20.30.0/24".'
    return finding(
        "network",
        f"lans[{lan.id}].gateway",
        f"Gateway of {lan.shown}",
        verdict,
        required=required,
        found=found,
        why=why,
        because="With two gateways a PC sends what is for the site into the instrument's LAN."
        if lan.role == "instrument"
        else "Without it nothing beyond the LAN is reached.",
        remedy=remedy,
        owner="IT",
        file=file,
        line=lan.line,
    )


def _dynamic(lan: Lan, file: str) -> Finding | None:
    if not lan.dynamic or not lan.subnet:
        return None
    subnet = lan.subnet
    outside = [one.shown for one in lan.dynamic if one.first not in subnet or one.last not in subnet]
    return finding(
        "network",
        f"lans[{lan.id}].dynamic",
        f"Addresses given out on {lan.shown}",
        Verdict.UNMET if outside else Verdict.MET,
        required=f"within {subnet}",
        found=f"{', '.join(outside)} outside it" if outside else ", ".join(one.shown for one in lan.dynamic),
        because="Who gets an address of another subnet reaches nobody.",
        remedy=f"Correct `dynamic` of `{lan.id}`." if outside else "",
        owner="IT",
        file=file,
        line=lan.line,
    )
