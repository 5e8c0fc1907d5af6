"""Reading snapshots from outside."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.catalogue import CATALOGUE, Type
from pcaudit.core.snapshot import Form, from_mapping, to_mapping
from pcaudit.core.units import NEVER
from pcaudit.errors import UsageError
from tests.core.builders import (
    UNVERIFIED,
    absent,
    at_least,
    document,
    finding_of,
    snapshot_of,
    unknown,
    value,
)


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (None, "not a snapshot"),
        ([], "not a snapshot"),
        ("snapshot", "not a snapshot"),
        ({}, "it names no kind"),
        ({"kind": 1}, "it names no kind"),
        ({"kind": ""}, "it names no kind"),
        ({"kind": "report"}, "it is a report"),
        ({**document({}), "format": 2}, "format 2 is newer"),
        ({**document({}), "format": 0}, "not a number from 1 up"),
        ({**document({}), "format": -1}, "not a number from 1 up"),
        ({**document({}), "format": True}, "not a number from 1 up"),
        ({**document({}), "format": 1.5}, "not a number from 1 up"),
        ({**document({}), "format": "1"}, "not a number from 1 up"),
        ({**document({}), "readings": []}, "no table of readings"),
        ({**document({}), "readings": None}, "no table of readings"),
        ({**document({}), "taken_at": None}, "when it was taken"),
        ({**document({}), "taken_at": "yesterday"}, "when it was taken"),
        ({**document({}), "taken_at": "2026-13-45"}, "when it was taken"),
        ({**document({}), "taken_at": 20261125}, "when it was taken"),
    ],
)
def test_only_what_is_no_snapshot_is_refused(raw: Any, message: str) -> None:
    """A document of another kind, of a newer format or without its frame is refused and says why."""
    with pytest.raises(UsageError) as caught:
        from_mapping(raw, "s.json")
    assert message in caught.value.message
    assert caught.value.message.startswith("s.json: ")


# A value that is wrong for its reading, and a part of the reason.
WRONG: list[tuple[str, Any, str]] = [
    ("cpu.cores", True, "whole number"),
    ("cpu.cores", "8", "whole number"),
    ("cpu.cores", 8.0, "whole number"),
    ("cpu.cores", 0, "outside"),
    ("cpu.cores", -4, "outside"),
    ("cpu.cores", 10**9, "outside"),
    ("memory.installed", True, "number was expected"),
    ("memory.installed", "16 GB", "number was expected"),
    ("memory.installed", NEVER, "number was expected"),
    ("memory.installed", float("nan"), "outside"),
    ("memory.installed", float("inf"), "outside"),
    ("memory.installed", -1, "outside"),
    ("memory.installed", 0, "outside"),
    ("memory.installed", 10**30, "outside"),
    ("cpu.base_clock", 3600, "outside"),
    ("power.sleep_after", 0, "outside"),
    ("power.sleep_after", float("nan"), "outside"),
    ("power.sleep_after", "forever", "number was expected"),
    ("power.usb_suspend", 0, "true or false"),
    ("power.usb_suspend", "false", "true or false"),
    ("computer.model", "", "empty"),
    ("computer.model", " \t\n", "empty"),
    ("computer.model", 7, "text was expected"),
    ("computer.model", ["a"], "text was expected"),
    ("computer.chassis", "tower", "none of: desktop"),
    ("computer.chassis", "Desktop", "none of: desktop"),
    ("os.edition", "Pro", "none of: home"),
    ("computer.firmware_date", "yesterday", "not a date"),
    ("computer.firmware_date", "2023-02-29", "not a date"),
    ("computer.firmware_date", "20270131", "not a date"),
    ("computer.firmware_date", "2027-W04-7", "not a date"),
    ("computer.firmware_date", "2027-031", "not a date"),
    ("computer.firmware_date", "31.01.2027", "not a date"),
    ("computer.tpm_version", 2.0, "text was expected"),
    ("cpu.features", "avx", "list of texts"),
    ("cpu.features", ["avx", None], "list of texts"),
    ("cpu.features", {"avx": True}, "list of texts"),
    ("storage.drives", {"size": 1}, "list of tables"),
    ("storage.drives", ["ssd"], "list of tables"),
    ("storage.drives", [None], "list of tables"),
]


@pytest.mark.parametrize(("name", "wrong", "reason"), WRONG)
def test_a_wrong_value_makes_only_its_own_reading_unknown(name: str, wrong: Any, reason: str) -> None:
    """A value of the wrong type or range is unknown with that reason, and the others stay."""
    snapshot = snapshot_of({name: value(wrong), "session.user": value("anna")})
    seen = snapshot.get(name)
    assert seen.form is Form.UNKNOWN
    assert reason in seen.why
    assert snapshot.get("session.user").value == "anna"


@pytest.mark.parametrize("bound", ["minimum", "maximum", "equal"])
@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_meets_nothing(bound: str, number: float) -> None:
    """Not-a-number and infinity meet no bound, from above or below."""
    for form in (value(number), at_least(number)):
        condition = f'memory.installed = {{ {bound} = "16 GB" }}'
        assert finding_of(condition, {"memory.installed": form}).verdict is UNVERIFIED


@pytest.mark.parametrize(
    "form",
    [
        {"value": "sleep", "absent": True},
        {"value": "nothing", "at_least": 1},
        {"at_least": 1, "absent": True, "value": None},
    ],
)
def test_a_reading_that_contradicts_itself_is_unknown(form: dict[str, Any]) -> None:
    """Of two forms at once neither is believed."""
    seen = snapshot_of({"power.lid_action": form}).get("power.lid_action")
    assert seen.form is Form.UNKNOWN
    assert "contradicts itself" in seen.why


@pytest.mark.parametrize("form", [None, 5, "text", [], {}, {"absent": 1}, {"absent": "yes"}, {"source": "x"}])
def test_what_has_no_form_is_unknown(form: Any) -> None:
    """A reading in none of the four forms is unknown and says so."""
    seen = snapshot_of({"power.lid_action": form}).get("power.lid_action")
    assert seen.form is Form.UNKNOWN
    assert seen.why


@pytest.mark.parametrize("bound", [NEVER, "16 GB", None, True, float("nan"), [], -1])
def test_a_bound_that_is_none_is_unknown(bound: Any) -> None:
    """A lower bound that is no number is not believed, of a duration neither is never."""
    for name in ("power.sleep_after", "memory.installed"):
        assert snapshot_of({name: at_least(bound)}).get(name).form is Form.UNKNOWN


@pytest.mark.parametrize("complete", [False, None, "yes", 0, 1])
def test_a_list_counts_as_complete_only_where_it_says_so_plainly(complete: Any) -> None:
    """Anything but true beside a list means that it may miss items, and there is a reason."""
    seen = snapshot_of({"storage.drives": value([], complete=complete)}).get("storage.drives")
    assert not seen.complete
    assert seen.why
    assert snapshot_of({"storage.drives": value([])}).get("storage.drives").complete


def test_a_wrong_key_of_an_item_is_unknown_in_that_item_only() -> None:
    """A misread key of an item is null, the item's other keys and the other items stay."""
    items = [{"size": float("nan"), "media": "ssd"}, {"size": 5, "media": "tape", "more": 1}]
    seen = snapshot_of({"storage.drives": value(items)}).get("storage.drives")
    assert seen.value == [{"size": None, "media": "ssd"}, {"size": 5, "media": None, "more": 1}]


def test_derived_readings_in_a_snapshot_are_ignored() -> None:
    """A level or support end written into a snapshot is not believed: it is derived anew."""
    readings = {
        "cpu.level": value("x86-64-v4"),
        "os.support_ends": value("2099-01-01"),
        "network.wired_count": value(9),
        "no.such_reading": value(1),
    }
    assert snapshot_of(readings).readings == {}
    assert finding_of('cpu.level = "x86-64-v4"', readings).verdict is UNVERIFIED


@pytest.mark.parametrize("tool", [None, "pcaudit", {}, {"version": 1}])
def test_a_snapshot_of_an_unnamed_tool_is_read(tool: Any) -> None:
    """Without a tool's version a missing reading still says to probe again."""
    snapshot = from_mapping({**document({}), "tool": tool})
    assert snapshot.tool_version == ""
    assert snapshot.get("cpu.cores").why == "not read by the tool that took it: probe again"


def test_unknown_keys_of_the_same_format_are_accepted() -> None:
    """A snapshot with more in it than this version knows is read."""
    raw = {**document({"cpu.cores": value(4, colour="red")}), "weather": "fine"}
    assert from_mapping(raw).get("cpu.cores").value == 4


def test_a_written_snapshot_reads_back() -> None:
    """Every form survives writing and reading."""
    readings = {
        "cpu.cores": value(4),
        "memory.installed": at_least(5),
        "power.lid_action": {**absent("no lid"), "source": "ACPI"},
        "computer.tpm_version": absent(),
        "computer.serial_number": unknown("needs administrator rights"),
        "storage.drives": value([{"size": 1}], complete=False, why="one is hidden"),
        "os.version": value("12", why="abbreviated"),
    }
    snapshot = snapshot_of(readings)
    assert from_mapping(to_mapping(snapshot)) == snapshot
    assert to_mapping(snapshot)["readings"] == readings


_ANY = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=5)
    | st.sampled_from([NEVER, "ssd", "2027-01-31", "2.0", "pro"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["size", "media", "name", "version"]), inner, max_size=3)
    ),
    max_leaves=6,
)
_FORM = st.dictionaries(
    st.sampled_from(["value", "at_least", "absent", "why", "source", "complete"]), _ANY, max_size=4
)


@given(st.dictionaries(st.sampled_from(sorted(CATALOGUE)), _FORM | _ANY, max_size=6))
def test_no_reading_breaks_a_snapshot(readings: dict[str, Any]) -> None:
    """Whatever stands in place of readings, the snapshot is read and unknown readings have a reason."""
    for name, seen in snapshot_of(readings).readings.items():
        if seen.form is Form.UNKNOWN:
            assert seen.why
        if seen.form is Form.AT_LEAST:
            assert isinstance(seen.value, int | float)
        if seen.form is Form.KNOWN and CATALOGUE[name].value.type is Type.LIST:
            assert all(isinstance(item, dict) for item in seen.value)


@given(_ANY)
def test_no_document_breaks_the_reader(raw: Any) -> None:
    """Whatever JSON is given in place of a snapshot is refused, never a fault."""
    with pytest.raises(UsageError):
        from_mapping(raw)


def test_absence_is_true_or_false() -> None:
    """A value beside an absence that is neither true nor false is not believed."""
    words: list[Any] = ["yes", 1, None, []]
    for word in words:
        raw = {"absent": word, "value": 34359738368, "source": "s"}
        seen = from_mapping(
            {
                "kind": "snapshot",
                "format": 1,
                "taken_at": "2026-11-25T09:00:00+00:00",
                "readings": {"memory.installed": raw},
            }
        )
        assert seen.readings["memory.installed"].form is Form.UNKNOWN
