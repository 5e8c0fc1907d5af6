"""Whole recorded hosts: every reading is what follows from the hardware each file describes."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from functools import cache
from typing import Any, Final

import pytest
from jsonschema import Draft202012Validator

from pcaudit.core.catalogue import CATALOGUE, Type
from pcaudit.core.snapshot import Form, Observation, Snapshot, from_mapping, to_mapping
from pcaudit.probes.linux.all import probes
from pcaudit.probes.runner import run
from tests.probes.recorded import NAMES, document, expand, recorded
from tests.render.schemas import read

_OBSERVED: Final = [name for name, record in CATALOGUE.items() if not record.derived]
_EVERY: Final = pytest.mark.parametrize("name", NAMES)


def _now() -> datetime:
    return datetime(2025, 11, 25, 10, tzinfo=UTC)


@cache
def _snapshot(name: str) -> Snapshot:
    snapshot, timings = run(probes(recorded(name)), "0.1.0", _now)
    assert [timing.problem for timing in timings] == [""] * len(timings)
    return snapshot


def _form(wanted: dict[str, Any]) -> Form:
    if "value" in wanted:
        return Form.KNOWN
    if "at_least" in wanted:
        return Form.AT_LEAST
    return Form.ABSENT if wanted.get("absent") else Form.UNKNOWN


def _plain(value: Any, reading: str) -> Any:
    """A value so that two that say the same are equal: sets in order, unknown keys left out."""
    kind = CATALOGUE[reading].value.type
    if kind is Type.SET:
        return sorted(value)
    if kind is Type.LIST:
        return [{key: part for key, part in item.items() if part is not None} for item in value]
    return value


def _check(seen: Observation, wanted: dict[str, Any], reading: str) -> None:
    assert seen.form is _form(wanted), seen
    if seen.form in {Form.KNOWN, Form.AT_LEAST}:
        expected = wanted.get("value", wanted.get("at_least"))
        assert type(seen.value) is type(expected)
        assert _plain(seen.value, reading) == _plain(expected, reading)
    assert seen.complete is (seen.form is not Form.KNOWN or "why" not in wanted)
    assert wanted.get("why", "") in seen.why
    assert wanted.get("source", "") in seen.source


def test_the_hosts_are_six() -> None:
    """Desktop, notebook, server, container, WSL and a board without SMBIOS are recorded."""
    assert NAMES == (
        "arm-board",
        "container",
        "debian-desktop",
        "notebook-docked",
        "rpm-server",
        "wsl2",
    )


@pytest.mark.parametrize(("name", "reading"), [(name, reading) for name in NAMES for reading in _OBSERVED])
def test_reading_is_what_the_hardware_says(name: str, reading: str) -> None:
    """Each reading of a recorded host has the form and value written down from its hardware."""
    _check(_snapshot(name).readings[reading], document(name)["expected"][reading], reading)


@_EVERY
def test_nothing_is_expected_that_is_not_read(name: str) -> None:
    """What is written down names readings of the catalogue only, each once."""
    assert sorted(document(name)["expected"]) == sorted(_OBSERVED)


@_EVERY
def test_a_recorded_host_makes_a_valid_snapshot(name: str) -> None:
    """Its snapshot is valid by the shipped schema, and reading it back changes nothing."""
    mapping = to_mapping(_snapshot(name))
    written = json.loads(json.dumps(mapping, allow_nan=False))
    Draft202012Validator(read("snapshot")).validate(written)
    assert from_mapping(written) == _snapshot(name)


@_EVERY
def test_every_reading_says_where_or_why(name: str) -> None:
    """Every known value names its source, everything else its reason."""
    for reading, seen in _snapshot(name).readings.items():
        assert seen.source if seen.form is Form.KNOWN else seen.why, reading


def test_a_recorded_host_never_asks_this_machine() -> None:
    """Two readings that only the live kernel could give stay unknown on a recorded host."""
    adapters = _snapshot("debian-desktop").readings["network.adapters"].value
    assert {item["capable_speed"] for item in adapters} == {None}
    assert "hidden-word" not in json.dumps(to_mapping(_snapshot("notebook-docked")))


def test_braces_in_a_path_stand_for_each_choice() -> None:
    """Several choices in one path give every combination."""
    assert list(expand("/a{1,2}/b{x,y}")) == ["/a1/bx", "/a1/by", "/a2/bx", "/a2/by"]
