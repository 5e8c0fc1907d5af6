"""The networks around the PC: address plan, names, openings, and who looks after them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeVar

from pcaudit.core.places import Path
from pcaudit.core.texts import did_you_mean, fold
from pcaudit.core.worksheet.arrangements import STATES
from pcaudit.core.worksheet.people import people_named, who
from pcaudit.core.worksheet.reader import Reader

if TYPE_CHECKING:
    from collections.abc import Callable

    from pcaudit.core.worksheet.addresses import Address, Range, Subnet

_Read = TypeVar("_Read")

_MOST_HINTS: Final = 50

ROLES: Final = ("instrument", "site", "other")
KINDS: Final = ("computer", "instrument", "printer", "server", "switch", "other")
PROTOCOLS: Final = ("tcp", "udp")
NONE: Final = "none"
"""How the worksheet says that a LAN has no gateway, or gives out no addresses."""

LAST_PORT: Final = 65535
"""RFC 6335, section 6: port numbers have 16 bits, and 0 is reserved."""

LAST_VLAN: Final = 4094
"""IEEE 802.1Q: identifiers have 12 bits, and 0 and 4095 are reserved."""


class Lan(NamedTuple):
    """One LAN.

    Attributes:
        id, title: Its name, and what people call it.
        role: One of ``ROLES``; empty where not said.
        subnet: Its addresses; None where not said.
        gateway: Address of its gateway; None where there is none or that is not said.
        no_gateway: The worksheet says that there is none.
        dynamic: Ranges it gives out addresses from, none where it gives out none; None where not said.
        vlan: Its tag; None where not said.
        line: Where it stands in the worksheet.
    """

    id: str
    title: str = ""
    role: str = ""
    subnet: Subnet | None = None
    gateway: Address | None = None
    no_gateway: bool = False
    dynamic: tuple[Range, ...] | None = None
    vlan: int | None = None
    line: int = 0

    @property
    def shown(self) -> str:
        """What people call it."""
        return self.title or self.id


class Host(NamedTuple):
    """One address of a PC, an instrument or anything else on a LAN.

    Attributes:
        id: Its name in the worksheet.
        name: Host name; empty where not said.
        lan: Id of its LAN; empty where not said.
        address: None where not said.
        fixed: Whether the address is set by hand; None where not said.
        what: One of ``KINDS``; empty where not said.
        line: Where it stands in the worksheet.
    """

    id: str
    name: str = ""
    lan: str = ""
    address: Address | None = None
    fixed: bool | None = None
    what: str = ""
    line: int = 0

    @property
    def shown(self) -> str:
        """What people call it."""
        return self.name or self.id


class Opening(NamedTuple):
    """What firewalls must let through.

    Attributes:
        id: Its name in the worksheet.
        source, target: From where to where, id of a host or a text.
        ports: First and last port; None where not said.
        protocol: One of ``PROTOCOLS``; empty where not said.
        state: One of the states of arrangements; empty while unanswered.
        because: Why it is not needed.
        line: Where it stands in the worksheet.
    """

    id: str
    source: str = ""
    target: str = ""
    ports: tuple[int, int] | None = None
    protocol: str = ""
    state: str = ""
    because: str = ""
    line: int = 0


class Network(NamedTuple):
    """What the worksheet says of networks.

    Attributes:
        asked: Whether the section is there.
        lans, hosts, openings: In the order of the worksheet.
        administrator: Id of the person who looks after the site's network, or a text.
        booked: Whether that person is booked for the day; None where not said.
        line: Line of the administrator, else of the section.
    """

    asked: bool = False
    lans: tuple[Lan, ...] = ()
    hosts: tuple[Host, ...] = ()
    openings: tuple[Opening, ...] = ()
    administrator: str = ""
    booked: bool | None = None
    line: int = 0


def read_network(reader: Reader, data: Mapping[str, Any]) -> Network:
    """Read ``[network]``; a worksheet without one is asked nothing of it."""
    table = reader.table(data, "network")
    if table is None:
        return Network()
    path: Path = ("network",)
    reader.known(table, path, ("lans", "hosts", "openings", "administrator", "booked"))
    people = people_named(data)
    seen: dict[str, int] = {}
    lans = [_lan(reader, one, here, seen) for one, here in reader.tables(table, "lans", path)]
    ids: dict[str, int] = {}
    hosts = [_host(reader, one, here, ids, seen) for one, here in reader.tables(table, "hosts", path)]
    names: dict[str, int] = {}
    openings = [_opening(reader, one, here, names) for one, here in reader.tables(table, "openings", path)]
    return Network(
        asked=True,
        lans=tuple(one for one in lans if one.id),
        hosts=tuple(one for one in hosts if one.id),
        openings=tuple(one for one in openings if one.id),
        administrator=who(reader, people, table, path, "administrator"),
        booked=reader.flag(table, path, "booked"),
        line=reader.line((*path, "administrator")),
    )


def _parsed(
    reader: Reader, table: Mapping[str, Any], path: Path, key: str, read: Callable[[str], _Read]
) -> _Read | None:
    from pcaudit.core.worksheet.addresses import AddressError

    text = reader.text(table, path, key)
    if not text:
        return None
    try:
        return read(text)
    except AddressError as error:
        reader.wrong((*path, key), str(error), error.hint)
        return None


def _lan(reader: Reader, table: Mapping[str, Any], path: Path, seen: dict[str, int]) -> Lan:
    # Here and below: a worksheet without addresses does not pay for the library of addresses.
    from pcaudit.core.worksheet.addresses import read_address, read_subnet

    reader.known(table, path, ("id", "title", "role", "subnet", "gateway", "dynamic", "vlan"))
    gateway = table.get("gateway")
    without = isinstance(gateway, str) and fold(gateway) == NONE
    vlan = reader.number(table, path, "vlan", 1, LAST_VLAN, whole=True)
    return Lan(
        id=reader.id(table, path, seen, "LAN"),
        title=reader.text(table, path, "title"),
        role=reader.choice(table, path, "role", ROLES),
        subnet=_parsed(reader, table, path, "subnet", read_subnet),
        gateway=None if without else _parsed(reader, table, path, "gateway", read_address),
        no_gateway=without,
        dynamic=_dynamic(reader, table, path),
        vlan=None if vlan is None else int(vlan),
        line=reader.line((*path, "id")),
    )


def _dynamic(reader: Reader, table: Mapping[str, Any], path: Path) -> tuple[Range, ...] | None:
    from pcaudit.core.worksheet.addresses import AddressError, read_range

    texts = reader.texts(table, path, "dynamic")
    if not texts:
        return None
    if [fold(one) for one in texts] == [NONE]:
        return ()
    found = []
    for index, text in enumerate(texts):
        try:
            found.append(read_range(text))
        except AddressError as error:
            here = (*path, "dynamic", index) if isinstance(table["dynamic"], list) else (*path, "dynamic")
            reader.wrong(here, str(error), error.hint)
    return tuple(found) or None


def _host(
    reader: Reader, table: Mapping[str, Any], path: Path, seen: dict[str, int], lans: Mapping[str, int]
) -> Host:
    from pcaudit.core.worksheet.addresses import read_address

    reader.known(table, path, ("id", "name", "lan", "address", "fixed", "what"))
    lan = reader.text(table, path, "lan")
    if lan and lan not in lans:
        # Finding what was meant takes a while: of thousands that are lost the first ones will do.
        few = lans and len(reader.mistakes) < _MOST_HINTS
        hint = did_you_mean(lan, lans) if few else "write [[network.lans]] for each"
        reader.wrong((*path, "lan"), f"there is no LAN `{lan:.60}`", hint)
        lan = ""
    return Host(
        id=reader.id(table, path, seen, "host"),
        name=reader.text(table, path, "name"),
        lan=lan,
        address=_parsed(reader, table, path, "address", read_address),
        fixed=reader.flag(table, path, "fixed"),
        what=reader.choice(table, path, "what", KINDS),
        line=reader.line((*path, "id")),
    )


def _opening(reader: Reader, table: Mapping[str, Any], path: Path, seen: dict[str, int]) -> Opening:
    reader.known(table, path, ("id", "from", "to", "port", "protocol", "state", "because"))
    return Opening(
        id=reader.id(table, path, seen, "opening"),
        source=reader.text(table, path, "from"),
        target=reader.text(table, path, "to"),
        ports=_ports(reader, table, path),
        protocol=reader.choice(table, path, "protocol", PROTOCOLS),
        state=reader.choice(table, path, "state", STATES),
        because=reader.text(table, path, "because"),
        line=reader.line((*path, "id")),
    )


def _ports(reader: Reader, table: Mapping[str, Any], path: Path) -> tuple[int, int] | None:
    value = table.get("port")
    if value is None or value == "":
        return None
    text = str(value) if isinstance(value, int | str) and not isinstance(value, bool) else ""
    ends = [end.strip() for end in text.split("-")]
    if len(ends) in (1, 2) and all(end.isascii() and end.isdigit() and len(end) <= 5 for end in ends):
        first, last = int(ends[0]), int(ends[-1])
        if 1 <= first <= last <= LAST_PORT:
            return first, last
    hint = f'from 1 to {LAST_PORT}: write port = 8000, or port = "8000-8010"'
    reader.wrong((*path, "port"), f"{text or value!r:.60} is no port", hint)
    return None
