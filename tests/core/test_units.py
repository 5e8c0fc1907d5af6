"""Quantities."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from pcaudit.core import units
from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.units import Kind, UnitError, check_thousands, parse, show, show_apart

KINDS = (
    units.MEMORY,
    units.STORAGE,
    units.FREQUENCY,
    units.TRANSFER,
    units.LINK,
    units.DURATION,
    units.LENGTH,
    units.DIAGONAL,
    units.PERCENT,
)


# IEC 80000-13, prefixes for binary multiples.
@pytest.mark.parametrize(("unit", "power"), [("KiB", 10), ("MiB", 20), ("GiB", 30), ("TiB", 40), ("PiB", 50)])
@pytest.mark.parametrize("kind", [units.MEMORY, units.STORAGE])
def test_binary_prefixes_are_powers_of_two_everywhere(unit: str, power: int, kind: Kind) -> None:
    """KiB to PiB are powers of 1024, for memory and for storage."""
    assert parse(f"1 {unit}", kind) == 2**power


# JEDEC JESD100B.01: kilo, mega and giga of semiconductor memory are powers of 1024.
@pytest.mark.parametrize(("unit", "power"), [("KB", 10), ("kB", 10), ("MB", 20), ("GB", 30), ("TB", 40)])
def test_memory_is_counted_as_the_trade_counts_it(unit: str, power: int) -> None:
    """KB, MB and GB of memory are powers of 1024."""
    assert parse(f"1 {unit}", units.MEMORY) == 2**power


# The International System of Units (SI brochure, 9th edition), prefixes.
@pytest.mark.parametrize(("unit", "power"), [("kB", 3), ("KB", 3), ("MB", 6), ("GB", 9), ("TB", 12)])
def test_storage_is_counted_as_the_si_does(unit: str, power: int) -> None:
    """KB, MB and GB of storage are powers of 1000."""
    assert parse(f"1 {unit}", units.STORAGE) == 10**power


@pytest.mark.parametrize(
    ("text", "kind", "amount"),
    [
        ("16 GB", units.MEMORY, 17_179_869_184),
        ("16GB", units.MEMORY, 17_179_869_184),
        ("  16   GB  ", units.MEMORY, 17_179_869_184),
        ("1.5 GB", units.MEMORY, 1_610_612_736),
        ("0 GB", units.STORAGE, 0),
        ("2.4 GHz", units.FREQUENCY, 2_400_000_000),
        ("3.2 GT/s", units.TRANSFER, 3200),
        ("1 Gbit/s", units.LINK, 10**9),
        ("2.5 Gb/s", units.LINK, 2_500_000_000),
        ("100 Mbps", units.LINK, 10**8),
        ("30 min", units.DURATION, 1800),
        ("2 hours", units.DURATION, 7200),
        ("1 day", units.DURATION, 86400),
        ("2 weeks", units.DURATION, 1_209_600),
        ("0.5 s", units.DURATION, 0.5),
        ("never", units.DURATION, "never"),
        (" Never ", units.DURATION, "never"),
        ("30 cm", units.LENGTH, 300),
        ("1 in", units.LENGTH, 25.4),  # the international inch, exactly 25.4 mm: NIST SP 811
        ("24 inch", units.DIAGONAL, 24),
        ("610 mm", units.DIAGONAL, pytest.approx(24.016, abs=0.001)),
        ("125 %", units.PERCENT, 125),
        ("125 percent", units.PERCENT, 125),
    ],
)
def test_quantities_are_read_into_their_base_unit(text: str, kind: Kind, amount: object) -> None:
    """A number and a unit give the amount in the unit readings are stored in."""
    assert parse(text, kind) == amount


@pytest.mark.parametrize(
    ("text", "kind", "message", "hint"),
    [
        ("16", units.MEMORY, "has no unit", '"16 GB"'),
        ("GB", units.MEMORY, "is not a memory size", '"16 GB"'),
        ("", units.MEMORY, "is not a memory size", '"16 GB"'),
        ("never", units.MEMORY, "is not a memory size", '"16 GB"'),
        ("nan GB", units.MEMORY, "is not a memory size", '"16 GB"'),
        ("inf GB", units.MEMORY, "is not a memory size", '"16 GB"'),
        ("1e3 GB", units.MEMORY, "has an exponent", "16 GB"),
        ("-16 GB", units.MEMORY, "not negative", '"16 GB"'),
        ("1,5 GB", units.MEMORY, "has a comma", "use a point"),
        ("1,500 GB", units.STORAGE, "has a comma", "use a point"),
        ("1.024.000 MB", units.STORAGE, "has a mark or gap", "no separator for thousands"),
        ("16\u00a0GB", units.MEMORY, "a non-breaking space (U+00A0) stands", "an ordinary space"),
        ("16 gb", units.MEMORY, "is not a unit", "did you mean 'GB'?"),
        ("16 GHz", units.MEMORY, "is not a unit", "units:"),
        ("16 GB", units.FREQUENCY, "is not a unit", "units:"),
        ("1 Gbit/s", units.STORAGE, "is not a unit", "units:"),
        ("16 GB extra", units.MEMORY, "is not a unit", "units:"),
        ("٣ GB", units.MEMORY, "is not a memory size", '"16 GB"'),
        ("0 min", units.DURATION, "ambiguous", '"never"'),
        ("0 s", units.DURATION, "ambiguous", '"never"'),
        ("0.0 h", units.DURATION, "ambiguous", '"never"'),
    ],
)
def test_what_is_no_quantity_is_refused_with_a_hint(text: str, kind: Kind, message: str, hint: str) -> None:
    """Wrong units, signs, commas and nothings are refused, with what would be right."""
    with pytest.raises(UnitError) as caught:
        parse(text, kind)
    assert message in str(caught.value)
    assert hint in caught.value.hint


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("16.000 MB", 'write "16000 MB", or "16 MB" where'),
        (" 250.000MB", 'write "250000 MB", or "250 MB" where'),
        ("1.500 GB", 'write "1500 GB", or "1.5 GB" where'),
        ("2.995 GHz", 'write "2995 GHz", or "2.9950 GHz" where'),
    ],
)
def test_a_point_that_may_mark_thousands_is_refused(text: str, hint: str) -> None:
    """Half of Europe writes 16000 as 16.000: both readings are shown, each in words of one meaning."""
    with pytest.raises(UnitError) as caught:
        check_thousands(text)
    assert "two ways" in str(caught.value)
    assert hint in caught.value.hint


@pytest.mark.parametrize("text", ["16 MB", "1.5 GB", "0.125 GB", "2.9950 GHz", "1234.500 GB", "16.00 MB"])
def test_a_point_that_marks_no_thousands_is_left_alone(text: str) -> None:
    """A point that no language would put there for thousands is a decimal point."""
    check_thousands(text)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.base)
def test_the_example_of_every_kind_can_be_read(kind: Kind) -> None:
    """Hints never show an example that would be refused."""
    for example in kind.example.split(" or "):
        assert parse(example.strip('"'), kind)


def test_every_quantity_of_the_catalogue_is_tested_here() -> None:
    """No kind of quantity escapes the tests of this module."""
    used = {
        spec.kind.name
        for record in CATALOGUE.values()
        for spec in (record.value, *record.items.values())
        if spec.kind is not None
    }
    assert used <= {kind.name for kind in KINDS}


@pytest.mark.parametrize(
    ("amount", "kind", "text"),
    [
        (17_179_869_184, units.MEMORY, "16 GB"),
        (1_610_612_736, units.MEMORY, "1.5 GB"),
        (0, units.MEMORY, "0 B"),
        # 256 GB = 238.42 GiB, 500 GB = 465.66 GiB, 512 GB = 476.84 GiB, 1 TB = 0.9095 TiB: arithmetic
        (256 * 10**9, units.STORAGE, "256 GB (238.4 GiB)"),
        (500 * 10**9, units.STORAGE, "500 GB (465.7 GiB)"),
        (512 * 10**9, units.STORAGE, "512 GB (476.8 GiB)"),
        (10**12, units.STORAGE, "1 TB (931.3 GiB)"),
        (12, units.STORAGE, "12 B"),
        (2_400_000_000, units.FREQUENCY, "2.4 GHz"),
        (2_592_000_000, units.FREQUENCY, "2.592 GHz"),
        (3200, units.TRANSFER, "3200 MT/s"),
        (2_500_000_000, units.LINK, "2.5 Gbit/s"),
        (90, units.DURATION, "1.5 min"),
        (86400, units.DURATION, "1 d"),
        ("never", units.DURATION, "never"),
        (600, units.LENGTH, "60 cm"),
        (23.8, units.DIAGONAL, "23.8 in"),
        (100, units.PERCENT, "100 %"),
    ],
)
def test_quantities_are_shown_in_the_unit_that_suits(amount: float | str, kind: Kind, text: str) -> None:
    """An amount is printed in its largest fitting unit, storage both ways where they differ."""
    assert show(amount, kind) == text


@given(st.sampled_from(KINDS), st.integers(min_value=1, max_value=9999), st.data())
def test_what_is_written_reads_back(kind: Kind, number: int, data: st.DataObject) -> None:
    """A quantity shown with decimals enough is read back as the same amount, near enough."""
    unit = data.draw(st.sampled_from(sorted(kind.units)))
    amount = parse(f"{number} {unit}", kind)
    assert isinstance(amount, int | float)
    shown = show(amount, kind, digits=12).partition(" (")[0]
    assert parse(shown, kind) == pytest.approx(amount, rel=1e-6, abs=1e-6)


@given(st.integers(1, 1 << 50), st.integers(1, 1 << 50))
def test_different_amounts_never_look_the_same(one: int, other: int) -> None:
    """What falls short never reads like what is asked, down to a byte."""
    assert (show_apart(one, other, units.MEMORY) == show(other, units.MEMORY)) == (one == other)


def test_a_byte_short_is_told_in_bytes() -> None:
    """Where no decimals tell two amounts apart, the base unit does."""
    asked = 16 << 40
    assert show_apart(asked - 1, asked, units.MEMORY) == f"{asked - 1} bytes"
    assert show_apart("never", 1800, units.DURATION) == "never"
