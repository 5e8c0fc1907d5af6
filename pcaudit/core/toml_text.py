"""TOML text to data, with mistakes of syntax told at the place a person would look at first."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from pcaudit.core.places import LimitError, Path, Places, place_in
from pcaudit.core.toml_values import mistakes_in
from pcaudit.core.visible import visible
from pcaudit.errors import MistakesError, Place, UsageError


class Document(NamedTuple):
    """A TOML file as it was read.

    Attributes:
        path: As the person gave it, ``-`` for standard input.
        text: Its text without a byte-order mark, line ends as in the file.
        data: What ``tomllib`` makes of it.
        sha256: SHA-256 of its bytes, in hexadecimal.
        places: Where its keys stand.
    """

    path: str
    text: str
    data: dict[str, Any]
    sha256: str
    places: Places

    def place(self, path: Path) -> Place:
        """The place of a key or array item, or of its nearest parent.

        Args:
            path: As in ``data``: names, and indexes into arrays.
        """
        return place_in(self.places, self.path, self.places.offset(path))


_TOML_HINTS: Final = (
    ("Unescaped '\\'", "use single quotes for paths: 'C:\\Data'"),
    ("Invalid hex value", "use single quotes for paths: 'C:\\Users'"),
    ("Expected newline or end of document", 'one setting on a line; quantities stand in quotes: "16 GB"'),
    ("Invalid value", 'texts and quantities stand in quotes: "16 GB"; true and false are lower case'),
    ("Illegal character '\\n'", "close the text with the quote it began with"),
    ("Illegal character", "take the character out"),
    ("Unterminated string", "close the text with the quotes it began with"),
    ("Unclosed array", "close the list with ]"),
    ("Unclosed inline table", "close the braces with } on the same line"),
    ("Expected '='", "write key = value"),
    (
        "Invalid initial character for a key",
        'write key = value; a key with other signs stands in quotes: "os.type"',
    ),
    ("Invalid statement", "write key = value, or [table]"),
    ("Expected ']'", "write [table] or [[list]] on a line of its own"),
    ("Invalid date or datetime", "write a day that exists: 2026-10-01"),
    ("Duplicate inline table key", "give each key once"),
    ("Cannot", "give each key once"),
)


def _toml_hint(message: str) -> str:
    for start, hint in _TOML_HINTS:
        if message.startswith(start):
            return hint
    return "write it as TOML 1.0"


def _syntax_error(path: str, places: Places, error: str) -> UsageError:
    """The error for what ``tomllib`` says, at the place that a person would look at first."""
    import re

    repeat = places.repeat
    if repeat and error.startswith(("Cannot", "Duplicate")):
        first = places.at(repeat.first)[0]
        where = place_in(places, path, repeat.second)
        name = visible(repeat.name)
        return UsageError(f"{name} is given twice", where, f"keep one; the first is on line {first}")
    match = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)$", error)
    message = error[: match.start()] if match else error
    hint = _toml_hint(message)
    if match and match[1]:
        return UsageError(visible(message), _place_at(path, places, int(match[1]), int(match[2])), hint)
    if places.unclosed is not None:
        opened = place_in(places, path, places.unclosed)
        return UsageError("this is never closed", opened, _toml_hint(_CLOSERS[places.text[places.unclosed]]))
    end = places.at(len(places.text.rstrip()))
    return UsageError(f"{visible(message)} at the end of the file", _place_at(path, places, *end), hint)


_CLOSERS: Final = {
    "[": "Unclosed array",
    "{": "Unclosed inline table",
    '"': "Unterminated string",
    "'": "Unterminated string",
}


def _long_number(path: str, places: Places) -> UsageError:
    import re

    # Python's limit on decimal digits, sys.int_info.default_max_str_digits.
    match = re.search(r"[0-9][0-9_]{4300,}", places.text)
    where = place_in(places, path, match.start()) if match else Place(path)
    return UsageError("a number has thousands of digits", where, "write a number that means something")


def _parse_toml(path: str, places: Places) -> dict[str, Any]:
    import tomllib

    try:
        return tomllib.loads(places.text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(path, places, str(error)) from None
    except RecursionError:
        raise UsageError("brackets are nested too deep", Place(path), "nest less deep") from None
    except ValueError:
        raise _long_number(path, places) from None
