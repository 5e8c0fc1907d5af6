"""A comparison in JSON, and the schema it is written by."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from typing import Any, Final

import pytest
from jsonschema import Draft202012Validator

from pcaudit.render.compare_json import render
from tests.render.compare_golden import golden_comparison
from tests.render.schemas import read

SCHEMA: Final = read("compare")
DOCUMENT: Final = json.loads(render(golden_comparison()))


def _errors(document: Any) -> list[str]:
    found = Draft202012Validator(SCHEMA).iter_errors(document)
    return [f"{error.json_path}: {error.message}" for error in found]


def test_the_schema_is_a_schema() -> None:
    """It is valid JSON Schema, draft 2020-12, and says what it is."""
    assert SCHEMA["$id"] == "urn:pcaudit:compare:1"
    assert SCHEMA["title"] and SCHEMA["description"]
    Draft202012Validator.check_schema(SCHEMA)


def test_what_is_written_is_valid() -> None:
    """A document is valid by its schema, and holds something in every list that can."""
    assert _errors(DOCUMENT) == []
    assert DOCUMENT["kind"] == "compare" and DOCUMENT["format"] == 1
    assert DOCUMENT["notes"] and DOCUMENT["ranking"]["orders"] and DOCUMENT["ranking"]["no_orders"]
    for key in ("changes", "left", "not_known", "headroom"):
        assert any(one[key] for one in DOCUMENT["candidates"]), key


def _schema(part: Any) -> Any:
    return SCHEMA["$defs"][part["$ref"].rpartition("/")[2]] if "$ref" in part else part


def _first(documents: list[Any], key: str) -> Any:
    """The first that holds something under a key, so that what is below it can be broken."""
    return next((index for index, one in enumerate(documents) if one.get(key)), 0)


def _paths(schema: Any, document: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Paths of the required keys of a document, in the first item of each list."""
    schema = _schema(schema)
    for key in schema.get("required", ()):
        yield (*path, key)
    for key, below in schema.get("properties", {}).items():
        inside = document.get(key)
        if isinstance(inside, dict):
            yield from _paths(below, inside, (*path, key))
        elif isinstance(inside, list) and inside and isinstance(inside[0], dict):
            number = _first(inside, "changes") if key == "candidates" else 0
            yield from _paths(below["items"], inside[number], (*path, key, number))


PATHS: Final = list(_paths(SCHEMA, DOCUMENT))


@pytest.mark.parametrize("path", PATHS, ids=lambda path: ".".join(map(str, path)))
def test_each_required_key_is_required(path: tuple[Any, ...]) -> None:
    """A document without one of its required keys is not valid."""
    document = copy.deepcopy(DOCUMENT)
    place = document
    for step in path[:-1]:
        place = place[step]
    del place[path[-1]]
    assert _errors(document)


def test_a_part_says_what_it_costs() -> None:
    """A change that is a part has its name and its price, null where there is none."""
    document = copy.deepcopy(DOCUMENT)
    changes = [one for candidate in document["candidates"] for one in candidate["changes"]]
    (part, *_) = (one for one in changes if one["kind"] == "part")
    assert part["part"] == "memory 16 GB" and part["price"] == 60.0
    assert None in [one["price"] for one in changes if one["kind"] == "part"]
    del part["price"]
    assert _errors(document)


def test_a_sum_counts_what_it_leaves_out() -> None:
    """The price of a candidate says how many parts it does not hold."""
    by_letter = {one["letter"]: one["price"] for one in DOCUMENT["candidates"]}
    assert by_letter["C"] == {"known": 60.0, "parts": 2, "without_price": 1}
    assert by_letter["E"] == {"known": 0.0, "parts": 0, "without_price": 0}


def test_keys_it_does_not_know_are_accepted() -> None:
    """A later version of the same format may say more."""
    document = copy.deepcopy(DOCUMENT)
    document["more"] = document["candidates"][0]["more"] = 1
    assert _errors(document) == []
