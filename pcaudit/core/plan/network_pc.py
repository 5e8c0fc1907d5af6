"""The PC held against the network plan: its ports, its name, and where it is connected now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pcaudit.core.derive import Readings
from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.host_names import computer_name
from pcaudit.core.plan.section import finding
from pcaudit.core.snapshot import Form
from pcaudit.core.worksheet.addresses import AddressError, read_address
from pcaudit.core.worksheet.network import Host, Lan, Network


def pc_findings(network: Network, readings: Readings | None, file: str) -> list[Finding]:
    """What the plan asks of the PC; ``readings`` is None without a snapshot."""
    found = _ports(network, readings, file)
    if readings is not None:
        found += [*_name_now(network, readings, file), *_routed(network, readings, file)]
    return found


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


def _name_now(network: Network, readings: Readings, file: str) -> list[Finding]:
    computers = _computers(network.hosts)
    hosts = next(iter(computers.values()), [])
    if len(computers) != 1 or not hosts[0].name:
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


# -- what contradicts the plan


def _routed(network: Network, readings: Readings, file: str) -> Iterator[Finding]:
    """Adapters of the PC that are in an instrument's subnet now and have a gateway there.

    Nothing is said where there is none: the PC may not be connected yet.
    """
    adapters = readings.get("network.adapters")
    items = adapters.value if adapters.form is Form.KNOWN else []
    routed = [item for item in items if isinstance(item.get("gateway"), str)]
    for lan in network.lans:
        hits = [hit for item in routed if (hit := _within(item, lan))] if lan.role == "instrument" else []
        if hits:
            yield finding(
                "network",
                f"lans[{lan.id}].now",
                f"{lan.shown} apart from the networks the PC is on now",
                Verdict.UNMET,
                required=f"no adapter with a gateway in {lan.subnet}",
                found="; ".join(hits),
                because="Then the site uses these addresses, or the PC has a second way out.",
                remedy=f"Choose another `subnet` for `{lan.id}`, or take the gateway off that adapter.",
                owner="IT",
                source="network.adapters",
                file=file,
                line=lan.line,
            )


def _within(adapter: Mapping[str, Any], lan: Lan) -> str:
    """What an adapter has in a LAN's subnet; empty for nothing, or where its addresses are hidden."""
    for text in adapter.get("addresses") or ():
        try:
            address = read_address(str(text).partition("/")[0].partition("%")[0])
        except AddressError:
            continue
        if lan.subnet and address in lan.subnet:
            return f"{adapter.get('name') or 'an adapter'} has {address} and the gateway {adapter['gateway']}"
    return ""
