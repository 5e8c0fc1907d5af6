"""SMBIOS structure tables (DMTF DSP0134), split into structures. Strict, and never lost."""

from __future__ import annotations

from typing import NamedTuple

_HEADER = 4  # type, length, handle
_END_OF_TABLE = 127


class Structure(NamedTuple):
    """One SMBIOS structure.

    Attributes:
        type: Structure type.
        handle: Its handle, by which others refer to it.
        body: The formatted area, header included, so that offsets are the standard's own.
        strings: The texts behind it, numbered from 1 in the standard.
    """

    type: int
    handle: int
    body: bytes
    strings: tuple[bytes, ...]

    def byte(self, offset: int) -> int | None:
        """The byte at ``offset``; None where this structure is too short to have it."""
        return self.body[offset] if offset < len(self.body) else None

    def word(self, offset: int) -> int | None:
        """The 16-bit little-endian number at ``offset``; None where there is none."""
        return self._number(offset, 2)

    def double(self, offset: int) -> int | None:
        """The 32-bit little-endian number at ``offset``; None where there is none."""
        return self._number(offset, 4)

    def _number(self, offset: int, size: int) -> int | None:
        part = self.body[offset : offset + size]
        return int.from_bytes(part, "little") if len(part) == size else None

    def text(self, offset: int) -> str:
        """The text whose number stands at ``offset``; empty where there is none by that number."""
        number = self.byte(offset)
        if not number or number > len(self.strings):
            return ""
        return self.strings[number - 1].decode("utf-8", "backslashreplace").strip()


class Table(NamedTuple):
    """A decoded table: the sound structures, and what is wrong with the rest, if anything."""

    structures: tuple[Structure, ...]
    problem: str = ""

    def of_type(self, number: int) -> list[Structure]:
        """The structures of one type, in the table's order."""
        return [structure for structure in self.structures if structure.type == number]


def decode(table: bytes) -> Table:
    """Split a structure table.

    Args:
        table: The bytes of the table, without its entry point.

    Returns:
        Every structure up to the end mark (type 127) or to the first one that is not sound; in
        the latter case ``problem`` says what is wrong.
    """
    found: list[Structure] = []
    offset = 0
    while offset + _HEADER <= len(table):
        kind, length = table[offset], table[offset + 1]
        if length < _HEADER:
            return Table(
                tuple(found), f"the structure at byte {offset} is {length} bytes long, less than any"
            )
        start = offset + length
        end = table.find(b"\0\0", start)
        if end < 0:
            return Table(tuple(found), f"the structure at byte {offset} is cut short")
        if kind == _END_OF_TABLE:
            return Table(tuple(found))
        strings = tuple(table[start:end].split(b"\0")) if end > start else ()
        handle = int.from_bytes(table[offset + 2 : offset + 4], "little")
        found.append(Structure(kind, handle, table[offset:start], strings))
        offset = end + 2
    return Table(tuple(found), "the table has no end mark")
