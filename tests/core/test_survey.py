"""What many PCs come to together."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

import pytest

from pcaudit.core.choose import ask
from pcaudit.core.report import Outcome
from pcaudit.core.survey import (
    Heading,
    Survey,
    age,
    bought,
    counts,
    faults,
    gained,
    newest,
    survey_mapping,
    turned,
    words_of,
)
from pcaudit.core.survey_changes import OneChange, changes_of
from pcaudit.core.survey_pc import Pc, Place, Surveyor, supposed
from pcaudit.core.survey_what_if import suppose
from pcaudit.errors import UsageError
from pcaudit.loading import tables
from tests.core.builders import GB, absent, at_least, document, profile_of, unknown, value

KNOWLEDGE: Final = tables(("os", "cpu"))
RULES: Final = '[memory.installed]\nminimum = "16 GB"\n[power]\nsleep_after = "never"\n'
HEADING: Final = Heading(date(2026, 12, 7), date(2026, 11, 26), "0.1.0", (), (), (), {}, ())


def _pc(file: str, serial: str | None, host: str | None, taken_at: str, codes: str = "mm") -> Pc:
    return Pc(Place(file, file), host, None, serial, taken_at, codes)


def _survey(pcs: list[Pc], changes: list[OneChange | None] | None = None) -> Survey:
    findings = words_of(ask([profile_of(RULES)]))
    return Survey(HEADING, findings, findings, tuple(pcs), tuple(changes or [None] * len(pcs)), (), ())


# -- the same PC twice


def test_pcs_are_told_apart_by_serial_number_and_else_by_host_name() -> None:
    """A PC that shows its serial number is never taken for one of the same name that shows none."""
    pcs = [
        _pc("a", "S-1", "bench", "2026-11-20T00:00:00+00:00"),
        _pc("b", "s-1 ", "other", "2026-11-21T00:00:00+00:00"),
        _pc("c", None, "bench", "2026-11-22T00:00:00+00:00"),
        _pc("d", None, "BENCH", "2026-11-21T00:00:00+00:00"),
        _pc("e", None, None, "2026-11-21T00:00:00+00:00"),
        _pc("f", None, None, "2026-11-21T00:00:00+00:00"),
    ]
    kept, older = newest(pcs)
    assert [pc.place.file for pc in kept] == ["b", "c", "e", "f"]
    assert older == [("a", "b"), ("d", "c")]


def test_the_newest_of_many_counts_wherever_it_stands() -> None:
    """Every older snapshot is named with the one that counts, times of different zones compared."""
    days = ["2026-11-20T23:00:00-05:00", "2026-11-21T03:59:00", "2026-11-21T04:01:00Z", "2026-11-19"]
    kept, older = newest([_pc(str(n), "S", None, day) for n, day in enumerate(days)])
    assert [pc.place.file for pc in kept] == ["2"]
    assert older == [("0", "2"), ("1", "2"), ("3", "2")]


@pytest.mark.parametrize(
    ("taken_at", "days"),
    [("2026-11-26T23:59:00+00:00", 0), ("2026-11-01T00:00:00-08:00", 25), ("2026-12-01", -5)],
)
def test_age_is_counted_in_days(taken_at: str, days: int) -> None:
    """From the day it was taken where it was taken to the day counted from."""
    assert age(_pc("a", None, None, taken_at), HEADING.as_of) == days


# -- counting


def test_what_fails_most_often_comes_first() -> None:
    """Each condition with the PCs that fail it, and those that nothing else keeps from being ready."""
    then = "2026-11-25"
    pcs = [
        _pc(str(n), None, None, then, codes) for n, codes in enumerate(["mm", "um", "uu", "mu", "mv", "gu"])
    ]
    survey = _survey(pcs)
    assert counts(pcs) == {Outcome.READY: 1, Outcome.NOT_READY: 4, Outcome.INCONCLUSIVE: 1}
    sleep, memory = faults(survey)
    assert (sleep.finding.id, *sleep[1:]) == ("power.sleep_after", 3, 1, 0, 3)
    assert (memory.finding.id, *memory[1:]) == ("memory.installed", 2, 0, 1, 1)


def test_changes_are_counted_together() -> None:
    """Whatever makes most PCs ready comes first."""
    from pcaudit.core.changes import Means

    part, setting = OneChange(Means.PART, "memory 16 GB"), OneChange(Means.SETTING, "sleep: never")
    pcs = [_pc(str(n), None, None, "2026-11-25", "um") for n in range(4)]
    found = bought(_survey(pcs, [setting, part, None, part]))
    assert [(one.change.what, one.pcs) for one in found] == [("memory 16 GB", (1, 3)), ("sleep: never", (0,))]


def test_only_those_that_pass_today_are_lost() -> None:
    """A PC that fails already is not counted against a new edition, nor one gained that passes already."""
    pcs = [
        _pc("a", None, None, "2026-11-25", codes)._replace(against=new, what_if=supposed_)
        for codes, new, supposed_ in (
            ("mm", "um", "mm"),
            ("um", "um", "mm"),
            ("mm", "mm", "mm"),
            ("mm", "mv", "mm"),
        )
    ]
    assert turned(_survey(pcs)) == [0, 3]
    assert gained(_survey(pcs)) == [1]


# -- what is supposed


@pytest.mark.parametrize(
    ("before", "changed"),
    [
        (value(8 * GB), True),
        (value(16 * GB), False),
        (value(64 * GB), False),
        (at_least(8 * GB), True),
        (at_least(32 * GB), False),
        (unknown(), True),
        (absent(), True),
        (value("much"), True),
    ],
)
def test_an_amount_is_supposed_of_whoever_has_less(before: Any, changed: bool) -> None:
    """More than is supposed stays as it is; what is not known becomes what is supposed."""
    readings = supposed({"memory.installed": before}, {"memory.installed": 16 * GB})
    assert (readings["memory.installed"] == value(16 * GB, source="what if")) is changed


def test_never_is_longer_than_any_time_that_is_supposed() -> None:
    """A PC that never sleeps is not made to."""
    never, hour = value("never"), value(3600)
    assert supposed({"power.sleep_after": never}, {"power.sleep_after": 7200})["power.sleep_after"] is never
    after = supposed({"power.sleep_after": hour}, {"power.sleep_after": "never"})
    assert after["power.sleep_after"]["value"] == "never"


@pytest.mark.parametrize(
    ("setting", "name", "expected"),
    [
        ("memory.installed=32 GB", "memory.installed", 32 * GB),
        (" cpu.cores = 8 ", "cpu.cores", 8),
        ("os.restart_pending=no", "os.restart_pending", False),
        ("power.sleep_after=never", "power.sleep_after", "never"),
        ("power.sleep_after=2 h", "power.sleep_after", 7200),
        ("computer.chassis=Desktop", "computer.chassis", "desktop"),
        ("os.version=10.0.26100", "os.version", "10.0.26100"),
    ],
)
def test_values_are_supposed_as_profiles_write_them(setting: str, name: str, expected: Any) -> None:
    """With their units, numbers without quotes, words of closed lists without regard to case."""
    found = suppose([setting])
    assert found == {name: expected} and type(found[name]) is type(expected)


@pytest.mark.parametrize(
    "setting",
    [
        "cpu.cores=-1",
        "cpu.cores=1.5",
        "computer.chassis=boat",
        "memory.installed=32",
        "=1",
        "x=",
        "os.type=beos",
    ],
)
def test_what_a_reading_cannot_be_is_not_supposed(setting: str) -> None:
    """A supposition that no PC can meet is refused, not counted as no gain."""
    with pytest.raises(UsageError):
        suppose([setting])


# -- one change


def _changes(text: str, *pcs: dict[str, Any]) -> list[str | None]:
    asked = ask([profile_of(text)])
    judge = Surveyor(asked, None, {}, KNOWLEDGE).verdicts
    found = changes_of(asked, judge, [document(pc) for pc in pcs], KNOWLEDGE)
    return [one.what if one else None for one in found]


def _memory(installed: int, threads: int = 4) -> dict[str, Any]:
    return {
        "memory.installed": value(installed),
        "memory.slots": value(4),
        "memory.slots_free": value(2),
        "memory.modules": value([{"size": installed, "speed": 3200, "type": "DDR4"}]),
        "cpu.threads": value(threads),
        "power.sleep_after": value("never"),
    }


def test_a_change_found_on_one_pc_is_judged_on_every_other() -> None:
    """Where each thread needs memory, what is enough for few threads is not said to be for many."""
    text = '[memory.installed]\nper = { "cpu.threads" = "2 GB" }\n'
    few, many = _changes(text, _memory(4 * GB, 4), _memory(4 * GB, 16))
    assert (few, many) == ("memory 8 GB", "memory 32 GB")


def test_two_things_to_change_are_not_one() -> None:
    """A PC that lacks memory and sleeps is not made ready by either."""
    sleeping = {**_memory(8 * GB), "power.sleep_after": value(600)}
    assert _changes(RULES, sleeping) == [None]
    assert _changes(RULES, _memory(8 * GB)) == ["memory 16 GB"]
    assert _changes(RULES, {**_memory(16 * GB), "power.sleep_after": value(600)}) == [
        "Power: Sleep after: never"
    ]


def test_what_is_not_known_is_not_made_ready() -> None:
    """With anything unverified left no change is said to be enough."""
    text = RULES + "[cpu.cores]\nminimum = 2\n"
    assert _changes(text, {**_memory(8 * GB), "cpu.cores": unknown()}) == [None]


@pytest.mark.parametrize(
    ("codes", "near"),
    [("mm", False), ("um", True), ("uv", False), ("uuuu", False), ("uuuM", True), ("mU", False)],
)
def test_a_pc_is_near_where_little_is_unmet_and_nothing_open(codes: str, near: bool) -> None:
    """Only such PCs are looked at for one change."""
    assert _pc("a", None, None, "2026-11-25", codes).near is near


def test_a_setting_of_an_item_is_not_carried_over_to_another_list() -> None:
    """Where adapters differ, each PC gets the setting of its own adapter, judged on it."""
    text = '[[network.adapters]]\nid = "port"\nmedium = "wired"\npower_saving = false\n'

    def with_adapters(*names: str) -> dict[str, Any]:
        adapters = [{"name": name, "medium": "wired", "bus": "pci", "power_saving": True} for name in names]
        return {**_memory(8 * GB), "network.adapters": value(adapters)}

    found = _changes(text, with_adapters("eth0"), with_adapters("eth0"), with_adapters("lan1", "lan2"))
    words = "Network: {}: may be powered down: no"
    assert found == [words.format("eth0"), words.format("eth0"), words.format("lan1")]


def test_of_many_that_need_something_else_few_are_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing known does, only so many PCs that fall short alike are looked at one by one."""
    from pcaudit.core import survey_changes

    searched = []
    monkeypatch.setattr(survey_changes, "_found", lambda _asked, raw, _known: searched.append(raw))
    assert _changes(RULES, *[_memory(8 * GB)] * 5) == [None] * 5
    assert len(searched) == survey_changes.SEARCHES


# -- one PC


def test_a_pc_is_what_its_readings_say() -> None:
    """Its names, and letters by each profile and by what is supposed."""
    asked, new = ask([profile_of(RULES)]), ask([profile_of(RULES.replace("16", "64"))])
    surveyor = Surveyor(asked, new, {"power.sleep_after": "never"}, KNOWLEDGE)
    raw = document({"computer.host_name": value("bench"), "memory.installed": value(16 * GB)})
    pc = surveyor.judge(raw, Place("a.json", "a.json"))
    assert (pc.host_name, pc.model, pc.serial_number) == ("bench", None, None)
    assert (pc.codes, pc.against, pc.what_if) == ("mv", "uv", "mm")
    unread = document({"computer.host_name": unknown(), "computer.serial_number": value(7)})
    assert surveyor.judge(unread, Place("b.json", "b.json"))[1:4] == (None, None, None)


@pytest.mark.parametrize("raw", [[], None, {"kind": "report"}, {**document({}), "readings": 1}, "x", 7])
def test_what_is_no_snapshot_is_refused(raw: Any) -> None:
    """It costs its own line only: the error says why."""
    surveyor = Surveyor(ask([profile_of(RULES)]), None, {}, KNOWLEDGE)
    with pytest.raises(UsageError):
        surveyor.judge(raw, Place("a.json", "a.json"))


@pytest.mark.parametrize(
    "setting",
    [
        "network.adapters=x",
        "cpu.features=avx2",
        "os.support_ends=2030-01-01",
        "cpu.coers=1",
        "os.restart_pending=2",
    ],
)
def test_lists_and_what_follows_from_others_cannot_be_supposed(setting: str) -> None:
    """Only a single reading that a PC gives itself can be supposed."""
    with pytest.raises(UsageError):
        suppose([setting])


def test_the_same_reading_is_not_supposed_twice() -> None:
    """Two values of one reading are a mistake."""
    with pytest.raises(UsageError, match="twice"):
        suppose(["cpu.cores=2", "cpu.cores=4"])


def test_nothing_but_the_whole_is_written() -> None:
    """A survey says in JSON what was chosen, and leaves out what was not asked."""
    survey = _survey([_pc("a", None, None, "2026-11-25", "um")])
    found = survey_mapping(survey)
    assert "against" not in found and "what_if" not in found
    assert found["pcs"][0]["findings"][0] == {"id": "memory.installed", "verdict": "unmet", "binding": True}
