"""TOML read with its mistakes told at their place."""

from __future__ import annotations

import pytest

from pcaudit.core.places import dotted
from pcaudit.core.toml_text import parse_toml
from pcaudit.core.toml_values import MISTAKES
from pcaudit.errors import MistakesError, Place, UsageError


def fault(text: str) -> UsageError:
    """The error that the text gives, which is not one of values."""
    with pytest.raises(UsageError) as caught:
        parse_toml(text, "p.toml")
    assert not isinstance(caught.value, MistakesError)
    return caught.value


def mistakes(text: str) -> list[tuple[str, int, int, str, str]]:
    """Key, line, column, message and hint of each mistake of values."""
    with pytest.raises(MistakesError) as caught:
        parse_toml(text, "p.toml")
    assert caught.value.file == "p.toml"
    found = []
    for mistake in caught.value.mistakes:
        assert mistake.place is not None
        assert mistake.place.file == "p.toml"
        found.append((mistake.key, mistake.place.line, mistake.place.column, mistake.message, mistake.hint))
    return found


def test_good_text_gives_data_and_places() -> None:
    """Good TOML gives what tomllib gives, and where it stands."""
    data, places = parse_toml("format = 1\r\n[os]\r\ntype = 'windows'\r\n", "p.toml")
    assert data == {"format": 1, "os": {"type": "windows"}}
    assert places.find(("os", "type")) == (3, 1)


@pytest.mark.parametrize(
    ("text", "line", "column", "message", "right"),
    [
        ("a = 1\nb = 16 GB\n", 2, 8, "more on this line than one setting", 'in quotes: "16 GB"'),
        ("a = 1\nb = yes\n", 2, 5, "Invalid value", "true and false in lower case"),
        ("a = 1\nb =\n", 2, 4, "Invalid value", "in quotes"),
        ('p = "C:\\Data"\n', 1, 10, "a backslash between double quotes", "single quotes for paths"),
        ('p = "C:\\Users"\n', 1, 10, "a backslash between double quotes", "single quotes for paths"),
        ("a = “x”\n", 1, 5, "Invalid value", "straight quotes"),
        ("a = 2026-13-01\n", 1, 9, "more on this line", "a day that exists"),
        ('a = "x\nb = 1\n', 1, 7, "the text is not closed", "the quote it began with"),
        ("a\nb = 1\n", 1, 2, "a key without a value", "key = value"),
        ("a = 1\n\u00a0b = 2\n", 2, 1, "a non-breaking space (U+00A0) stands here", "an ordinary space"),
        ("b =\u00a02\n", 1, 4, "a non-breaking space (U+00A0) stands here", "an ordinary space"),
        ("a = 2\u200b\n", 1, 6, "a zero-width space (U+200B) stands here", "take it out"),
        ("b =\u20032\n", 1, 4, "the character em space (U+2003) stands here", "an ordinary space"),
        ('m = "D:\\"\n', 1, 10, "a backslash before the closing quote", "single quotes for paths: 'D:\\'"),
        ('m = { equal = "D:\\" }\n', 1, 22, "a backslash before the closing quote", "'D:\\'"),
        ('m = ["C:\\Data\\"]\n', 1, 11, "a backslash before the closing quote", "'C:\\Data\\'"),
        ('m = ["D:\\"]\n', 1, 12, "a backslash before the closing quote", "'D:\\'"),
        ("\n[a\n", 2, 3, "the name of the table is not closed", "[table]"),
        ('{"a": 1}', 1, 1, "Invalid statement", "key = value"),
        ("a = 1 # \x01\n", 1, 9, "'\\x01'", "take the character out"),
        ("a = 1\nb = 2\na = 3\n", 3, 1, "a is given twice", "the first is on line 1"),
        ("[a]\n[b]\n[a]\n", 3, 2, "a is given twice", "the first is on line 1"),
        ("t = { x = 1, x = 2 }", 1, 14, "x is given twice", "the first is on line 1"),
        ("a = [1]\n[[a]]\n", 2, 4, "as a value and as a table", "each key once"),
        ("a = 1\nb = [\n  1,\n", 2, 5, "the list is not closed", "with ]"),
        ("a = '''\nx\n\n", 1, 5, "the text is not closed", "the quotes it began with"),
        ("a = 1\nb", 2, 2, "a key without a value", "key = value"),
        ("a = 1\nb = " + "7" * 5000, 2, 5, "thousands of digits", "means something"),
        ("a = 1\nb = " + "[" * 100_000, 2, 21, "nested more than 16 deep", "fewer"),
        ("x = 1\n " + "a." * 32768 + "a = 1\n", 2, 2, "more than 8 parts", "fewer"),
    ],
)
def test_a_mistake_of_syntax_is_told_at_its_place(
    text: str, line: int, column: int, message: str, right: str
) -> None:
    """What is no TOML is refused at its line and column, with what would be right."""
    error = fault(text)
    assert error.place == Place("p.toml", line, column, text.split("\n")[line - 1][:500])
    assert message in error.message
    assert right in error.next_step


def test_a_mistake_far_along_a_line_shows_no_wrong_text() -> None:
    """A place beyond what is shown of a long line has its column, and no text to mislead."""
    error = fault("a = [" + "1, " * 1000 + "x]")
    assert error.place == Place("p.toml", 1, 3006, "")


@pytest.mark.parametrize(
    ("text", "message", "hint"),
    [
        ('"C:\\temp"', "the text has a tab in it: C:\\temp", "use single quotes for paths: 'C:\\temp'"),
        ('"D:\\new"', "the text has a line break in it: D:\\new", "use single quotes for paths: 'D:\\new'"),
        ('"Lab 4\\nWest"', "the text has a line break in it: Lab 4\\nWest", "write it on one line"),
        ('"D:\\bin"', "the text has a backspace in it: D:\\x08in", "use single quotes for paths: 'D:\\bin'"),
        ("'a\tb'", "the text has a tab in it: a\\tb", "write a space instead"),
        ('"\\u001b[31m"', "the text has the invisible character \\x1b in it: \\x1b[31m", "take it out"),
        ("'a\u202eb'", "the text has the invisible character \\u202e in it: a\\u202eb", "take it out"),
        ("'a\u200bb'", "the text has the invisible character \\u200b in it: a\\u200bb", "take it out"),
        ('"\\u0085"', "the text has the invisible character \\x85 in it: \\x85", "take it out"),
    ],
)
def test_control_and_invisible_characters_in_text_are_mistakes(text: str, message: str, hint: str) -> None:
    """A character that no one sees is told by key and place, and a path by its cure."""
    assert mistakes(f"a = 1\n[t]\nb = {text}\n") == [("t.b", 3, 1, message, hint)]


def test_what_writing_needs_is_no_mistake() -> None:
    """Lines in a text between three quotes, joiners and direction marks of scripts are fine."""
    parse_toml(
        'a = """one\ntwo"""\nb = "\u0645\u06cc\u200c\u062e \u200f\u05d0"\nc = "µ-Säule 4 °C"\n', "p.toml"
    )


def test_control_characters_between_three_quotes_are_mistakes() -> None:
    """A text that may have lines may have no other control character."""
    found = mistakes('a = """one\ntwo\\u0007"""\n')
    assert found == [
        ("a", 1, 1, "the text has the invisible character \\x07 in it: one\\ntwo\\x07", "take it out")
    ]


@pytest.mark.parametrize(
    ("value", "gist"),
    [
        ("inf", "inf is not a number"),
        ("-inf", "-inf is not a number"),
        ("nan", "nan is not a number"),
        ("1e999", "inf is not a number"),
        ("9223372036854775808", "more than 64 bits"),
        ("-9223372036854775809", "more than 64 bits"),
        ("0x" + "f" * 5000, "more than 64 bits"),
    ],
)
def test_numbers_that_bound_nothing_are_mistakes(value: str, gist: str) -> None:
    """Infinity, not-a-number and integers beyond TOML's 64 bits are told by key and place."""
    ((key, line, column, message, _hint),) = mistakes(f"[m]\nx = [0, {{ y = {value} }}]\n")
    assert (key, line, column) == ("m.x[2].y", 2, 11)
    assert gist in message


def test_the_largest_integers_are_fine() -> None:
    """Every integer of 64 bits is taken (TOML 1.0.0, "Integer")."""
    data, _places = parse_toml("a = 9223372036854775807\nb = -9223372036854775808", "p.toml")
    assert data == {"a": (1 << 63) - 1, "b": -(1 << 63)}


def test_all_mistakes_are_told_at_once() -> None:
    """Mistakes of values come together, keys with invisible characters among them."""
    found = mistakes('a = nan\n"k\\u0007" = inf\n[[l]]\n[[l]]\nz = "\\t"\n')
    assert [(key, line) for key, line, *_rest in found] == [
        ("a", 1),
        ('"k\\x07"', 2),
        ('"k\\x07"', 2),
        ("l[2].z", 5),
    ]


def test_mistakes_have_an_end() -> None:
    """A file of mistakes only is told up to the limit."""
    assert len(mistakes("a = [" + "nan," * 5000 + "]")) == MISTAKES


def test_keys_are_spelled_as_in_the_file() -> None:
    """Key paths are dotted, items count from 1, odd names stand in quotes."""
    assert dotted(("os", "any_of", 0, "os.type")) == 'os.any_of[1]."os.type"'
    assert dotted(("", "a b", "x-1_y")) == '""."a b".x-1_y'
