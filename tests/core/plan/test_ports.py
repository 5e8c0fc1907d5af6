"""Network ports at the wall."""

from __future__ import annotations

import pytest

from pcaudit.core.finding import Verdict
from tests.core.plan.sites import MET, UNMET, UNVERIFIED, findings, place_text, sections, verdicts


def port(name: str, lan: str = "site", tested: str = "true") -> str:
    """The body of a port."""
    return f'id = "{name}"\nlan = "{lan}"\ntested = {tested}\nspeed = "1 Gbit/s"'


@pytest.mark.parametrize(
    ("ports", "pieces", "verdict", "why"),
    [
        ([port("a")], 1, MET, ""),
        ([port("a"), port("b")], 2, MET, ""),
        ([port("a")], 2, UNMET, ""),
        ([], 1, UNMET, ""),
        ([port("a", tested="false")], 1, UNVERIFIED, "enter `tested` of port a"),
        ([port("a", tested='""')], 1, UNVERIFIED, "enter `tested` of port a"),
        ([port("a"), port("b", tested="false")], 1, MET, ""),
        ([port("a", lan="instrument")], 1, UNMET, ""),
        ([port("a", lan="")], 1, UNVERIFIED, "enter `lan` of port a"),
        ([port("a"), port("b", lan="")], 2, UNVERIFIED, "enter `lan` of port b"),
        ([port("a", lan="")], 2, UNMET, ""),
    ],
)
def test_ports_needed_present_and_tested(ports: list[str], pieces: int, verdict: Verdict, why: str) -> None:
    """A network has as many tested ports as things need; what is not said is asked for."""
    things = [f'id = "pc"\nkind = "computer"\nlan = "site"\ncount = {pieces}']
    finding = findings(place_text(ports=ports, things=things))["ports.lan[site]"]
    assert finding.verdict is verdict and finding.why.startswith(why)
    assert finding.required == f"{pieces} tested"


def test_a_thing_may_need_several_ports_or_none() -> None:
    """Wall ports are counted as entered, for each piece."""
    things = ['id = "a"\nlan = "site"\nwall_ports = 2\ncount = 2', 'id = "b"\nlan = "site"\nwall_ports = 0']
    found = findings(place_text(ports=[port(f"p{i}") for i in range(3)], things=things))["ports.lan[site]"]
    assert (found.verdict, found.required, found.found) == (UNMET, "4 tested", "3 there, 3 tested")


def test_each_network_is_counted_by_itself() -> None:
    """Ports of one network do not serve another."""
    things = ['id = "a"\nlan = "site"', 'id = "b"\nlan = "instrument"']
    found = verdicts(place_text(ports=[port("p"), port("q")], things=things))
    assert (found["ports.lan[site]"], found["ports.lan[instrument]"]) == (MET, UNMET)


def test_nothing_needs_a_port() -> None:
    """Where no thing names a network nothing is judged, and the section says what was not asked."""
    section = sections(place_text(things=['id = "a"\nkind = "computer"'], ports=[port("p")]))["place.ports"]
    assert not section.findings and "(`lan`)" in section.not_asked[0]
    assert section.tables[0].rows == (("p", "site", "1 Gbit/s", "yes"),)


def test_a_port_of_an_unnamed_network_is_asked_for() -> None:
    """A thing that needs wall ports says of which network."""
    things = ['id = "a"\nwall_ports = 1', 'id = "b"\nwall_ports = 0']
    found = findings(place_text(things=things, ports=[port("p")]))
    assert found["ports.thing[a].lan"].why == "enter `lan` of thing a"
    assert found["ports.thing[a].lan"].verdict is UNVERIFIED and "ports.thing[b].lan" not in found


def test_what_counts_as_needing_none_is_said() -> None:
    """A computer without a network is named, for it may have been forgotten."""
    things = ['id = "a"\nlan = "site"', 'id = "b"\nkind = "computer"']
    section = sections(place_text(things=things))["place.ports"]
    assert section.not_asked == ("`lan` of computer b is not entered: it counts as needing no wall port",)
