"""The hosts of an address plan: whether each can have its address and its name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.host_names import NETBIOS, computer_name, name_problems, netbios_name
from pcaudit.core.plan.network_lans import host_problem
from pcaudit.core.plan.section import finding
from pcaudit.core.worksheet.addresses import Address
from pcaudit.core.worksheet.network import Host, Lan, Network

_COMPUTERS: Final = ("computer", "server", "")
"""What NetBIOS names belong to; nobody says that the rest are not computers where it is blank."""

_PERHAPS: Final = ("instrument", "printer", "other")
"""What may have a NetBIOS name; a switch has none."""


class _Said(NamedTuple):
    """What speaks against an address, and what is not known of it; both in words."""

    wrong: tuple[str, ...] = ()
    open: tuple[str, ...] = ()

    @property
    def verdict(self) -> Verdict:
        if self.wrong:
            return Verdict.UNMET
        return Verdict.UNVERIFIED if self.open else Verdict.MET

    def and_also(self, other: _Said) -> _Said:
        return _Said(self.wrong + other.wrong, self.open + other.open)


def host_findings(network: Network, file: str) -> list[Finding]:
    """An address finding for each host, and a name finding for each that has a name or needs one."""
    lans = {lan.id: lan for lan in network.lans}
    first: dict[Address, Host] = {}
    for host in network.hosts:
        if host.address:
            first.setdefault(host.address, host)
    clashes = name_clashes(network.hosts)
    found, named = [], set[str]()
    for host in network.hosts:
        found.append(_address(host, lans.get(host.lan), first, file))
        # One computer on two LANs has one name, and one finding for it.
        key = host.name.lower() or f"/{host.id}"
        if key in named and host.id not in clashes:
            continue
        if host.name or host.what in ("computer", ""):
            named.add(key)
            found.append(_name(host, clashes, file))
    return found


# -- addresses


def _address(host: Host, lan: Lan | None, first: Mapping[Address, Host], file: str) -> Finding:
    said = _given(host, lan) if host.address is None else _fixed(host.address, host, lan, first)
    free = free_address(lan, first) if lan and said.wrong else None
    unsaid = "given out by the LAN" if host.fixed is False else "not said"
    remedy = f"Correct `address` of `{host.id}`" if said.wrong else "Ask the network administrator"
    return finding(
        "network",
        f"hosts[{host.id}].address",
        f"Address of {host.shown}" + (f" on {lan.shown}" if lan else ""),
        said.verdict,
        required=_required(host, lan),
        found="; ".join(said.wrong) or (str(host.address) if host.address else unsaid),
        why="; ".join(said.open) if said.verdict is Verdict.UNVERIFIED else "",
        because="A host with a wrong or doubled address is not reached, or stops another one.",
        remedy=(
            ""
            if said.verdict is Verdict.MET
            else remedy + (f"; by this plan {free} is free." if free else ".")
        ),
        owner="IT",
        file=file,
        line=host.line,
    )


def _required(host: Host, lan: Lan | None) -> str:
    where = f"of {lan.subnet}" if lan and lan.subnet else "of its LAN"
    if host.fixed is False:
        return f"an address {where}"
    return f"an address {where} that nobody else has or is given"


def _given(host: Host, lan: Lan | None) -> _Said:
    """A host without an address: one that the LAN gives it, or one that is not decided."""
    if host.fixed is not False:
        return _Said(open=("`address` is blank",))
    if lan is None:
        return _Said(open=("`lan` is blank",))
    if lan.dynamic is None:
        return _Said(open=(f"`dynamic` of `{lan.id}` is blank",))
    return _Said() if lan.dynamic else _Said(wrong=(f"no address: {lan.shown} gives out none",))


def _fixed(address: Address, host: Host, lan: Lan | None, first: Mapping[Address, Host]) -> _Said:
    other = first[address]
    said = _Said()
    if other.id != host.id:
        said = _Said(wrong=(f"{address} is also that of {other.shown} (line {other.line})",))
    if lan is None:
        return said.and_also(_Said(open=("`lan` is blank",)))
    if lan.subnet is None:
        said = said.and_also(_Said(open=(f"`subnet` of `{lan.id}` is blank",)))
    elif problem := host_problem(address, lan.subnet):
        return said.and_also(_Said(wrong=(problem,)))
    if address == lan.gateway:
        said = said.and_also(_Said(wrong=(f"{address} is the gateway of {lan.shown}",)))
    return said.and_also(_dynamic(address, host, lan))


def _dynamic(address: Address, host: Host, lan: Lan) -> _Said:
    if lan.dynamic is None:
        return _Said(open=(f'`dynamic` of `{lan.id}` is blank ("none" where it gives out no addresses)',))
    given = next((one for one in lan.dynamic if one.holds(address)), None)
    if host.fixed is False:
        return _Said() if given else _Said(wrong=(_not_given(address, lan),))
    if given is None:
        return _Said()
    if host.fixed is None:
        return _Said(open=(f"`fixed` is blank, and the LAN gives out {given.shown}",))
    return _Said(wrong=(f"{address} is fixed, and the LAN gives out {given.shown}",))


def _not_given(address: Address, lan: Lan) -> str:
    """What is wrong where the LAN is to give out an address that is none of those it gives out."""
    ranges = ", ".join(one.shown for one in lan.dynamic or ())
    gives = f"gives out {ranges}" if ranges else "gives out no addresses"
    return f"fixed = false, and {lan.shown} {gives}, not {address}"


def free_address(lan: Lan, taken: Mapping[Address, object]) -> Address | None:
    """The first address of a LAN that a host may have and that this plan gives nobody; None without one."""
    if lan.subnet is None or lan.dynamic is None:
        return None
    number, last = int(lan.subnet.network_address), int(lan.subnet.broadcast_address)
    make = type(lan.subnet.network_address)
    while number <= last:
        address = make(number)
        given = next((one for one in lan.dynamic if one.holds(address)), None)
        if given:
            number = int(given.last) + 1
        elif address in taken or address == lan.gateway or host_problem(address, lan.subnet):
            number += 1
        else:
            return address
    return None


# -- names


class Clash(NamedTuple):
    """Whom a name cannot be told apart from; ``open`` what is not known of that, where it may be well."""

    found: str
    open: str = ""


def name_clashes(hosts: Sequence[Host]) -> dict[str, Clash]:
    """By host id, whom its name cannot be told apart from.

    One computer on two LANs is two hosts of one name; on one LAN one name is one host. A name is
    that of its first part, unless two hosts are in two domains.
    """
    found: dict[str, Clash] = {}
    whole: dict[str, list[Host]] = {}
    cut: dict[str, list[Host]] = {}
    for host in hosts:
        if not host.name:
            continue
        named = whole.setdefault(computer_name(host.name), [])
        same = next((one for one in named if _same_name(one, host) and not _one_computer(one, host)), None)
        short = cut.setdefault(netbios_name(host.name), [])
        if same:
            found[host.id] = Clash(f"{same.name} is also in line {same.line}")
        elif clash := _clash_once_cut(host, short):
            found[host.id] = clash
        named.append(host)
        short.append(host)
    return found


def _domain(name: str) -> str:
    return name.lower().removesuffix(".").partition(".")[2]


def _same_name(one: Host, other: Host) -> bool:
    """Whether two names are one, as far as they say the domain."""
    domains = {_domain(one.name), _domain(other.name)} - {""}
    return computer_name(one.name) == computer_name(other.name) and len(domains) < 2


def _one_computer(one: Host, other: Host) -> bool:
    """Whether two hosts of one name may be one device on two LANs."""
    return one.lan != other.lan and (one.what == other.what or not one.what or not other.what)


def _clash_once_cut(host: Host, others: Sequence[Host]) -> Clash | None:
    """Whose name NetBIOS cuts to the same; not known of devices that may do without NetBIOS."""
    left = netbios_name(host.name)
    if host.what in _COMPUTERS and (other := _first_other(host, others, _COMPUTERS)):
        return Clash(_left(left, other))
    named = _first_other(host, others, (*_COMPUTERS, *_PERHAPS))
    if not named or host.what not in (*_COMPUTERS, *_PERHAPS):
        return None
    device = host if host.what in _PERHAPS else named
    return Clash(_left(left, named), f"whether {device.name} uses NetBIOS is not known")


def _first_other(host: Host, others: Sequence[Host], kinds: Sequence[str]) -> Host | None:
    return next((one for one in others if one.what in kinds and not _same_name(one, host)), None)


def _left(left: str, other: Host) -> str:
    return f"NetBIOS leaves {left}, as of {other.name} (line {other.line})"


def _name(host: Host, clashes: Mapping[str, Clash], file: str) -> Finding:
    problems = name_problems(host.name) if host.name else []
    clash = clashes.get(host.id, Clash(""))
    long = len(computer_name(host.name)) > NETBIOS and host.what in _COMPUTERS
    verdict, found, remedy, why = Verdict.MET, host.name, "", clash.open
    if not host.name:
        verdict, found, remedy = (
            Verdict.UNVERIFIED,
            "not said",
            "Choose the name before licences are made out for it.",
        )
        why = "`name` is blank"
    elif problems or clash.found:
        verdict = Verdict.UNVERIFIED if clash.open and not problems else Verdict.UNMET
        found = f"{host.name}: {'; '.join([*problems, clash.found] if clash.found else problems)}"
        remedy = f"Choose another `name` for `{host.id}`, before licences are made out for it."
    elif long:
        verdict, found = Verdict.MARGINAL, f"{host.name}, cut to {netbios_name(host.name)}"
        remedy = f"Choose a `name` of {NETBIOS} characters or fewer for `{host.id}`."
    return finding(
        "network",
        f"hosts[{host.id}].name",
        f"Name of {host.shown}",
        verdict,
        required="a name by RFC 1123, no other host's"
        + (f", {NETBIOS} characters at most" if host.what in _COMPUTERS else ""),
        found=found,
        why=why if verdict is Verdict.UNVERIFIED else "",
        because="Other names are refused or cut, and licences are made out for a name.",
        remedy=remedy,
        owner="IT",
        file=file,
        line=host.line,
    )
