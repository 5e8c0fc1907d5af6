"""The place of an installation: circuits, outlets, strips, what is plugged where and stands where.

Amounts are exact fractions of the base unit, as they were written. A blank is None: a question not
yet answered.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

MODULE: Final = "instrument module"
"""Kind of a thing that is part of the instrument."""

KINDS: Final = ("computer", "screen", MODULE, "printer", "switch", "pump", "other")
"""Kinds of things at a place."""

PROTECTION: Final = ("breaker", "fuse")
"""What opens a circuit that carries too much."""

BASES: Final = ("measured", "nameplate")
"""Where the power of a thing comes from."""

FLOOR: Final = "floor"
"""What a thing stands on that stands on no bench."""


class Room(NamedTuple):
    """The room; temperature in degrees Celsius, humidity from 0 to 1, cooling in watts."""

    temperature: float | None = None
    humidity: Fraction | None = None
    cooling: Fraction | None = None
    line: int = 0


class Circuit(NamedTuple):
    """A circuit behind one breaker or fuse.

    Attributes:
        voltage: Volts.
        rating: Of the breaker or fuse, in amperes.
        protection: One of ``PROTECTION``, empty where that is not said.
        other_watts: What else hangs on it, in watts, where that is how it was written.
        other_va: The same in volt-amperes.
    """

    id: str
    title: str
    voltage: Fraction | None
    rating: Fraction | None
    protection: str
    other_watts: Fraction | None
    other_va: Fraction | None
    line: int


class Outlet(NamedTuple):
    """An outlet in the wall; ``rating`` is amperes of all its sockets together, ``type`` its standard."""

    id: str
    title: str
    circuit: str
    type: str
    rating: Fraction | None
    sockets: int | None
    line: int


class Strip(NamedTuple):
    """A strip; ``rating`` and ``plug_fuse`` are amperes."""

    id: str
    title: str
    plugged_into: str
    rating: Fraction | None
    sockets: int | None
    plug_fuse: Fraction | None
    surge: bool | None
    line: int


class Battery(NamedTuple):
    """What an uninterruptible supply lives on.

    ``voltage`` (V) and ``charge`` (Ah) are of one battery of ``pieces``; ``remaining`` is the share
    of the nominal charge that is left, 1 where they are new.
    """

    voltage: Fraction | None = None
    charge: Fraction | None = None
    pieces: int | None = None
    remaining: Fraction | None = None


class Runtime(NamedTuple):
    """How long new batteries carry a load: watts and seconds, by the maker's table or by test."""

    load: Fraction
    seconds: Fraction


class Supply(NamedTuple):
    """An uninterruptible supply.

    Attributes:
        capacity_va, capacity_w: What it gives at most.
        input_va: What it takes from the mains at most, charging included.
        efficiency: From 0 to 1.
        runtime_needed: Seconds.
        runtimes: Known runtimes.
    """

    id: str
    title: str
    plugged_into: str
    sockets: int | None
    capacity_va: Fraction | None
    capacity_w: Fraction | None
    input_va: Fraction | None
    efficiency: Fraction | None
    battery: Battery
    runtime_needed: Fraction | None
    runtimes: tuple[Runtime, ...]
    line: int


class Thing(NamedTuple):
    """Something that draws power, or stands on a bench; amounts are of one of ``pieces``.

    Attributes:
        kind: One of ``KINDS``, empty where that is not said.
        plugged_into: Id of an outlet, a strip or a supply.
        power, apparent, power_factor: Watts, volt-amperes, and their ratio.
        basis: One of ``BASES``, empty where that is not said.
        continuous: Whether it runs for hours on end.
        heat: Watts, where it is not its power.
        plug_fuse: Amperes.
        stands_on: Id of a bench, or ``FLOOR``.
        stack: Name of the stack it is part of.
        width, depth, height, clear_sides, clear_behind, clear_above: Millimetres.
        mass: Kilograms.
        lan: Network it needs a port of at the wall.
        wall_ports: How many of them.
    """

    id: str
    title: str
    kind: str
    pieces: int
    plugged_into: str
    power: Fraction | None
    apparent: Fraction | None
    power_factor: Fraction | None
    basis: str
    continuous: bool | None
    heat: Fraction | None
    plug_fuse: Fraction | None
    stands_on: str
    stack: str
    width: Fraction | None
    depth: Fraction | None
    height: Fraction | None
    mass: Fraction | None
    clear_sides: Fraction | None
    clear_behind: Fraction | None
    clear_above: Fraction | None
    lan: str
    wall_ports: int | None
    line: int


class Bench(NamedTuple):
    """A bench: millimetres and kilograms; ``headroom`` is what is free above its top."""

    id: str
    title: str
    width: Fraction | None
    depth: Fraction | None
    load: Fraction | None
    height: Fraction | None
    headroom: Fraction | None
    line: int


class WallPort(NamedTuple):
    """A network port at the wall: speed in bit/s, ``tested`` whether a link came up on it."""

    id: str
    title: str
    lan: str
    speed: Fraction | None
    tested: bool | None
    line: int


class Site(NamedTuple):
    """The place, as a worksheet tells it.

    Attributes:
        asked: Whether the section is there.
        file: Name of the worksheet.
        line: Where the section begins.
        country: Two letters (ISO 3166-1 alpha-2), empty where that is not said.
    """

    asked: bool = False
    file: str = ""
    line: int = 0
    country: str = ""
    room: Room = Room()
    circuits: tuple[Circuit, ...] = ()
    outlets: tuple[Outlet, ...] = ()
    strips: tuple[Strip, ...] = ()
    supplies: tuple[Supply, ...] = ()
    things: tuple[Thing, ...] = ()
    benches: tuple[Bench, ...] = ()
    ports: tuple[WallPort, ...] = ()
