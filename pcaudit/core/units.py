"""Quantities: reading them from text, and writing them for people.

Every kind of quantity has one base unit in which readings are stored, and the units
people write. Memory is counted as the trade counts it (JEDEC JESD100B.01: 1 GB = 2^30
bytes); storage and links as the SI does (1 GB = 10^9); ``GiB`` is 2^30 everywhere
(IEC 80000-13).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from fractions import Fraction

NEVER: Final = "never"
"""The duration that is longer than any other."""


class UnitError(ValueError):
    """Text that is not a quantity of the kind asked for; the message says why."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


def _fraction(value: int | float | str | Fraction) -> Fraction:
    from fractions import Fraction  # with it come decimal and more, which a probe does without

    return Fraction(value)


class Kind(NamedTuple):
    """A kind of quantity.

    Attributes:
        name: What it is called in messages.
        base: The unit readings are stored in.
        units: Each accepted unit and how many base units it is: a whole number or a fraction, which may
            be text so that no start has to import fractions.
        shown: Units to print in, largest first.
        example: A good example, for hints.
        also: A second ladder of units, printed in brackets where it differs.
        digits: Decimals at most, where nothing calls for more.
    """

    name: str
    base: str
    units: dict[str, int | str | Fraction]
    shown: tuple[str, ...]
    example: str
    also: tuple[str, ...] = ()
    digits: int = 1

    def factor(self, unit: str) -> Fraction:
        """How many base units a unit is."""
        return _fraction(self.units[unit])


def _powers(step: int, names: str, suffix: str) -> dict[str, int | str | Fraction]:
    return {f"{p}{suffix}": step ** (i + 1) for i, p in enumerate(names.split())}


_BINARY = _powers(1024, "Ki Mi Gi Ti Pi", "B")  # IEC 80000-13
_SI_BYTES: Final[dict[str, int | str | Fraction]] = {"kB": 1000, **_powers(1000, "K M G T P", "B")}
_JEDEC_BYTES: Final[dict[str, int | str | Fraction]] = {
    "kB": 1024,
    **_powers(1024, "K M G T P", "B"),
}  # JESD100B.01

MEMORY: Final = Kind(
    "a memory size",
    "bytes",
    {"B": 1, "bytes": 1, **_BINARY, **_JEDEC_BYTES},
    ("TB", "GB", "MB", "KB", "B"),
    '"16 GB"',
)
STORAGE: Final = Kind(
    "a storage size",
    "bytes",
    {"B": 1, "bytes": 1, **_BINARY, **_SI_BYTES},
    ("TB", "GB", "MB", "kB", "B"),
    '"500 GB"',
    ("TiB", "GiB", "MiB", "KiB", "B"),
)
FREQUENCY: Final = Kind(
    "a frequency",
    "Hz",
    {"Hz": 1, "kHz": 10**3, "MHz": 10**6, "GHz": 10**9},
    ("GHz", "MHz", "kHz", "Hz"),
    '"2.4 GHz"',
    digits=3,  # clocks are whole MHz: rounded, one and the same would read as two, or as more than it is
)
TRANSFER: Final = Kind(
    "a transfer rate",
    "MT/s",
    {"MT/s": 1, "GT/s": 1000},
    ("MT/s",),
    '"3200 MT/s"',
)
LINK: Final = Kind(
    "a link speed",
    "bit/s",
    {
        f"{prefix}{unit}": factor
        for prefix, factor in (("", 1), ("k", 10**3), ("M", 10**6), ("G", 10**9), ("T", 10**12))
        for unit in ("bit/s", "b/s", "bps")
    },
    ("Tbit/s", "Gbit/s", "Mbit/s", "kbit/s", "bit/s"),
    '"1 Gbit/s"',
)
DURATION: Final = Kind(
    "a duration",
    "s",
    {
        **dict.fromkeys(("s", "second", "seconds"), 1),
        **dict.fromkeys(("min", "minute", "minutes"), 60),
        **dict.fromkeys(("h", "hour", "hours"), 3600),
        **dict.fromkeys(("d", "day", "days"), 86400),
        **dict.fromkeys(("week", "weeks"), 7 * 86400),
    },
    ("d", "h", "min", "s"),
    '"30 min" or "never"',
)
LENGTH: Final = Kind(
    "a length",
    "mm",
    {"mm": 1, "cm": 10, "m": 1000, "in": "254/10"},
    ("m", "cm", "mm"),
    '"300 mm"',
)
DIAGONAL: Final = Kind(
    "a screen diagonal",
    "in",
    {"in": 1, "inch": 1, "mm": "10/254", "cm": "100/254"},
    ("in",),
    '"24 in"',
)
PERCENT: Final = Kind("a percentage", "%", {"%": 1, "percent": 1}, ("%",), '"100 %"')

_TEXT: Final = r"\s*([0-9]{1,18}(?:\.[0-9]{1,12})?)\s*([A-Za-z%].{0,30})?\s*"


def _wrong_unit(kind: Kind, unit: str) -> UnitError:
    named = (word for word in kind.example.replace('"', "").split() if word in kind.units)
    known = ", ".join(dict.fromkeys((*kind.shown, *kind.also, *named)))
    folded = {u.casefold(): u for u in kind.units}
    if unit.casefold() in folded:
        right = folded[unit.casefold()]
        return UnitError(f"{unit!r} is not a unit of {kind.name}", f"did you mean {right!r}?")
    return UnitError(f"{unit!r} is not a unit of {kind.name}", f"units: {known}")


_EXPONENT: Final = r"\s*[0-9.]+[eE][+-]?[0-9]"
_SPLIT: Final = r"[0-9]+(?:[,' _\u00a0\u2019\u202f][0-9]+|\.[0-9]+\.[0-9]).*"
_THOUSANDS: Final = r"([1-9][0-9]{0,2})\.([0-9]{3})\s*([A-Za-z%].*)"
_SPAN: Final = r"[0-9.]+\s*(?:-|\u2013|to)\s*[0-9.]+.*"


def _no_quantity(text: str, kind: Kind) -> UnitError:
    """The error for what is no number with a unit, by what was probably meant."""
    stripped = text.strip()
    if stripped.startswith("-"):
        return UnitError("quantities are not negative", f"write {kind.name} such as {kind.example}")
    if re.match(_EXPONENT, stripped):
        return UnitError(f"{text!r} has an exponent", f"write the number out, such as {kind.example}")
    if re.fullmatch(_SPLIT, stripped):
        mark = "a comma" if "," in stripped else "a mark or gap between digits"
        return UnitError(f"{text!r} has {mark}", "use a point for decimals and no separator for thousands")
    if re.fullmatch(_SPAN, stripped):
        return UnitError(f"{text!r} is a span", "write minimum and maximum")
    if stripped[:1] in ("<", ">", "="):
        return UnitError(
            f"{text!r} begins with a sign", "leave it out: minimum, maximum and equal say which way it binds"
        )
    odd = next((c for c in stripped if not c.isascii() and (c.isspace() or not c.isprintable())), "")
    if odd:
        from pcaudit.core.visible import named

        return UnitError(f"{named(odd)} stands in the text", "write an ordinary space instead")
    return UnitError(f"{text!r} is not {kind.name}", f"write {kind.example}")


def check_thousands(text: str) -> None:
    """Refuse "16.000 MB": 16 where the point is a decimal one, 16000 where it marks thousands.

    Args:
        text: What ``parse`` has read, as a person wrote it.

    Raises:
        UnitError: Exactly three digits follow a point, and no more than three stand before it.
    """
    match = re.fullmatch(_THOUSANDS, text.strip())
    if not match:
        return
    whole, behind, unit = match.groups()
    shorter = behind.rstrip("0")
    decimal = f"{whole}.{behind}0" if behind == shorter else f"{whole}.{shorter}".removesuffix(".")
    raise UnitError(
        f"{text.strip()!r} can be read in two ways",
        f'write "{whole}{behind} {unit}", or "{decimal} {unit}" where the point is a decimal one',
    )


def parse(text: str, kind: Kind) -> int | float | str:
    """Read a quantity.

    Args:
        text: A number, a space or none, and a unit: ``"16 GB"``. For durations also ``never``.
        kind: What kind of quantity it must be.

    Returns:
        The amount in the kind's base unit: an int where it is whole, else the nearest float;
        ``"never"`` for the duration of that name.

    Raises:
        UnitError: No number, no unit, a unit of another kind, a negative amount or a duration of
            nothing.
    """
    if kind is DURATION and text.strip().casefold() == NEVER:
        return NEVER
    match = re.fullmatch(_TEXT, text, re.ASCII)
    if not match or re.match(_EXPONENT, text):
        raise _no_quantity(text, kind)
    unit = (match[2] or "").strip()
    if not unit:
        raise UnitError(f"{text!r} has no unit", f"write {kind.name} such as {kind.example}")
    if unit not in kind.units:
        raise _wrong_unit(kind, unit)
    amount = _fraction(match[1]) * kind.factor(unit)
    if kind is DURATION and amount == 0:
        raise UnitError("a duration of 0 is ambiguous", 'write "never" where the thing must not happen')
    return int(amount) if amount.denominator == 1 else float(amount)


def _scaled(value: int | float, ladder: tuple[str, ...], kind: Kind, digits: int, down: bool) -> str:
    for unit in ladder:
        factor = kind.factor(unit)
        if value >= factor or unit == ladder[-1]:
            amount = _fraction(value) / factor
            if down:
                amount = amount * 10**digits // 1 / _fraction(10**digits)
            text = f"{float(amount):.{digits}f}"
            if "." in text:
                text = text.rstrip("0").rstrip(".")
            return f"{text} {unit}"
    raise AssertionError("a kind prints in at least one unit")


def show(value: int | float | str, kind: Kind, digits: int | None = None, down: bool = False) -> str:
    """Write a quantity for a person, in the unit that suits its size.

    Args:
        value: Amount in the kind's base unit, or ``"never"``.
        kind: Its kind.
        digits: Decimals at most; by default as many as suit the kind.
        down: Never round up: what is only a lower bound must not look like more.

    Returns:
        For example ``"16 GB"``, ``"256 GB (238.4 GiB)"``, ``"30 min"``.
    """
    if isinstance(value, str):
        return value
    digits = kind.digits if digits is None else digits
    text = _scaled(value, kind.shown, kind, digits, down)
    if not kind.also:
        return text
    other = _scaled(value, kind.also, kind, digits, down)
    return text if other == text else f"{text} ({other})"


def show_apart(value: int | float | str, other: int | float | str, kind: Kind) -> str:
    """Write ``value`` with as many decimals as it takes not to look like ``other``.

    A PC with 15.96 GB must not read "16 GB found, 16 GB required, unmet".
    """
    for digits in range(kind.digits, 7):
        text = show(value, kind, digits)
        if value == other or text != show(other, kind, digits):
            return text
    return f"{value} {kind.base}"
