"""Networks as people write them into a worksheet, and what is told of slips."""

from __future__ import annotations

from ipaddress import IPv4Address, IPv4Network, IPv6Network

import pytest

from pcaudit.core.worksheet.addresses import AddressError, Range, read_address, read_range, read_subnet
from pcaudit.core.worksheet.network import Host, Lan, Network, Opening, read_network
from tests.core.worksheet.section_text import read, told

WHOLE = """
[people.network-admin]
name = "R. Amsel"

[network]
administrator = "network-admin"
booked = true

[[network.lans]]
id = "instrument"
role = "instrument"
subnet = "192.168.40.0/24"
gateway = "none"
dynamic = "none"
vlan = 40

[[network.lans]]
id = "site"
role = "site"
subnet = "10.20.30.0/24"
gateway = "10.20.30.1"
dynamic = ["10.20.30.100-10.20.30.199", "10.20.30.250"]

[[network.hosts]]
id = "pc-instrument"
name = "lc-pc-07"
lan = "instrument"
address = "192.168.40.10"
fixed = true
what = "computer"

[[network.openings]]
id = "licence"
from = "pc-instrument"
to = "licences.laboratory.example"
port = "8000-8010"
protocol = "tcp"
state = "requested"
"""


def test_a_whole_section_is_read() -> None:
    """Every key ends up where the plan looks for it."""
    network, mistakes = read(read_network, WHOLE)
    assert not mistakes
    given = (
        Range(IPv4Address("10.20.30.100"), IPv4Address("10.20.30.199")),
        Range(IPv4Address("10.20.30.250"), IPv4Address("10.20.30.250")),
    )
    assert network == Network(
        asked=True,
        lans=(
            Lan(
                id="instrument",
                role="instrument",
                subnet=IPv4Network("192.168.40.0/24"),
                no_gateway=True,
                dynamic=(),
                vlan=40,
                line=10,
            ),
            Lan(
                id="site",
                role="site",
                subnet=IPv4Network("10.20.30.0/24"),
                gateway=IPv4Address("10.20.30.1"),
                dynamic=given,
                line=18,
            ),
        ),
        hosts=(
            Host(
                id="pc-instrument",
                name="lc-pc-07",
                lan="instrument",
                address=IPv4Address("192.168.40.10"),
                fixed=True,
                what="computer",
                line=25,
            ),
        ),
        openings=(
            Opening(
                id="licence",
                source="pc-instrument",
                target="licences.laboratory.example",
                ports=(8000, 8010),
                protocol="tcp",
                state="requested",
                line=33,
            ),
        ),
        administrator="network-admin",
        booked=True,
        line=6,
    )


def test_blanks_are_unanswered() -> None:
    """A fresh worksheet's blanks are no mistakes and answer nothing, not even that there is no gateway."""
    text = """
[network]
administrator = ""
booked = ""
[[network.lans]]
id = "site"
role = ""
subnet = ""
gateway = ""
dynamic = []
[[network.hosts]]
id = "pc"
name = ""
lan = ""
address = ""
fixed = ""
[[network.openings]]
id = "o"
port = ""
state = ""
"""
    network, mistakes = read(read_network, text)
    assert not mistakes
    assert network.lans[0]._replace(line=0) == Lan("site")
    assert network.hosts[0]._replace(line=0) == Host("pc")
    assert network.openings[0]._replace(line=0) == Opening("o")
    assert network.booked is None


def test_no_section_is_not_asked() -> None:
    """A worksheet without the section asks nothing of networks."""
    assert read(read_network, 'title = "a"') == (Network(), [])


LAN = '[[network.lans]]\nid = "a"\n'
HOST = f'{LAN}[[network.hosts]]\nid = "pc"\n'
OPENING = '[[network.openings]]\nid = "o"\n'


@pytest.mark.parametrize(
    ("text", "line", "key", "words"),
    [
        (f'{LAN}subnet = "10.0.0.5/24"', 3, "network.lans[1].subnet", "the subnet it lies in is 10.0.0.0/24"),
        (f'{LAN}subnet = "10.0.0.0"', 3, "network.lans[1].subnet", "write 10.0.0.0/24"),
        (f'{LAN}subnet = "10.0.0.0/33"', 3, "network.lans[1].subnet", "a number from 1 to 31"),
        (f'{LAN}subnet = "10.0.0.0/0.0.0.255"', 3, "network.lans[1].subnet", "'0.0.0.255' is no prefix"),
        (f'{LAN}subnet = "10.0.0.1/32"', 3, "network.lans[1].subnet", "holds one address"),
        (f'{LAN}subnet = "0.0.0.0/0"', 3, "network.lans[1].subnet", "every address there is"),
        (f'{LAN}subnet = "10.300.0.0/16"', 3, "network.lans[1].subnet", "from 0 to 255"),
        (f'{LAN}subnet = "fd00::1/64"', 3, "network.lans[1].subnet", "the subnet it lies in is fd00::/64"),
        # RFC 4291, section 2.5.5.2: IPv4-mapped addresses.
        (f'{LAN}subnet = "::ffff:10.20.30.0/120"', 3, "network.lans[1].subnet", "write 10.20.30.0;"),
        (f'{LAN}gateway = "::ffff:10.20.30.1"', 3, "network.lans[1].gateway", "write 10.20.30.1;"),
        (f'{LAN}dynamic = "::FFFF:a14:1e64"', 3, "network.lans[1].dynamic", "write 10.20.30.100;"),
        (f'{LAN}subnet = "fd00::/129"', 3, "network.lans[1].subnet", "write fd00::/64"),
        (f"{LAN}subnet = 10", 3, "network.lans[1].subnet", "`subnet` is a text"),
        (f'{LAN}gateway = "10.0.0.1/24"', 3, "network.lans[1].gateway", "write 10.0.0.1;"),
        (f'{LAN}gateway = "router"', 3, "network.lans[1].gateway", "'router' is no address"),
        (f'{LAN}gateway = "010.0.0.1"', 3, "network.lans[1].gateway", "write 10.0.0.1"),
        (f'{LAN}gateway = "fe80::1%3"', 3, "network.lans[1].gateway", "one PC; write fe80::1"),
        (f'{LAN}dynamic = ["10.0.0.9-10.0.0.1"]', 3, "network.lans[1].dynamic[1]", "write 10.0.0.1-10.0.0.9"),
        (f'{LAN}dynamic = "10.0.0.1-::9"', 3, "network.lans[1].dynamic", "mixes IPv4 and IPv6"),
        (f'{LAN}dynamic = "10.0.0.1-3-5"', 3, "network.lans[1].dynamic", "each range as a text of its own"),
        (f"{LAN}vlan = 4095", 3, "network.lans[1].vlan", "from 1 to 4094"),
        (f'{LAN}role = "instruments"', 3, "network.lans[1].role", "did you mean `instrument`?"),
        (f'{LAN}mask = "255.255.255.0"', 3, "network.lans[1].mask", "unknown key `mask`"),
        (f"{LAN}{LAN}", 4, "network.lans[2].id", "the first is in line 2"),
        (f'{HOST}lan = "b"', 5, "network.hosts[1].lan", "there is no LAN `b`"),
        (f'{HOST}address = "10.0.0"', 5, "network.hosts[1].address", "is no address"),
        (f'{HOST}fixed = "yes"', 5, "network.hosts[1].fixed", "true or false"),
        (f'{HOST}what = "PC"', 5, "network.hosts[1].what", "known here: computer"),
        ("[[network.hosts]]\n", 1, "network.hosts[1]", "every host has an `id`"),
        (f"{OPENING}port = 0", 3, "network.openings[1].port", "from 1 to 65535"),
        (f"{OPENING}port = 65536", 3, "network.openings[1].port", "from 1 to 65535"),
        (f'{OPENING}port = "8010-8000"', 3, "network.openings[1].port", "is no port"),
        (f'{OPENING}port = "http"', 3, "network.openings[1].port", "write port = 8000"),
        (f"{OPENING}port = true", 3, "network.openings[1].port", "True is no port"),
        (f'{OPENING}protocol = "icmp"', 3, "network.openings[1].protocol", "none of what"),
        (f'{OPENING}state = "open"', 3, "network.openings[1].state", "known here: in hand"),
        (
            '[people.net-admin]\n[network]\nadministrator = "net-admn"',
            3,
            "network.administrator",
            "`net-admin`",
        ),
        ("network = 5", 1, "network", "`network` is a section"),
        ('[network]\nadministrater = "x"', 2, "network.administrater", "did you mean `administrator`?"),
    ],
)
def test_a_slip_is_told_with_line_key_and_what_would_be_right(
    text: str, line: int, key: str, words: str
) -> None:
    """Every mistake names its line and key, and says what would be right."""
    at, named, said = told(read_network, text)
    assert (at, named) == (line, key)
    assert words in said


@pytest.mark.parametrize(
    ("text", "subnet"),
    [
        ("10.20.30.0/24", IPv4Network("10.20.30.0/24")),
        ("10.20.30.0/255.255.255.0", IPv4Network("10.20.30.0/24")),
        ("10.20.30.0 / 24", IPv4Network("10.20.30.0/24")),
        ("192.168.254.0/23", IPv4Network("192.168.254.0/23")),
        ("10.0.0.0/31", IPv4Network("10.0.0.0/31")),
        ("fd12:3456::/64", IPv6Network("fd12:3456::/64")),
    ],
)
def test_subnets_are_read_in_the_forms_people_write(text: str, subnet: IPv4Network | IPv6Network) -> None:
    """A prefix length and a mask say the same."""
    assert read_subnet(text) == subnet


def test_a_range_holds_its_ends_and_nothing_of_the_other_version() -> None:
    """Both ends are in a range; an IPv6 address of the same number is not."""
    given = read_range("10.0.0.1 to 10.0.0.9")
    assert given.holds(read_address("10.0.0.1"))
    assert given.holds(read_address("10.0.0.9"))
    assert not given.holds(read_address("10.0.0.10"))
    assert not given.holds(read_address("::a00:1"))
    assert read_range("10.0.0.1").shown == "10.0.0.1"


def test_an_octet_of_many_digits_is_refused_at_once() -> None:
    """A number of thousands of digits is told, not computed."""
    with pytest.raises(AddressError):
        read_address(f"{'1' * 6000}.0.0.1")
