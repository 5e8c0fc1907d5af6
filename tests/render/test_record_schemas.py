"""Records and drifts in JSON, and the schemas they are written by."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from pcaudit.core.kept_report import read_report
from pcaudit.render.drift_json import drift_mapping
from tests.core.kept import drift_of, record_of, report_of
from tests.render.schemas import read

KINDS = ("record", "drift")
DAY = date(2026, 11, 25)


def _sample(kind: str) -> Any:
    if kind == "record":
        return record_of(report_of({"memory.installed": 1 << 34}))
    then, now = (
        {"memory.installed": size, "power.plan": plan} for size, plan in ((1 << 34, "a"), (1 << 33, "b"))
    )
    return drift_mapping(drift_of(then, now))


def _valid(kind: str, document: Any) -> bool:
    return bool(Draft202012Validator(read(kind)).is_valid(document))


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_is_a_schema(kind: str) -> None:
    """Each schema is valid JSON Schema, draft 2020-12, and says what it is."""
    schema = read(kind)
    assert schema["$id"] == f"urn:pcaudit:{kind}:1"
    assert schema["title"] and schema["description"]
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_written_is_valid(kind: str) -> None:
    """A document pcaudit writes is valid by its schema, and holds something in every list that can."""
    document = _sample(kind)
    errors = [f"{e.json_path}: {e.message}" for e in Draft202012Validator(read(kind)).iter_errors(document)]
    assert errors == []
    lists = ("inputs",) if kind == "record" else ("turned", "changes", "open", "profiles")
    assert all(document[key] for key in lists)


def _paths(schema: Any, document: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    for key in schema.get("required", ()):
        yield (*path, key)
    for key, below in schema.get("properties", {}).items():
        inside = document.get(key)
        if isinstance(inside, dict):
            yield from _paths(below, inside, (*path, key))
        if isinstance(inside, list) and inside and isinstance(inside[0], dict):
            yield from _paths(below["items"], inside[0], (*path, key, 0))


def _broken() -> Iterator[Any]:
    for kind in KINDS:
        for path in _paths(read(kind), _sample(kind)):
            yield pytest.param(kind, path, id=f"{kind}:{'.'.join(map(str, path))}")


@pytest.mark.parametrize(("kind", "path"), list(_broken()))
def test_each_required_key_is_required(kind: str, path: tuple[Any, ...]) -> None:
    """A document without one of its required keys is not valid."""
    document = copy.deepcopy(_sample(kind))
    place = document
    for step in path[:-1]:
        place = place[step]
    del place[path[-1]]
    assert not _valid(kind, document)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("kind", "report"),
        ("format", 2),
        ("digest", "0" * 63),
        ("entered", {"by": "A", "meaning": "liked", "at": "2026-11-25T09:00:00+00:00"}),
        ("entered", {"by": "A", "meaning": "reviewed", "at": "yesterday"}),
        ("previous", {"record": "../other.record.json", "digest": "0" * 64}),
        ("report", {"kind": "report"}),
    ],
)
def test_what_is_no_record_is_not_valid(key: str, value: Any) -> None:
    """A record with another kind, format, digest, meaning, time, link or report is not valid."""
    assert not _valid("record", {**_sample("record"), key: value})


def test_the_record_s_schema_holds_the_report_s() -> None:
    """The schema of records stands alone, so that any validator can use one file."""
    assert read("record")["$defs"]["report"] == read("report")


def test_the_report_in_a_record_reads_back() -> None:
    """A record's report is as it was given, and is read as one."""
    report = report_of({"memory.installed": 1 << 34})
    assert record_of(report)["report"] == report
    assert read_report(record_of(report)["report"], "r").on == DAY


@pytest.mark.parametrize(
    ("key", "value", "valid"),
    [
        ("asked", None, True),
        ("given", None, True),
        ("asked", [1, 0, 1], True),
        ("asked", [], False),
        ("asked", [-1], False),
        ("asked", ["bench.toml"], False),
        ("given", ["n", "n"], False),
    ],
)
def test_what_was_asked_is_valid(key: str, value: Any, valid: bool) -> None:
    """What was asked and given may be missing, as in reports of earlier builds; None takes it out."""
    report = report_of({"memory.installed": 1 << 34})
    assert key in report
    report |= {key: value}
    if value is None:
        del report[key]
    assert _valid("report", report) is valid
    assert _valid("record", {**_sample("record"), "report": report}) is valid
