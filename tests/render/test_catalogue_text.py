"""Snapshots and the catalogue as text."""

from __future__ import annotations

import re

import pytest

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.snapshot import Snapshot, absent, known, unknown
from pcaudit.render import catalogue_text, snapshot_text
from pcaudit.render.interface import Screen
from tests.render.golden import HOSTILE
from tests.render.samples import SNAPSHOT


def _flat(text: str) -> str:
    return " ".join(text.split())


def test_snapshot_shows_each_form() -> None:
    """Known, bounded, absent and unknown readings are told apart, with their reasons."""
    shown = _flat(snapshot_text.render(SNAPSHOT))
    assert "Snapshot of bench-pc-07 taken 2026-11-25T09:00:00+00:00 by pcaudit 0.1.0" in shown
    assert (
        "4 known, 1 of them perhaps incomplete, 1 known as a lower bound, 1 known not to exist, 1 unknown"
        in shown
    )
    assert "Memory installed at least 8 GB (firmware tables need administrator rights)" in shown
    assert "Closing the lid no lid" in shown
    assert "Serial number unknown: needs administrator rights" in shown
    assert "Sleep after 30 min" in shown


@pytest.mark.parametrize(
    ("why", "words"),
    [
        ("none set", "none set"),
        ("no lid", "no lid"),
        ("Windows only", "none: Windows only"),
        ("nobody joined it", "none: nobody joined it"),
        ("", "none"),
    ],
)
def test_what_does_not_exist_is_said_once(why: str, words: str) -> None:
    """A reason that says itself that there is none stands alone."""
    assert snapshot_text.value_words(absent(why), CATALOGUE["network.proxy"]) == words


def test_lists_that_may_be_longer_are_counted_apart() -> None:
    """Known readings of which more may exist are told from those that are known whole."""
    packages = known([], "a", missing="programs of other users are not seen")
    taken = Snapshot("2026-11-25T09:00:00+00:00", "0.1.0", {"software.packages": packages})
    assert snapshot_text.counts_words(taken) == "1 known, 1 of them perhaps incomplete"
    whole = taken._replace(readings={"cpu.cores": known(4, "a")})
    assert snapshot_text.counts_words(whole) == "1 known"


def test_short_lists_are_shown_and_long_ones_counted() -> None:
    """Two adapters are listed with what is known of them, forty programs are only counted."""
    shown = _flat(snapshot_text.render(SNAPSHOT, Screen(140)))
    assert "- eth0, medium wired, link up yes, link speed 1 Gbit/s, MAC address 00:00:5e:00:53:ab" in shown
    assert "- wlan0, medium wireless" in shown
    assert "40 items, perhaps more (programs of other users are not seen)" in shown
    assert "package-7" not in shown


def test_snapshot_text_is_never_obeyed() -> None:
    """Escape codes in names, reasons and items are shown as escapes."""
    snapshot = Snapshot(
        HOSTILE,
        HOSTILE,
        {
            "computer.host_name": known(HOSTILE, HOSTILE),
            "computer.model": unknown(HOSTILE),
            "os.domain": absent(HOSTILE),
            "storage.drives": known([{"model": HOSTILE}, {}], HOSTILE, missing=HOSTILE),
        },
    )
    shown = snapshot_text.render(snapshot)
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", shown)
    assert "nothing known of it" in shown


def test_an_empty_snapshot() -> None:
    """A snapshot without readings says so and names no PC."""
    shown = snapshot_text.render(Snapshot("2026-11-25T09:00:00+00:00", "0.1.0", {}))
    assert shown.startswith("Snapshot of this PC\n")
    assert shown.endswith("no readings\n")


@pytest.mark.parametrize("width", [50, 80, 140])
def test_list_names_every_reading(width: int) -> None:
    """The list holds each reading's name, whole where the page is wide enough, in lines that fit."""
    shown = catalogue_text.render_list(screen=Screen(width))
    assert max(map(len, shown.splitlines())) <= width
    if width >= 80:
        first = {line.partition(" ")[0] for line in shown.splitlines()}
        assert set(CATALOGUE) <= first
    assert "Derived." in shown


def test_list_with_values() -> None:
    """With a PC's readings the list gives values, and says what was not read."""
    shown = catalogue_text.render_list(SNAPSHOT.readings)
    assert re.search(r"power\.sleep_after +duration, s +30 min", shown)
    assert re.search(r"cpu\.cores +integer +not read", shown)


def test_one_reading_in_detail() -> None:
    """The detail of a reading says its type, unit, closed list, origin and where each OS gives it."""
    shown = _flat(
        catalogue_text.render_one(CATALOGUE["network.adapters"], SNAPSHOT.readings["network.adapters"])
    )
    for piece in (
        "network.adapters: Network adapters",
        "type list",
        "medium Medium, word: wired, wireless, virtual",
        "speed Link speed, quantity, bit/s",
        "origin observed on the PC",
        "in the snapshot 2 items - eth0",
        "source /sys/class/net",
    ):
        assert piece in shown


def test_detail_of_a_derived_reading() -> None:
    """A derived reading has no sources, and names what it means nothing without."""
    shown = _flat(catalogue_text.render_one(CATALOGUE["cpu.generation"]))
    assert "origin derived from other readings" in shown
    assert "Linux" not in shown
    assert "needs cpu.series in the same table of a profile" in shown


def test_detail_says_what_absence_means() -> None:
    """What absence does to a condition is said, as the catalogue has it."""
    assert "absence satisfies a condition" in catalogue_text.render_one(CATALOGUE["power.lid_action"])
    assert "absence falls short" in catalogue_text.render_one(CATALOGUE["computer.tpm_version"])
