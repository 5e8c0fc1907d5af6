"""JSON documents and the schemas they are written by."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.json_text import dump_json
from pcaudit.core.report import Outcome, Verdict, report_mapping
from pcaudit.core.snapshot import absent, at_least, form_of, known, to_mapping, unknown
from pcaudit.render.catalogue_json import readings_mapping
from pcaudit.render.json import render
from tests.render.golden import golden_report
from tests.render.samples import ACCEPTANCE, SNAPSHOT, finding, part, report
from tests.render.schemas import KINDS, read, readings


def _sample(kind: str) -> Any:
    if kind == "snapshot":
        return to_mapping(SNAPSHOT)
    if kind == "report":
        return json.loads(render(golden_report()))
    return readings_mapping({**SNAPSHOT.readings, "os.support_ends": known("2028-06-30", "releases.toml")})


def _valid(kind: str, document: Any) -> bool:
    return bool(Draft202012Validator(read(kind)).is_valid(document))


@pytest.mark.parametrize("kind", KINDS)
def test_schema_is_a_schema(kind: str) -> None:
    """Each schema is valid JSON Schema, draft 2020-12, and says what it is."""
    schema = read(kind)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["$id"] == f"urn:pcaudit:{kind}:1"
    assert schema["title"] and schema["description"]
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_written_is_valid(kind: str) -> None:
    """A document pcaudit writes is valid by its schema."""
    try:
        Draft202012Validator(read(kind)).validate(_sample(kind))
    except ValidationError as error:
        pytest.fail(f"{error.json_path}: {error.message}")


@pytest.mark.parametrize("outcome", [None, *Outcome])
def test_every_outcome_of_arrangements_is_valid(outcome: Outcome | None) -> None:
    """A report is valid with and without an answer about arrangements."""
    assert _valid("report", report_mapping(report(arrangements_outcome=outcome)))


def test_the_catalogue_is_valid() -> None:
    """The list of readings without values is valid too, and holds every reading."""
    document = readings_mapping()
    assert _valid("readings", document)
    assert list(document["readings"]) == list(CATALOGUE)


def test_one_reading_alone() -> None:
    """A document can hold the one reading asked for, or none where it is not known."""
    assert list(readings_mapping(only="cpu.cores")["readings"]) == ["cpu.cores"]
    assert list(readings_mapping(SNAPSHOT.readings, "power.lid_action")["readings"]) == ["power.lid_action"]
    assert readings_mapping(only="cpu.colour")["readings"] == {}


def test_derived_readings_are_marked() -> None:
    """A derived reading says so, an observed one stands as in the snapshot."""
    forms = _sample("readings")["readings"]
    assert forms["os.support_ends"]["derived"] is True
    assert forms["power.sleep_after"] == {"value": 1800, "source": "desktop setting"}


def _required(schema: Any, document: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Paths of the required keys of a document, as far as objects and arrays name them."""
    for key in schema.get("required", ()):
        yield (*path, key)
    for key, below in schema.get("properties", {}).items():
        if key in document and isinstance(document[key], dict):
            yield from _required(below, document[key], (*path, key))
        items = below.get("items", {})
        if key in document and isinstance(document[key], list) and document[key]:
            target = read("report")["$defs"][items["$ref"].rpartition("/")[2]] if "$ref" in items else items
            if isinstance(document[key][0], dict):
                yield from _required(target, document[key][0], (*path, key, 0))


def _broken() -> Iterator[Any]:
    for kind in KINDS:
        for path in _required(read(kind), _sample(kind)):
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


def test_required_keys_are_found() -> None:
    """The search for required keys reaches into findings, profiles and the backup outline."""
    paths = set(_required(read("report"), _sample("report")))
    assert {
        ("outcome",),
        ("findings", 0, "verdict"),
        ("profiles", 0, "sha256"),
        ("backup", "copies"),
    } <= paths


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("key", "value"), [("kind", "record"), ("format", 2), ("format", "1"), ("format", True)]
)
def test_kind_and_format_are_told(kind: str, key: str, value: Any) -> None:
    """A document of another kind or a newer format is not valid."""
    assert not _valid(kind, {**_sample(kind), key: value})


@pytest.mark.parametrize("kind", KINDS)
def test_unknown_keys_are_allowed(kind: str) -> None:
    """A key of a later version of the same format does no harm."""
    assert _valid(kind, {**_sample(kind), "mood": "good"})


@pytest.mark.parametrize(
    ("name", "form"),
    [
        ("memory.installed", form_of(known(1 << 34, "SMBIOS"))),
        ("memory.installed", form_of(at_least(1 << 34, "kernel", "no administrator rights"))),
        ("power.lid_action", form_of(absent("no lid"))),
        ("power.lid_action", form_of(absent("", "ACPI"))),
        ("power.sleep_after", form_of(known("never", "logind"))),
        ("storage.drives", form_of(known([], "sysfs", missing="behind a controller"))),
        ("cpu.model", form_of(unknown("not readable in a container"))),
        ("vacuum.level", form_of(known({"any": "thing"}, "a later version"))),
    ],
)
def test_four_forms(name: str, form: dict[str, Any]) -> None:
    """Each of the four forms is valid for a reading of a type that can take it."""
    assert _valid("snapshot", {**to_mapping(SNAPSHOT), "readings": {name: form}})


@pytest.mark.parametrize(
    ("name", "form"),
    [
        ("memory.installed", {"value": 1}),
        ("memory.installed", {"value": "16 GB", "source": "s"}),
        ("memory.installed", {"value": True, "source": "s"}),
        ("memory.installed", {"value": None, "source": "s"}),
        ("memory.installed", {"value": None, "why": ""}),
        ("memory.installed", {"value": 1, "at_least": 1, "source": "s", "why": "w"}),
        ("memory.installed", {"at_least": 1, "source": "s"}),
        ("memory.installed", {"at_least": "1", "source": "s", "why": "w"}),
        ("memory.installed", {"absent": False, "why": "w"}),
        ("memory.installed", {"absent": True, "value": 1, "source": "s", "why": "w"}),
        ("memory.installed", {}),
        ("memory.installed", 1 << 34),
        ("cpu.model", {"at_least": 1, "source": "s", "why": "w"}),
        ("cpu.model", {"value": " ", "source": "s"}),
        ("cpu.features", {"value": [1], "source": "s"}),
        ("storage.drives", {"value": ["sda"], "source": "s"}),
        ("storage.drives", {"value": [], "source": "s", "complete": False}),
        ("power.sleep_after", {"value": "soon", "source": "s"}),
        ("vacuum.level", {"value": 1}),
        ("Memory", {"value": None, "why": "w"}),
    ],
)
def test_no_fifth_form(name: str, form: Any) -> None:
    """What is none of the four forms, or holds a value of another type, is not valid."""
    assert not _valid("snapshot", {**to_mapping(SNAPSHOT), "readings": {name: form}})


def test_the_schema_knows_every_observed_reading() -> None:
    """The snapshot's schema types each reading of the catalogue that is observed, and no other."""
    assert read("snapshot")["properties"]["readings"]["properties"] == readings()


def test_words_of_the_report_are_the_code_s() -> None:
    """The schema allows the verdicts and outcomes there are."""
    schema = read("report")
    assert schema["$defs"]["finding"]["properties"]["verdict"]["enum"] == [v.value for v in Verdict]
    assert schema["properties"]["outcome"]["enum"] == [o.value for o in Outcome]


def _accepted() -> Any:
    parts = (
        part("at least 8", Verdict.ACCEPTED, 3, acceptance=ACCEPTANCE),
        part("at least 2", Verdict.MET, 9),
    )
    one = finding("cpu.cores", Verdict.ACCEPTED, parts=parts, acceptance=ACCEPTANCE)
    return report_mapping(report((one,)))


def test_a_concession_is_written_as_the_schema_says() -> None:
    """A finding and a condition that are accepted hold the concession, with the verdict it covers."""
    document = _accepted()
    assert _valid("report", document)
    found = document["findings"][0]
    assert found["concession"] == found["conditions"][0]["concession"]
    assert found["concession"] == {
        "verdict": "unmet",
        "because": "replaced in the summer of 2027 with the instrument",
        "by": "A. Example",
        "until": "2027-06-30",
    }
    assert "concession" not in found["conditions"][1]


@pytest.mark.parametrize("key", ["verdict", "because", "by", "until"])
def test_a_concession_is_whole(key: str) -> None:
    """A concession without its verdict, reason, name or last day is not valid."""
    document = _accepted()
    del document["findings"][0]["concession"][key]
    assert not _valid("report", document)


def test_accepted_and_concession_go_together() -> None:
    """What is accepted names its concession, and what is not accepted has none."""
    without, beside = _accepted(), _accepted()
    del without["findings"][0]["concession"]
    beside["findings"][0]["verdict"] = "met"
    assert not _valid("report", without)
    assert not _valid("report", beside)


@pytest.mark.parametrize(
    ("key", "value"),
    [("options", ["a", "a"]), ("options", "a"), ("parameters", {"a": "2"}), ("parameters", {"a": -1})],
)
def test_choices_are_typed(key: str, value: Any) -> None:
    """Options are distinct names, parameters numbers from 0 up."""
    assert not _valid("report", {**_sample("report"), key: value})


@pytest.mark.parametrize("kind", ["report", "readings"])
def test_a_schema_stands_alone(kind: str) -> None:
    """A schema that needs the snapshot's holds it whole, so that any validator can use one file."""
    assert read(kind)["$defs"]["snapshot"] == read("snapshot")


def test_json_is_sorted_and_indented() -> None:
    """JSON has sorted keys, two spaces of indent, its own characters and a line feed at the end."""
    assert (
        dump_json({"b": 1, "a": {"\u00b5": "\u5b9f"}})
        == '{\n  "a": {\n    "\u00b5": "\u5b9f"\n  },\n  "b": 1\n}\n'
    )


def test_lone_surrogates_are_escaped() -> None:
    """Text that is no Unicode is written as JSON escapes, and reads back as it was."""
    text = dump_json({"name": "disk\udc80"})
    assert text.encode("utf-8").count(b"\\udc80") == 1
    assert json.loads(text) == {"name": "disk\udc80"}


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_numbers_are_finite(number: float) -> None:
    """What is no number in JSON is never written."""
    with pytest.raises(ValueError):
        dump_json({"value": number})


def _parse(text: str) -> Any:
    return json.loads(text)


@pytest.mark.parametrize("make", [report, golden_report])
def test_report_reads_back(make: Callable[[], Any]) -> None:
    """The JSON of a report reads back as the report's own mapping."""
    made = make()
    assert _parse(render(made)) == json.loads(json.dumps(report_mapping(made)))


def test_a_derived_level_may_be_a_lower_bound() -> None:
    """A level that only follows from what was seen is valid among readings, never in a snapshot."""
    reached = at_least("x86-64-v2", "features", "avx2 not asked")
    document = readings_mapping({**SNAPSHOT.readings, "cpu.level": reached})
    assert document["readings"]["cpu.level"]["at_least"] == "x86-64-v2"
    assert _valid("readings", document)
    document["readings"]["cpu.level"]["at_least"] = "x86-64"
    assert not _valid("readings", document)
