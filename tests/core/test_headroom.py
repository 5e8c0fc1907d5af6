"""How far parameters at their default could go."""

from __future__ import annotations

import pytest

from pcaudit.core.choose import ask
from pcaudit.core.derive import Readings
from pcaudit.core.headroom import parameter_notes
from tests.core.builders import GB, profile_of, snapshot_of, value

TEXT = """
parameters.instruments = {{ default = 1{} }}
[memory.installed]
minimum = "16 GB"
per = {{ instruments = "4 GB" }}
"""


def _notes(size: int, limit: str = "", **values: str) -> tuple[str, ...]:
    snapshot = snapshot_of({"memory.installed": value(size * GB)})
    return parameter_notes(ask([profile_of(TEXT.format(limit))], (), values), Readings(snapshot))


@pytest.mark.parametrize(("size", "largest"), [(20, 1), (23, 1), (24, 2), (64, 12)])
def test_the_largest_value_that_would_be_met_is_told(size: int, largest: int) -> None:
    """A parameter left at its default is told with the largest value the PC would meet."""
    (note,) = _notes(size)
    assert note == f"instruments counts as 1; memory.installed would be met up to {largest}"


def test_nothing_is_told_where_it_decides_nothing() -> None:
    """No note where the value was chosen, where it fails already, or where every value is met."""
    assert not _notes(64, instruments="1")
    assert not _notes(16)
    assert not _notes(64, ", maximum = 12")
    assert _notes(64, ", maximum = 13")


def test_alternatives_are_told_as_far_as_one_of_them_is_met() -> None:
    """What grows inside alternatives is told too: the alternative that reaches furthest counts."""
    text = """
parameters.instruments = { default = 1 }
[[cpu.any_of]]
cores = { minimum = 2, per = { instruments = 2 } }
[[cpu.any_of]]
threads = { minimum = 2, per = { instruments = 1 } }
"""
    readings = Readings(snapshot_of({"cpu.cores": value(8), "cpu.threads": value(8)}))
    (note,) = parameter_notes(ask([profile_of(text)]), readings)
    assert note == "instruments counts as 1; cpu.any_of would be met up to 6"
