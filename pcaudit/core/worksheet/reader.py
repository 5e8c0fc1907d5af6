"""What reading every section of a worksheet needs: values of each kind, and mistakes with their places."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from fractions import Fraction
from typing import Any, Final

from pcaudit.core.places import Path, dotted
from pcaudit.core.texts import did_you_mean
from pcaudit.core.units import NEVER, PERCENT, Kind, UnitError, check_thousands, parse
from pcaudit.errors import Mistake, Place

_ID: Final = re.compile(r"[a-z0-9][a-z0-9._-]{0,79}", re.IGNORECASE | re.ASCII)
_CLOCK: Final = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])", re.ASCII)

MOST_NUMBER: Final = 1e12
"""Largest plain number a worksheet may hold: beyond it is a slip of the finger."""


def _share(value: Any) -> str:
    """A share that was written as a plain number, in percent; empty where it is none."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 100:
        return ""
    percent = value * 100 if value <= 1 else value
    return f'"{percent:g} %"'


class Reader:
    """Reads one worksheet and gathers its mistakes.

    A key that is left out gives None (texts: an empty text): a blank is a question not yet
    answered, never a mistake. A value of the wrong kind is a mistake and gives None as well.

    Args:
        file: Its name, as given.
        place: Finds the place of a key in it.
    """

    def __init__(self, file: str, place: Callable[[Path], Place]) -> None:
        self.file = file
        self._place = place
        self.mistakes: list[Mistake] = []

    def wrong(self, path: Path, message: str, hint: str = "") -> None:
        """Note a mistake at a key."""
        self.mistakes.append(Mistake(dotted(path), message, hint, self._place(path)))

    def line(self, path: Path) -> int:
        """The line a key stands in."""
        return self._place(path).line

    # -- tables

    def table(self, data: Mapping[str, Any], key: str, path: Path = ()) -> Mapping[str, Any] | None:
        """A section; None where it is left out or is none."""
        raw = data.get(key)
        if raw is None or isinstance(raw, Mapping):
            return raw
        self.wrong((*path, key), f"`{key}` is a section", f"write [{'.'.join(map(str, (*path, key)))}]")
        return None

    def tables(
        self, data: Mapping[str, Any], key: str, path: Path = ()
    ) -> list[tuple[Mapping[str, Any], Path]]:
        """A list of tables, each with its path; empty where it is left out or is none."""
        raw = data.get(key)
        if raw is None:
            return []
        if isinstance(raw, list) and all(isinstance(one, Mapping) for one in raw):
            return [(one, (*path, key, index)) for index, one in enumerate(raw)]
        name = ".".join(map(str, (*path, key)))
        self.wrong((*path, key), f"`{key}` is a list of tables", f"write [[{name}]] for each")
        return []

    def known(self, table: Mapping[str, Any], path: Path, keys: Iterable[str]) -> None:
        """Refuse keys that are none of these."""
        keys = tuple(keys)
        for key in table:
            if key not in keys:
                self.wrong((*path, key), f"unknown key `{key}`", did_you_mean(key, keys))

    def id(self, table: Mapping[str, Any], path: Path, seen: dict[str, int], what: str) -> str:
        """The ``id`` of a table, noted in ``seen`` with its line; empty where it is wrong or used twice."""
        name = table.get("id")
        if not isinstance(name, str) or not _ID.fullmatch(name):
            message = f"every {what} has an `id`" if name is None else f"{name!r:.60} cannot be an id"
            here = (*path, "id") if "id" in table else path
            self.wrong(here, message, 'letters, digits, - _ and . such as id = "bench-1"')
            return ""
        if name in seen:
            self.wrong((*path, "id"), f"the id `{name}` is used twice", f"the first is in line {seen[name]}")
            return ""
        seen[name] = self.line((*path, "id"))
        return name

    # -- values

    def text(self, table: Mapping[str, Any], path: Path, key: str) -> str:
        """A text; a blank one is as good as none."""
        value = table.get(key, "")
        if isinstance(value, str):
            return value.strip()
        self.wrong((*path, key), f"`{key}` is a text", f'write {key} = "..."')
        return ""

    def texts(self, table: Mapping[str, Any], path: Path, key: str) -> tuple[str, ...]:
        """A list of texts, or one text."""
        raw = table.get(key, [])
        several = [raw] if isinstance(raw, str) else raw
        if isinstance(several, list) and all(isinstance(one, str) for one in several):
            return tuple(one.strip() for one in several if one.strip())
        self.wrong((*path, key), f"`{key}` is a list of texts", f'write {key} = ["..."]')
        return ()

    def choice(self, table: Mapping[str, Any], path: Path, key: str, words: Sequence[str]) -> str:
        """One word of a closed list, as the list spells it."""
        text = self.text(table, path, key)
        folded = " ".join(text.casefold().split())
        for word in words:
            if folded == word.casefold():
                return word
        if text:
            self.wrong(
                (*path, key), f"{text!r:.60} is none of what `{key}` can be", did_you_mean(text, words)
            )
        return ""

    def flag(self, table: Mapping[str, Any], path: Path, key: str) -> bool | None:
        """True or false."""
        value = table.get(key)
        if value is None or value == "" or isinstance(value, bool):
            return None if value == "" else value
        self.wrong((*path, key), f"`{key}` is true or false", f"write {key} = true, without quotes")
        return None

    def number(
        self,
        table: Mapping[str, Any],
        path: Path,
        key: str,
        low: float = 0,
        high: float = MOST_NUMBER,
        whole: bool = False,
    ) -> float | None:
        """A plain number within bounds, both allowed."""
        value = table.get(key)
        if value is None or value == "":
            return None
        what = "a whole number" if whole else "a number"
        if isinstance(value, bool) or not isinstance(value, int if whole else int | float):
            self.wrong((*path, key), f"`{key}` is {what}", f"write {key} = 3, without quotes")
            return None
        if not low <= value <= high:
            top = f" to {high:g}" if high < MOST_NUMBER else " up"
            self.wrong((*path, key), f"`{key}` is {what} from {low:g}{top}", f"{value:g} is outside")
            return None
        return value

    def quantity(
        self,
        table: Mapping[str, Any],
        path: Path,
        key: str,
        kind: Kind,
        low: float | None = None,
        high: float | None = None,
    ) -> float | None:
        """A quantity with its unit, in the kind's base unit; bounds, both allowed, in base units too."""
        value = table.get(key)
        if value is None or value == "":
            return None
        # No quantity of a worksheet can be never, so that no hint may offer it.
        example = kind.example.removesuffix(f' or "{NEVER}"')
        if not isinstance(value, str):
            right = _share(value) if kind is PERCENT else ""
            self.wrong(
                (*path, key), f"`{key}` is {kind.name} with its unit", f"write {key} = {right or example}"
            )
            return None
        try:
            amount = parse(value, kind)
            check_thousands(value)
        except UnitError as error:
            hint = f"write {key} = {example}" if NEVER in error.hint else error.hint
            self.wrong((*path, key), str(error), hint)
            return None
        if amount == NEVER or isinstance(amount, str):
            self.wrong((*path, key), f"`{key}` cannot be never", f"write {key} = {example}")
            return None
        if (low is not None and amount < low) or (high is not None and amount > high):
            sides = [f"at least {low:g}"] if low is not None else []
            sides += [f"at most {high:g}"] if high is not None else []
            bounds = " and ".join(sides)
            self.wrong((*path, key), f"{value!r:.60} is out of reason", f"{bounds} {kind.base} is possible")
            return None
        return amount

    def percent(self, table: Mapping[str, Any], path: Path, key: str, high: float = 100.0) -> float | None:
        """A share, from ``"20 %"``; as a number from 0 to 1."""
        amount = self.quantity(table, path, key, PERCENT, 0, high)
        return None if amount is None else float(Fraction(amount) / 100)

    def day(self, table: Mapping[str, Any], path: Path, key: str) -> date | None:
        """A day, written as TOML writes one."""
        value = table.get(key)
        if isinstance(value, datetime):
            hint = f"write the day alone: {key} = {value.date().isoformat()}"
            self.wrong((*path, key), f"`{key}` is a day, without a time", hint)
            return None
        if value is None or value == "" or isinstance(value, date):
            return None if value == "" else value
        self.wrong((*path, key), f"`{key}` is a day", f"write {key} = 2027-03-15, without quotes")
        return None

    def clock(self, table: Mapping[str, Any], path: Path, key: str) -> int | None:
        """A time of day, from ``"22:00"``; minutes after midnight."""
        value = table.get(key)
        if value is None or value == "":
            return None
        match = _CLOCK.fullmatch(value) if isinstance(value, str) else None
        if match:
            return int(match[1]) * 60 + int(match[2])
        self.wrong((*path, key), f"`{key}` is a time of day", f'write {key} = "22:00"')
        return None
