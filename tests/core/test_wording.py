"""Values in words."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core import units
from pcaudit.core.catalogue import CATALOGUE, Property, Type
from pcaudit.core.drift import Change
from pcaudit.core.wording import say_value, show_bound, show_exact, show_value, told, untold
from pcaudit.render.drift_words import both_words
from pcaudit.render.snapshot_text import value_words
from tests.core.builders import snapshot_of, value as form_of

GB = 1 << 30  # JEDEC JESD100B.01: 1 GB of memory is 2^30 bytes


@pytest.mark.parametrize(
    ("reading", "value", "text"),
    [
        ("memory.installed", 16 * GB, "16 GB"),
        ("storage.system_free", 256 * 10**9, "256 GB (238.4 GiB)"),
        ("power.sleep_after", "never", "never"),
        ("power.sleep_after", 1800, "30 min"),
        ("power.usb_suspend", True, "yes"),
        ("power.usb_suspend", False, "no"),
        ("cpu.cores", 8, "8"),
        ("cpu.cores", 0, "0"),
        ("cpu.features", ["avx", "avx2"], "avx, avx2"),
        ("cpu.features", [], "none"),
        ("storage.drives", [], "no items"),
        ("storage.drives", [{}], "1 item"),
        ("storage.drives", [{}, {}, {}], "3 items"),
        ("os.version", "8.10", "8.10"),
        ("computer.firmware_date", "2024-02-29", "2024-02-29"),
        ("cpu.base_clock", None, "unknown"),
    ],
)
def test_every_type_has_words(reading: str, value: Any, text: str) -> None:
    """A value of each type is written in its own unit or words."""
    assert show_value(value, CATALOGUE[reading].value) == text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (",", '","'),
        (".", '"."'),
        ("'", '"\'"'),
        ('"', '"\\""'),
        (" ", '" "'),
        ("", '""'),
        ("B", '"B"'),
        ("Corvane Inc.", '"Corvane Inc."'),
        ("Osier ", '"Osier "'),
        (";old", '";old"'),
        ("Osier 19", "Osier 19"),
        ("Osier (rev. 2)", "Osier (rev. 2)"),
        (".NET Framework", ".NET Framework"),
        ("/", "/"),
        ("C:\\", "C:\\"),
        ("Old Suite*", "Old Suite*"),
    ],
)
def test_a_text_is_told_from_the_sentence_around_it(text: str, words: str) -> None:
    """What would be read as part of the sentence is in quotation marks, everything else as it is."""
    spec = CATALOGUE["os.decimal_separator"].value
    assert told(text) == words == say_value(text, spec)
    assert untold(words) == text
    names = CATALOGUE["network.name_servers"].value
    assert say_value([text, "b2"], names) == f"{words}, b2"


def test_a_decimal_comma_can_be_read_in_a_drift_and_in_a_snapshot() -> None:
    """A separator stands in quotation marks where it changed, and where a snapshot is shown."""
    record = CATALOGUE["os.decimal_separator"]
    assert both_words(Change(record, ",", ".", None, "", False)) == ('","', '"."')
    seen = snapshot_of({"os.decimal_separator": form_of(",")}).get("os.decimal_separator")
    assert value_words(seen, record) == '","'
    servers = CATALOGUE["network.name_servers"]
    assert both_words(Change(servers, [","], ["b2"], None, "", False)) == ('","', "b2")


def test_a_shortfall_never_looks_like_what_is_asked() -> None:
    """An amount just short of a bound gets the decimals that tell the two apart."""
    spec = CATALOGUE["memory.installed"].value
    assert show_value(16 * GB - 20_000_000, spec, 16 * GB) == "15.98 GB"
    assert show_value(16 * GB, spec, 16 * GB) == "16 GB"


def test_plain_numbers_are_told_apart_too() -> None:
    """A plain number close to a bound gets more decimals, a whole one none."""
    spec = Property("Pixels per inch", Type.NUMBER)
    assert show_value(91.7881, spec) == "91.8"
    assert show_value(95.98, spec, 96.0) == "95.98"
    assert show_value(96.0, spec, 96.0) == "96"


def test_a_lower_bound_is_never_rounded_up() -> None:
    """23.9996 GiB known at least is not "at least 24 GB", which nobody knows."""
    spec = CATALOGUE["memory.installed"].value
    assert show_bound(25769409536, spec) == "at least 23.9 GB"
    assert show_bound(16 << 30, spec) == "at least 16 GB"
    assert show_bound(3, CATALOGUE["cpu.cores"].value) == "at least 3"


@pytest.mark.parametrize("megahertz", [2400, 2590, 2592, 2596, 3999])
def test_a_clock_reads_the_same_as_value_and_as_bound(megahertz: int) -> None:
    """One clock from one source never looks like a base clock above the highest one."""
    base, highest = (CATALOGUE[name].value for name in ("cpu.base_clock", "cpu.max_clock"))
    value = megahertz * 10**6
    assert show_bound(value, highest) == f"at least {show_value(value, base)}"
    assert show_value(value, base, value) == show_value(value, base)


_QUANTITIES = sorted(
    {record.value.kind.name: name for name, record in CATALOGUE.items() if record.value.kind}.values()
)


@given(name=st.sampled_from(_QUANTITIES), data=st.data())
def test_an_exact_amount_reads_as_what_was_written(name: str, data: st.DataObject) -> None:
    """What is shown on a page that is signed is read back as the very amount the profile asks."""
    spec = CATALOGUE[name].value
    assert spec.kind is not None
    number = data.draw(st.integers(1, 10**6) | st.integers(1, 10**6).map(lambda whole: whole / 1000))
    value = units.parse(f"{number} {data.draw(st.sampled_from(sorted(spec.kind.units)))}", spec.kind)
    shown = show_exact(value, spec).partition(" (")[0]
    read = units.parse(shown, spec.kind)
    assert read == value if isinstance(value, int) else read == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("reading", "written", "shown"),
    [
        ("memory.installed", "1.25 GB", "1.25 GB"),
        ("memory.installed", "0.25 GB", "256 MB"),
        ("memory.installed", "1.3 GB", "1.3 GB"),
        ("memory.installed", "16384 MiB", "16 GB"),
        ("storage.system_free", "256 GB", "256 GB (238.4 GiB)"),
        ("storage.system_free", "512 GiB", "512 GiB (549.8 GB)"),
        ("storage.system_free", "0 GB", "0 bytes"),
        ("power.sleep_after", "100 min", "100 min"),
        ("power.sleep_after", "never", "never"),
        ("cpu.max_clock", "2.666666 GHz", "2666666 kHz"),
    ],
)
def test_exact_amounts(reading: str, written: str, shown: str) -> None:
    """An exact amount has the unit in which its number is shortest, nothing rounded off."""
    spec = CATALOGUE[reading].value
    assert spec.kind is not None
    assert show_exact(units.parse(written, spec.kind), spec) == shown


def test_exact_numbers() -> None:
    """Numbers without a unit and dates stand as they were written."""
    assert show_exact(92.55, Property("Pixels per inch", Type.NUMBER)) == "92.55"
    assert show_exact(2.0, Property("Pixels per inch", Type.NUMBER)) == "2"
    assert show_exact(1234567, Property("Pixels", Type.INTEGER)) == "1234567"
    assert show_exact("2027-06-30", Property("Day", Type.DATE)) == "2027-06-30"
