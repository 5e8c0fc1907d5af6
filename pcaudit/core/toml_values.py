"""Values and keys that TOML allows and no file for pcaudit may have."""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core.places import Path, Places, dotted, place_in
from pcaudit.core.visible import escape, hidden, visible
from pcaudit.errors import Mistake

MISTAKES: Final = 1000
"""Most mistakes told of one file."""
# What a path between double quotes turns into: TOML 1.0.0, "String".
_FROM_PATHS: Final = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}
_NAMES: Final = {"\t": "a tab", "\n": "a line break", "\r": "a carriage return", "\b": "a backspace"}


class _ValueCheck:
    """Finds values and keys that TOML allows and no file for pcaudit may have."""

    def __init__(self, path: str, places: Places) -> None:
        self.file = path
        self.places = places
        self.mistakes: list[Mistake] = []
        # Joiners belong to the spelling of some languages, and direction marks to their texts.
        self.suspect = hidden("\x00-\x1f")
        self.allowed = frozenset("\u200c\u200d\u200e\u200f\u061c")

    def table(self, table: dict[str, Any], at: Path) -> None:
        for key, value in table.items():
            here = (*at, key)
            if bad := self._bad(key):
                self._add(here, f"the key has {_named(bad)} in it", "take it out")
            self.value(value, here)

    def value(self, value: Any, at: Path) -> None:
        if len(self.mistakes) >= MISTAKES:
            return
        if isinstance(value, dict):
            self.table(value, at)
        elif isinstance(value, list):
            for index, item in enumerate(value):
                self.value(item, (*at, index))
        elif isinstance(value, str):
            self._text(value, at)
        elif isinstance(value, float):
            self._float(value, at)
        elif isinstance(value, int):
            self._integer(value, at)

    def _float(self, value: float, at: Path) -> None:
        if value - value != 0:  # not a number, or infinite
            self._add(
                at, f"{value} is not a number to compare with", "write a number, or leave the bound out"
            )

    def _integer(self, value: int, at: Path) -> None:
        # TOML 1.0.0, "Integer": 64 bits, or it is an error.
        if not -(1 << 63) <= value < 1 << 63:
            self._add(at, "the number has more than 64 bits", "write a smaller number")

    def _bad(self, text: str, allowed: str = "") -> str:
        if text.isascii() and text.isprintable():
            return ""
        found = (match[0] for match in self.suspect.finditer(text))
        return next((c for c in found if c not in self.allowed and c not in allowed), "")

    def _text(self, text: str, at: Path) -> None:
        bad = self._bad(text)
        if bad == "\n" and self.places.in_lines(at):
            bad = self._bad(text, "\n")
        if bad:
            self._add(at, f"the text has {_named(bad)} in it: {visible(text, 60)}", self._hint(text, bad, at))

    def _hint(self, text: str, bad: str, at: Path) -> str:
        line = self.places.line(self.places.find(at)[0])
        path = "".join(_FROM_PATHS.get(c, c) for c in text)
        if bad in _FROM_PATHS and _FROM_PATHS[bad] in line and _is_path(path):
            return f"use single quotes for paths: '{visible(path, 100)}'"
        if bad in "\n\r":
            return "write it on one line"
        return "write a space instead" if bad == "\t" else "take it out"

    def _add(self, at: Path, message: str, hint: str) -> None:
        place = place_in(self.places, self.file, self.places.offset(at))
        self.mistakes.append(Mistake(dotted(at), message, hint, place))


def _is_path(text: str) -> bool:
    """Whether a text with its backslashes back looks like a path of Windows."""
    drive = text[1:2] == ":" and text[:1].isalpha()
    return drive or text.startswith(("\\", "%")) or (text.count("\\") > 1 and " " not in text)


def _named(character: str) -> str:
    return _NAMES.get(character) or f"the invisible character {escape(character)}"


def mistakes_in(data: dict[str, Any], places: Places, file: str) -> list[Mistake]:
    """Every such value and key, up to ``MISTAKES``.

    Args:
        data: What ``tomllib`` made of the text.
        places: The places of its keys.
        file: Its name, for the places.
    """
    check = _ValueCheck(file, places)
    check.table(data, ())
    return check.mistakes
