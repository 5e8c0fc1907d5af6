"""Drift: what changed since a record, what that turned, and what nobody can say."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.derive import Readings
from pcaudit.core.drift import Drift, SamePc, make_drift, turned, which_pc
from pcaudit.core.kept_report import read_report
from pcaudit.core.report import Verdict
from tests.core.builders import GB, absent, at_least, unknown, value
from tests.core.kept import PROFILE, drift_of, judged, report_of, seen

PC = {
    "computer.serial_number": "SN-1",
    "session.user": "lab",
    "session.elevated": True,
    "memory.installed": 32 * GB,
    "storage.system_free": 300 * 10**9,
}


def _drift(then: dict[str, Any], now: dict[str, Any]) -> Drift:
    return drift_of({**PC, **then}, {**PC, **now})


def _changed(drift: Drift) -> list[tuple[str, Any, Any]]:
    return [(one.record.name, one.then, one.now) for one in drift.changes if one.counts]


def _open(drift: Drift) -> list[tuple[str, str]]:
    return [(one.record.name, one.side) for one in drift.open if one.side != "both"]


def test_nothing_changed() -> None:
    """The same readings are no drift."""
    drift = _drift({}, {})
    assert not drift.drifted
    assert (drift.changes, drift.turned) == ((), ())


# One row: the reading, then, now, what is said: a change, by itself, open, or nothing.
SAID = [
    ("power.sleep_after", "never", 1800, "change"),
    ("power.sleep_after", 1800, 1800.0, ""),
    ("power.plan", "Balanced", " balanced", ""),
    ("power.plan", "Balanced", "Power saver", "change"),
    ("os.version", "10.0.26100.1", "10.0.26200.1", "change"),
    ("cpu.features", ["sse", "avx"], ["AVX", "sse"], ""),
    ("cpu.features", ["sse", "avx"], ["sse"], "change"),
    ("storage.system_free", 10**12, 10**9, "by itself"),
    ("session.remote", True, False, "by itself"),
    ("memory.usable", 32_000_000_000, 31_999_000_000, "by itself"),
    ("memory.usable", 32_000_000_000, 31_000_000_000, "change"),
    ("power.lid_action", absent(), absent(), ""),
    ("power.lid_action", absent(), "nothing", "change"),
    ("power.lid_action", "nothing", absent(), "change"),
    ("power.lid_action", unknown(), "nothing", "open then"),
    ("power.lid_action", "nothing", unknown(), "open now"),
    ("power.lid_action", unknown(), unknown(), "open both"),
    ("power.lid_action", unknown(), absent(), "open then"),
    ("memory.installed", at_least(8 * GB), 8 * GB, "open then"),
    ("memory.installed", at_least(8 * GB), 4 * GB, "change"),
    ("memory.installed", 16 * GB, at_least(8 * GB), "open now"),
    ("memory.installed", 4 * GB, at_least(8 * GB), "change"),
    ("memory.installed", at_least(8 * GB), at_least(4 * GB), "open both"),
    ("memory.installed", at_least(8 * GB), absent(), "change"),
    ("power.sleep_after", at_least(60), "never", "open then"),
    ("software.antivirus", [], absent(), ""),
    ("software.antivirus", [{"name": "a"}], absent(), "change"),
    ("os.domain", "lab.example", "redacted-domain-0123456789ab", "open now"),
]


@pytest.mark.parametrize(("name", "then", "now", "said"), SAID, ids=range(len(SAID)))
def test_each_form_against_each(name: str, then: Any, now: Any, said: str) -> None:
    """Known values that differ are a change; what is not known on one side is said and is none."""
    drift = _drift({name: then}, {name: now})
    about = [f"open {one.side}" for one in drift.open if one.record.name == name]
    about += ["change" if one.counts else "by itself" for one in drift.changes if one.record.name == name]
    assert about == ([said] if said else [])


def test_what_follows_is_said_and_not_counted() -> None:
    """A derived reading that differs is listed; what it follows from is what counts."""
    screens = [{"name": "S1"}, {"name": "S2"}]
    drift = _drift({"display.screens": screens}, {"display.screens": screens[:1]})
    assert [(one.record.name, one.counts) for one in drift.changes] == [
        ("display.screen_count", False),
        ("display.screens", True),
    ]


def _listed(items: list[Any], why: str = "") -> dict[str, Any]:
    return value(items, complete=False, why=why) if why else value(items)


A, B = {"name": "a", "version": "1"}, {"name": "b", "version": "1"}
OTHERS = "programs of other users are not seen"


@pytest.mark.parametrize(
    ("then", "now", "session", "said"),
    [
        (_listed([A, B]), _listed([A]), {}, "change"),
        (_listed([A, B]), _listed([A], OTHERS), {}, "open"),
        (_listed([A], OTHERS), _listed([A, B]), {}, "open"),
        (_listed([A], OTHERS), _listed([A, B], OTHERS), {}, "change"),
        (_listed([A], OTHERS), _listed([A, B], "a hive could not be read"), {}, "open"),
        (_listed([A], OTHERS), _listed([A, B], OTHERS), {"session.user": "guest"}, "open"),
        (_listed([A], OTHERS), _listed([A, B], OTHERS), {"session.elevated": False}, "open"),
        (_listed([A], OTHERS), _listed([A, B], OTHERS), {"session.user": unknown()}, "open"),
    ],
)
def test_a_list_that_may_miss_items_proves_little(
    then: Any, now: Any, session: dict[str, Any], said: str
) -> None:
    """What an incomplete list does not show is no change, unless both lists leave out the same."""
    drift = _drift({"software.packages": then}, {"software.packages": now, **session})
    assert bool([1 for one in drift.open if one.record.name == "software.packages"]) is (said == "open")
    assert bool([1 for one in drift.changes if one.record.name == "software.packages"]) is (said == "change")


def test_an_account_that_is_not_known_is_not_the_same() -> None:
    """Two probes that do not say who ran them may have seen different things."""
    nobody = {"session.user": unknown(), "session.elevated": unknown()}
    then, now = ({**nobody, "software.packages": _listed(items, OTHERS)} for items in ([A], [A, B]))
    assert _open(_drift(then, now)) == [("software.packages", "then")]


@pytest.mark.parametrize(
    ("then", "now", "same", "words"),
    [
        ({"computer.serial_number": "SN-1"}, {"computer.serial_number": "sn-1"}, SamePc.SAME, "sn-1"),
        ({"computer.serial_number": "SN-1"}, {"computer.serial_number": "SN-2"}, SamePc.ANOTHER, "SN-2"),
        ({"computer.serial_number": "SN-1"}, {}, SamePc.NOT_KNOWN, "these readings do not show"),
        ({}, {"computer.serial_number": "SN-1"}, SamePc.NOT_KNOWN, "the record does not show"),
        ({}, {}, SamePc.NOT_KNOWN, "neither shows"),
        (
            {"computer.host_name": "a"},
            {"computer.host_name": "b"},
            SamePc.NOT_KNOWN,
            "a is now b",
        ),
        (
            {"computer.serial_number": "SN-1"},
            {"computer.serial_number": "redacted-serial-0123456789ab"},
            SamePc.NOT_KNOWN,
            "these readings do not show",
        ),
    ],
)
def test_which_pc_it_is(then: dict[str, Any], now: dict[str, Any], same: SamePc, words: str) -> None:
    """Serial numbers tell one PC from another; without both nobody can, and a host name only hints."""
    found, said = which_pc(seen(then), seen(now))
    assert found is same
    assert words in said


def test_a_verdict_turned_by_a_volatile_reading_is_drift() -> None:
    """A drive that fills changes by itself, and yet counts once it turns a verdict."""
    drift = _drift({}, {"storage.system_free": 50 * 10**9})
    assert not any(one.counts for one in drift.changes)
    (one,) = drift.turned
    assert (one.id, one.then, one.now, one.by_readings) == (
        "storage.system_free",
        Verdict.MET,
        Verdict.MARGINAL,
        True,
    )
    assert drift.drifted


def test_a_verdict_that_can_no_longer_be_known_is_drift() -> None:
    """Met and now unverified is no met: it is said with the reason, though no reading changed."""
    drift = _drift({}, {"memory.installed": unknown("needs administrator rights")})
    assert not drift.changes
    (one,) = drift.turned
    assert (one.now, one.why) == (Verdict.UNVERIFIED, "needs administrator rights")
    assert drift.drifted


def test_a_verdict_turned_by_something_else_than_the_readings() -> None:
    """Where the record's own readings no longer give its verdict, the PC is not blamed alone."""
    report = report_of(PC)
    report["findings"][1]["verdict"] = "marginal"
    kept = read_report(report, "r.json")
    again = judged(PC).findings
    (one,) = turned(kept, again, again)
    assert (one.then, one.now, one.by_readings) == (Verdict.MARGINAL, Verdict.MET, False)


def test_conditions_of_one_side_only_are_told() -> None:
    """A condition that this version judges no more, or that the record does not hold, is said."""
    kept, findings = read_report(report_of(PC), "r.json"), judged(PC).findings
    gone = turned(kept, findings, findings[:1])
    assert [(one.id, one.now) for one in gone] == [("storage.system_free", None)]
    less = kept._replace(findings={k: v for k, v in kept.findings.items() if k == "memory.installed"})
    new = turned(less, findings, findings)
    assert [(one.id, one.then, one.by_readings) for one in new] == [("storage.system_free", None, False)]


MAC = "00:00:5e:00:53:01"  # RFC 7042, documentation range


@pytest.mark.parametrize(
    ("now", "said"),
    [
        ({"mtu": 9000}, "change"),
        ({"link_up": False}, "by itself"),
        ({"mtu": None}, "open now those readings give no value for it of this item, and no reason"),
        ({"gateway": "redacted-ip-0123456789ab"}, "open now a pseudonym stands for it"),
        ({"name": "redacted-name-0", "mac": "redacted-mac-0"}, "open now a pseudonym stands for it"),
    ],
)
def test_what_changes_of_an_item(now: dict[str, Any], said: str) -> None:
    """A key of an item counts like a reading: by itself, open or a change."""
    item = {"name": "eth0", "mac": MAC, "mtu": 1500, "link_up": True, "gateway": "192.0.2.1"}
    drift = _drift({"network.adapters": [item]}, {"network.adapters": [{**item, **now}]})
    about = {f"open {one.side} {one.why}" for one in drift.open if one.item is not None and one.side == "now"}
    about |= {"change" if one.counts else "by itself" for one in drift.changes}
    assert about == {said}


@pytest.mark.parametrize(("link", "why"), [(False, "no link"), (None, "no reason"), (True, "no reason")])
@pytest.mark.parametrize("side", ["then", "now"])
def test_a_speed_without_a_link_says_so(side: str, link: bool | None, why: str) -> None:
    """Where an adapter had no link the reason for its unknown speed is that, and not that nobody read it."""
    cabled = {"name": "eth0", "mac": MAC, "link_up": True, "speed": 10**9}
    bare = {"name": "eth0", "mac": MAC, "link_up": link, "speed": None}
    then, now = (bare, cabled) if side == "then" else (cabled, bare)
    drift = _drift({"network.adapters": [then]}, {"network.adapters": [now]})
    (one,) = [one for one in drift.open if one.key == "speed"]
    assert (one.side, why in one.why) == (side, True)


def test_a_list_that_says_why_lends_its_reason_to_its_items() -> None:
    """What a list as a whole could not see is the reason for what an item lacks."""
    item = {"name": "eth0", "mac": MAC, "mtu": 1500}
    some = value([{**item, "mtu": None}], complete=False, why="only this container's own")
    drift = _drift({"network.adapters": [item]}, {"network.adapters": some})
    (one,) = [one for one in drift.open if one.key == "mtu"]
    assert one.why.endswith(": only this container's own")


def test_a_set_that_may_miss_elements_proves_nothing() -> None:
    """Features that a probe could not all ask for are no lost features."""
    some = value(["sse"], complete=False, why="not all were asked")
    drift = _drift({"cpu.features": ["sse", "avx"]}, {"cpu.features": some})
    assert (_open(drift), _changed(drift)) == ([("cpu.features", "now")], [])


def test_another_version_that_took_the_readings_is_said() -> None:
    """Two versions may read differently: it is said that there were two."""
    drift = _drift({}, {})
    now = judged(PC)
    newer = now._replace(snapshot=now.snapshot._replace(tool_version="0.9.0"))
    kept, readings = read_report(report_of(PC), "r.json"), Readings(now.snapshot)
    other = make_drift(drift.held, kept, now, newer, readings, readings)
    assert "taken by different versions of pcaudit: 0.0.1 then, 0.9.0 now" in other.notes
    assert not any("different versions" in note for note in drift.notes)


def test_notes_say_what_else_differs() -> None:
    """Another account, and old readings, are said beside the result."""
    drift = drift_of({**PC}, {**PC, "session.user": "guest"})
    assert any("same account" in note for note in drift.notes)
    assert not any("same account" in note for note in _drift({}, {}).notes)


FORMS = st.one_of(
    st.sampled_from([1, 2, 3]).map(lambda n: value(n * GB)),
    st.sampled_from([1, 2, 3]).map(lambda n: at_least(n * GB)),
    st.just(absent()),
    st.just(unknown()),
)


@given(FORMS, FORMS)
def test_unknown_is_never_a_change(then: Any, now: Any) -> None:
    """Whatever the forms: a change is only said where no value fits both, and the same way back."""

    def may_be(form: dict[str, Any], number: int) -> bool:
        if "absent" in form:
            return number == 0
        if "at_least" in form:
            return bool(form["at_least"] <= number)
        return form["value"] is None or bool(form["value"] == number)

    possible = any(may_be(then, n) and may_be(now, n) for n in (0, GB, 2 * GB, 3 * GB, 4 * GB))
    there, back = (
        _drift({"memory.usable": then}, {"memory.usable": now}),
        _drift({"memory.usable": now}, {"memory.usable": then}),
    )
    assert bool(_changed(there)) is bool(_changed(back)) is (not possible)


def test_the_day_is_the_one_asked_for() -> None:
    """The result says for which day it was judged."""
    assert drift_of(PC, PC, PROFILE, date(2027, 1, 1)).on == date(2027, 1, 1)
