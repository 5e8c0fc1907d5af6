"""What was asked, kept in reports and records: judged again it comes to what it came to."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pytest

from pcaudit import app
from pcaudit.files import to_json
from tests.cli.program import DAYS, LINUX, Done, pcaudit, refused, saved, snapshot, verdicts

SAID: Final = app.Entering("A. Example", "reviewed")
SERIAL: Final = "SN-4410"

# One wired adapter and 80 GB free: enough for one product that wants them, not for two.
BASE: Final = """format = 1
title = "Bench basics"
[parameters]
instruments = { default = 1, minimum = 1, maximum = 4 }
[storage.system_free]
minimum = "50 GB"
[[network.adapters]]
id = "port"
title = "Port for the instrument"
medium = "wired"
"""
TOP: Final = """format = 1
title = "Detector control"
based_on = "base.toml"
[memory.installed]
per = { instruments = "4 GB" }
"""
OTHER: Final = """format = 1
title = "Bench basics"
[parameters]
instruments = { default = 2.5, minimum = 0.5 }
[memory.installed]
minimum = "2 GB"
per = { instruments = "2 GB" }
[options.archive.storage.system_free]
minimum = "90 GB"
"""
FILES: Final = {
    "base.toml": BASE,
    "top.toml": TOP,
    "other.toml": OTHER,
    "elsewhere/base.toml": OTHER.replace("2 GB", "1 GB"),
}


@pytest.fixture
def lab(tmp_path: Path) -> Path:
    """A folder with the profiles and one snapshot, `pc.json`."""
    for name, text in FILES.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    document = snapshot(LINUX)
    known = {
        "computer.serial_number": SERIAL,
        "storage.system_free": 80 * 10**9,
        "memory.installed": 8 << 30,
        "network.adapters": [{"name": "eth0", "medium": "wired", "mac": "00:00:5e:00:53:01"}],
    }
    for name, value in known.items():
        document["readings"][name] = {"value": value, "source": "hand"}
    saved(tmp_path, document, "pc.json")
    return tmp_path


def _assess(lab: Path, arguments: tuple[str, ...]) -> dict[str, Any]:
    """The report of a run in the folder, also kept there as `r.json`."""
    first, *more = arguments
    done = pcaudit("assess", first, "pc.json", *more, *DAYS, "--format", "json", cwd=lab)
    assert done.code in (0, 3, 4), done.err
    (lab / "r.json").write_text(done.out, encoding="utf-8")
    report: dict[str, Any] = json.loads(done.out)
    return report


def _enter(lab: Path, *arguments: str) -> Done:
    who = ("--by", "A. Example", "--meaning", "reviewed", "--store", "store")
    return pcaudit("record", "r.json", *who, *arguments, cwd=lab)


CASES: Final = {
    "one": (("base.toml",), ["base.toml"]),
    "one with a base": (("top.toml",), ["top.toml"]),
    "also another": (("top.toml", "--also", "other.toml"), ["top.toml", "other.toml"]),
    "also the base": (("top.toml", "--also", "base.toml"), ["top.toml", "base.toml"]),
    "the base, also what is based on it": (("base.toml", "--also", "top.toml"), ["base.toml", "top.toml"]),
    "also itself": (("base.toml", "--also", "base.toml"), ["base.toml", "base.toml"]),
    "also the base by another path": (
        ("top.toml", "--also", "./elsewhere/../base.toml"),
        ["top.toml", "./elsewhere/../base.toml"],
    ),
    "also the base by a longer path, first": (
        ("./base.toml", "--also", "top.toml"),
        ["./base.toml", "top.toml"],
    ),
    "two of one title": (("other.toml", "--also", "base.toml"), ["other.toml", "base.toml"]),
    "two of one name": (("base.toml", "--also", "elsewhere/base.toml"), ["base.toml", "elsewhere/base.toml"]),
    "a parameter": (("top.toml", "--also", "base.toml", "--set", "instruments=3"), ["top.toml", "base.toml"]),
    "a parameter that is whole in one only": (
        ("top.toml", "--also", "other.toml", "--set", "instruments=3"),
        ["top.toml", "other.toml"],
    ),
    "a parameter that is no whole number": (
        ("other.toml", "--set", "instruments=2.5"),
        ["other.toml"],
    ),
    "an option": (("other.toml", "--also", "base.toml", "--option", "archive"), ["other.toml", "base.toml"]),
}


@pytest.mark.parametrize(("arguments", "asked"), CASES.values(), ids=CASES)
def test_what_was_asked_is_said_and_judged_again(
    lab: Path, arguments: tuple[str, ...], asked: list[str]
) -> None:
    """The report says what was asked, in its order, and its record is judged again to the same verdicts."""
    report = _assess(lab, arguments)
    assert [report["profiles"][number]["path"] for number in report["asked"]] == asked
    entered = _enter(lab)
    assert (entered.code, entered.err) == (0, "")
    record = entered.out.strip()
    assert pcaudit("verify", record, cwd=lab).code == 0
    drift = pcaudit("drift", record, "pc.json", "--as-of", DAYS[3], "--format", "json", cwd=lab)
    assert (drift.code, drift.err) == (0, "")
    assert json.loads(drift.out)["turned"] == []


def test_the_cases_ask_different_things(lab: Path) -> None:
    """Also asking for the base is another question than being based on it: two want ports and space."""
    alone, both = (_assess(lab, CASES[name][0]) for name in ("one with a base", "also the base"))
    assert verdicts(alone)["storage.system_free"] == "met"
    assert verdicts(both)["storage.system_free"] == "unmet"
    assert {name for name, verdict in verdicts(both).items() if verdict == "unmet"} > {"storage.system_free"}


def test_what_was_given_is_told_from_defaults(lab: Path) -> None:
    """Two products with different defaults of one parameter each keep their own, unless it was set."""
    arguments = ("top.toml", "--also", "other.toml")
    assert _assess(lab, arguments)["given"] == []
    assert _assess(lab, (*arguments, "--set", "instruments=2"))["given"] == ["instruments"]


def test_concessions_hold_when_judged_again(lab: Path) -> None:
    """A finding that one of two products' conditions falls short in stays accepted in record and drift."""
    arguments = ("top.toml", "--also", "base.toml")
    short = [one for one in _assess(lab, arguments)["findings"] if one["verdict"] == "unmet"]
    assert len(short) > 1
    lines = ["format = 1", 'title = "Laboratory 2"']
    for one in short:
        for each in {part["digest"] for part in one.get("conditions", [one])}:
            words = {"condition": one["id"], "pc": SERIAL, "because": "until spring", "by": "A. Example"}
            words |= {"digest": each, "found": one["found"]}
            lines += ["[[concessions]]", "until = 2027-06-30"]
            lines += [f"{key} = {json.dumps(text)}" for key, text in words.items()]
    (lab / "c.toml").write_text("\n".join(lines), encoding="utf-8")
    report = _assess(lab, (*arguments, "--concessions", "c.toml"))
    assert {one["id"] for one in report["findings"] if one["verdict"] == "accepted"} == {
        one["id"] for one in short
    }
    (lab / "moved").mkdir()
    (lab / "c.toml").rename(lab / "moved" / "c.toml")
    entered = _enter(lab, "--concessions", "moved/c.toml")
    assert (entered.code, entered.err) == (0, "")
    drift = pcaudit("drift", entered.out.strip(), "pc.json", "--as-of", DAYS[3], cwd=lab)
    assert (drift.code, drift.err) == (0, "")


def test_redaction_leaves_it_unambiguous(lab: Path) -> None:
    """With pseudonyms in the paths the positions still tell which of two files was asked."""
    (lab / SERIAL).mkdir()
    for name in ("base.toml", "top.toml"):
        (lab / SERIAL / name).write_text(FILES[name], encoding="utf-8")
    paths = f"{SERIAL}/top.toml", f"{SERIAL}/base.toml"
    report = _assess(lab, (paths[0], "--also", paths[1], "--redact"))
    asked = [report["profiles"][number] for number in report["asked"]]
    assert [Path(one["path"]).name for one in asked] == ["top.toml", "base.toml"]
    assert SERIAL not in json.dumps(report)
    assert all(one["path"].startswith("redacted-serial-") for one in asked)


# -- changed, and older


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"asked": [0, 1]}, "say otherwise of"),
        ({"asked": [0]}, "it holds the profile top.toml"),
        ({"asked": [1]}, "say otherwise of"),
        ({"given": ["instruments"]}, "say otherwise of"),
        ({"parameters": {"instruments": 4}}, "say otherwise of parameters"),
        ({"not_asked": []}, "say otherwise of not_asked"),
        ({"warnings": ["all is well"]}, "say otherwise of warnings"),
    ],
    ids=str,
)
def test_a_report_that_says_it_asked_otherwise_is_not_kept(
    lab: Path, changes: dict[str, Any], words: str
) -> None:
    """What it says was asked, at which numbers, and what not, is held against what follows from it."""
    also = "other.toml" if changes.get("asked") == [0] else "base.toml"
    report = {**_assess(lab, ("top.toml", "--also", also)), **changes}
    (lab / "r.json").write_text(to_json(report), encoding="utf-8")
    refused(_enter(lab), words)
    assert not list(lab.glob("store/*.json"))


def _older(lab: Path, *arguments: str, **changes: Any) -> None:
    """Make the report one of an earlier build, which did not say what was asked."""
    report = {**_assess(lab, arguments), **changes}
    del report["asked"], report["given"]
    (lab / "r.json").write_text(to_json(report), encoding="utf-8")


def test_an_older_report_is_kept_as_before(lab: Path) -> None:
    """Without `asked` what no other is based on was asked; drift says what it cannot tell from that."""
    _older(lab, "top.toml")
    entered = _enter(lab)
    assert (entered.code, entered.err) == (0, "")
    drift = pcaudit("drift", entered.out.strip(), "pc.json", "--as-of", DAYS[3], cwd=lab)
    assert drift.code == 0
    assert drift.err == (
        "the report does not say which profiles were asked for: "
        "base.toml counts only as what another is based on\n"
    )


def test_an_older_report_of_one_file_leaves_nothing_open(lab: Path) -> None:
    """Where no file is based on another there is nothing that cannot be told, and nothing is said."""
    _older(lab, "other.toml", "--also", "elsewhere/base.toml")
    entered = _enter(lab)
    assert (entered.code, entered.err) == (0, "")
    drift = pcaudit("drift", entered.out.strip(), "pc.json", "--as-of", DAYS[3], cwd=lab)
    assert (drift.code, drift.err) == (0, "")


def test_an_older_report_that_cannot_be_told_is_refused(lab: Path) -> None:
    """One whose base was asked for too says otherwise when judged again, and is told why that may be."""
    _older(lab, "top.toml", "--also", "base.toml")
    refused(_enter(lab), "say otherwise of", "does not say which profiles were asked for: base.toml")


def test_an_older_report_of_another_version_is_kept_with_a_line(lab: Path) -> None:
    """Of another version the same report is kept with what differs, and with what cannot be told."""
    _older(lab, "top.toml", "--also", "base.toml", tool={"name": "pcaudit", "version": "0.0.1"})
    refused(_enter(lab), "differs in", "does not say which profiles were asked for: base.toml")
    entered = _enter(lab, "--although-differing")
    assert entered.code == 0
    assert "judges otherwise" in entered.err
    assert "does not say which profiles were asked for: base.toml" in entered.err
