"""TOML text to data, with mistakes of syntax told at the place a person would look at first."""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core.places import LimitError, Places, Repeat, line_text, place_in
from pcaudit.core.toml_values import mistakes_in
from pcaudit.core.visible import named, visible
from pcaudit.errors import MistakesError, Place, UsageError

# What tomllib's messages begin with, the same in a person's words, and what would be right.
# Where the words are empty, tomllib's own stand.
_WORDS: Final = (
    ("Unescaped '\\'", "a backslash between double quotes", "use single quotes for paths: 'C:\\Data'"),
    ("Invalid hex value", "a backslash between double quotes", "use single quotes for paths: 'C:\\Users'"),
    (
        "Expected newline or end of document",
        "more on this line than one setting",
        'write texts, quantities and versions in quotes: "16 GB"',
    ),
    ("Invalid value", "", 'write texts and quantities in quotes: "16 GB"; true and false in lower case'),
    ("Illegal character '\\n'", "the text is not closed", "close it with the quote it began with"),
    ("Illegal character", "", "take the character out"),
    ("Escaped character", "an escape that is no character", "write the character itself"),
    ("Found invalid character '\\n'", "the text is not closed", "close it with the quote it began with"),
    ("Found invalid character", "", "take the character out"),
    ("Unterminated string", "the text is not closed", "close it with the quotes it began with"),
    ("Unclosed array", "the list is not closed", "close it with ], and put commas between its items"),
    ("Unclosed inline table", "the braces are not closed", "close them with } on the same line"),
    ("Expected '='", "a key without a value", "write key = value"),
    ("Invalid initial character", "a key cannot begin like this", "write key = value"),
    ("Invalid statement", "", "write key = value, or [table]"),
    ("Expected ']", "the name of the table is not closed", "write [table] or [[list]] on a line of its own"),
    ("Invalid date or datetime", "", "write a day that exists: 2026-10-01"),
    ("Duplicate inline table key", "", "give each key once"),
    ("Cannot", "a key is given twice, or as a value and as a table", "give each key once"),
)
_OPENED: Final = {
    "[": "Unclosed array",
    "{": "Unclosed inline table",
    '"': "Unterminated string",
    "'": "Unterminated string",
}
# What a line with a mistake of syntax looks like, and what its writer had in mind.
_SLIPS: Final = (
    (r"\r.", "a carriage return alone ends no line: save the file with the line ends of this system"),
    (r"^\s*(?://|;|--|/\*)", "a comment begins with #"),
    (r"\{\s*(?:#.*)?$", "braces stand on one line: { minimum = 1 }; for more lines write a section"),
    (r",\s*\}", "no comma stands before the closing brace"),
    (r"=\s*[0-9]{1,2}[./][0-9]{1,2}[./][0-9]{2,4}\s*$", "write dates as 2026-10-01"),
    (r"=\s*[+-]?[0-9]+,[0-9]+\s*$", "decimals have a point; thousands have no mark"),
    (r"=\s*[+-]?0[0-9]+\s*$", "numbers have no 0 in front; versions stand in quotes"),
)
_TYPOGRAPHIC: Final = "\u2018\u2019\u201c\u201d\u201e\u00ab\u00bb"


def _in_words(message: str) -> tuple[str, str]:
    for start, words, right in _WORDS:
        if message.startswith(start):
            return words or visible(message), right
    return visible(message), "write it as TOML 1.0"


def _repeated(file: str, places: Places, repeat: Repeat) -> UsageError:
    first = places.at(repeat.first)[0]
    where = place_in(places, file, repeat.second)
    return UsageError(
        f"{visible(repeat.name)} is given twice", where, f"keep one; the first is on line {first}"
    )


def _better(line: str, column: int) -> str:
    """A hint for slips that ``tomllib`` takes for others: odd quotes, impossible days, numbers."""
    import re

    here = line[column - 1 : column]
    if here and here in _TYPOGRAPHIC:
        return "use straight quotes, as a plain text editor writes them"
    if re.search(r"=\s*[0-9]{4}-$", line[:column]):
        return "write a day that exists: 2026-10-01"
    return next((hint for slip, hint in _SLIPS if re.search(slip, line)), "")


def _odd_character(character: str) -> tuple[str, str] | None:
    """What is said of a character that looks like a space, or like nothing."""
    if character.isascii() or not (character.isspace() or not character.isprintable()):
        return None
    return f"{named(character)} stands here", "write an ordinary space instead, or take it out"


def _lost_quote(line: str) -> tuple[str, str] | None:
    """What is said of a text that ends in a backslash, which takes the closing quote with it."""
    import re

    match = re.search(r'"([^"]*\\)"[\s}\],]*(?:#.*)?$', line)
    if not match:
        return None
    return "a backslash before the closing quote", f"use single quotes for paths: '{visible(match[1], 100)}'"


def _syntax_error(file: str, places: Places, error: str) -> UsageError:
    """The error for what ``tomllib`` says, at the place that a person would look at first."""
    import re

    if places.repeat and error.startswith(("Cannot", "Duplicate")):
        return _repeated(file, places, places.repeat)
    match = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)$", error)
    words, right = _in_words(error[: match.start()] if match else error)
    opened = places.unclosed is not None and error.startswith(("Unclosed array", "Unclosed inline"))
    if match and match[1] and not opened:
        line, column = int(match[1]), int(match[2])
        text = places.line(line)
        words, right = _odd_character(text[column - 1 : column]) or _lost_quote(text) or (words, right)
        right = _better(text, column) or right
        return UsageError(words, Place(file, line, column, line_text(text, column)), right)
    if places.unclosed is not None:
        where = place_in(places, file, places.unclosed)
        told = _in_words(_OPENED[places.text[places.unclosed]])
        words, right = _lost_quote(places.line(where.line)) or told
        return UsageError(words, where, right)
    return UsageError(words, place_in(places, file, len(places.text.rstrip())), right)


def _long_number(file: str, places: Places) -> UsageError:
    import re

    # Python's limit on decimal digits, sys.int_info.default_max_str_digits.
    match = re.search(r"[0-9][0-9_]{4300,}", places.text)
    where = place_in(places, file, match.start()) if match else Place(file)
    return UsageError("a number has thousands of digits", where, "write a number that means something")


def _load(file: str, places: Places) -> dict[str, Any]:
    import tomllib

    try:
        return tomllib.loads(places.text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(file, places, str(error)) from None
    except RecursionError:
        raise UsageError("brackets are nested too deep", Place(file), "nest less deep") from None
    except ValueError:
        raise _long_number(file, places) from None


def parse_toml(text: str, file: str) -> tuple[dict[str, Any], Places]:
    """Read a text as TOML.

    Args:
        text: Without a byte-order mark.
        file: Its name, for messages.

    Returns:
        The data and the places of its keys.

    Raises:
        UsageError: It is not TOML 1.0, or beyond the limits of ``pcaudit.core.places``.
        MistakesError: Values no such file may have: control or invisible characters, infinity,
            not-a-number, integers of more than 64 bits. All of them, up to ``MISTAKES``.
    """
    try:
        places = Places(text)
    except LimitError as error:
        place = Place(file, error.line, error.column, error.text)
        raise UsageError(error.message, place, "use fewer levels") from None
    data = _load(file, places)
    mistakes = mistakes_in(data, places, file)
    if mistakes:
        raise MistakesError(file, mistakes)
    return data, places
