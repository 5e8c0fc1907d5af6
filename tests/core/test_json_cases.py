"""JSON case by case, from RFC 8259 (The JavaScript Object Notation Data Interchange Format)."""

from __future__ import annotations

import io
from typing import Any, Final

import pytest

from pcaudit import files
from pcaudit.core.json_text import DEPTH, parse_json
from pcaudit.errors import UsageError

# Section, text, value.
VALID: Final[list[tuple[str, str, Any]]] = [
    ("2: a number alone", "1", 1),
    ("2: a text alone", '"x"', "x"),
    ("2: a literal alone", "null", None),
    ("2: false alone", " false ", False),
    ("2: white space of all four kinds", "\t\n\r [ \t\n\r1\t\n\r ,\t\n\r 2 \t\n\r]\t\n\r ", [1, 2]),
    ("4: an object of nothing", "{}", {}),
    ("4: a name of nothing", '{"": 0}', {"": 0}),
    ("4: the same name in another object", '{"a": {"a": 1}, "b": {"a": 2}}', {"a": {"a": 1}, "b": {"a": 2}}),
    ("4: names that differ in case", '{"a": 1, "A": 2}', {"a": 1, "A": 2}),
    ("4: names that look the same", '{"\u00e9": 1, "e\u0301": 2}', {"\u00e9": 1, "e\u0301": 2}),
    ("5: values of several kinds", '[1, "a", null, [], {}]', [1, "a", None, [], {}]),
    ("6: minus zero", "[-0, -0.0]", [0, -0.0]),
    ("6: exponents", "[1e2, 1E+2, 1e-2, 0e0, 1.5E3]", [100.0, 100.0, 0.01, 0.0, 1500.0]),
    ("6: the largest double", "1.7976931348623157e308", 1.7976931348623157e308),
    ("6: too small for a double", "[1e-400, -1e-400]", [0.0, -0.0]),
    ("6: more digits than a double has", "0.1000000000000000055511151231257827", 0.1),
    ("6: beyond 64 bits", "[18446744073709551616, -18446744073709551616]", [1 << 64, -(1 << 64)]),
    ("6: whole beyond a double", "9007199254740993", (1 << 53) + 1),
    ("7: every escape", r'"\"\\\/\b\f\n\r\t\u0041"', '"\\/\b\f\n\r\tA'),
    ("7: hexadecimal in both cases", r'"\u00e9\u00E9"', "\u00e9\u00e9"),
    ("7: a pair of surrogates", r'"\ud83d\udd2c"', "\U0001f52c"),
    ("7: the character nought", r'"a\u0000b"', "a\0b"),
    ("7: delete and separators as they are", '"\x7f\u2028\u2029"', "\x7f\u2028\u2029"),
    ("7: what is no character", r'"\uffff\ufdd0"', "\uffff\ufdd0"),
    ("7: a backslash and a u", r'"\\u0041"', "\\u0041"),
    ("7: brackets in a text", '"[[[[{{{{"', "[[[[{{{{"),
    ("8.2: half a pair", r'["\ud800", "\udc00"]', ["\\ud800", "\\udc00"]),
    ("8.2: halves the wrong way round", r'"\udd2c\ud83d"', "\\udd2c\\ud83d"),
    ("8.2: half a pair before a character", r'"\ud83dx"', "\\ud83dx"),
    ("8.2: half a pair in a name", r'{"\ud800": 1}', {"\\ud800": 1}),
    ("9: as deep as is allowed", "[" * DEPTH + "]" * DEPTH, None),
]


@pytest.mark.parametrize(("text", "value"), [case[1:] for case in VALID], ids=[case[0] for case in VALID])
def test_what_the_standard_allows(text: str, value: Any) -> None:
    """It is read as it says, from text and from a file, of the same types."""
    found = parse_json(text, "s.json")
    assert files.read_json("-", io.BytesIO(text.encode())) == found
    assert (
        files.read_json("-", io.BytesIO(b"\xef\xbb\xbf" + text.encode())) == found
    )  # section 8.1: may ignore
    if value is not None:
        assert repr(found) == repr(value)


# Section, text, line, column, what is said of it.
INVALID: Final[list[tuple[str, str, int, int, str]]] = [
    ("2: two values", "1 2", 1, 3, "extra data"),
    ("2: a bracket too many", "[1]\n]", 2, 1, "extra data"),
    ("2: no end", '{"a": [1', 1, 9, "delimiter"),
    ("2: blank of another kind", "[1,\u00a02]", 1, 4, "expecting value"),
    ("2: form feed", "[1,\f2]", 1, 4, "expecting value"),
    ("2: a mark of order inside", "[1,\n\ufeff2]", 2, 1, "expecting value"),
    ("2: a comment", "[1] // x", 1, 5, "extra data"),
    ("2: a comment inside", "[1, /* x */ 2]", 1, 5, "expecting value"),
    ("2: a hash", "# x\n[1]", 1, 1, "expecting value"),
    ("3: a capital", "[True]", 1, 2, "expecting value"),
    ("3: too short", "[nul]", 1, 2, "expecting value"),
    ("3: too long", "[nulls]", 1, 6, "delimiter"),
    ("4: comma at the end", '{"a": 1,\n}', 2, 1, "property name"),
    ("4: two commas", '{"a": 1,, "b": 2}', 1, 9, "property name"),
    ("4: no colon", '{"a" 1}', 1, 6, "':' delimiter"),
    ("4: equals for a colon", '{"a" = 1}', 1, 6, "':' delimiter"),
    ("4: a name without quotes", "{a: 1}", 1, 2, "property name"),
    ("4: a name in single quotes", "{'a': 1}", 1, 2, "property name"),
    ("4: a number for a name", "{1: 1}", 1, 2, "property name"),
    ("4: no value", '{"a": }', 1, 7, "expecting value"),
    ("4: no comma", '{"a": 1\n "b": 2}', 2, 2, "',' delimiter"),
    ("4: a name twice", '{"a": 1,\n "b": 2,\n "a": 3}', 3, 2, '"a" is given twice in the same braces'),
    ("4: a name twice with the same value", '{"a": 1, "a": 1}', 1, 10, '"a" is given twice'),
    ("4: a name twice, once by an escape", '{"a": 1,\n"\\u0061": 3}', 2, 1, '"a" is given twice'),
    ("4: a name twice, deep inside", '[{"b": [{"c": 1, "c": 1}]}]', 1, 18, '"c" is given twice'),
    ("4: a name twice beside half a pair", '{"\\ud800": 1, "\\ud800": 2}', 1, 15, "is given twice"),
    ("5: comma at the end", "[1,\n2,\n]", 3, 1, "expecting value"),
    ("5: comma at the beginning", "[,1]", 1, 2, "expecting value"),
    ("5: no comma", "[1 2]", 1, 4, "',' delimiter"),
    ("5: closed by another bracket", "[1}", 1, 3, "',' delimiter"),
    ("6: not a number", "[NaN]", 1, 2, "NaN is not a number in JSON"),
    ("6: minus not a number", "[-NaN]", 1, 2, "expecting value"),
    ("6: infinity", '{"a":\nInfinity}', 2, 1, "Infinity is not a number in JSON"),
    ("6: minus infinity", "-Infinity", 1, 1, "-Infinity is not a number in JSON"),
    ("6: too large for a double", '["1e400",\n 1e400]', 2, 2, "the number 1e400 is too large"),
    ("6: too large, with a point", "-1.0e400", 1, 1, "the number -1.0e400 is too large"),
    ("6: thousands of digits", "[0,\n -" + "9" * 4301 + "]", 2, 2, "thousands of digits"),
    ("6: 0 in front", "[01]", 1, 3, "delimiter"),
    ("6: 0 in front, minus", "-01", 1, 3, "extra data"),
    ("6: plus", "[+1]", 1, 2, "expecting value"),
    ("6: point first", "[.5]", 1, 2, "expecting value"),
    ("6: point last", "[1.]", 1, 3, "delimiter"),
    ("6: no digits in the exponent", "[1e]", 1, 3, "delimiter"),
    ("6: hexadecimal", "[0x1F]", 1, 3, "delimiter"),
    ("6: a mark for thousands", "[1_000]", 1, 3, "delimiter"),
    ("6: digits of another script", "[\uff11]", 1, 2, "expecting value"),
    ("6: a digit of another script behind", "[1\u0661]", 1, 3, "delimiter"),
    ("7: single quotes", "['a']", 1, 2, "expecting value"),
    ("7: never closed", '["a', 1, 2, "unterminated string"),
    ("7: a line inside", '["a\nb"]', 1, 4, "control character"),
    ("7: a tab inside", '["a\tb"]', 1, 4, "control character"),
    ("7: an escape that is none", '["\\x41"]', 1, 3, "escape"),
    ("7: too few digits", '["\\u12"]', 1, 4, "escape"),
    ("7: a sign among the digits", '["\\u+041"]', 1, 4, "escape"),
    ("7: an underscore among the digits", '["\\u0_41"]', 1, 4, "escape"),
    ("7: digits of another script", '["\\u\uff10\uff10\uff14\uff11"]', 1, 4, "escape"),
    ("9: deeper than is allowed", "[" * DEPTH + "\n[" + "]" * (DEPTH + 1), 2, 1, "nested more than 64 deep"),
    (
        "9: braces deeper than is allowed",
        '{"a":' * DEPTH + "[]" + "}" * DEPTH,
        1,
        5 * DEPTH + 1,
        "nested more",
    ),
]


@pytest.mark.parametrize(
    ("text", "line", "column", "says"), [case[1:] for case in INVALID], ids=[case[0] for case in INVALID]
)
def test_what_the_standard_does_not_allow(text: str, line: int, column: int, says: str) -> None:
    """It is refused at its line and column, in words, with what to do; the same from a file."""
    with pytest.raises(UsageError) as caught:
        parse_json(text, "s.json")
    error = caught.value
    assert error.place is not None
    assert (error.place.file, error.place.line, error.place.column) == ("s.json", line, column)
    assert error.place.text == text.split("\n")[line - 1][:500]
    assert says in error.message
    assert error.next_step
    with pytest.raises(UsageError) as again:
        files.read_json("-", io.BytesIO(text.encode()))
    assert again.value.message == error.message


# Section 8.1: JSON between systems is UTF-8. UTF-16 with its mark is taken too, for what editors do.
@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b'["caf\xe9"]', "byte 5 (0xe9) is not UTF-8"),
        (b'["\xed\xa0\x80"]', "byte 2 (0xed) is not UTF-8"),  # a surrogate
        (b'["\xc0\xaf"]', "byte 2 (0xc0) is not UTF-8"),  # longer than it need be
        (b'["\xf4\x90\x80\x80"]', "byte 2 (0xf4) is not UTF-8"),  # beyond the last character
        (b'["\xe2\x82', "is not UTF-8"),
        ("[1]".encode("utf-16-le"), "is not text"),
        ("[1]".encode("utf-32"), "is not text"),
        (b"\xff\xfe" + '["'.encode("utf-16-le") + b"\x00\xd8" + '"]'.encode("utf-16-le"), "damaged UTF-16"),
        (b"[1, \x00]", "is not text"),
        (b"", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (b" \n", "is empty"),
    ],
)
def test_bytes_that_are_no_text_are_refused(raw: bytes, says: str) -> None:
    """What is no UTF-8, and nothing at all, is refused before it is read as JSON."""
    with pytest.raises(UsageError) as caught:
        files.read_json("-", io.BytesIO(raw))
    assert says in caught.value.message
    assert caught.value.next_step


def test_utf16_is_read_with_its_places() -> None:
    """A file in UTF-16 with its mark is read, and a fault in it stands at its line and column."""
    assert files.read_json("-", io.BytesIO('["\U0001f52c"]'.encode("utf-16"))) == ["\U0001f52c"]
    with pytest.raises(UsageError) as caught:
        files.read_json("-", io.BytesIO('["\U0001f52c",\n NaN]'.encode("utf-16")))
    place = caught.value.place
    assert place is not None and (place.line, place.column) == (2, 2)
