"""Records: what they hold, what they are called, and where a change shows."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.record import (
    File,
    Link,
    check_kind,
    content_fault,
    link_of,
    part_digests,
    record_name,
    whole_digest,
)
from pcaudit.errors import UsageError
from tests.core.kept import record_of, report_of, source

READINGS = {"memory.installed": 1 << 35, "computer.serial_number": "SN-1", "computer.host_name": "bench-7"}
CONCEDED = File("c.toml", source("a = 1\n").sha256, "a = 1\n")
BEFORE = Link("sn_2026-11-24_00000000.record.json", "0" * 64)


def _record() -> dict[str, Any]:
    report = report_of(READINGS)
    return record_of(report, BEFORE, concessions=CONCEDED, replaces=BEFORE, because="a slip of the pen")


def test_a_record_agrees_with_itself() -> None:
    """What was put together has no fault, and says who, what, when and why."""
    record = _record()
    assert content_fault(record) == ""
    assert record["entered"] == {
        "by": "A. Example",
        "meaning": "reviewed",
        "at": "2026-11-25T09:30:00+01:00",
    }
    assert record["replaces"] == {**BEFORE._asdict(), "because": "a slip of the pen"}
    assert record["digests"] == part_digests(record)
    assert record["digest"] == whole_digest(record)


def _set(*path: Any) -> Callable[[dict[str, Any]], None]:
    *way, key, value = path

    def change(document: dict[str, Any]) -> None:
        place: Any = document
        for step in way:
            place = place[step]
        place[key] = value

    return change


def _gone(key: str) -> Callable[[dict[str, Any]], None]:
    def change(document: dict[str, Any]) -> None:
        del document[key]

    return change


def _more_profiles(document: dict[str, Any]) -> None:
    document["report"]["profiles"] *= 2


CHANGED = [
    (
        _set("report", "snapshot", "readings", "memory.installed", "value", 1 << 36),
        "its snapshot was changed",
    ),
    (_set("report", "profiles", 0, "text", "x = 1\n"), "the profile bench.toml does not match its SHA-256"),
    (_set("report", "profiles", 0, "title", "Other"), "what it says of the profile bench.toml was changed"),
    (_set("report", "outcome", "not ready"), "its report was changed"),
    (_set("report", "findings", 0, "found", "64 GB"), "its report was changed"),
    (_set("concessions", "text", "a = 2\n"), "the text of its concessions does not match its SHA-256"),
    (_set("concessions", "none"), "the text of its concessions does not match its SHA-256"),
    (_set("digests", "profiles", []), "its list of digests was changed"),
    (_more_profiles, "its profiles are not as many as their digests"),
    (_set("concessions", "path", "d.toml"), "its concessions were changed"),
    (_set("worksheet", {"text": ""}), "its worksheet was changed"),
    (_set("entered", "by", "B. Example"), "who entered it"),
    (_set("entered", "at", "2026-11-24T09:30:00+01:00"), "who entered it"),
    (_set("entered", "meaning", "approved"), "with what meaning"),
    (_set("replaces", "because", "no reason"), "who entered it"),
    (_set("previous", None), "who entered it"),
    (_set("tool", "version", "9"), "by which version"),
    (_set("inputs", 0, "sha256", "f" * 64), "from which files"),
    (_set("digest", "0" * 64), "or the digest itself"),
    (_set("digest", "0" * 63), "not 64 hexadecimal digits"),
    (_set("digest", "0" * 65), "not 64 hexadecimal digits"),
    (_set("digest", None), "not 64 hexadecimal digits"),
    (_set("digests", "snapshot", "0" * 64), "its list of digests was changed"),
    (_set("digests", {}), "its list of digests was changed"),
    (_set("note", "added later"), "who entered it"),
    (_set("report", "profiles", []), "the profiles in its report are gone"),
    (_set("report", "snapshot", None), "the snapshot in its report is gone"),
    (_set("report", "parameters", {"n": (1 << 53) + 1}), "no double holds it"),
    (_gone("concessions"), "its `concessions` is gone"),
    (_gone("entered"), "its `entered` is gone"),
    (_gone("report"), "its `report` is gone"),
    (_gone("digest"), "not 64 hexadecimal digits"),
]


@pytest.mark.parametrize(("change", "words"), CHANGED, ids=range(len(CHANGED)))
def test_a_change_is_found_where_it_is(change: Callable[[dict[str, Any]], None], words: str) -> None:
    """Whatever is changed in a record, the part it is in is named."""
    record = copy.deepcopy(_record())
    change(record)
    assert words in content_fault(record)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (_set("report", "profiles", 0, "text", "x = 1\n"), "the profile bench.toml does not match"),
        (
            _set("previous", {"record": "../../etc/x.record.json", "digest": "0" * 64}),
            "no record in the same folder",
        ),
        (_set("previous", {"record": "a.record.json", "digest": "0" * 63}), "not 64 hexadecimal digits"),
        (_set("replaces", "a.record.json"), "no record in the same folder"),
    ],
)
def test_digests_that_were_worked_out_again_do_not_hide_all(
    change: Callable[[dict[str, Any]], None], words: str
) -> None:
    """A profile's own digest and the names of other records are checked even where the digests agree."""
    record = copy.deepcopy(_record())
    change(record)
    record["digests"] = part_digests(record)
    record["digest"] = whole_digest(record)
    assert words in content_fault(record)


def test_links_read_back() -> None:
    """The record before and the record replaced are read as links, and none as none."""
    record = _record()
    assert link_of(record, "previous") == link_of(record, "replaces") == BEFORE
    assert link_of(record_of(report_of(READINGS)), "previous") is None


@pytest.mark.parametrize(
    ("document", "words"),
    [
        ({"kind": "report", "format": 1}, "it is a report"),
        ([], "names no kind"),
        ({"kind": "record", "format": 2}, "format 2 is newer"),
        ({"kind": "record", "format": "1"}, "not a number from 1 up"),
        ({"kind": "record"}, "not a number from 1 up"),
    ],
)
def test_what_is_no_record_is_refused(document: Any, words: str) -> None:
    """Another kind and a newer format are refused by name."""
    with pytest.raises(UsageError, match=words):
        check_kind(document, "a.json")


def _named(serial: str | None, host: str | None) -> str:
    record = _record()
    record["report"]["computer"] = {"serial_number": serial, "host_name": host}
    record["digest"] = "0123456789abcdef" * 4
    return record_name(record)


@pytest.mark.parametrize(
    ("serial", "host", "start"),
    [
        ("SN-1", "bench-7", "SN-1"),
        (None, "bench-7", "bench-7"),
        (None, None, "unknown"),
        ("", " ", "unknown"),
        ("..", "/", "unknown"),
        ('A/B\\C:D*E?F"G<H>I|J', None, "A-B-C-D-E-F-G-H-I-J"),
        ("CON", None, "CON"),
        ("nul.txt", None, "nul-txt"),
        ("trailing. ", None, "trailing"),
        ("a_b", None, "a-b"),
        ("M\u00fcller\u2044\u0301 7", None, "Muller-7"),
        ("\u0421\u041d-1", "\u043f\u043a", "1"),
        ("\u043f\u043a", "bench-7", "bench-7"),
        ("\x1b[31mx\n\0y", None, "31mx-y"),
        ("x" * 300, None, "x" * 60),
    ],
)
def test_a_record_is_named_after_its_pc(serial: str | None, host: str | None, start: str) -> None:
    """Serial number, else host name, else "unknown", then the day entered and the digest's beginning."""
    assert _named(serial, host) == f"{start}_2026-11-25_01234567.record.json"


# Microsoft, "Naming Files, Paths, and Namespaces": a name is reserved whatever follows its first dot.
_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in "0123456789")}


@given(st.none() | st.text(), st.none() | st.text())
def test_every_name_is_good_on_every_system(serial: str | None, host: str | None) -> None:
    """A name holds only what every file system takes, is short, and no device of Windows."""
    name = _named(serial, host)
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")
    assert len(name) <= 110 and not name.startswith(("-", "."))
    assert name.partition(".")[0].lower() not in _RESERVED
