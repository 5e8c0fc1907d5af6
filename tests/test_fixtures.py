"""The invented PCs: valid, complete, and each what its name says."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.json_text import dump_json
from pcaudit.core.snapshot import Form, from_mapping, to_mapping
from tests.render.schemas import read

SNAPSHOTS = sorted((Path(__file__).parent.parent / "fixtures" / "snapshots").glob("*.json"))
OBSERVED = {name for name, record in CATALOGUE.items() if not record.derived}


def _document(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"))


def test_there_are_four() -> None:
    """The fixtures hold a ready PC, one that falls short, one probed blind and a small Linux one."""
    assert [path.stem for path in SNAPSHOTS] == [
        "blind-probe",
        "fit-workstation",
        "small-linux",
        "tired-desktop",
    ]


@pytest.mark.parametrize("path", SNAPSHOTS, ids=lambda path: path.stem)
def test_a_fixture_is_a_valid_snapshot(path: Path) -> None:
    """Each is valid by the shipped schema and written the way probe writes."""
    document = _document(path)
    Draft202012Validator(read("snapshot")).validate(document)
    assert path.read_text(encoding="utf-8") == dump_json(document)


@pytest.mark.parametrize("path", SNAPSHOTS, ids=lambda path: path.stem)
def test_a_fixture_has_every_reading(path: Path) -> None:
    """Each holds every observed reading of the catalogue, and no value that cannot be used."""
    document = _document(path)
    assert set(document["readings"]) == OBSERVED
    # Reading it changes nothing, so no value was taken for wrong.
    assert to_mapping(from_mapping(document)) == document


@pytest.mark.parametrize("path", SNAPSHOTS, ids=lambda path: path.stem)
def test_a_fixture_says_where_or_why(path: Path) -> None:
    """Every reading has a source, or a reason a person can act on."""
    for name, seen in from_mapping(_document(path)).readings.items():
        assert seen.source if seen.form is Form.KNOWN else seen.why, name


@pytest.mark.parametrize("path", SNAPSHOTS, ids=lambda path: path.stem)
def test_a_fixture_does_not_contradict_itself(path: Path) -> None:
    """Parts are no larger than their whole, and the primary screen is in the list of screens."""
    seen = from_mapping(_document(path))

    def value(name: str) -> Any:
        return seen.get(name).value

    assert value("memory.usable") < (value("memory.installed") or 1 << 60) + 1
    assert value("storage.system_used") + value("storage.system_free") <= value("storage.system_size")
    assert value("cpu.cores") <= value("cpu.threads")
    assert len(value("memory.modules") or []) + (value("memory.slots_free") or 0) in (
        0,
        value("memory.slots"),
    )
    for volume in value("storage.volumes"):
        assert volume["used"] + volume["free"] <= volume["size"]
        if volume["system"]:
            assert volume["free"] == value("storage.system_free")
    primary = [screen for screen in value("display.screens") or [] if screen["primary"]]
    assert [screen["width"] for screen in primary] == [value("display.primary_width")] * len(primary)


def test_the_four_forms_are_all_there() -> None:
    """Among the fixtures a reading takes each of the four forms, and a list is incomplete."""
    seen = [one for path in SNAPSHOTS for one in from_mapping(_document(path)).readings.values()]
    assert {one.form for one in seen} == set(Form)
    assert any(not one.complete for one in seen)
