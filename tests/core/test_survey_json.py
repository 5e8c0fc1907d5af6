"""Snapshots read fast are those that the careful reader gives, or are left to it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.json_text import dump_json, parse_json
from pcaudit.core.survey_json import quick_json
from pcaudit.errors import UsageError

SNAPSHOTS: Final = sorted((Path(__file__).parents[2] / "fixtures" / "snapshots").glob("*.json"))

# RFC 8259: names within an object should be unique, numbers are finite, and white space may stand before
# a colon.
DOUBTFUL: Final = (
    b'{"kind": "snapshot", "kind": "report"}',
    b'{"readings": {"a": {"value": 1, "value": 2}}}',
    b'{"readings": {"a": {"value" : 1, "value"\n:2}}}',
    b'{"readings": {"a": {"value": [{"name": "x", "name": "y"}]}}}',
    b'{"readings": {"a": {"value": [{"b": {"name": "x", "name": "y"}}]}}}',
    b'{"a": NaN}',
    b'{"a": 1e999}',
    b'{"a": "\\ud800"}',
    b'{"a": ' + b"[" * 70 + b"]" * 70 + b"}",
    b'{"a": ' + b'{"a":' * 70 + b"1" + b"}" * 70 + b"}",
    b"[" * 100_000,
    b'{"a": 1',
    b"",
    b'"text"',
    b"\xff",
    b'{"a": ' + b"9" * 5000 + b"}",
)


@pytest.mark.parametrize("raw", DOUBTFUL, ids=lambda raw: repr(raw[:30]))
def test_whatever_is_in_doubt_is_left_to_the_careful_reader(raw: bytes) -> None:
    """Keys that stand twice, numbers that are none, lone surrogates, depth, torn text: nothing is taken."""
    assert quick_json(raw) is None


@pytest.mark.parametrize("path", SNAPSHOTS, ids=lambda path: path.stem)
def test_snapshots_are_read_alike(path: Path) -> None:
    """What is taken is what the careful reader gives."""
    raw = path.read_bytes()
    found = quick_json(raw)
    assert found is None or found == parse_json(raw.decode(), "a test")


def test_an_ordinary_snapshot_is_not_left_to_the_careful_reader() -> None:
    """The fast way is taken where nothing is in doubt."""
    assert sum(quick_json(path.read_bytes()) is not None for path in SNAPSHOTS) >= 3


_LEAVES: Final = st.none() | st.booleans() | st.integers() | st.text(max_size=8)
_ITEMS: Final = st.lists(st.dictionaries(st.sampled_from(["name", "a b", "é:"]), _LEAVES), max_size=3)
_READING: Final = st.dictionaries(st.sampled_from(["value", "why", "x"]), _LEAVES | _ITEMS, max_size=3)


@given(st.dictionaries(st.sampled_from(["readings", "tool", "kind"]), st.dictionaries(st.text(), _READING)))
def test_no_text_is_read_otherwise_than_by_the_careful_reader(data: Any) -> None:
    """Whatever keys and texts hold, what is taken is right."""
    for text in (dump_json(data), json.dumps(data), json.dumps(data, separators=(",", " : "))):
        found = quick_json(text.encode())
        assert found is None or found == parse_json(text, "a test")


@given(st.lists(st.sampled_from(['{"a":', '{"b" :', "1", "}", ",", '"a":', '"b":', "2"]), max_size=10))
def test_nothing_is_taken_that_the_careful_reader_refuses(pieces: list[str]) -> None:
    """A text that is no JSON, or has a key twice, is never taken."""
    text = "".join(pieces)
    found = quick_json(text.encode())
    try:
        careful = parse_json(text, "a test")
    except UsageError:
        careful = None
    assert found is None or found == careful
