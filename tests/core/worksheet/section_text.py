"""One section of a worksheet for tests, from the text people write."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from pcaudit.core.places import place_in
from pcaudit.core.toml_text import parse_toml
from pcaudit.core.worksheet.reader import Reader
from pcaudit.errors import Mistake, Place

Section = TypeVar("Section")
FILE = "w.toml"


def read(
    read_section: Callable[[Reader, Mapping[str, Any]], Section], text: str
) -> tuple[Section, list[Mistake]]:
    """What a section's reader makes of ``text``, and the mistakes it tells."""
    data, places = parse_toml(text, FILE)

    def place(path: tuple[str | int, ...]) -> Place:
        return place_in(places, FILE, places.offset(path))

    reader = Reader(FILE, place)
    section = read_section(reader, data)
    return section, reader.mistakes


def told(read_section: Callable[[Reader, Mapping[str, Any]], object], text: str) -> tuple[int, str, str]:
    """Line, key and message with hint of the one mistake in ``text``."""
    mistakes = read(read_section, text)[1]
    assert len(mistakes) == 1, mistakes
    one = mistakes[0]
    return one.place.line if one.place else 0, one.key, f"{one.message}; {one.hint}"
