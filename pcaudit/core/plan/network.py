"""The network plan: LANs, hosts, ports, openings, and who is there for them on the day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pcaudit.core.derive import Readings
from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.network_hosts import host_findings
from pcaudit.core.plan.network_lans import lan_findings
from pcaudit.core.plan.network_openings import Endpoint, opening_findings, port_words
from pcaudit.core.plan.network_pc import pc_findings
from pcaudit.core.plan.section import Section, Table, finding
from pcaudit.core.worksheet.network import NONE, Network
from pcaudit.core.worksheet.people import People

_TITLE = "Network"


def network_section(
    network: Network,
    people: People,
    readings: Readings | None,
    *,
    endpoints: Sequence[Endpoint] = (),
    day: date | None,
    as_of: date,
    file: str,
) -> Section:
    """The address plan held against itself, against the PC and against what the profiles need.

    Args:
        network: As the worksheet tells it.
        people: Whom the worksheet names.
        readings: Of the PC; None without a snapshot.
        endpoints: Hosts and ports that the profiles ask to be reachable.
        day: The installation day; None where it is not said.
        as_of: The day work counts from.
        file: The worksheet's name, as given.
    """
    if not network.asked:
        return Section("network", _TITLE, not_asked=("addresses, names and openings: there is no [network]",))
    findings = [
        *lan_findings(network.lans, file),
        *host_findings(network, file),
        *pc_findings(network, readings, file),
        *opening_findings(network, endpoints, day, as_of, file),
        _administrator(network, people, day, file),
    ]
    return Section(
        name="network",
        title=_TITLE,
        findings=tuple(findings),
        tables=tuple(table for table in (_address_table(network), _opening_table(network)) if table.rows),
        notes=_notes(network),
        cautions=(
            "Isolating a network lowers protection elsewhere: its risk owner must approve, with an end.",
        )
        if any(lan.role == "instrument" for lan in network.lans)
        else (),
        not_asked=_not_asked(network),
    )


def _not_asked(network: Network) -> tuple[str, ...]:
    lines = []
    if len(network.lans) < 2:
        count = "only one LAN is" if network.lans else "no LAN is"
        lines.append(f"whether instrument and site overlap: {count} listed under [[network.lans]]")
    elif not any(lan.role == "instrument" for lan in network.lans):
        lines.append('whether the instrument\'s LAN has a gateway: no LAN has role = "instrument"')
    if not network.hosts:
        lines.append("names and addresses: no host is listed under [[network.hosts]]")
    if not network.openings:
        lines.append("what firewalls must let through: nothing is listed under [[network.openings]]")
    return tuple(lines)


def _notes(network: Network) -> tuple[str, ...]:
    if not network.lans:
        return ()
    return (
        "Only what is listed here was compared: a subnet behind a VPN that is not listed may still overlap.",
    )


# -- the person


def _administrator(network: Network, people: People, day: date | None, file: str) -> Finding:
    person = people.by_id.get(network.administrator)
    away = person.away_on(day) if person and day else None
    named = people.shown(network.administrator)
    contact = f", {person.contact}" if person and person.contact else ""
    verdict, found, why, remedy = Verdict.MET, f"{named}{contact}, booked", "", ""
    if not network.administrator:
        verdict, found, why = Verdict.UNVERIFIED, "not said", "`administrator` is blank"
        remedy = "Name who looks after the site's network and book the person for the day."
    elif away:
        verdict = Verdict.UNMET
        found = f"{named} is away from {away.first.isoformat()} to {away.last.isoformat()}"
        remedy = "Book somebody else for the day, or move the day."
    elif network.booked is None:
        verdict, found, why = Verdict.UNVERIFIED, named, "`booked` is blank"
        remedy = f"Book {named} for the day and enter booked = true."
    elif not network.booked:
        verdict, found, why = Verdict.UNVERIFIED, f"{named}, not booked yet", "booked = false"
        remedy = f"Book {named} for the day and enter booked = true."
    elif day is None:
        verdict, why, remedy = (
            Verdict.UNVERIFIED,
            "the installation day is blank",
            "Enter [installation] day.",
        )
    return finding(
        "network",
        "administrator",
        "Network administrator on the day",
        verdict,
        required="a person booked for the day",
        found=found,
        why=why,
        because="A blocked port or a clashing address is the commonest reason for a second visit.",
        remedy=remedy,
        owner="IT",
        file=file,
        line=network.line,
    )


# -- tables


def _address_table(network: Network) -> Table:
    lans = {lan.id: lan for lan in network.lans}
    rows, data = [], []
    for host in network.hosts:
        lan = lans.get(host.lan)
        subnet = lan.subnet if lan else None
        gateway = str(lan.gateway or (NONE if lan.no_gateway else "")) if lan else ""
        how = {True: "fixed", False: "given out", None: ""}[host.fixed]
        rows.append(
            (
                host.shown,
                lan.shown if lan else "",
                str(host.address or ""),
                str(subnet.netmask)
                if subnet and subnet.version == 4
                else f"/{subnet.prefixlen}"
                if subnet
                else "",
                gateway,
                how,
            )
        )
        data.append(
            {
                "id": host.id,
                "name": host.name,
                "lan": host.lan,
                "address": str(host.address) if host.address else None,
                "subnet": str(subnet) if subnet else None,
                "gateway": str(lan.gateway) if lan and lan.gateway else None,
                "fixed": host.fixed,
            }
        )
    columns = ("Host", "LAN", "Address", "Mask", "Gateway", "How")
    return Table("Addresses to be set", columns, tuple(rows), tuple(data))


def _opening_table(network: Network) -> Table:
    names = {host.id: host.shown for host in network.hosts}
    rows, data = [], []
    for one in network.openings:
        source, target = names.get(one.source, one.source), names.get(one.target, one.target)
        rows.append((source, target, port_words(one), one.state or "not answered"))
        ports = list(one.ports) if one.ports else None
        data.append(
            {
                "id": one.id,
                "from": source,
                "to": target,
                "ports": ports,
                "protocol": one.protocol,
                "state": one.state or None,
            }
        )
    return Table("What firewalls let through", ("From", "To", "Port", "State"), tuple(rows), tuple(data))
