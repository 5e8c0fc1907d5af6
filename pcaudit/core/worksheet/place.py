"""Reading the section ``place`` of a worksheet.

Amounts become the exact fractions that were written: a load of exactly the limit is within it, and
no rounding decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Any, Final

from pcaudit.core.places import Path
from pcaudit.core.site_units import (
    APPARENT,
    CHARGE,
    CURRENT,
    HEAT,
    MASS,
    POWER,
    VOLTAGE,
    read_temperature,
)
from pcaudit.core.texts import did_you_mean
from pcaudit.core.units import DURATION, LENGTH, LINK, Kind, UnitError
from pcaudit.core.worksheet.reader import Reader
from pcaudit.core.worksheet.site import (
    BASES,
    FLOOR,
    KINDS,
    PROTECTION,
    Battery,
    Bench,
    Circuit,
    Outlet,
    Room,
    Runtime,
    Site,
    Strip,
    Supply,
    Thing,
    WallPort,
)

__all__ = ["MOST_CHAINED", "Site", "exact", "read_place"]

# Beyond these bounds a figure is a slip of the finger: far above anything in a laboratory, and a
# voltage below extra-low voltage (50 V, IEC 61140) is none of the mains.
_Bounds = tuple[Kind, float, float]
_VOLTS: Final[_Bounds] = (VOLTAGE, 50, 1000)
_AMPERES: Final[_Bounds] = (CURRENT, 0.1, 1000)
_WATTS: Final[_Bounds] = (POWER, 0, 200_000)
# Volt-amperes are read apart; hints offer both.
_LOAD: Final[_Bounds] = (
    POWER._replace(shown=("kW", "W", "kVA", "VA"), example='"350 W" or "350 VA"'),
    0,
    200_000,
)
_HEAT: Final[_Bounds] = (HEAT, 0, 1_000_000)
_VOLT_AMPERES: Final[_Bounds] = (APPARENT, 0, 200_000)
_LENGTHS: Final[_Bounds] = (LENGTH, 0, 30_000)
_MASSES: Final[_Bounds] = (MASS, 0, 10_000)
_BATTERY_VOLTS: Final[_Bounds] = (VOLTAGE, 1, 1000)
_CHARGES: Final[_Bounds] = (CHARGE, 0.1, 10_000)
_LEAST_POWER_FACTOR: Final = 0.05
_MOST_COUNT: Final = 1000
_LONGEST_RUNTIME: Final = 7 * 86400
_MOST_COMPARED: Final = 50  # comparing names takes time: thousands with thousands, minutes

MOST_CHAINED: Final = 16
"""Most strips and supplies one behind the other that a worksheet may have; even two are told as a chain."""


def exact(amount: float) -> Fraction:
    """The fraction a person wrote: 0.95 is 95/100, not the binary number nearest to it."""
    return Fraction(str(amount))


class _Item:
    """One table of the section: its values, each as the records hold them."""

    def __init__(self, reader: Reader, table: Mapping[str, Any], path: Path, keys: Sequence[str]) -> None:
        self.reader = reader
        self.data = table
        self.path = path
        self.line = reader.line(path)
        reader.known(table, path, keys)

    def text(self, key: str) -> str:
        return self.reader.text(self.data, self.path, key)

    def word(self, key: str, words: Sequence[str]) -> str:
        return self.reader.choice(self.data, self.path, key, words)

    def flag(self, key: str) -> bool | None:
        return self.reader.flag(self.data, self.path, key)

    def amount(self, key: str, bounds: _Bounds) -> Fraction | None:
        kind, low, high = bounds
        value = self.reader.quantity(self.data, self.path, key, kind, low, high)
        return None if value is None else exact(value)

    def share(self, key: str, low: float = 0) -> Fraction | None:
        value = self.reader.percent(self.data, self.path, key)
        if value is not None and value <= low:
            self.reader.wrong(
                (*self.path, key), f"`{key}` is more than {low * 100:g} %", f'write {key} = "90 %"'
            )
            return None
        return None if value is None else exact(value)

    def seconds(self, key: str) -> Fraction | None:
        value = self.reader.quantity(self.data, self.path, key, DURATION, 0, _LONGEST_RUNTIME)
        return None if value is None else exact(value)

    def whole(self, key: str, low: int = 1) -> int | None:
        value = self.reader.number(self.data, self.path, key, low, _MOST_COUNT, whole=True)
        return None if value is None else int(value)


class _Reading:
    """Reads the lists of one section; ids of what can be plugged into are one set of names."""

    def __init__(self, reader: Reader, section: Mapping[str, Any]) -> None:
        self.reader = reader
        self.section = section
        self.sockets: dict[str, int] = {}
        self.paths: dict[str, Path] = {}

    def items(
        self, key: str, what: str, seen: dict[str, int], keys: Sequence[str]
    ) -> list[tuple[_Item, str]]:
        """The tables of a list, each with its id."""
        out = []
        for table, path in self.reader.tables(self.section, key, ("place",)):
            item = _Item(self.reader, table, path, ("id", "title", "note", *keys))
            identifier = self.reader.id(table, path, seen, what)
            item.text("note")
            if seen is self.sockets and identifier:
                self.paths[identifier] = path
            out.append((item, identifier))
        return out

    def title(self, item: _Item, identifier: str) -> str:
        return item.text("title") or identifier

    def reference(self, item: _Item, key: str, known: Mapping[str, object], what: str) -> str:
        """The id a key names; a mistake where nothing has it."""
        name = item.text(key)
        if name and name not in known:
            self.reader.wrong((*item.path, key), f"there is no {what} `{name:.60}`", _near(name, known))
            return ""
        return name


def _room(reader: Reader, section: Mapping[str, Any]) -> Room:
    table = reader.table(section, "room", ("place",))
    if table is None:
        return Room()
    item = _Item(reader, table, ("place", "room"), ("temperature", "humidity", "cooling", "note"))
    item.text("note")
    return Room(_temperature(item), item.share("humidity", -1), item.amount("cooling", _HEAT), item.line)


def _temperature(item: _Item) -> float | None:
    text = item.text("temperature")
    if not text:
        return None
    try:
        return read_temperature(text)
    except UnitError as error:
        item.reader.wrong((*item.path, "temperature"), str(error), error.hint)
        return None


def _circuits(reading: _Reading, seen: dict[str, int]) -> tuple[Circuit, ...]:
    keys = ("voltage", "rating", "protection", "other_load")
    return tuple(
        Circuit(
            identifier,
            reading.title(item, identifier),
            item.amount("voltage", _VOLTS),
            item.amount("rating", _AMPERES),
            item.word("protection", PROTECTION),
            *_other_load(item),
            item.line,
        )
        for item, identifier in reading.items("circuits", "circuit", seen, keys)
    )


def _other_load(item: _Item) -> tuple[Fraction | None, Fraction | None]:
    """What else hangs on a circuit: in watts, or in volt-amperes."""
    raw = item.data.get("other_load")
    if isinstance(raw, str) and raw.rstrip().endswith("VA"):
        return None, item.amount("other_load", _VOLT_AMPERES)
    watts = item.amount("other_load", _LOAD)
    # Nothing is nothing, whatever the power factor.
    return watts, (watts if watts == 0 else None)


def _outlets(reading: _Reading, circuits: Mapping[str, int]) -> tuple[Outlet, ...]:
    keys = ("circuit", "type", "rating", "sockets")
    return tuple(
        Outlet(
            identifier,
            reading.title(item, identifier),
            reading.reference(item, "circuit", circuits, "circuit"),
            item.text("type"),
            item.amount("rating", _AMPERES),
            item.whole("sockets"),
            item.line,
        )
        for item, identifier in reading.items("outlets", "outlet", reading.sockets, keys)
    )


def _strips(reading: _Reading) -> tuple[Strip, ...]:
    keys = ("plugged_into", "rating", "sockets", "plug_fuse", "surge")
    return tuple(
        Strip(
            identifier,
            reading.title(item, identifier),
            item.text("plugged_into"),
            item.amount("rating", _AMPERES),
            item.whole("sockets"),
            item.amount("plug_fuse", _AMPERES),
            item.flag("surge"),
            item.line,
        )
        for item, identifier in reading.items("strips", "strip", reading.sockets, keys)
    )


_SUPPLY_KEYS: Final = (
    *("plugged_into", "sockets", "capacity_va", "capacity_w", "input_va", "efficiency"),
    *("battery", "runtime_needed", "runtimes"),
)


def _supplies(reading: _Reading) -> tuple[Supply, ...]:
    return tuple(
        Supply(
            identifier,
            reading.title(item, identifier),
            item.text("plugged_into"),
            item.whole("sockets"),
            item.amount("capacity_va", _VOLT_AMPERES),
            item.amount("capacity_w", _WATTS),
            item.amount("input_va", _VOLT_AMPERES),
            item.share("efficiency"),
            _battery(item),
            item.seconds("runtime_needed"),
            _runtimes(item),
            item.line,
        )
        for item, identifier in reading.items("supplies", "supply", reading.sockets, _SUPPLY_KEYS)
    )


def _battery(supply: _Item) -> Battery:
    table = supply.reader.table(supply.data, "battery", supply.path)
    if table is None:
        return Battery()
    item = _Item(supply.reader, table, (*supply.path, "battery"), ("voltage", "charge", "count", "remaining"))
    return Battery(
        item.amount("voltage", _BATTERY_VOLTS),
        item.amount("charge", _CHARGES),
        item.whole("count"),
        item.share("remaining"),
    )


def _runtimes(supply: _Item) -> tuple[Runtime, ...]:
    out = []
    for table, path in supply.reader.tables(supply.data, "runtimes", supply.path):
        item = _Item(supply.reader, table, path, ("load", "runtime"))
        load, seconds = item.amount("load", _WATTS), item.seconds("runtime")
        if load is not None and seconds is not None:
            out.append(Runtime(load, seconds))
        elif "load" not in table or "runtime" not in table:
            hint = 'write { load = "300 W", runtime = "25 min" }'
            supply.reader.wrong(path, "a runtime has its load", hint)
    out.sort()
    for less, more in pairwise(out):
        if less.load == more.load or less.seconds < more.seconds:
            message = "a higher load has the longer runtime, or one load has two"
            supply.reader.wrong((*supply.path, "runtimes"), message, "look at the maker's table again")
            break
    return tuple(out)


_THING_KEYS: Final = (
    *("kind", "count", "plugged_into", "power", "apparent", "power_factor", "basis", "continuous", "heat"),
    *("plug_fuse", "stands_on", "stack", "width", "depth", "height", "mass"),
    *("clear_sides", "clear_behind", "clear_above", "lan", "wall_ports"),
)


def _things(
    reading: _Reading, benches: Mapping[str, int], lans: Mapping[str, object] | None
) -> tuple[Thing, ...]:
    seen: dict[str, int] = {}
    return tuple(
        _thing(reading, item, identifier, benches, lans)
        for item, identifier in reading.items("things", "thing", seen, _THING_KEYS)
    )


def _thing(
    reading: _Reading,
    item: _Item,
    identifier: str,
    benches: Mapping[str, int],
    lans: Mapping[str, object] | None,
) -> Thing:
    power, apparent = item.amount("power", _WATTS), item.amount("apparent", _VOLT_AMPERES)
    if power is not None and apparent is not None and apparent < power:
        reading.reader.wrong(
            (*item.path, "apparent"),
            "the apparent power is less than the power",
            "volt-amperes are never fewer than watts: power / power_factor",
        )
    return Thing(
        id=identifier,
        title=reading.title(item, identifier),
        kind=item.word("kind", KINDS),
        pieces=item.whole("count") or 1,
        plugged_into=reading.reference(item, "plugged_into", reading.sockets, "outlet, strip or supply"),
        power=power,
        apparent=apparent,
        power_factor=_power_factor(item),
        basis=item.word("basis", BASES),
        continuous=item.flag("continuous"),
        heat=item.amount("heat", _HEAT),
        plug_fuse=item.amount("plug_fuse", _AMPERES),
        stands_on=reading.reference(item, "stands_on", {**benches, FLOOR: 0}, "bench"),
        stack=item.text("stack"),
        width=item.amount("width", _LENGTHS),
        depth=item.amount("depth", _LENGTHS),
        height=item.amount("height", _LENGTHS),
        mass=item.amount("mass", _MASSES),
        clear_sides=item.amount("clear_sides", _LENGTHS),
        clear_behind=item.amount("clear_behind", _LENGTHS),
        clear_above=item.amount("clear_above", _LENGTHS),
        lan=_lan(reading, item, lans),
        wall_ports=item.whole("wall_ports", 0),
        line=item.line,
    )


def _power_factor(item: _Item) -> Fraction | None:
    value = item.reader.number(item.data, item.path, "power_factor", _LEAST_POWER_FACTOR, 1)
    return None if value is None else exact(value)


def _benches(reading: _Reading, seen: dict[str, int]) -> tuple[Bench, ...]:
    keys = ("width", "depth", "load", "height", "headroom")
    return tuple(
        Bench(
            identifier,
            reading.title(item, identifier),
            item.amount("width", _LENGTHS),
            item.amount("depth", _LENGTHS),
            item.amount("load", _MASSES),
            item.amount("height", _LENGTHS),
            item.amount("headroom", _LENGTHS),
            item.line,
        )
        for item, identifier in reading.items("benches", "bench", seen, keys)
    )


def _lans(data: Mapping[str, Any]) -> dict[str, object] | None:
    """Ids of the worksheet's networks; None where it lists none, so that any name will do."""
    network = data.get("network")
    listed = network.get("lans") if isinstance(network, Mapping) else None
    if not isinstance(listed, list):
        return None
    names: dict[str, object] = {
        one["id"]: one for one in listed if isinstance(one, Mapping) and isinstance(one.get("id"), str)
    }
    return names or None


def _lan(reading: _Reading, item: _Item, lans: Mapping[str, object] | None) -> str:
    return item.text("lan") if lans is None else reading.reference(item, "lan", lans, "network")


def _ports(reading: _Reading, lans: Mapping[str, object] | None) -> tuple[WallPort, ...]:
    seen: dict[str, int] = {}
    out = []
    for item, identifier in reading.items("ports", "port", seen, ("lan", "speed", "tested")):
        speed = reading.reader.quantity(item.data, item.path, "speed", LINK)
        out.append(
            WallPort(
                identifier,
                reading.title(item, identifier),
                _lan(reading, item, lans),
                None if speed is None else exact(speed),
                item.flag("tested"),
                item.line,
            )
        )
    return tuple(out)


def _near(name: str, known: Mapping[str, object]) -> str:
    """A hint for a name that nothing has: a near one, where there are few enough to compare with."""
    if 0 < len(known) <= _MOST_COMPARED:
        return did_you_mean(name, known)
    return f'list one with id = "{name:.60}" first'


def _check_plugs(reading: _Reading, plugs: Sequence[Strip | Supply]) -> None:
    """Refuse strips and supplies plugged into nothing known, into themselves, or in endless chains."""
    into = {one.id: one.plugged_into for one in plugs if one.id}
    for name, target in into.items():
        if target and target not in reading.sockets:
            path = (*reading.paths[name], "plugged_into")
            hint = _near(target, reading.sockets)
            reading.reader.wrong(path, f"there is no outlet or supply `{target:.60}`", hint)
    depths: dict[str, int] = {}
    for name in into:
        way: dict[str, None] = {}
        while name in into and name not in depths and name not in way:
            way[name] = None
            name = into[name]
        if name in way:
            _refuse_circle(reading, name, [*way][[*way].index(name) + 1 :])
        depth = depths.get(name, 0)
        for one in reversed(way):
            depth = depths[one] = depth + 1
            if depth == MOST_CHAINED + 1 and name not in way:
                path = (*reading.paths[one], "plugged_into")
                reading.reader.wrong(
                    path, f"`{one}` hangs on a chain of {MOST_CHAINED}", "plug it into an outlet"
                )


def _refuse_circle(reading: _Reading, name: str, through: Sequence[str]) -> None:
    others = f" through {', '.join(through[:5])}" if through else ""
    path = (*reading.paths[name], "plugged_into")
    reading.reader.wrong(path, f"`{name}` is plugged into itself{others}", "plug it into an outlet")


_SECTION_KEYS: Final = (
    *("country", "room", "circuits", "outlets", "strips", "supplies", "things", "benches", "ports", "note"),
)


def _country(reader: Reader, section: Mapping[str, Any]) -> str:
    text = reader.text(section, ("place",), "country")
    if text and not (len(text) == 2 and text.isascii() and text.isalpha()):
        reader.wrong(
            ("place", "country"), f"{text!r:.60} is no country", 'two letters by ISO 3166-1, such as "AT"'
        )
        return ""
    return text.upper()


def read_place(reader: Reader, data: Mapping[str, Any]) -> Site:
    """Read the section ``place``.

    Args:
        reader: Notes mistakes: unknown keys and references, amounts of the wrong kind or out of
            reason, an id used twice, a strip that is plugged into itself by whatever way.
        data: The whole document.

    Returns:
        The place; blank where the section is not there.
    """
    section = reader.table(data, "place")
    if section is None:
        return Site(file=reader.file)
    reader.known(section, ("place",), _SECTION_KEYS)
    reader.text(section, ("place",), "note")
    reading = _Reading(reader, section)
    circuits: dict[str, int] = {}
    benches: dict[str, int] = {}
    lans = _lans(data)
    site = Site(
        asked=True,
        file=reader.file,
        line=reader.line(("place",)),
        country=_country(reader, section),
        room=_room(reader, section),
        circuits=_circuits(reading, circuits),
        outlets=_outlets(reading, circuits),
        strips=_strips(reading),
        supplies=_supplies(reading),
        benches=_benches(reading, benches),
        things=_things(reading, benches, lans),
        ports=_ports(reading, lans),
    )
    _check_plugs(reading, (*site.strips, *site.supplies))
    return site
