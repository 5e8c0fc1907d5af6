"""Where the keys of a TOML text stand, and limits that hold before it is parsed.

``tomllib`` gives values without their places, and a dotted key or a nest of brackets of some
kilobytes keeps it busy for seconds. One pass over the text gives both: the place of every key
and array item, and an early stop. The scanner knows only as much of TOML 1.0 as that takes; at
text that is not TOML it stops without a word, for ``tomllib`` has the better one.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import Final, NamedTuple

from pcaudit.core.visible import visible
from pcaudit.errors import Place

KEY_PARTS: Final = 8
"""Most parts of a dotted key or of a table's name: the deepest form of a profile has six."""

DEPTH: Final = 16
"""Deepest nesting of brackets and braces in a value."""

SHOWN_LINE: Final = 500
"""Most characters of a line that a place carries: a file may be one line of a megabyte."""

Path = tuple[str | int, ...]
"""A key path as ``tomllib`` returns data: names, and indexes into arrays (of tables too)."""

# Possessive quantifiers, so that no text makes a match go back: one pass stays one pass.
_BLANK = re.compile(r"[ \t\n]*+(?:#[^\n]*+[ \t\n]*+)*+")
_SPACE = re.compile(r"[ \t]*+")
_PART = re.compile(r"""([A-Za-z0-9_-]++)|"([^"\\\n]*+(?:\\[^\n][^"\\\n]*+)*+)"|'([^'\n]*+)'""")
_TEXT = re.compile(
    r'"""(?:[^"\\]++|\\[\s\S]|"{1,2}(?!"))*+"{3,5}'
    r"|'''(?:[^']++|'{1,2}(?!'))*+'{3,5}"
    r'|"(?!"")[^"\\\n]*+(?:\\[^\n][^"\\\n]*+)*+"'
    r"|'(?!'')[^'\n]*+'"
)
# Numbers, dates and booleans; a date and its time may stand a space apart.
_PLAIN = re.compile(r"[^\s,\[\]{}#\"'=]++(?: [0-9][^\s,\[\]{}#\"'=]*+)?+")
_ESCAPE: Final = r"(?s)\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))"  # rare: compiled when met
_ESCAPED: Final = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", '"': '"', "\\": "\\"}


def line_text(text: str, column: int) -> str:
    """The line as a place carries it: cut at its end only, so that the column stays true."""
    if len(text) <= SHOWN_LINE:
        return text
    return text[:SHOWN_LINE] if column <= SHOWN_LINE else ""


class LimitError(ValueError):
    """A key or a nest of brackets beyond the limits.

    Args:
        message: What is beyond which limit.
        line: Line, from 1.
        column: Column, from 1.
        text: The line.
    """

    def __init__(self, message: str, line: int, column: int, text: str) -> None:
        super().__init__(message)
        self.message = message
        self.line = line
        self.column = column
        self.text = text


class Repeat(NamedTuple):
    """A key that is given a second time: its name, and the offsets of both."""

    name: str
    first: int
    second: int


class _Node:
    """A key or an array item: where it stands and what is under it."""

    __slots__ = ("implied", "items", "keys", "of_tables", "offset")

    def __init__(self, offset: int, implied: bool = False) -> None:
        self.offset = offset
        self.keys: dict[str, _Node] | None = None
        self.items: list[_Node] | None = None
        self.of_tables = False
        self.implied = implied  # known so far only from the name of a table below it


_Part = tuple[str, int]


class _NotTomlError(Exception):
    """The text is not TOML from here on."""


def _unescape(text: str) -> str:
    def character(match: re.Match[str]) -> str:
        code = match[1] or match[2]
        return chr(int(code, 16)) if code else _ESCAPED[match[3]]

    try:
        return re.sub(_ESCAPE, character, text)
    except (KeyError, ValueError, OverflowError):
        raise _NotTomlError from None


def _child(node: _Node, name: str, offset: int, implied: bool = False) -> _Node:
    """What stands under ``name`` in ``node``, made if it is new."""
    if node.keys is None:
        node.keys = {}
    child = node.keys.get(name)
    if child is None:
        child = node.keys[name] = _Node(offset, implied)
    return child


def _below(node: _Node, parts: list[_Part], implied: bool) -> _Node:
    """The table that ``parts`` lead to; of an array of tables its newest."""
    for name, offset in parts:
        node = _child(node, name, offset, implied)
        if node.of_tables and node.items:
            node = node.items[-1]
    return node


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.position = 0
        self.root = _Node(0)
        self.repeat: Repeat | None = None
        self.open: list[int] = []

    # -- small steps

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.position)
        if match:
            self.position = match.end()

    def _next(self) -> str:
        return self.text[self.position : self.position + 1]

    def _expect(self, mark: str) -> None:
        if not self.text.startswith(mark, self.position):
            raise _NotTomlError
        self.position += len(mark)

    def _beyond(self, message: str, offset: int) -> LimitError:
        start = self.text.rfind("\n", 0, offset) + 1
        line, column = self.text.count("\n", 0, offset) + 1, offset - start + 1
        text = self.text[start:].partition("\n")[0]
        return LimitError(message, line, column, line_text(text, column))

    # -- keys

    def _key(self) -> list[_Part]:
        parts: list[_Part] = []
        while True:
            self._skip(_SPACE)
            match = _PART.match(self.text, self.position)
            if not match:
                raise _NotTomlError
            if len(parts) == KEY_PARTS:
                raise self._beyond(f"a key has more than {KEY_PARTS} parts", parts[0][1])
            parts.append((self._name(match), self.position))
            self.position = match.end()
            self._skip(_SPACE)
            if self._next() != ".":
                return parts
            self.position += 1

    def _name(self, match: re.Match[str]) -> str:
        if match[2] is not None:
            return _unescape(match[2]) if "\\" in match[2] else match[2]
        return match[1] or match[3] or ""

    def _new(self, table: _Node, parts: list[_Part]) -> _Node:
        name, offset = parts[-1]
        parent = _below(table, parts[:-1], implied=False)
        node = _child(parent, name, offset)
        if node.offset == offset:
            return node
        self._note_repeat(name, node.offset, offset)
        return _Node(offset)

    def _note_repeat(self, name: str, first: int, second: int) -> None:
        if self.repeat is None:
            self.repeat = Repeat(name, first, second)

    # -- values

    def _value(self, node: _Node) -> None:
        mark = self._next()
        if mark not in ("[", "{"):
            self._scalar(mark)
            return
        self.open.append(self.position)
        if len(self.open) > DEPTH:
            raise self._beyond(f"brackets are nested more than {DEPTH} deep", self.position)
        self.position += 1
        if mark == "[":
            self._array(node)
        else:
            self._inline_table(node)
        self.open.pop()

    def _scalar(self, mark: str) -> None:
        quoted = mark in ('"', "'")
        match = (_TEXT if quoted else _PLAIN).match(self.text, self.position)
        if not match:
            if quoted and self.text.startswith(mark * 3, self.position):
                self.open.append(self.position)
            raise _NotTomlError
        self.position = match.end()

    def _array(self, node: _Node) -> None:
        node.items = []
        while True:
            self._skip(_BLANK)
            if self._next() == "]":
                break
            item = _Node(self.position)
            node.items.append(item)
            self._value(item)
            self._skip(_BLANK)
            if self._next() != ",":
                break
            self.position += 1
        self._expect("]")

    def _inline_table(self, node: _Node) -> None:
        node.keys = {}
        self._skip(_BLANK)
        while self._next() != "}":
            self._pair(node)
            self._skip(_BLANK)
            if self._next() != ",":
                break
            self.position += 1
            self._skip(_BLANK)
        self._expect("}")

    def _pair(self, table: _Node) -> None:
        parts = self._key()
        self._expect("=")
        self._skip(_SPACE)
        self._value(self._new(table, parts))

    # -- statements

    def _header(self) -> _Node:
        twice = self.text.startswith("[[", self.position)
        self.position += 2 if twice else 1
        parts = self._key()
        self._expect("]]" if twice else "]")
        parent = _below(self.root, parts[:-1], implied=True)
        name, offset = parts[-1]
        node = _child(parent, name, offset)
        return self._array_item(node, offset) if twice else self._table(node, name, offset)

    def _array_item(self, array: _Node, offset: int) -> _Node:
        array.of_tables = True
        if array.items is None:
            array.items = []
        array.items.append(_Node(offset))
        return array.items[-1]

    def _table(self, table: _Node, name: str, offset: int) -> _Node:
        if table.implied:
            table.implied = False
            table.offset = offset
        elif table.offset != offset:
            self._note_repeat(name, table.offset, offset)
        return table

    def run(self) -> None:
        table = self.root
        try:
            while True:
                self._skip(_BLANK)
                if self.position == len(self.text):
                    return
                if self._next() == "[":
                    table = self._header()
                else:
                    self._pair(table)
        except _NotTomlError:
            return


class Places:
    """The places of all keys and array items of one TOML text.

    Args:
        text: The text without its byte-order mark, line ends as in the file.

    Raises:
        LimitError: A key has more than ``KEY_PARTS`` parts, or a value is nested more than
            ``DEPTH`` deep.
    """

    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        scanner = _Scanner(self.text)
        scanner.run()
        self._root = scanner.root
        self._starts: list[int] = []
        self.repeat = scanner.repeat
        """The first key that is given twice, which TOML forbids."""
        self.unclosed = scanner.open[-1] if scanner.open else None
        """Offset of the bracket or the three quotes in which the scan ended, if in any."""

    def at(self, offset: int) -> tuple[int, int]:
        """Line and column, from 1, of an offset into the text with LF line ends."""
        if not self._starts:
            self._starts = [0, *(match.end() for match in re.finditer("\n", self.text))]
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def line(self, number: int) -> str:
        """The text of a line, from 1; empty where there is no such line."""
        self.at(0)
        if not 1 <= number <= len(self._starts):
            return ""
        end = self._starts[number] - 1 if number < len(self._starts) else len(self.text)
        return self.text[self._starts[number - 1] : end]

    def find(self, path: Path) -> tuple[int, int]:
        """Where the key or array item at ``path`` stands.

        Args:
            path: As ``tomllib`` returns the data: names, and indexes for arrays.

        Returns:
            Line and column, from 1, of the key; of a table the name in its header; of an item of
            a plain array its value. Where the text has no such path, its nearest parent's.
        """
        return self.at(self.offset(path))

    def offset(self, path: Path) -> int:
        """Like ``find``, as an offset into the text with LF line ends."""
        node = self._root
        for step in path:
            found = _step(node, step)
            if found is None:
                break
            node = found
        return node.offset

    def in_lines(self, path: Path) -> bool:
        """Whether the value at ``path`` is a text between three quotes, which may have lines."""
        offset = self.offset(path)
        # Of a key, step over it and its sign; an item of a plain array stands there itself.
        key = re.compile(rf"(?:{_PART.pattern})[ \t]*+=[ \t]*+").match(self.text, offset)
        if key and path and isinstance(path[-1], str):
            offset = key.end()
        return self.text.startswith(('"""', "'''"), offset)


def _step(node: _Node, step: str | int) -> _Node | None:
    if isinstance(step, str):
        return node.keys.get(step) if node.keys else None
    return node.items[step] if node.items and 0 <= step < len(node.items) else None


def dotted(path: Path) -> str:
    """A key path as TOML spells it: ``os.any_of[1].type``; items count from 1."""
    out = ""
    for step in path:
        if isinstance(step, int):
            out += f"[{step + 1}]"
            continue
        bare = step.isascii() and step.replace("-", "").replace("_", "").isalnum()
        name = step if bare else f'"{visible(step, 80)}"'
        out += f".{name}" if out else name
    return out


def place_in(places: Places, file: str, offset: int) -> Place:
    """The place of an offset, for messages about ``file``."""
    line, column = places.at(offset)
    return Place(file, line, column, line_text(places.line(line), column))
