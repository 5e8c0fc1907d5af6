"""Candidates side by side."""

from __future__ import annotations

from datetime import date
from itertools import permutations
from typing import Any, Final

import pytest
from hypothesis import given, settings as settings_of, strategies as st

from pcaudit.core.changes import Means
from pcaudit.core.compare import (
    LETTERS,
    Candidate,
    Comparison,
    comparison_mapping,
    needs_words,
    price_words,
    says,
)
from pcaudit.core.prices import Priced, Prices
from pcaudit.core.report import Outcome, Verdict
from pcaudit.core.snapshot import Snapshot
from tests.core.builders import GB, absent, at_least, unknown, value
from tests.core.candidates import (
    ALL_SETTINGS,
    BLIND,
    EURO,
    FOUR,
    GOOD,
    OLD_PROCESSOR,
    PROFILE,
    TWO_PARTS,
    compared,
    parts,
    pc,
    settings,
)


def _unmet(candidate: Candidate) -> int:
    return sum(one.verdict is Verdict.UNMET for one in candidate.report.findings)


def _pairs(comparison: Comparison) -> set[tuple[str, str]]:
    """Orders by file, which stays with a candidate when its letter changes."""
    files = {one.letter: one.file for one in comparison.candidates}
    return {(files[one.before], files[one.after]) for one in comparison.ranking.orders}


def test_the_fewest_shortfalls_are_not_the_better_choice() -> None:
    """One shortfall that nothing mends ranks below six settings and below two parts."""
    comparison = compared(PROFILE, FOUR)
    a, b, c, d = comparison.candidates
    assert [_unmet(one) for one in comparison.candidates] == [1, 6, 2, 0]
    assert [one.id for one in a.mending.left] == ["cpu.cores"] and a.mending.changes == ()
    assert len(settings(b.mending)) == 6 and parts(b.mending) == [] and b.mending.passes
    assert parts(c.mending) == ["memory 16 GB", "ssd 500 GB"] and c.mending.passes
    assert [one.id for one in d.mending.unread] == ["memory.installed"] and not d.mending.passes
    assert _pairs(comparison) == {("b.json", "c.json"), ("b.json", "a.json"), ("c.json", "a.json")}


def test_what_is_not_known_has_no_place() -> None:
    """The inconclusive PC may be the best and may be the worst, and that is said."""
    comparison = compared(PROFILE, FOUR)
    places = {one.letter: (one.best, one.worst) for one in comparison.ranking.places}
    assert places == {"A": (3, 4), "B": (1, 2), "C": (2, 3), "D": (1, 4)}
    assert all("D" in one.because for one in comparison.ranking.no_orders)


def test_each_stands_in_words() -> None:
    """How each stands follows its letter as a sentence."""
    comparison = compared(PROFILE, {**FOUR, "e.json": pc(**GOOD)}, EURO)
    assert [says(one, comparison.currency) for one in comparison.candidates] == [
        "cannot be mended here: Cores",
        "passes after 6 settings",
        "passes after 2 parts (60.00 EUR, and 1 part without a price)",
        "is not known to pass: 1 condition cannot be known",
        "is ready as it is",
    ]


def test_a_sum_never_hides_a_part_without_a_price() -> None:
    """What is not priced is counted beside the sum, and alone where nothing is."""
    c = compared(PROFILE, FOUR, EURO).candidates[2]
    assert c.price is None
    bought = c.mending.of(Means.PART)
    assert price_words(bought, "EUR") == "60.00 EUR, and 1 part without a price"
    assert price_words(bought[1:], "EUR") == "no price"
    assert price_words(bought, "") == ""
    assert needs_words(c.mending, "") == "2 parts"


def test_rows_differ_or_are_alike() -> None:
    """A row that comes to the same on all is apart from those that do not, and none is lost."""
    comparison = compared(PROFILE, FOUR)
    alike = [row.id for row in comparison.alike()]
    assert alike == []
    same = compared(PROFILE, {"a.json": OLD_PROCESSOR, "d.json": BLIND})
    assert [row.id for row in same.differing()] == ["cpu.cores", "memory.installed"]
    assert len(same.alike()) + len(same.differing()) == len(same.rows) == 9
    assert [cell.verdict for cell in same.differing()[0].cells] == [Verdict.UNMET, Verdict.MET]


def test_a_part_that_costs_less_goes_first() -> None:
    """With all parts priced the cheaper candidate is the better choice, whatever their number."""
    whole = Prices(
        "EUR",
        (
            Priced("memory 32 GB", "memory", (32 * GB,), 30000),
            Priced("memory 16 GB", "memory", (16 * GB,), 6000),
            Priced("ssd 500 GB", "ssd", (500 * 10**9,), 4000),
        ),
    )
    text = PROFILE.replace('"16 GB"', '"20 GB"')
    dear = pc(**GOOD)  # memory 32 GB
    cheap = pc(**{**GOOD, "memory__installed": value(20 * GB), "storage__system_media": value("hdd")})
    pcs = {"dear.json": dear, "cheap.json": cheap}
    assert _pairs(compared(text, pcs, whole)) == {("cheap.json", "dear.json")}


def test_headroom_is_a_ratio_and_keeps_what_is_not_known() -> None:
    """Each binding minimum has its ratio, the tightest first; a lower bound is one, the unknown none."""
    pcs = {
        "a.json": pc(**{**GOOD, "memory__installed": value(32 * GB), "cpu__cores": value(4)}),
        "b.json": pc(**{**GOOD, "memory__installed": at_least(24 * GB), "cpu__cores": unknown()}),
    }
    first, second = compared(PROFILE, pcs).candidates
    assert [(one.id, one.least, one.most) for one in first.headroom] == [
        ("cpu.cores", 1.0, 1.0),
        ("memory.installed", 2.0, 2.0),
    ]
    assert [(one.id, one.least, one.known) for one in second.headroom] == [
        ("cpu.cores", 0.0, False),
        ("memory.installed", 1.5, False),
    ]


def test_headroom_of_what_is_asked_twice_is_of_the_higher() -> None:
    """Of two minimums on one reading the higher one counts, and an advised one does not."""
    text = 'memory.installed = { minimum = "8 GB", recommended = "64 GB" }\n'
    text += '[options.more]\nmemory.installed.minimum = "16 GB"\n'
    pcs = {"a.json": pc(), "b.json": pc()}
    (room,) = compared(text, pcs).candidates[0].headroom
    assert room.least == 1.0
    (room,) = compared(text, pcs, options=["more"]).candidates[0].headroom
    assert (room.least, room.required) == (0.5, "16 GB")


@pytest.mark.parametrize(
    ("form", "least", "most"),
    [(absent("no screen"), "inf", "inf"), (value("never"), "inf", "inf"), (value(1200), "2.0", "2.0")],
)
def test_headroom_without_limit(form: dict[str, Any], least: str, most: str) -> None:
    """What never happens, or cannot, exceeds every minimum without limit."""
    pcs = {name: pc(power__screen_off_after=form) for name in ("a.json", "b.json")}
    (room,) = compared('power.screen_off_after.minimum = "10 min"\n', pcs).candidates[0].headroom
    assert (room.least, room.most) == (float(least), float(most))


def test_support_is_counted_from_the_day_judged_for() -> None:
    """Years of support are left, over, or not known with the reason."""
    pcs = {
        "a.json": pc(os__version=value("13")),
        "b.json": pc(os__version=value("12")),
        "c.json": pc(os__product=value("Invented Linux")),
    }
    first, second, third = (one.support for one in compared(PROFILE, pcs).candidates)
    # Debian 13 is supported until 2028-08-09, Debian 12 until 2026-07-11 (endoflife.date, August 2026).
    assert first.ends == "2028-08-09" and first.years is not None and 1.6 < first.years < 1.7
    assert second.ends == "2026-07-11" and second.years is not None and second.years < 0
    assert third.years is None and third.why


def test_longer_support_decides_between_equals() -> None:
    """Of two that are otherwise alike the one supported longer goes first."""
    pcs = {"a.json": pc(**GOOD, os__version=value("12")), "b.json": pc(**GOOD, os__version=value("13"))}
    comparison = compared(PROFILE, pcs)
    assert _pairs(comparison) == {("b.json", "a.json")}
    assert "years of support" in comparison.ranking.orders[0].because


def test_the_same_pc_twice_is_said() -> None:
    """Two snapshots with one serial number are one PC, whatever the case; a host name only may be."""
    named = {"computer__serial_number": value("s-1")}
    notes = compared(PROFILE, {"a.json": pc(), "b.json": pc(**named)}).notes
    assert notes == ("A and B are the same PC: serial number S-1",)
    hidden = pc(computer__serial_number=unknown("needs administrator rights"))
    (note,) = compared(PROFILE, {"a.json": pc(), "b.json": hidden}).notes
    assert note.startswith("A and B may be the same PC: host name bench-1")
    assert compared(PROFILE, {"a.json": pc(), "b.json": pc(computer__serial_number=value("S-2"))}).notes == ()


def test_other_versions_and_ages_are_said() -> None:
    """Readings of different versions of the tool, and of days far apart, are not passed over."""
    old = ALL_SETTINGS._replace(tool_version="0.0.9", taken_at="2026-11-10T09:00:00+00:00")
    notes = compared(PROFILE, {"a.json": TWO_PARTS, "b.json": old}).notes
    assert [note.split(":")[0] for note in notes] == [
        "the readings were taken by different versions of pcaudit (A 0.0.1, B 0.0.9)",
        "the readings were taken up to 15 days apart (A 2026-11-25, B 2026-11-10)",
        "B",
    ]
    assert "16 days old" in notes[2]


def test_a_virtual_machine_is_said_to_be_one() -> None:
    """What a virtual machine needs is given by its host, not bought."""
    virtual = pc(computer__virtual=value(True), computer__serial_number=value("S-V"))
    notes = compared(PROFILE, {"a.json": virtual, "b.json": pc(**GOOD)}).notes
    assert notes == ("A: a virtual machine: its host gives it parts, nothing is bought for it",)


def _column(comparison: Comparison, file: str) -> Any:
    """Everything said of one candidate, but for its letter."""
    letter = next(one.letter for one in comparison.candidates if one.file == file)
    document = comparison_mapping(comparison)
    (mine,) = (one for one in document["candidates"] if one["letter"] == letter)
    mine.pop("letter")
    return mine, [(row["id"], row["cells"][letter]) for row in document["rows"]]


def test_the_order_they_are_named_in_changes_letters_only() -> None:
    """Every permutation of the candidates gives each the same column, and the same orders."""
    first = compared(PROFILE, FOUR)
    for order in list(permutations(FOUR))[1::5]:
        again = compared(PROFILE, {file: FOUR[file] for file in order})
        assert [one.file for one in again.candidates] == list(order)
        assert _pairs(again) == _pairs(first)
        assert all(_column(again, file) == _column(first, file) for file in FOUR)


def test_one_more_does_not_change_the_others() -> None:
    """A candidate's column is the same whoever stands beside it."""
    three = {file: FOUR[file] for file in list(FOUR)[:3]}
    fewer, more = compared(PROFILE, three), compared(PROFILE, FOUR)
    assert all(_column(fewer, file) == _column(more, file) for file in three)
    assert {pair for pair in _pairs(more) if "d.json" not in pair} == _pairs(fewer)


READINGS: Final = {
    "cpu__cores": [value(2), value(4), value(8)],
    "memory__installed": [value(8 * GB), value(16 * GB), value(32 * GB)],
    "storage__system_media": [value("hdd"), value("ssd")],
    "power__sleep_after": [value(1800), value("never")],
    "power__usb_suspend": [value(True), value(False)],
    "os__version": [value("12"), value("13")],
}
"""Values of a reading, the worse before the better."""


@st.composite
def _two(draw: st.DrawFn) -> tuple[Snapshot, Snapshot, bool]:
    """A PC, one of which every reading is at least as good, and whether one is better."""
    worse, better = dict(GOOD), dict(GOOD)
    raised = False
    for name, values in READINGS.items():
        low = draw(st.integers(0, len(values) - 1))
        high = draw(st.integers(low, len(values) - 1))
        worse[name], better[name] = values[low], values[high]
        raised |= low < high
    return pc(**worse), pc(**better), raised


@settings_of(max_examples=60)
@given(_two())
def test_a_pc_that_is_better_everywhere_is_never_below(two: tuple[Snapshot, Snapshot, bool]) -> None:
    """A PC whose every reading is at least as good is not ranked below, and needs no more."""
    worse, better, _ = two
    comparison = compared(PROFILE, {"worse.json": worse, "better.json": better})
    assert ("worse.json", "better.json") not in _pairs(comparison)
    low, high = (one.mending for one in comparison.candidates)
    assert len(high.left) <= len(low.left)
    assert len(parts(high)) <= len(parts(low)) and len(settings(high)) <= len(settings(low))


@pytest.mark.parametrize("name", ["memory__installed", "power__usb_suspend", "cpu__cores"])
@pytest.mark.parametrize("known", [FOUR["b.json"], FOUR["c.json"], pc(**GOOD)])
def test_two_that_differ_in_what_is_not_known_are_not_ranked(name: str, known: Snapshot) -> None:
    """Of two PCs alike but for one reading that is not known of one, neither goes first."""
    reading = name.replace("__", ".")
    blind = known._replace(readings={**known.readings, reading: BLIND.readings["memory.installed"]})
    comparison = compared(PROFILE, {"known.json": known, "blind.json": blind})
    assert _pairs(comparison) == set()


def test_an_inconclusive_pc_is_not_above_a_ready_one() -> None:
    """However good the rest of it is, what is not known to pass does not go before what does."""
    better = {"memory__installed": value(64 * GB), "cpu__cores": value(16), "os__version": value("13")}
    blind = pc(**{**GOOD, **better, "power__usb_suspend": unknown("Group Policy hides it")})
    comparison = compared(PROFILE, {"blind.json": blind, "ready.json": pc(**GOOD)})
    assert comparison.candidates[0].report.pc_outcome is Outcome.INCONCLUSIVE
    assert ("blind.json", "ready.json") not in _pairs(comparison)


def test_there_are_as_many_letters_as_candidates() -> None:
    """Candidates are called by letters, in the order they are named."""
    eight = {f"{n}.json": pc(computer__serial_number=value(f"S-{n}")) for n in range(8)}
    comparison = compared("cpu.cores.minimum = 2\n", eight)
    assert "".join(one.letter for one in comparison.candidates) == LETTERS
    assert comparison.on == date(2026, 12, 7)
