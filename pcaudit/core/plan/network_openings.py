"""What firewalls must let through: the openings of the worksheet, and those the profiles need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Final, NamedTuple

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.section import finding
from pcaudit.core.profile import Condition, Items
from pcaudit.core.texts import fold
from pcaudit.core.worksheet.arrangements import IN_HAND, MISSING, NOT_NEEDED, REQUESTED
from pcaudit.core.worksheet.network import Network, Opening

_BECAUSE: Final = "A blocked port looks like a fault of the software, and is found last."
_RULE: Final = "Ask for the firewall rule; narrow, and with a day on which it is looked at again."


class Endpoint(NamedTuple):
    """A host and TCP port that a profile asks to be reachable; ``binding`` unless it is only advised."""

    id: str
    title: str
    host: str
    port: int
    binding: bool
    file: str
    line: int


def endpoints_of(conditions: Iterable[Condition]) -> Iterator[Endpoint]:
    """The endpoints that conditions of profiles ask to be reachable."""
    for one in conditions:
        if not isinstance(one, Items) or one.record.name != "network.endpoints":
            continue
        said = {
            key.name: [test.operand for test in key.tests(with_advised=True) if test.form.key == "equal"]
            for key in one.keys
        }
        hosts, ports = said.get("host") or [()], said.get("port") or []
        if len(hosts[0]) == 1 and len(ports) == 1 and said.get("reachable") == [True]:
            meta = one.meta
            yield Endpoint(
                one.id, meta.title, hosts[0][0], ports[0], not meta.advised, meta.profile, meta.line
            )


def opening_findings(
    network: Network, endpoints: Sequence[Endpoint], day: date | None, as_of: date, file: str
) -> list[Finding]:
    """A finding for each opening, and for each endpoint of a profile that none is listed for."""
    over = day is not None and as_of > day
    found = [_opening(one, network, over, file) for one in network.openings]
    names = {host.id: host for host in network.hosts}

    def ends(opening: Opening) -> set[str]:
        host = names.get(opening.target)
        known = {opening.target} | ({host.name, str(host.address)} if host else set())
        return {fold(one).removesuffix(".") for one in known}

    once: dict[tuple[str, int], Endpoint] = {}
    for wanted in sorted(endpoints, key=lambda one: not one.binding):
        once.setdefault((fold(wanted.host), wanted.port), wanted)
    for wanted in once.values():
        host = fold(wanted.host).removesuffix(".")
        if not any(host in ends(one) and _covers(one, wanted.port) for one in network.openings):
            found.append(_unlisted(wanted))
    return found


def _covers(opening: Opening, port: int) -> bool:
    first, last = opening.ports or (0, 0)
    return first <= port <= last and opening.protocol != "udp"


def port_words(opening: Opening) -> str:
    """Protocol and port for people: "tcp 8000-8010"."""
    first, last = opening.ports or (0, 0)
    port = "port not said" if not opening.ports else str(first) if first == last else f"{first}-{last}"
    return f"{opening.protocol} {port}".strip()


def _opening(opening: Opening, network: Network, over: bool, file: str) -> Finding:
    names = {host.id: host.shown for host in network.hosts}
    source, target = (names.get(one, one) or "not said" for one in (opening.source, opening.target))
    verdict, why = _state(opening, over)
    return finding(
        "network",
        f"openings[{opening.id}]",
        f"{source} to {target}, {port_words(opening)}",
        verdict,
        required="open on the day",
        found=opening.state or "not answered",
        why=why,
        because=opening.because if verdict is Verdict.NOT_APPLICABLE else _BECAUSE,
        remedy="" if verdict in (Verdict.MET, Verdict.NOT_APPLICABLE) else _RULE,
        owner="IT",
        file=file,
        line=opening.line,
    )


def _state(opening: Opening, over: bool) -> tuple[Verdict, str]:
    if opening.state == NOT_NEEDED:
        if opening.because:
            return Verdict.NOT_APPLICABLE, ""
        return Verdict.UNVERIFIED, "why it is not needed is not said: `because` is blank"
    if opening.state == IN_HAND:
        keys = (("from", opening.source), ("to", opening.target), ("port", opening.ports))
        blank = [f"`{key}` is blank" for key, said in (*keys, ("protocol", opening.protocol)) if not said]
        return (Verdict.UNVERIFIED, "; ".join(blank)) if blank else (Verdict.MET, "")
    if over and opening.state in (MISSING, REQUESTED):
        return Verdict.UNMET, ""
    return Verdict.UNVERIFIED, "not open yet" if opening.state else "`state` is blank"


def _unlisted(wanted: Endpoint) -> Finding:
    return finding(
        "network",
        f"endpoints[{wanted.host}:{wanted.port}]",
        wanted.title or f"{wanted.host}, port {wanted.port}",
        Verdict.UNVERIFIED,
        required=f"tcp {wanted.port} open to {wanted.host}",
        found="no opening names it",
        why="whether a firewall lets it through is not said",
        because=_BECAUSE,
        remedy=f'List it under [[network.openings]]: to = "{wanted.host}", port = {wanted.port}, state.',
        owner="IT",
        source="profile",
        binding=wanted.binding,
        file=wanted.file,
        line=wanted.line,
    )
