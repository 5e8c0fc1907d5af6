"""Reading a report back: what contradicts itself is refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from pcaudit.core.concessions import Concession
from pcaudit.core.kept_report import besides, not_granted, read_report
from pcaudit.core.report import Outcome, Verdict
from pcaudit.errors import UsageError
from tests.core.kept import report_of

READINGS = {"memory.installed": 1 << 33, "computer.serial_number": "SN-1"}


def test_a_report_reads_back() -> None:
    """What it judged, by what, for which day and what it said are read from the JSON."""
    report = read_report(report_of(READINGS), "r.json")
    assert report.snapshot.get("memory.installed").value == 1 << 33
    assert [source.path for source in report.profiles] == ["bench.toml"]
    assert (report.on, report.as_of) == (date(2026, 11, 25), date(2026, 11, 25))
    assert {name: said.verdict for name, said in report.findings.items()} == {
        "memory.installed": Verdict.UNMET,
        "storage.system_free": Verdict.UNVERIFIED,
    }
    assert report.pc_outcome is Outcome.NOT_READY
    assert report.asked == (0,)


@pytest.mark.parametrize(
    ("value", "text"),
    [(2, "2"), (2.0, "2"), (0.5, "0.5"), (0.1 + 0.2, "0.30000000000000004"), (1e12, "1" + "0" * 12)],
)
def test_parameters_read_as_they_are_set(value: float, text: str) -> None:
    """A given number is read in the words of --set, a whole one so that any parameter takes it."""
    document = {**report_of(READINGS), "parameters": {"n": value, "m": 1}, "given": ["n"]}
    assert read_report(document, "r.json").parameters == {"n": text}


def test_a_report_of_an_earlier_build_reads_back() -> None:
    """Where a report does not say what was asked and given, that is not known, and all may be given."""
    document = {**report_of(READINGS), "parameters": {"n": 2, "m": 1}}
    del document["asked"], document["given"]
    report = read_report(document, "r.json")
    assert report.asked is None
    assert report.parameters == {"n": "2", "m": "1"}


def _set(*path: Any) -> Callable[[dict[str, Any]], None]:
    """Sets the last of ``path`` at the place the others name."""
    *way, key, value = path

    def change(document: dict[str, Any]) -> None:
        place: Any = document
        for step in way:
            place = place[step]
        place[key] = value

    return change


WRONG = [
    (_set("kind", "snapshot"), "not a report"),
    (_set("format", 2), "newer than this version"),
    (_set("format", True), "not a number from 1 up"),
    (_set("profiles", []), "names no profile"),
    (_set("profiles", 0, "text", "title = 2\n"), "does not match its SHA-256"),
    (_set("profiles", 0, "sha256", 1), "no text `sha256`"),
    (_set("snapshot", {}), "not a snapshot"),
    (_set("snapshot", "readings", "memory.installed", "value", 1 << 35), None),
    (_set("computer", "serial_number", "SN-2"), "names another PC"),
    (_set("computer", None), "what names the PC"),
    (_set("on", "2026-02-30"), "`on` is no day"),
    (_set("options", "a"), "list of options"),
    (_set("parameters", {"a": True}), "the parameter a is no number"),
    (_set("pc_outcome", "ready"), "its findings make it not ready"),
    (_set("outcome", "ready"), "does not follow from its parts"),
    (_set("outcome", "fine"), "`outcome` is no outcome"),
    (_set("findings", 0, "verdict", "good"), "has no verdict"),
    (_set("findings", 0, "verdict", "met"), "its findings make it ready"),
    (_set("findings", 0, "verdict", "accepted"), "accepted without a concession"),
    (_set("findings", 0, "binding", 1), "does not say whether it binds"),
    (_set("findings", 1, "id", "memory.installed"), "two findings have the same id"),
    (_set("findings", {}), "no list of tables"),
    (_set("tool", {}), "no text `version`"),
    (_set("asked", []), "`asked` is no list of positions"),
    (_set("asked", 0), "`asked` is no list of positions"),
    (_set("asked", [True]), "`asked` is no list of positions"),
    (_set("asked", ["bench.toml"]), "`asked` is no list of positions"),
    (_set("asked", [1]), "profile 1 was asked for, and the list has 1"),
    (_set("asked", [-1]), "profile -1 was asked for"),
    (_set("given", "instruments"), "list of parameters given"),
    (_set("given", ["instruments"]), "the parameter instruments was given, and has no value"),
]


@pytest.mark.parametrize(("change", "words"), WRONG, ids=[str(words) for _change, words in WRONG])
def test_a_report_that_contradicts_itself_is_refused(
    change: Callable[[dict[str, Any]], None], words: str | None
) -> None:
    """Where a report is no report, or says two things, is told; a changed reading alone is not seen here."""
    document = report_of(READINGS)
    change(document)
    if words is None:  # what the readings make of it is found by judging them again
        read_report(document, "r.json")
        return
    with pytest.raises(UsageError, match=words):
        read_report(document, "r.json")


@pytest.mark.parametrize("raw", [None, [], "report", {"kind": 7}, {}])
def test_what_is_no_report_is_refused(raw: Any) -> None:
    """A document of another kind, or of none, is told from a report."""
    with pytest.raises(UsageError, match="not a report"):
        read_report(raw, "r.json")


@pytest.mark.parametrize(
    "readings",
    [
        {"computer.serial_number": "redacted-serial-0123456789ab"},
        {"network.name_servers": ["redacted-ip-0123456789ab"]},
        {"network.adapters": [{"name": "eth0", "mac": "redacted-mac-0123456789ab"}]},
    ],
)
def test_a_redacted_report_is_refused(readings: dict[str, Any]) -> None:
    """Pseudonyms are no readings: such a report cannot be judged again, and names no PC."""
    with pytest.raises(UsageError, match="redacted"):
        read_report(report_of(readings), "r.json")


def _accepted() -> dict[str, Any]:
    document = report_of(READINGS)
    words = {"verdict": "unmet", "because": "on order", "by": "A. Example", "until": "2027-06-30"}
    document["findings"][0] |= {"verdict": "accepted", "concession": words}
    return {**document, "pc_outcome": "ready", "outcome": "ready"}


@pytest.mark.parametrize(
    ("changes", "missing"),
    [
        ({}, []),
        ({"condition": "cpu.cores"}, ["memory.installed"]),
        ({"digest": "0" * 16}, ["memory.installed"]),
        ({"because": "no reason"}, ["memory.installed"]),
        ({"by": "B. Example"}, ["memory.installed"]),
        ({"until": date(2027, 7, 1)}, ["memory.installed"]),
    ],
)
def test_what_no_concession_grants_is_found(changes: dict[str, Any], missing: list[str]) -> None:
    """An accepted finding needs the very concession it names: id, digest, reason, name and day."""
    document = _accepted()
    one = Concession(
        condition="memory.installed",
        pc="SN-1",
        because="on order",
        by="A. Example",
        until=date(2027, 6, 30),
        allows="8 GB",
        covers_unverified=False,
        digest=document["findings"][0]["digest"],
        found="",
        file="c.toml",
        line=3,
    )
    report = read_report(document, "r.json")
    assert not_granted(report, (one._replace(**changes),)) == missing
    assert not_granted(report, ()) == ["memory.installed"]


def test_what_follows_besides_the_findings() -> None:
    """What was asked and not asked, arrangements, backup and warnings follow from readings and profiles."""
    document = {**report_of(READINGS), "warnings": ["old", "concession for x (c.toml:3) not applied: y"]}
    found = besides(document, document)
    assert found["warnings"] == ["old"]
    assert {key: found[key] for key in found if key != "warnings"} == {
        key: document[key]
        for key in (
            *("profiles", "asked", "options", "parameters", "given"),
            *("arrangements", "arrangements_outcome", "backup", "not_asked"),
        )
    }


@pytest.mark.parametrize(
    ("gone", "left"),
    [
        (["asked"], ["asked"]),
        (["given"], ["given", "not_asked"]),
        (["asked", "given"], ["asked", "given", "not_asked"]),
    ],
)
def test_what_an_earlier_build_did_not_say_is_not_held_against_it(gone: list[str], left: list[str]) -> None:
    """Of two reports the same keys are compared, those that follow from what the kept one says."""
    document = report_of(READINGS)
    kept = {key: value for key, value in document.items() if key not in gone}
    whole = besides(document, document)
    assert besides(document, kept) == {key: value for key, value in whole.items() if key not in left}


def test_what_a_worksheet_answers_follows_from_it() -> None:
    """Of a report made with a worksheet the answers and their outcome are held against it too."""
    sheet = {"title": "W", "path": "w.toml", "sha256": "0" * 64, "text": "", "day": None}
    document = {**report_of(READINGS), "arrangements_outcome": "ready", "worksheet": sheet, "plan": []}
    assert set(besides(document, document)) >= {"arrangements", "arrangements_outcome", "worksheet", "plan"}
