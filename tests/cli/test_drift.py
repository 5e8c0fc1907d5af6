"""Drift on the command line of the real program: the cases a laboratory meets."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import pytest

from pcaudit import app
from tests.cli.program import (
    BLIND,
    DAYS,
    FIT,
    TIRED,
    WORKSTATION,
    Done,
    pcaudit,
    refused,
    saved,
    snapshot as fixture,
)

Change = Callable[[dict[str, Any]], None]


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A record of the fit workstation, which was ready."""
    folder = tmp_path_factory.mktemp("store")
    path = str(folder / "report.json")
    done = pcaudit("assess", WORKSTATION, FIT, *DAYS, "--format", "json", "--output", path)
    assert done.code == 0
    return app.keep_report(path, app.Entering("A. Example", "approved"), str(folder)).path


def _drift(record: str, folder: Path, change: Change, *arguments: str) -> Done:
    """Hold the fit workstation, changed, against its record."""
    document = fixture(FIT)
    change(document["readings"])
    return pcaudit("drift", record, saved(folder, document), "--as-of", "2026-11-26", *arguments)


def _json(record: str, folder: Path, change: Change, code: int) -> dict[str, Any]:
    done = _drift(record, folder, change, "--format", "json")
    assert (done.code, done.err) == (code, "")
    document: dict[str, Any] = json.loads(done.out)
    return document


def _nothing(_readings: dict[str, Any]) -> None:
    pass


def _feature_update(readings: dict[str, Any]) -> None:
    readings["os.version"]["value"] = "10.0.26200.6899"


def _sleep(readings: dict[str, Any]) -> None:
    readings["power.sleep_after"]["value"] = 1800


def _filling(readings: dict[str, Any]) -> None:
    readings["storage.system_free"]["value"] = 50 * 10**9
    readings["storage.system_used"]["value"] = 461 * 10**9


def _busy(readings: dict[str, Any]) -> None:
    readings["storage.system_free"]["value"] -= 10**9
    for volume in readings["storage.volumes"]["value"]:
        volume["free"] -= 10**9


def _adapter_gone(readings: dict[str, Any]) -> None:
    del readings["network.adapters"]["value"][1]


CASES: Final = [
    (_nothing, False, [], {}),
    (_busy, False, [], {}),
    (_feature_update, True, ["os.version"], {"os.support_ends": ("marginal", "met")}),
    (_sleep, True, ["power.sleep_after"], {"power.sleep_after": ("met", "unmet")}),
    (_filling, True, [], {"storage.system_free": ("met", "unmet")}),
    (
        _adapter_gone,
        True,
        ["network.adapters"],
        {"network.wired_count": ("met", "unmet"), "network.adapters[instrument-port]": ("met", "unmet")},
    ),
]


@pytest.mark.parametrize(
    ("change", "drifted", "changed", "turned"), CASES, ids=[case[0].__name__.strip("_") for case in CASES]
)
def test_what_happens_to_a_pc(
    record: str,
    tmp_path: Path,
    change: Change,
    drifted: bool,
    changed: list[str],
    turned: dict[str, tuple[str, str]],
) -> None:
    """What changed is named, what it turned too, and the exit code says whether it matters."""
    found = _json(record, tmp_path, change, 5 if drifted else 0)
    assert found["drifted"] is drifted
    steady = [one["reading"] for one in found["changes"] if not (one["volatile"] or one["derived"])]
    assert steady == changed
    assert {one["id"]: (one["then"], one["now"]) for one in found["turned"]} == turned
    assert all(one["by_readings"] for one in found["turned"])
    assert found["pc"]["same"] == "same"


def test_the_text_of_a_drift(record: str, tmp_path: Path) -> None:
    """The first line says it, then the record, the day, what turned with what to do, and what changed."""
    done = _drift(record, tmp_path, _sleep)
    assert (done.code, done.err) == (5, "")
    lines = done.out.splitlines()
    assert lines[0] == "DRIFTED: CDS-0007"
    assert lines[2] == "1 verdict turned, 1 change"
    words = " ".join(done.out.split())
    assert "Entered by A. Example as approved, " in words
    assert "Judged for 2026-12-07 (support, expiries, concessions)" in words
    assert "Outcome ready then, not ready now" in words
    assert "then met: never now 30 min" in words and "do powercfg /change standby-timeout-ac 0" in words
    assert "What changed" in words and "Sleep after never -> 30 min" in words
    assert max(map(len, lines)) <= 80


def test_no_drift_says_how_much_cannot_be_compared(record: str, tmp_path: Path) -> None:
    """Where readings that no condition asks for are not known now, the second line counts them."""

    def change(readings: dict[str, Any]) -> None:
        readings["computer.firmware_date"] = {"value": None, "why": "not readable"}

    done = _drift(record, tmp_path, change)
    assert done.code == 0
    assert done.out.splitlines()[2] == "nothing changed that counts; 1 cannot be compared"
    assert "not known now: not readable" in " ".join(done.out.split())


def test_a_concession_holds_until_its_day(tmp_path: Path) -> None:
    """What the record accepts stays accepted for its own day, with a warning once the concession ended."""
    profile, file = tmp_path / "profile.toml", tmp_path / "concessions.toml"
    text = 'format = 1\ntitle = "One"\n\n[computer.model]\nequal = "Benchline 90"\n'
    profile.write_text(text, encoding="utf-8")
    arguments = ("assess", str(profile), TIRED, *DAYS, "--format", "json")
    finding = json.loads(pcaudit(*arguments).out)["findings"][0]
    words = {key: finding[key] for key in ("digest", "found")}
    words |= {"condition": "computer.model", "pc": "LM20-10452", "because": "on order", "by": "A. Example"}
    lines = [f"{key} = {json.dumps(value)}" for key, value in words.items()]
    head = ["format = 1", 'title = "Lab"', "[[concessions]]", "until = 2027-06-30"]
    file.write_text("\n".join([*head, *lines]), encoding="utf-8")
    report = str(tmp_path / "report.json")
    assert pcaudit(*arguments, "--concessions", str(file), "--output", report).code == 0
    said = app.Entering("A. Example", "approved")
    kept = app.keep_report(report, said, str(tmp_path), concessions=str(file)).path
    days = ("--as-of", "2027-06-30")
    quiet = pcaudit("drift", kept, TIRED, *days)
    assert quiet.code == 0 and "ended since" not in quiet.out
    lapsed = pcaudit("drift", kept, TIRED, "--as-of", "2027-07-01")
    page = " ".join(lapsed.out.split())
    assert (
        "the concession for computer.model (2027-06-30): to judge for that day give --on 2027-07-01" in page
    )
    assert lapsed.code == 0 and lapsed.out.count("ended since") == 1
    later = pcaudit("drift", kept, TIRED, "--on", "2027-07-01", "--format", "json")
    (one,) = json.loads(later.out)["turned"]
    assert (later.code, one["then"], one["now"], one["by_readings"]) == (5, "accepted", "unmet", False)


def test_the_text_of_no_drift(record: str, tmp_path: Path) -> None:
    """What changes by itself is shown apart, under its own heading, and is no drift."""
    done = _drift(record, tmp_path, _busy)
    assert (done.code, done.err) == (0, "")
    assert done.out.splitlines()[0] == "NO DRIFT: CDS-0007"
    assert "Changed by itself" in done.out and "What changed" not in done.out


def test_another_pc_is_said_first(record: str) -> None:
    """Readings of a PC with another serial number are told by the first line."""
    done = pcaudit("drift", record, TIRED)
    assert done.code == 5
    assert done.out.startswith(
        "ANOTHER PC: the record is of serial number LM40-28813, and this is LM20-10452\n"
    )


def test_what_cannot_be_read_now_is_no_change(record: str) -> None:
    """A probe without the rights to see much says so; what it turns from met to unverified is drift."""
    done = pcaudit("drift", record, BLIND, "--format", "json")
    found = json.loads(done.out)
    assert done.code == 5
    assert found["pc"]["same"] == "not known"
    assert {"computer.serial_number", "storage.system_encrypted"} <= {
        one["reading"] for one in found["open"] if one["not_known"] == "now"
    }
    assert "unverified" in {one["now"] for one in found["turned"]}
    assert not {one["reading"] for one in found["changes"]} & {"storage.system_encrypted"}


def test_a_gateway_at_the_instrument_port_is_drift(record: str, tmp_path: Path) -> None:
    """A default gateway on an adapter that had none counts, though the record holds null for it."""

    def gains(readings: dict[str, Any]) -> None:
        readings["network.adapters"]["value"][1]["gateway"] = "198.51.100.254"

    done = _drift(record, tmp_path, gains)
    assert done.code == 5
    assert "gateway" in done.out and "none -> 198.51.100.254" in " ".join(done.out.split())


@pytest.mark.parametrize(
    ("taken", "words"),
    [
        ("2026-11-25T09:00:00+00:00", "these are the record's own readings"),
        ("2026-11-24T23:59:59-01:00", "not taken after the record's"),
        ("2026-11-24", "not taken after the record's"),
        ("2026-11-25T09:00:00-01:00", ""),
    ],
)
def test_readings_that_are_not_newer_are_told(record: str, tmp_path: Path, taken: str, words: str) -> None:
    """Readings as old as the record's or older say nothing of the PC since, which a warning says."""
    snapshot = {**fixture(FIT), "taken_at": taken}
    path = tmp_path / "when.json"
    path.write_text(json.dumps(snapshot), encoding="utf-8")
    done = pcaudit("drift", record, str(path), "--as-of", "2026-11-26")
    text = " ".join(done.out.split())
    assert done.code == 0
    assert words in text and ("of the PC since" in text) is bool(words)


def test_the_day_may_be_another(record: str, tmp_path: Path) -> None:
    """Judged for a later day, support that has ended by then turns a verdict without any change."""
    done = _drift(record, tmp_path, _nothing, "--on", "2036-01-01", "--format", "json")
    found = json.loads(done.out)
    assert found["on"] == "2036-01-01"
    assert found["changes"] == []


def test_a_record_that_was_changed_is_held_against_nothing(record: str, tmp_path: Path) -> None:
    """Its digest is checked first; with what it says in doubt, nothing is compared."""
    broken = tmp_path / "broken.record.json"
    text = Path(record).read_text(encoding="utf-8")
    broken.write_text(text.replace("A. Example", "B. Example"), encoding="utf-8")
    done = pcaudit("drift", str(broken), FIT)
    assert (done.code, done.out) == (5, "")
    lines = done.err.splitlines()
    assert len(lines) == 2 and "does not verify" in lines[0] and "from the backup" in lines[1]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--format", "html"), ("formats: text, json",)),
        (("--on", "tomorrow"), ("--on 'tomorrow' is no day",)),
    ],
)
def test_wrong_use(record: str, arguments: tuple[str, str], words: tuple[str, ...]) -> None:
    """A format or day that is none is refused."""
    refused(pcaudit("drift", record, FIT, *arguments), *words)


def test_what_is_no_record_is_refused() -> None:
    """A snapshot, a missing file and standard input are no records."""
    refused(pcaudit("drift", FIT, FIT), "not a record (it is a snapshot)")
    refused(pcaudit("drift", "nowhere.json", FIT), "no such file")
    refused(pcaudit("drift", "-", FIT), "read from its file")


def test_the_record_is_not_written_over(record: str) -> None:
    """The output may be neither the record nor the snapshot."""
    refused(pcaudit("drift", record, FIT, "--output", record), "is also an input")


def test_this_pc_is_probed_without_a_snapshot(record: str) -> None:
    """Without a snapshot this PC is held against the record; it is another one."""
    done = pcaudit("drift", record, "--format", "json", "--quiet")
    assert done.code == 5
    assert json.loads(done.out)["now"]["taken_at"] > "2026"


def test_the_result_goes_to_a_file(record: str, tmp_path: Path) -> None:
    """With --output the result is in the file, and what came of it is said beside it."""
    target = tmp_path / "drift.json"
    done = _drift(record, tmp_path, _sleep, "--format", "json", "--output", str(target))
    assert (done.code, done.out) == (5, "")
    assert done.err.startswith("drifted: written to ")
    assert json.loads(target.read_text(encoding="utf-8"))["kind"] == "drift"


def test_a_drift_is_valid_by_its_schema(record: str) -> None:
    """What the program prints, with much in every list, is valid by the schema that ships."""
    from jsonschema import Draft202012Validator

    from tests.render.schemas import read

    document = json.loads(pcaudit("drift", record, TIRED, "--format", "json").out)
    Draft202012Validator(read("drift")).validate(document)
