"""Values in words."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.catalogue import CATALOGUE, Property, Type
from pcaudit.core.wording import show_bound, show_value

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
