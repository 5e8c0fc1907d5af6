"""Snapshots that are none, and snapshots with something wrong in one place."""

from __future__ import annotations

import copy
import json
from datetime import date
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import given, strategies as st

from pcaudit import app
from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.report import Report, Verdict
from pcaudit.core.snapshot import from_mapping
from tests.cli.program import (
    BLIND,
    DAYS as DAY_OPTIONS,
    FIT,
    LINUX,
    SMALL,
    TIRED,
    WORKSTATION,
    pcaudit,
    refused,
    saved,
    snapshot,
    verdicts,
)

GOOD: Final = Path(FIT).read_text(encoding="utf-8")


def _refused(folder: Path, data: bytes, *words: str) -> None:
    path = folder / "snapshot.json"
    path.write_bytes(data)
    refused(pcaudit("assess", WORKSTATION, str(path)), "snapshot.json", *words)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", ("is empty",)),
        (b"\0\1\2\3" * 100, ("is not text",)),
        (b"not JSON\n", ("not JSON",)),
        (b"{", (":1: not JSON",)),
        (GOOD.encode()[:-20], ("not JSON",)),
        (b"\xe9" + GOOD.encode(), ("is not UTF-8",)),
        (b'{"a": NaN}', (":1: NaN is not a number",)),
        (b'{"a": [1, -Infinity]}', ("-Infinity is not a number",)),
        (b'{"a": 1e999}', ("1e999", "too large")),
        (b'{"a": ' + b"9" * 5000 + b"}", ("thousands of digits",)),
        (b'{"kind": "snapshot",\n"kind": "snapshot"}', (':2: "kind" is given twice',)),
        (b'{"a": {"b": 1, "\\u0062": 2}}', ('"b" is given twice',)),
        (b"[" * 100_000, ("nested more than 64 deep",)),
        (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, ("nested more than 64 deep",)),
        (b"[]", ("not a snapshot",)),
        (b'"snapshot"', ("not a snapshot",)),
        (b"{}", ("names no kind", "pcaudit probe")),
        (b'{"kind": "report", "format": 1}', ("it is a report",)),
        (b'{"kind": "snapshot"}', ("format",)),
        (b'{"kind": "snapshot", "format": 2}', ("newer", "format 2")),
        (b'{"kind": "snapshot", "format": true}', ("format",)),
        (b'{"kind": "snapshot", "format": 1}', ("no table of readings",)),
        (b'{"kind": "snapshot", "format": 1, "readings": []}', ("no table of readings",)),
        (b'{"kind": "snapshot", "format": 1, "readings": {}}', ("taken_at",)),
        (b'{"kind": "snapshot", "format": 1, "readings": {}, "taken_at": "soon"}', ("taken_at",)),
    ],
    ids=lambda value: repr(value[:40]) if isinstance(value, bytes) else "",
)
def test_what_is_no_snapshot(tmp_path: Path, data: bytes, words: tuple[str, ...]) -> None:
    """What is not JSON, not a snapshot or of a newer format is refused in one block, exit 2."""
    _refused(tmp_path, data, *words)


def test_a_report_is_no_snapshot(tmp_path: Path) -> None:
    """A report where a snapshot belongs is refused as a report."""
    report = pcaudit("assess", SMALL, LINUX, "--format", "json").out
    _refused(tmp_path, report.encode(), "it is a report")


def test_ten_megabytes_of_snapshot_are_read(tmp_path: Path) -> None:
    """A snapshot far larger than any PC gives is read, or refused, within a minute: here it is read."""
    document = snapshot()
    document["readings"]["software.packages"]["value"] *= 40_000
    path = saved(tmp_path, document)
    assert Path(path).stat().st_size > 10 << 20
    done = pcaudit("assess", WORKSTATION, path, "--output", str(tmp_path / "report.txt"))
    assert done.code == 0 and "Traceback" not in done.err
    assert (tmp_path / "report.txt").stat().st_size < 100_000


def test_byte_order_marks_and_newer_keys_are_accepted(tmp_path: Path) -> None:
    """UTF-16 as some shells write it, and keys of a later version, change no finding."""
    document = snapshot()
    document["mood"] = "good"
    document["readings"]["vacuum.level"] = {"value": 1, "source": "gauge"}
    path = tmp_path / "snapshot.json"
    path.write_text(json.dumps(document), encoding="utf-16")
    arguments = ("--format", "json", *DAY_OPTIONS)
    changed = json.loads(pcaudit("assess", WORKSTATION, str(path), *arguments).out)
    assert verdicts(changed) == verdicts(json.loads(pcaudit("assess", WORKSTATION, FIT, *arguments).out))


# -- in process: one reading at a time

_PROFILES: Final = {name: app.load_asked([name]) for name in (WORKSTATION, SMALL)}
_DAY: Final = date(2026, 12, 7)


def _assess(document: Any, profile: str = WORKSTATION) -> Report:
    return app.assess(_PROFILES[profile], from_mapping(document), on=_DAY, as_of=_DAY)


def _by_id(report: Report) -> dict[str, Verdict]:
    return {finding.id: finding.verdict for finding in report.findings}


_BASE: Final = {path: snapshot(path) for path in (FIT, TIRED, BLIND, LINUX)}
_OBSERVED: Final = sorted(name for name, record in CATALOGUE.items() if not record.derived)
_SURE: Final = (Verdict.MET, Verdict.MARGINAL)

_JSON: Final = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**70), 2**70)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
_FORMS: Final = _JSON | st.fixed_dictionaries(
    {},
    optional={
        "value": _JSON,
        "at_least": _JSON,
        "absent": _JSON,
        "complete": _JSON,
        "source": _JSON,
        "why": _JSON,
    },
)


@given(path=st.sampled_from(sorted(_BASE)), name=st.sampled_from(_OBSERVED), form=_FORMS)
def test_anything_in_place_of_a_reading_is_survived(path: str, name: str, form: Any) -> None:
    """Whatever JSON stands where a reading belongs, the report is made and can be written both ways."""
    from pcaudit.render import console, json as as_json

    document = copy.deepcopy(_BASE[path])
    document["readings"][name] = form
    report = _assess(document)
    assert console.render(report).startswith(
        {"ready": "READY", "not ready": "NOT READY", "inconclusive": "INCONCLUSIVE"}[report.outcome.value]
    )
    assert json.loads(as_json.render(report))["outcome"] == report.outcome.value


_WRONG: Final = {
    "text": 7,
    "word": "flying",
    "level": "x86-64-v9",
    "boolean": 1,
    "integer": "4",
    "number": True,
    "quantity": "16 GB",
    "duration": "soon",
    "date": "20270131",
    "version": 10.0,
    "set of texts": ["avx", 2],
    "list": ["eth0"],
}


@pytest.mark.parametrize("name", _OBSERVED)
def test_a_wrong_value_costs_its_own_reading_only(name: str) -> None:
    """A value of the wrong type makes its reading unknown with that reason, and meets nothing by itself.

    Findings that do not look at the reading stay as they were.
    """
    document = copy.deepcopy(_BASE[FIT])
    document["readings"][name] = {"value": _WRONG[CATALOGUE[name].value.type.value], "source": "hand"}
    seen = from_mapping(document).get(name)
    assert seen.value is None and "cannot be used" in seen.why
    unknown = copy.deepcopy(_BASE[FIT])
    unknown["readings"][name] = {"value": None, "why": "somebody took it out"}
    before, after = _by_id(_assess(_BASE[FIT])), _by_id(_assess(document))
    assert after == _by_id(_assess(unknown))
    # The fit PC meets all that binds, so a reading less can only leave questions open.
    assert all(after[one] in (before[one], Verdict.UNVERIFIED) for one in before)
    if name in after:
        assert after[name] is Verdict.UNVERIFIED


@given(
    path=st.sampled_from(sorted(_BASE)),
    profile=st.sampled_from(sorted(_PROFILES)),
    names=st.sets(st.sampled_from(_OBSERVED), min_size=1),
    gone=st.booleans(),
)
def test_less_knowledge_never_makes_a_pc_better(path: str, profile: str, names: set[str], gone: bool) -> None:
    """Readings made unknown, or taken out, never turn what was unmet or unverified into met."""
    document = copy.deepcopy(_BASE[path])
    for name in names:
        if gone:
            del document["readings"][name]
        else:
            document["readings"][name] = {"value": None, "why": "not read"}
    before, after = _by_id(_assess(_BASE[path], profile)), _by_id(_assess(document, profile))
    assert not [one for one in before if after[one] in _SURE and before[one] not in _SURE]


@given(path=st.sampled_from(sorted(_BASE)), data=st.data())
def test_items_with_less_known_never_make_a_pc_better(path: str, data: st.DataObject) -> None:
    """An item's value made null never turns what was unmet or unverified into met."""
    document = copy.deepcopy(_BASE[path])
    lists = [n for n in _OBSERVED if CATALOGUE[n].items and document["readings"][n].get("value")]
    name = data.draw(st.sampled_from(lists))
    items = document["readings"][name]["value"]
    index = data.draw(st.integers(0, len(items) - 1))
    for key in data.draw(st.sets(st.sampled_from(sorted(items[index])), min_size=1)):
        items[index][key] = None
    before, after = _by_id(_assess(_BASE[path])), _by_id(_assess(document))
    assert not [one for one in before if after[one] in _SURE and before[one] not in _SURE]


def test_an_empty_table_of_readings_meets_nothing(tmp_path: Path) -> None:
    """A snapshot without a single reading is inconclusive, and not one condition is met."""
    document = {**snapshot(), "readings": {}}
    done = pcaudit("assess", WORKSTATION, saved(tmp_path, document), "--format", "json")
    report = json.loads(done.out)
    assert done.code == 4
    assert set(verdicts(report).values()) == {"unverified"}
    cores = next(finding for finding in report["findings"] if finding["id"] == "cpu.cores")
    assert cores["why"] == "not read by 0.1.0: probe again"


def test_an_old_snapshot_is_warned_of() -> None:
    """Readings more than a week old at the day counted from are warned of; younger ones are not."""
    old = pcaudit("assess", WORKSTATION, FIT, "--as-of", "2026-12-24").out
    assert "the snapshot is 29 days old: probe again" in old
    assert "days old" not in pcaudit("assess", WORKSTATION, FIT, "--as-of", "2026-11-26").out


def test_a_profile_in_the_place_of_a_snapshot_is_told() -> None:
    """Two profiles one after the other: the second one is told apart, with the option that was meant."""
    done = pcaudit("assess", SMALL, WORKSTATION)
    assert done.code == 2
    assert f"{WORKSTATION} is TOML, and a snapshot is JSON" in done.err
    assert "--also PROFILE" in done.err
