"""The network plan: LANs, hosts, ports, openings, and who is there for them on the day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pcaudit.core.derive import Readings
from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.host_names import computer_name
from pcaudit.core.plan.network_hosts import host_findings
from pcaudit.core.plan.network_lans import lan_findings
from pcaudit.core.plan.network_openings import Endpoint, opening_findings, port_words
from pcaudit.core.plan.section import Section, Table, finding
from pcaudit.core.snapshot import Form
from pcaudit.core.worksheet.network import NONE, Host, Lan, Network
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
        *_ports(network, readings, file),
        *_name_now(network, readings, file),
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


# -- the PC


def _computers(hosts: Sequence[Host]) -> dict[str, list[Host]]:
    """The control PC's addresses, by its name; more than one name where the plan has several PCs."""
    found: dict[str, list[Host]] = {}
    for host in hosts:
        if host.what == "computer":
            found.setdefault(computer_name(host.name) or host.id, []).append(host)
    return found


def _needed_lans(network: Network) -> list[Lan]:
    computers = list(_computers(network.hosts).values())
    if len(computers) == 1:
        on = {host.lan for host in computers[0]}
        return [lan for lan in network.lans if lan.id in on]
    return [lan for lan in network.lans if lan.role in ("instrument", "site")]


def _ports(network: Network, readings: Readings | None, file: str) -> list[Finding]:
    lans = _needed_lans(network)
    if not lans:
        return []
    needed = len(lans)
    verdict, found, why = Verdict.UNVERIFIED, "no snapshot", "no snapshot was given"
    if readings is not None:
        verdict, found, why = _wired(needed, readings)
    short = verdict is Verdict.UNMET
    return [
        finding(
            "network",
            "ports",
            "A network port of the PC for each LAN",
            verdict,
            required=f"{needed} wired: {', '.join(lan.shown for lan in lans)}",
            found=found,
            why=why,
            because="The instrument has a LAN of its own; a switch between them would join the two.",
            remedy="Have a network card fitted."
            if short
            else ""
            if verdict is Verdict.MET
            else "Take a snapshot.",
            owner="purchasing" if short else "IT",
            source="network.wired_count" if readings is not None else "worksheet",
            file=file,
            line=lans[0].line,
        )
    ]


def _wired(needed: int, readings: Readings) -> tuple[Verdict, str, str]:
    count = readings.get("network.wired_count")
    if count.form not in (Form.KNOWN, Form.AT_LEAST):
        return Verdict.UNVERIFIED, "not known", count.why or "the PC's network adapters are not known"
    bound = "at least " if count.form is Form.AT_LEAST else ""
    found = f"{bound}{count.value} wired"
    if count.value >= needed:
        return Verdict.MET, found, ""
    if bound:
        return Verdict.UNVERIFIED, found, count.why
    adapters = readings.get("network.adapters").value or []
    if count.value == needed - 1 and any(one.get("medium") == "wireless" for one in adapters):
        why = "one LAN would have to be reached without a cable, and whether that may be is not said"
        return Verdict.UNVERIFIED, f"{found} and a wireless one", why
    return Verdict.UNMET, found, ""


def _name_now(network: Network, readings: Readings | None, file: str) -> list[Finding]:
    computers = _computers(network.hosts)
    hosts = next(iter(computers.values()), [])
    if readings is None or len(computers) != 1 or not hosts[0].name:
        return []
    now = readings.get("computer.host_name")
    verdict, why, remedy = Verdict.MET, "", ""
    if now.form is not Form.KNOWN:
        verdict, why, remedy = (
            Verdict.UNVERIFIED,
            now.why or "the PC's name is not known",
            "Probe the PC again.",
        )
    elif computer_name(str(now.value)) != computer_name(hosts[0].name):
        verdict, remedy = (
            Verdict.MARGINAL,
            "Rename the PC before licences are made out for its name, or correct `name`.",
        )
    return [
        finding(
            "network",
            "computer",
            "Name the PC has now",
            verdict,
            required=hosts[0].name,
            found=str(now.value) if now.form is Form.KNOWN else "not known",
            why=why,
            because="A PC that is renamed later loses licences and shares made out for its name.",
            remedy=remedy,
            owner="IT",
            source="computer.host_name",
            binding=False,
            file=file,
            line=hosts[0].line,
        )
    ]


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
