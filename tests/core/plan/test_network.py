"""The address plan held against itself, the PC, the profiles and the day."""

from __future__ import annotations

from datetime import date
from typing import Any

import netaddr
import pytest
from hypothesis import given, strategies as st

from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.host_names import name_problems, netbios_name
from pcaudit.core.plan.network import network_section
from pcaudit.core.plan.network_lans import host_problem, is_private, overlaps, unusable
from pcaudit.core.plan.network_openings import Endpoint, endpoints_of
from pcaudit.core.plan.section import Section
from pcaudit.core.worksheet.addresses import Subnet, read_address, read_subnet
from pcaudit.core.worksheet.network import Lan, read_network
from pcaudit.core.worksheet.people import read_people
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED, profile_of, snapshot_of, unknown, value
from tests.core.worksheet.section_text import FILE, read

DAY = date(2027, 3, 15)
AS_OF = date(2026, 11, 25)

INSTRUMENT = """
[[network.lans]]
id = "instrument"
role = "instrument"
subnet = "192.168.40.0/24"
gateway = "none"
dynamic = "none"
"""
SITE = """
[[network.lans]]
id = "site"
role = "site"
subnet = "10.20.30.0/24"
gateway = "10.20.30.1"
dynamic = ["10.20.30.100-10.20.30.199"]
"""
PC = """
[[network.hosts]]
id = "pc-instrument"
name = "lc-pc-07"
lan = "instrument"
address = "192.168.40.10"
fixed = true
what = "computer"

[[network.hosts]]
id = "pc-site"
name = "lc-pc-07"
lan = "site"
address = "10.20.30.7"
fixed = true
what = "computer"
"""


def _section(
    text: str,
    readings: dict[str, Any] | None = None,
    endpoints: tuple[Endpoint, ...] = (),
    day: date | None = DAY,
    as_of: date = AS_OF,
) -> Section:
    network, mistakes = read(read_network, text)
    assert not mistakes
    people, _ = read(read_people, text)
    seen = None if readings is None else Readings(snapshot_of(readings), Knowledge())
    return network_section(network, people, seen, endpoints=endpoints, day=day, as_of=as_of, file=FILE)


def _finding(text: str, name: str, **more: Any) -> Finding:
    found = [one for one in _section(text, **more).findings if one.id == f"network.{name}"]
    assert len(found) == 1, [one.id for one in _section(text).findings]
    return found[0]


# -- subnets

subnets = st.one_of(
    st.builds(
        lambda number, prefix: read_subnet(
            str(netaddr.IPNetwork((number, prefix), version=4).cidr if prefix else "10.0.0.0/8")
        ),
        st.integers(0, 2**32 - 1),
        st.integers(1, 31),
    ),
    st.builds(
        lambda number, prefix: read_subnet(str(netaddr.IPNetwork((number, prefix), version=6).cidr)),
        st.integers(2**48, 2**128 - 1),  # below lies IPv4 in the notation of IPv6, which is refused
        st.integers(1, 127),
    ),
    # Close to each other, so that many overlap.
    st.builds(
        lambda number, prefix: read_subnet(
            str(netaddr.IPNetwork((0x0A000000 + number, prefix), version=4).cidr)
        ),
        st.integers(0, 255),
        st.integers(24, 31),
    ),
)


@given(st.lists(subnets, max_size=8))
def test_overlaps_are_those_of_netaddr(some: list[Subnet]) -> None:
    """LANs are called apart exactly where netaddr finds no two of their subnets overlapping."""
    lans = [Lan(f"l{index}", subnet=subnet) for index, subnet in enumerate(some)]
    theirs = [netaddr.IPNetwork(str(subnet)) for subnet in some]

    def meet(one: netaddr.IPNetwork, other: netaddr.IPNetwork) -> bool:
        return one in other or other in one

    found = overlaps(lans)
    for outer, inner in found:
        assert meet(theirs[int(outer.id[1:])], theirs[int(inner.id[1:])])
    clear = {lan.id for lan in lans} - {inner.id for _, inner in found}
    apart = [theirs[int(name[1:])] for name in clear]
    assert not any(meet(one, other) for i, one in enumerate(apart) for other in apart[:i])


# RFC 1918 and the arithmetic of CIDR (RFC 4632).
@pytest.mark.parametrize(
    ("first", "second", "meet"),
    [
        ("192.168.1.0/24", "192.168.1.128/25", True),
        ("10.0.0.0/8", "10.20.30.0/24", True),
        ("192.168.254.0/23", "192.168.255.0/24", True),
        ("172.16.0.0/12", "172.32.0.0/16", False),
        ("10.20.30.0/24", "10.20.30.0/24", True),
        ("10.20.30.0/25", "10.20.30.128/25", False),
        ("fd00::/16", "fd00:1::/32", True),
    ],
)
def test_known_pairs_of_subnets_overlap_or_not(first: str, second: str, meet: bool) -> None:
    """Either way round, two LANs whose subnets share an address are unmet, others met."""
    for one, other in ((first, second), (second, first)):
        text = (
            f'[[network.lans]]\nid = "a"\nsubnet = "{one}"\n[[network.lans]]\nid = "b"\nsubnet = "{other}"\n'
        )
        findings = [f for f in _section(text).findings if f.id.startswith("network.overlap")]
        assert [f.verdict for f in findings] == [UNMET if meet else MET]


def test_an_overlap_names_both_subnets_and_lines() -> None:
    """Who reads of an overlap finds both places and what to change."""
    found = _finding(f"{INSTRUMENT}{SITE.replace('10.20.30.0/24', '192.168.0.0/16')}", "overlap[instrument]")
    assert found.found == "192.168.40.0/24 and 192.168.0.0/16 (line 10) overlap"
    assert (found.profile, found.line, found.owner) == (FILE, 3, "IT")
    assert "`instrument` or `site`" in found.remedy


def test_a_subnet_not_said_leaves_overlap_open() -> None:
    """Two LANs of which one has no subnet are not called apart."""
    found = _finding(f'{INSTRUMENT}[[network.lans]]\nid = "site"\n', "overlap")
    assert (found.verdict, found.why) == (UNVERIFIED, "`subnet` is blank: site")


@pytest.mark.parametrize(
    ("subnet", "verdict"),
    [
        ("192.168.40.0/24", MET),
        ("172.31.0.0/16", MET),
        ("fd12:3456:789a::/64", MET),  # RFC 4193
        ("172.0.0.0/8", MARGINAL),  # holds 172.16.0.0/12 and what belongs to others
        ("100.64.0.0/24", MARGINAL),  # RFC 6598: of carriers, not of sites
        ("192.0.2.0/24", MARGINAL),  # RFC 5737
        ("169.254.0.0/16", UNMET),  # RFC 3927
        ("169.254.7.0/24", UNMET),
        ("127.0.0.0/8", UNMET),
        ("224.0.0.0/24", UNMET),  # RFC 5771
        ("240.0.0.0/4", UNMET),  # RFC 1112
        ("128.0.0.0/1", UNMET),
        ("fe80::/64", UNMET),  # RFC 4291
        ("ff02::/16", UNMET),
        ("::fffe:0:0/95", UNMET),  # RFC 4291, section 2.5.5.2
    ],
)
def test_the_instruments_lan_has_private_addresses(subnet: str, verdict: Verdict) -> None:
    """Addresses that no host may have are unmet; those that belong to others marginal."""
    assert (
        _finding(INSTRUMENT.replace("192.168.40.0/24", subnet), "lans[instrument].subnet").verdict is verdict
    )


@given(subnets)
def test_private_and_unusable_subnets_are_those_of_netaddr(subnet: Subnet) -> None:
    """Unusable is what meets a kept block by netaddr, private what lies in a private one."""
    # IANA IPv4 and IPv6 Special-Purpose Address Registries, 2025.
    kept = ("0.0.0.0/8", "127.0.0.0/8", "169.254.0.0/16", "224.0.0.0/4", "240.0.0.0/4")
    kept6 = ("::/127", "::ffff:0:0/96", "fe80::/10", "ff00::/8")
    whole = netaddr.IPNetwork(str(subnet))
    blocks = [netaddr.IPNetwork(one) for one in (*kept, *kept6)]
    assert bool(unusable(subnet)[0]) == any(whole in block or block in whole for block in blocks)
    private = [
        netaddr.IPNetwork(one) for one in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7")
    ]
    assert is_private(subnet) == any(whole in block for block in private)


def test_a_sites_own_public_addresses_are_met() -> None:
    """A site may have public addresses; only the instrument's LAN is asked for private ones."""
    text = SITE.replace("10.20.30", "198.51.100")
    assert _finding(text, "lans[site].subnet").verdict is MET


# -- gateways


@pytest.mark.parametrize(
    ("gateway", "verdict"), [('"none"', MET), ('""', UNVERIFIED), ('"192.168.40.1"', UNMET)]
)
def test_the_instruments_lan_has_no_gateway(gateway: str, verdict: Verdict) -> None:
    """A gateway is unmet; that there is none must be said, a blank says nothing."""
    text = INSTRUMENT.replace('gateway = "none"', f"gateway = {gateway}")
    assert _finding(text, "lans[instrument].gateway").verdict is verdict


@pytest.mark.parametrize(
    ("gateway", "verdict"),
    [
        ("10.20.30.1", MET),
        ("10.20.31.1", UNMET),
        ("10.20.30.0", UNMET),
        ("10.20.30.255", UNMET),
        ("10.20.30.150", UNMET),
    ],
)
def test_the_sites_gateway_is_a_host_of_its_subnet(gateway: str, verdict: Verdict) -> None:
    """Outside the subnet, its own or broadcast address, or given out to others: unmet."""
    assert _finding(SITE.replace('10.20.30.1"', f'{gateway}"'), "lans[site].gateway").verdict is verdict


def test_a_range_given_out_beyond_the_subnet_is_unmet() -> None:
    """A dynamic range that leaves its subnet is named."""
    found = _finding(SITE.replace("10.20.30.199", "10.20.31.9"), "lans[site].dynamic")
    assert (found.verdict, found.found) == (UNMET, "10.20.30.100-10.20.31.9 outside it")


# -- hosts


def _host(address: str = '"10.20.30.7"', fixed: str = "true", lan: str = SITE, more: str = "") -> Finding:
    text = f'{lan}[[network.hosts]]\nid = "pc"\nlan = "site"\naddress = {address}\nfixed = {fixed}\n{more}'
    return _finding(text, "hosts[pc].address")


def test_a_fixed_address_outside_the_dynamic_range_is_met() -> None:
    """An address of the subnet that nobody else has or is given is met."""
    assert _host().verdict is MET


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("10.20.31.7", "10.20.31.7 lies outside 10.20.30.0/24"),
        ("10.20.30.0", "10.20.30.0 is the address of 10.20.30.0/24 itself"),
        ("10.20.30.255", "10.20.30.255 is the broadcast address of 10.20.30.0/24"),
        ("10.20.30.1", "10.20.30.1 is the gateway of site"),
        ("10.20.30.100", "10.20.30.100 is fixed, and the LAN gives out 10.20.30.100-10.20.30.199"),
        ("10.20.30.199", "10.20.30.199 is fixed, and the LAN gives out 10.20.30.100-10.20.30.199"),
        ("fd00::7", "fd00::7 lies outside 10.20.30.0/24"),
    ],
)
def test_an_address_no_host_may_have_is_unmet(address: str, words: str) -> None:
    """Each fault says what is wrong and which address of the plan is free."""
    found = _host(f'"{address}"')
    assert (found.verdict, found.found) == (UNMET, words)
    assert "10.20.30.2 is free" in found.remedy


def test_the_free_address_is_neither_taken_nor_given_out() -> None:
    """The address put forward is no host's, not the gateway and in no dynamic range."""
    lan = SITE.replace('["10.20.30.100-10.20.30.199"]', '["10.20.30.3-10.20.30.199", "10.20.30.200"]')
    other = (
        '[[network.hosts]]\nid = "x"\nlan = "site"\naddress = "10.20.30.2"\nfixed = true\nwhat = "printer"\n'
    )
    assert "10.20.30.201 is free" in _host('"10.20.30.0"', lan=lan, more=other).remedy


def test_an_address_given_to_two_hosts_is_unmet() -> None:
    """The second host with an address names the first and its line."""
    text = f"{INSTRUMENT}{SITE}{PC}".replace("10.20.30.7", "192.168.40.10")
    found = _finding(text, "hosts[pc-site].address")
    assert "192.168.40.10 is also that of lc-pc-07 (line 17)" in found.found


@pytest.mark.parametrize(
    ("address", "fixed", "lan", "verdict"),
    [
        ('""', "true", SITE, UNVERIFIED),
        ('""', '""', SITE, UNVERIFIED),
        ('""', "false", SITE, MET),
        ('""', "false", SITE.replace('["10.20.30.100-10.20.30.199"]', '"none"'), UNMET),
        ('""', "false", SITE.replace('["10.20.30.100-10.20.30.199"]', '""'), UNVERIFIED),
        ('"10.20.30.7"', "true", SITE.replace('["10.20.30.100-10.20.30.199"]', '""'), UNVERIFIED),
        ('"10.20.30.150"', '""', SITE, UNVERIFIED),
        ('"10.20.30.150"', "false", SITE, MET),  # an address the LAN always gives this host
        ('"10.20.30.150"', "false", SITE.replace('["10.20.30.100-10.20.30.199"]', '""'), UNVERIFIED),
        ('"10.20.30.7"', "true", SITE.replace('"10.20.30.0/24"', '""'), UNVERIFIED),
    ],
)
def test_what_is_not_said_leaves_an_address_open(
    address: str, fixed: str, lan: str, verdict: Verdict
) -> None:
    """Nothing blank is taken for an answer; an address the LAN gives out needs none."""
    assert _host(address, fixed, lan).verdict is verdict


def test_an_address_that_the_lan_does_not_give_out_is_unmet() -> None:
    """Where the LAN is to give it, an address has to be one of those the LAN gives out."""
    assert _host('"10.20.30.7"', "false").found == (
        "fixed = false, and site gives out 10.20.30.100-10.20.30.199, not 10.20.30.7"
    )
    none = _host('"10.20.30.7"', "false", SITE.replace('["10.20.30.100-10.20.30.199"]', '"none"'))
    assert (none.verdict, none.found) == (
        UNMET,
        "fixed = false, and site gives out no addresses, not 10.20.30.7",
    )


def test_only_what_the_lan_gives_out_is_said_to_be_given_out() -> None:
    """A blank address of a host that is fixed, or of which nobody says so, is not said."""
    assert [_host('""', fixed).found for fixed in ("true", '""', "false")] == [
        "not said",
        "not said",
        "given out by the LAN",
    ]


def test_a_host_without_a_lan_is_open() -> None:
    """An address of which nobody says the LAN cannot be held against anything."""
    assert (
        _finding('[[network.hosts]]\nid = "pc"\naddress = "10.0.0.1"', "hosts[pc].address").verdict
        is UNVERIFIED
    )


# RFC 3021: both addresses of a /31 are hosts'; RFC 4291, 2.6.1: the first of an IPv6 subnet is any router's.
@pytest.mark.parametrize(
    ("address", "subnet", "good"),
    [
        ("10.0.0.0", "10.0.0.0/31", True),
        ("10.0.0.1", "10.0.0.0/31", True),
        ("fd00::", "fd00::/64", False),
        ("fd00::ffff:ffff:ffff:ffff", "fd00::/64", True),
        ("fd00::", "fd00::/127", True),
    ],
)
def test_the_ends_of_a_subnet_follow_the_rfcs(address: str, subnet: str, good: bool) -> None:
    """Where the ends of a subnet are hosts' and where not."""
    assert (host_problem(read_address(address), read_subnet(subnet)) == "") is good


# -- names


@pytest.mark.parametrize(
    ("name", "good"),
    [
        ("lc-pc-07", True),
        ("7lab", True),  # RFC 1123, section 2.1: a digit may stand first
        ("lc-pc-07.lab.example", True),
        ("lc-pc-07.lab.example.", True),
        ("a" * 63, True),
        ("a" * 64, False),
        (".".join(["a" * 60] * 5), False),  # 304 characters: RFC 1035, section 2.3.4
        ("lc_pc", False),
        ("-lab", False),
        ("lab-", False),
        ("lab pc", False),
        ("labor-pc-\u00e4", False),
        ("lab..example", False),
        ("12345", False),  # RFC 1123, section 2.1: not the form of an address
        ("10.0.0.1", False),
        ("lab.5", False),
        ("\u0661\u0662", False),
        (".", False),
    ],
)
def test_names_follow_rfc_1123(name: str, good: bool) -> None:
    """Letters, digits and inner hyphens, 63 characters a part, not only digits."""
    assert (not name_problems(name)) is good


def _named(*hosts: tuple[str, str, str]) -> dict[str, Verdict]:
    """Verdict of the name of each of hosts given by name, LAN and kind."""
    text = f"{INSTRUMENT}{SITE}"
    for index, (name, lan, what) in enumerate(hosts):
        text += f'[[network.hosts]]\nid = "h{index}"\nname = "{name}"\nlan = "{lan}"\nwhat = "{what}"\n'
    return {f.id.split("[")[1][:2]: f.verdict for f in _section(text).findings if f.id.endswith("].name")}


def test_a_computers_name_has_fifteen_characters_at_most() -> None:
    """A longer one is cut by NetBIOS: marginal for computers; an instrument's name is not cut."""
    assert _named(("a" * 15, "site", "computer"), ("b" * 16, "instrument", "instrument")) == {
        "h0": MET,
        "h1": MET,
    }
    assert _named(("a" * 16, "site", "computer")) == {"h0": MARGINAL}


def test_names_that_are_the_same_once_cut_are_unmet() -> None:
    """Two computers of which NetBIOS leaves the same fifteen characters are not told apart."""
    assert netbios_name("LAB-CHROM-CONTROL-01") == netbios_name("lab-chrom-control-02") == "LAB-CHROM-CONTR"
    found = _named(("lab-chrom-control-01", "site", "computer"), ("LAB-CHROM-CONTROL-02", "site", ""))
    assert found == {"h0": MARGINAL, "h1": UNMET}


def test_a_name_with_its_domain_is_that_of_its_first_part() -> None:
    """With and without a domain it is one name; in two domains NetBIOS tells two computers not apart."""
    short, full = "LC-PC-07", "lc-pc-07.lab.example"
    assert _named((short, "site", "computer"), (full, "site", "computer")) == {"h0": MET, "h1": UNMET}
    assert _named((short, "site", "computer"), (full, "site", "instrument")) == {"h0": MET, "h1": UNMET}
    assert _named((short, "site", "computer"), (full, "instrument", "computer")) == {"h0": MET, "h1": MET}
    two = ("lc-pc-07.west.example", "instrument", "computer")
    assert _named((full, "site", "computer"), two) == {"h0": MET, "h1": UNMET}
    switches = _named((full, "site", "switch"), ("lc-pc-07.west.example", "site", "switch"))
    assert switches == {"h0": MET, "h1": MET}
    assert _named((f"{'a' * 20}.lab.example", "site", "computer")) == {"h0": MARGINAL}


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        ("computer", "instrument", UNVERIFIED),
        ("instrument", "computer", UNVERIFIED),
        ("instrument", "instrument", UNVERIFIED),
        ("", "printer", UNVERIFIED),
        ("computer", "switch", MET),
        ("switch", "instrument", MET),
    ],
)
def test_what_may_use_netbios_is_told_apart_too(first: str, second: str, verdict: Verdict) -> None:
    """Of an instrument nobody knows whether its name is cut; a switch has no such name."""
    found = _named(("lab-chrom-control-01", "site", first), ("lab-chrom-control-02", "site", second))
    assert found["h1"] is verdict


def test_a_name_that_may_be_cut_names_the_device() -> None:
    """The reason says of which device it is not known, and what to do."""
    text = f"{SITE}" + "".join(
        f'[[network.hosts]]\nid = "{name}"\nname = "lab-chrom-control-{name}"\nwhat = "{what}"\n'
        for name, what in (("a", "computer"), ("b", "instrument"))
    )
    found = _finding(text, "hosts[b].name")
    assert found.why == "whether lab-chrom-control-b uses NetBIOS is not known"
    assert "Choose another `name`" in found.remedy


def test_one_computer_on_two_lans_has_one_name() -> None:
    """The same name on another LAN is the same computer; on one LAN, or of another kind, it is a clash."""
    assert _named(("pc", "site", "computer"), ("PC", "instrument", "computer")) == {"h0": MET}
    assert _named(("pc", "site", "computer"), ("PC", "site", "computer")) == {"h0": MET, "h1": UNMET}
    assert _named(("pc", "site", "computer"), ("pc", "instrument", "printer")) == {"h0": MET, "h1": UNMET}


def test_a_computer_without_a_name_is_open() -> None:
    """A computer needs a name; a printer may do without."""
    assert _named(("", "site", "computer"), ("", "site", "printer")) == {"h0": UNVERIFIED}


# -- the PC

WHOLE = f"{INSTRUMENT}{SITE}{PC}"
WIRED = {"name": "eth", "medium": "wired"}
WIRELESS = {"name": "wlan", "medium": "wireless"}


@pytest.mark.parametrize(
    ("adapters", "verdict"),
    [
        (value([WIRED, WIRED]), MET),
        (value([WIRED]), UNMET),
        (value([WIRED, WIRELESS]), UNVERIFIED),
        (value([WIRELESS]), UNMET),
        (value([WIRED, {"name": "x"}]), UNVERIFIED),
        (value([WIRED, WIRED, {"name": "x"}]), MET),
        (unknown(), UNVERIFIED),
    ],
)
def test_the_pc_has_a_wired_port_for_each_lan(adapters: dict[str, Any], verdict: Verdict) -> None:
    """As many wired adapters as the PC has LANs; one it cannot be sure of proves nothing."""
    assert _finding(WHOLE, "ports", readings={"network.adapters": adapters}).verdict is verdict


def test_ports_without_a_snapshot_are_open() -> None:
    """Without readings nobody knows how many ports there are."""
    assert _finding(WHOLE, "ports").verdict is UNVERIFIED


@pytest.mark.parametrize(("name", "verdict"), [("LC-PC-07", MET), ("desktop-1", MARGINAL)])
def test_the_name_the_pc_has_now_is_held_against_the_plan(name: str, verdict: Verdict) -> None:
    """A PC with another name is to be renamed before licences are made out; it decides nothing."""
    found = _finding(WHOLE, "computer", readings={"computer.host_name": value(name)})
    assert (found.verdict, found.binding) == (verdict, False)


@pytest.mark.parametrize(
    ("adapter", "unmet"),
    [
        ({"addresses": ["192.168.40.5"], "gateway": "192.168.40.1"}, True),
        ({"addresses": ["fd00::1", "192.168.40.5"], "gateway": "fd00::2"}, True),
        ({"addresses": ["192.168.40.10"]}, False),  # set up as planned
        ({"addresses": ["192.168.41.5"], "gateway": "192.168.41.1"}, False),
        ({"addresses": ["ip-3"], "gateway": "ip-4"}, False),  # a redacted snapshot
        ({"gateway": "192.168.40.1"}, False),
    ],
)
def test_a_network_the_pc_is_on_now_is_not_the_instruments(adapter: dict[str, Any], unmet: bool) -> None:
    """Where the PC has a gateway in the subnet planned for the instrument, the site uses it already."""
    section = _section(WHOLE, {"network.adapters": value([{"name": "eth0", **adapter}])})
    found = [one for one in section.findings if one.id == "network.lans[instrument].now"]
    assert [one.verdict for one in found] == ([UNMET] if unmet else [])
    assert not unmet or "eth0 has 192.168.40.5 and the gateway" in found[0].found


# -- openings


def _opening(more: str, **days: date | None) -> Finding:
    head = '[[network.openings]]\nid = "o"\nfrom = "pc"\nto = "db"\nport = 1521\nprotocol = "tcp"\n'
    return _finding(head + more, "openings[o]", **days)


@pytest.mark.parametrize(
    ("more", "verdict"),
    [
        ('state = "in hand"', MET),
        ('state = "requested"', UNVERIFIED),
        ('state = "missing"', UNVERIFIED),
        ('state = ""', UNVERIFIED),
        ('state = "not needed"', UNVERIFIED),
        ('state = "not needed"\nbecause = "the same LAN"', Verdict.NOT_APPLICABLE),
    ],
)
def test_an_opening_is_met_only_in_hand(more: str, verdict: Verdict) -> None:
    """Before the day what is not open yet is open work; not needed takes a reason."""
    assert _opening(more).verdict is verdict


def test_an_opening_still_missing_after_the_day_is_unmet() -> None:
    """On the day itself it may still come; the day after it is late."""
    assert _opening('state = "missing"', as_of=DAY).verdict is UNVERIFIED
    assert _opening('state = "missing"', as_of=date(2027, 3, 16)).verdict is UNMET


def test_an_opening_in_hand_says_what_it_opens() -> None:
    """In hand without a port opens nothing anybody could check."""
    found = _finding('[[network.openings]]\nid = "o"\nfrom = "a"\nto = "b"\nstate = "in hand"', "openings[o]")
    assert (found.verdict, found.why) == (UNVERIFIED, "`port` is blank; `protocol` is blank")


ENDPOINTS = tuple(
    endpoints_of(
        profile_of(
            '[[network.endpoints]]\nid = "licence"\nhost = "Licences.example"\nport = { equal = 8000 }\n'
            "reachable = true\nadvised = true\n"
            '[[network.endpoints]]\nid = "database"\nhost = "10.20.30.9"\nport = { equal = 1521 }\n'
            "reachable = true\n"
            '[[network.endpoints]]\nid = "other"\nhost = "10.20.30.9"\nport = { equal = 23 }\n'
            "reachable = false\n"
        ).conditions
    )
)


def test_the_endpoints_of_a_profile_are_those_to_be_reachable() -> None:
    """Host and port of what must be reachable are taken, and whether it binds; nothing else is."""
    assert [(one.host, one.port, one.binding) for one in ENDPOINTS] == [
        ("Licences.example", 8000, False),
        ("10.20.30.9", 1521, True),
    ]


def test_a_port_the_profile_needs_is_listed_or_open() -> None:
    """An endpoint that no opening names is unverified; one that an opening covers is that opening's."""
    hosts = f'{SITE}[[network.hosts]]\nid = "db"\nlan = "site"\naddress = "10.20.30.9"\n'
    text = (
        hosts + '[[network.openings]]\nid = "a"\nto = "licences.example."\nport = "7000-8000"\n'
        '[[network.openings]]\nid = "b"\nto = "db"\nport = 1521\nprotocol = "udp"\n'
    )
    found = [f for f in _section(text, endpoints=ENDPOINTS).findings if f.id.startswith("network.endpoints")]
    assert [(f.id, f.verdict, f.binding) for f in found] == [
        ("network.endpoints[10.20.30.9:1521]", UNVERIFIED, True)
    ]
    assert not [
        f
        for f in _section(text.replace("udp", "tcp"), endpoints=ENDPOINTS).findings
        if f.id.startswith("network.endpoints")
    ]


# -- the administrator

AWAY = """
[people.net]
name = "R. Amsel"
contact = "ext. 4711"
away = [{ from = 2027-03-10, to = 2027-03-15 }]
"""


@pytest.mark.parametrize(
    ("text", "day", "verdict"),
    [
        ('administrator = "net"\nbooked = true', date(2027, 3, 16), MET),
        ('administrator = "net"\nbooked = true', DAY, UNMET),
        ('administrator = "net"\nbooked = true', date(2027, 3, 10), UNMET),
        ('administrator = "net"\nbooked = true', None, UNVERIFIED),
        ('administrator = "net"', date(2027, 3, 16), UNVERIFIED),
        ('administrator = "net"\nbooked = false', date(2027, 3, 16), UNVERIFIED),
        ("booked = true", date(2027, 3, 16), UNVERIFIED),
        ('administrator = "IT hotline"\nbooked = true', DAY, MET),
    ],
)
def test_the_administrator_is_named_booked_and_there(text: str, day: date | None, verdict: Verdict) -> None:
    """Both ends of an absence count; a blank, or a day nobody said, leaves it open."""
    assert _finding(f"{AWAY}[network]\n{text}", "administrator", day=day).verdict is verdict


@pytest.mark.parametrize(
    ("text", "found", "why"),
    [
        ("booked = true", "not said", "`administrator` is blank"),
        ('administrator = "net"', "R. Amsel", "`booked` is blank"),
        ('administrator = "net"\nbooked = false', "R. Amsel, not booked yet", "booked = false"),
        ('administrator = "net"\nbooked = true', "R. Amsel, ext. 4711, booked", ""),
    ],
)
def test_what_is_not_said_of_the_administrator_is_named(text: str, found: str, why: str) -> None:
    """Who reads of an open administrator learns which key is blank."""
    one = _finding(f"{AWAY}[network]\n{text}", "administrator", day=date(2027, 3, 16))
    assert (one.found, one.why) == (found, why)


# -- the section


def test_a_plan_without_faults_is_met_throughout() -> None:
    """With everything said and nothing wrong no finding is open."""
    text = AWAY + '[network]\nadministrator = "net"\nbooked = true\n' + WHOLE
    readings = {"network.adapters": value([WIRED, WIRED]), "computer.host_name": value("lc-pc-07")}
    section = _section(text, readings, day=date(2027, 3, 16))
    assert {one.id: one.verdict.value for one in section.findings if one.verdict is not MET} == {}
    assert section.tables[0].rows == (
        ("lc-pc-07", "instrument", "192.168.40.10", "255.255.255.0", "none", "fixed"),
        ("lc-pc-07", "site", "10.20.30.7", "255.255.255.0", "10.20.30.1", "fixed"),
    )


def test_a_section_left_out_says_so() -> None:
    """Without the section there is no finding and one line of what was not asked."""
    section = _section('title = "a"')
    assert (section.findings, len(section.not_asked)) == ((), 1)


def test_ids_of_findings_differ() -> None:
    """Every finding of a plan with everything in it has an id of its own."""
    ids = [one.id for one in _section(WHOLE, {}, endpoints=(*ENDPOINTS, *ENDPOINTS)).findings]
    assert len(ids) == len(set(ids))
    assert all(one.startswith("network.") for one in ids)


def test_every_fault_says_what_to_do() -> None:
    """Whatever is not met, and does apply, has a remedy."""
    text = WHOLE.replace("192.168.40.0/24", "169.254.0.0/16") + '[[network.openings]]\nid = "o"\n'
    for one in _section(text, {}, endpoints=ENDPOINTS).findings:
        assert one.verdict is MET or one.remedy, one
