"""Worksheets about data and backup, as people write them, read for tests."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from pcaudit.core.places import Places, place_in
from pcaudit.core.toml_text import parse_toml
from pcaudit.core.worksheet.backup import Backup, read_backup
from pcaudit.core.worksheet.data import Data, read_data
from pcaudit.core.worksheet.reader import Reader
from pcaudit.errors import Mistake, Place

FILE = "w.toml"

Section = TypeVar("Section")


def _reader(places: Places) -> Reader:
    def place(path: tuple[str | int, ...]) -> Place:
        return place_in(places, FILE, places.offset(path))

    return Reader(FILE, place)


def _read(text: str, read: Callable[[Reader, dict[str, Any]], Section]) -> tuple[Section, list[Mistake]]:
    data, places = parse_toml(text, FILE)
    reader = _reader(places)
    return read(reader, data), reader.mistakes


def data_of(text: str) -> Data:
    """The section ``[data]`` that ``text`` makes, without a mistake."""
    section, mistakes = _read(text, read_data)
    assert not mistakes, mistakes
    return section


def backup_of(text: str) -> Backup:
    """The section ``[backup]`` that ``text`` makes, without a mistake."""
    section, mistakes = _read(text, read_backup)
    assert not mistakes, mistakes
    return section


def data_mistakes(text: str) -> list[Mistake]:
    """What is wrong with ``[data]`` in ``text``."""
    return _read(text, read_data)[1]


def backup_mistakes(text: str) -> list[Mistake]:
    """What is wrong with ``[backup]`` in ``text``."""
    return _read(text, read_backup)[1]
