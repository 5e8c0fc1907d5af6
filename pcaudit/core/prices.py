"""Prices of parts, as the lab writes them down.

A file names each part the way it is sold and what it costs: ``"memory 16 GB" = 60``. A part that
has at least what is needed will do, and of those that do the cheapest is taken. A part that no
price covers is counted as one without a price, never as one that costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final, NamedTuple

from pcaudit.core import units
from pcaudit.core.parts import KINDS, Bought, name_of
from pcaudit.core.places import Path, dotted
from pcaudit.core.texts import did_you_mean, fold
from pcaudit.core.units import UnitError
from pcaudit.errors import Mistake, MistakesError, Place

FORMAT: Final = 1
"""Newest format of a prices file that this version reads."""

_MOST: Final = 10**9
"""Highest price of one part; more is a slip of the keyboard."""

EXAMPLES: Final = {
    "memory": "memory 16 GB",
    "ssd": "ssd 1 TB",
    "hdd": "hdd 4 TB",
    "network card": "network card 1 Gbit/s",
    "wireless card": "wireless card 1 Gbit/s",
    "screen": "screen 1920x1080",
    "graphics card": "graphics card 4 GB",
}
"""Every sort of part, and how one is written."""


class Priced(NamedTuple):
    """A part that has a price.

    Attributes:
        name: As the lab wrote it.
        sort: What it is.
        amounts: What it has, in base units.
        price: Hundredths of the currency's unit.
    """

    name: str
    sort: str
    amounts: tuple[int, ...]
    price: int


class Prices(NamedTuple):
    """A prices file.

    Attributes:
        currency: As the lab wrote it, such as "EUR".
        parts: Everything that has a price.
    """

    currency: str
    parts: tuple[Priced, ...]

    def cheapest(self, bought: Bought) -> Priced | None:
        """The cheapest part that has at least what is needed; None where none is priced.

        What else is asked of a part no price speaks of, unless it is named in full.
        """
        exact = fold(name_of(bought))
        good = [
            one
            for one in self.parts
            if fold(one.name) == exact
            or (
                not bought.extras
                and one.sort == bought.sort
                and all(has >= needs for has, needs in zip(one.amounts, bought.amounts, strict=True))
            )
        ]
        return min(good, key=lambda one: (one.price, one.amounts), default=None)


class _NoPartError(ValueError):
    """A name that is no part's; the message says why, ``hint`` what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.hint = hint


def _pixels(text: str) -> tuple[int, ...]:
    sides = text.replace(" ", "").split("x")
    if len(sides) != 2 or not all(one.isascii() and one.isdigit() and 0 < len(one) <= 6 for one in sides):
        raise _NoPartError(f"{text!r:.40} is no size in pixels", f"such as {EXAMPLES['screen']!r}")
    return tuple(map(int, sides))


def _amounts(sort: str, text: str) -> tuple[int, ...]:
    if sort == "screen":
        return _pixels(text)
    try:
        amount = units.parse(text, KINDS[sort])
    except UnitError as error:
        raise _NoPartError(str(error), f"such as {EXAMPLES[sort]!r}") from None
    if not isinstance(amount, int) or amount <= 0:
        raise _NoPartError(f"{text!r:.40} is no amount to buy", f"such as {EXAMPLES[sort]!r}")
    return (amount,)


def _part(name: str) -> tuple[str, tuple[int, ...]]:
    """What a name says: the sort, and the amounts."""
    folded = fold(name)
    sort = next((one for one in EXAMPLES if folded.startswith(f"{one} ")), None)
    if sort is None:
        examples = ", ".join(repr(one) for one in EXAMPLES.values())
        raise _NoPartError(f"{name!r:.60} is no part known here", f"parts: {examples}")
    return sort, _amounts(sort, " ".join(name.split())[len(sort) :].strip())


def _hundredths(value: Any) -> int | None:
    """A price in hundredths; None where it is none."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= _MOST:
        return None
    whole = round(value * 100)
    # Far above what a float of that size loses, far below a tenth of a hundredth.
    return whole if abs(value * 100 - whole) < 1e-4 else None


class _Reader:
    def __init__(self, place: Callable[[Path], Place]) -> None:
        self.place = place
        self.mistakes: list[Mistake] = []

    def wrong(self, path: Path, message: str, hint: str = "") -> None:
        self.mistakes.append(Mistake(dotted(path), message, hint, self.place(path)))

    def text(self, table: Mapping[str, Any], path: Path, hint: str) -> str:
        key = path[-1]
        value = table.get(str(key))
        if isinstance(value, str) and value.strip():
            return value.strip()
        self.wrong(path if key in table else path[:-1], f"`{key}` is a text", hint)
        return ""

    def head(self, data: Mapping[str, Any]) -> None:
        form = data.get("format")
        if form != FORMAT or isinstance(form, bool):
            newer = isinstance(form, int) and form > FORMAT
            message = (
                f"format {form} is newer than this version" if newer else "the file begins with its format"
            )
            self.wrong(("format",), message, f"this version reads format = {FORMAT}")
        self.text(data, ("title",), 'write title = "Prices, autumn 2026" near its top')
        for key in data:
            if key not in ("format", "title", "note", "prices"):
                self.wrong((key,), f"unknown key `{key}`", did_you_mean(key, ("prices", "title", "note")))

    def parts(self, table: Mapping[str, Any]) -> Iterable[Priced]:
        seen: dict[tuple[str, tuple[int, ...]], str] = {}
        for name, value in table.items():
            if name == "currency":
                continue
            here: Path = ("prices", name)
            price = _hundredths(value)
            if price is None:
                self.wrong(here, "a price is a number with two decimals at most", f'write "{name}" = 59.90')
            try:
                what = _part(name)
            except _NoPartError as error:
                self.wrong(here, str(error), error.hint)
                continue
            if what in seen:
                self.wrong(here, f"the same part as {seen[what]!r:.60}", "leave one of them out")
            seen[what] = name
            if price is not None:
                yield Priced(name, *what, price)


def read_prices(data: Mapping[str, Any], *, path: str, place: Callable[[Path], Place]) -> Prices:
    """Read a parsed prices file.

    Args:
        data: The document as ``tomllib`` gives it.
        path: Its file name as the person gave it.
        place: Finds the place of a key in the file.

    Raises:
        MistakesError: Every mistake of meaning in it, at once.
    """
    reader = _Reader(place)
    reader.head(data)
    table = data.get("prices")
    if not isinstance(table, Mapping) or not table:
        reader.wrong(("prices",), "prices are a table", "write [prices], and under it currency and the parts")
        raise MistakesError(path, reader.mistakes)
    currency = reader.text(table, ("prices", "currency"), 'write currency = "EUR"')
    parts = tuple(reader.parts(table))
    if reader.mistakes:
        raise MistakesError(path, reader.mistakes)
    return Prices(currency, parts)


def show_price(hundredths: int, currency: str) -> str:
    """A price in words: "59.90 EUR"."""
    return f"{hundredths // 100}.{hundredths % 100:02} {currency}"
