"""JSON read and written."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.json_text import DEPTH, dump_json, parse_json
from pcaudit.errors import Place, UsageError


@pytest.mark.parametrize(
    ("text", "line", "column", "message"),
    [
        ('{"a": 1,\n "a": 2}', 2, 2, '"a" is given twice in the same braces'),
        ('{"ab": 1,\n  "a\\u0062": 2}', 2, 3, '"ab" is given twice in the same braces'),
        ('[{"b": 1},\n {"b": {"c": 1, "c": 1}}]', 2, 17, '"c" is given twice'),
        ("[1,\n NaN]", 2, 2, "NaN is not a number in JSON"),
        ("[1,\n -Infinity]", 2, 2, "-Infinity is not a number in JSON"),
        ('["NaN", 1e999]', 1, 9, "the number 1e999 is too large"),
        ("[-1.5E+999]", 1, 2, "the number -1.5E+999 is too large"),
        ("[0,\n" + "1" * 5000 + "]", 2, 1, "thousands of digits"),
        ('{"a": 1} x', 1, 10, "not JSON: extra data"),
        ('{"a": 1', 1, 8, "not JSON: expecting ',' delimiter"),
        ("{'a': 1}", 1, 2, "not JSON: expecting property name"),
        ("[1,]", 1, 4, "not JSON: "),
        ("format = 1", 1, 1, "not JSON: expecting value"),
        ('["\x01"]', 1, 3, "not JSON: invalid control character"),
        ("[\n" + "[" * DEPTH + "]" * DEPTH + "]", 2, DEPTH, "nested more than 64 deep"),
        ("[" * 200_000, 1, DEPTH + 1, "nested more than 64 deep"),
        ('{"a":' * 200_000, 1, 5 * DEPTH + 1, "nested more than 64 deep"),
    ],
)
def test_what_is_not_json_is_refused_at_its_place(text: str, line: int, column: int, message: str) -> None:
    """Everything Python's reader takes and JSON has not is refused, at its line and column."""
    with pytest.raises(UsageError) as caught:
        parse_json(text, "s.json")
    assert caught.value.place == Place("s.json", line, column, text.split("\n")[line - 1][:500])
    assert message in caught.value.message
    assert caught.value.next_step == "give a file that pcaudit wrote, whole and unchanged"


def test_good_json_is_read() -> None:
    """Same names in different braces, names of numbers in texts and deep nests are fine."""
    text = '[{"a": 1}, {"a": "NaN"}, 1e308, "1e999", -0, "\\ud83d\\udd2c"]'
    assert parse_json(text, "s.json") == [{"a": 1}, {"a": "NaN"}, 1e308, "1e999", 0, "🔬"]
    parse_json("[" * DEPTH + "]" * DEPTH, "s.json")
    assert parse_json("1" * 400, "s.json") == int("1" * 400)


def test_a_long_number_beside_another_fault_is_not_blamed() -> None:
    """The fault told is the one that is there, whatever stands before it."""
    text = "[-" + "1" * 4300 + ",\nNaN]"
    with pytest.raises(UsageError, match="NaN"):
        parse_json(text, "s.json")


def test_lone_surrogates_become_visible() -> None:
    """Half a character, which no file or terminal takes, is read as its escape."""
    assert parse_json('{"\\uDC00": ["\\ud800x"]}', "s.json") == {"\\udc00": ["\\ud800x"]}


def test_json_is_written_one_way() -> None:
    """Keys are sorted, the indent is two, other scripts stay, the last line ends."""
    assert dump_json({"b": ["é"], "a": None}) == '{\n  "a": null,\n  "b": [\n    "é"\n  ]\n}\n'


def test_json_can_be_shown_on_a_terminal() -> None:
    """What a terminal obeys or hides is written as JSON's escapes and reads back the same."""
    text = "\x1b\x7f\x9b\u202e\ud800\u2028\U000e0041"
    written = dump_json([text])
    assert written == '[\n  "\\u001b\\u007f\\u009b\\u202e\\ud800\\u2028\\udb40\\udc41"\n]\n'
    assert json.loads(written) == [text]


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
def test_numbers_that_are_none_are_not_written(number: float) -> None:
    """Not-a-number and infinity never reach a file."""
    with pytest.raises(ValueError, match="JSON compliant"):
        dump_json({"a": number})


@given(
    st.recursive(
        st.none()
        | st.booleans()
        | st.integers()
        | st.floats(allow_nan=False, allow_infinity=False)
        | st.text(),
        lambda below: st.lists(below) | st.dictionaries(st.text(), below),
    )
)
def test_what_is_written_reads_back(data: Any) -> None:
    """Data written and read again is the same data."""
    assert parse_json(dump_json(data), "s.json") == data
