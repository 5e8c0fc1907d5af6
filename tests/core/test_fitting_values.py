"""Values that would meet what a profile asks."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.conditions import Requirement
from pcaudit.core.fitting_values import ANOTHER, choices, meets
from pcaudit.core.profile import Items, Scalar
from tests.core.builders import GB, profile_of


def _requirement(text: str) -> Requirement:
    (condition,) = profile_of(text).conditions
    if isinstance(condition, Items):
        (key,) = condition.keys
        return key
    assert isinstance(condition, Scalar)
    return condition.requirement


CASES: list[tuple[str, Any, list[Any]]] = [
    ("memory.installed.minimum = '16 GB'", 8 * GB, [16 * GB]),
    ("memory.installed.minimum = '16 GB'", 32 * GB, [32 * GB, 16 * GB]),
    ("power.sleep_after = 'never'", 1800, ["never"]),
    ("power.screen_off_after = { minimum = '10 min', maximum = '1 h' }", 60, [600, 3600]),
    ("power.usb_suspend = false", True, [False]),
    ("os.language.one_of = ['en', 'de']", "fr", ["en", "de"]),
    ("os.time_zone.none_of = ['UTC']", "UTC", [ANOTHER]),
    ("power.lid_action.none_of = ['sleep', 'hibernate']", "sleep", ["nothing", "shut-down"]),
    ("os.clock_synchronised_at.minimum = 2026-11-01", "2026-10-01", ["2026-11-01"]),
    ("cpu.level.minimum = 'x86-64-v2'", "x86-64-v1", ["x86-64-v2"]),
    ("network.name_servers.includes = ['192.0.2.1']", ["192.0.2.2"], [["192.0.2.2", "192.0.2.1"]]),
    ("network.name_servers.excludes = ['192.0.2.2']", ["192.0.2.2", "192.0.2.3"], [["192.0.2.3"]]),
    ("network.name_servers.includes_any = ['192.0.2.1', '192.0.2.9']", None, [["192.0.2.1"]]),
    ("computer.host_name.matches = 'CDS-[0-9]?'", "bench", ["CDS-0x"]),
    ("computer.host_name.matches = '*[!a-x]-[[]1*'", "bench", ["0-[1"]),
]


@pytest.mark.parametrize(("text", "now", "found"), CASES, ids=[case[0] for case in CASES])
def test_the_values_of_each_form(text: str, now: Any, found: list[Any]) -> None:
    """Every form gives the values it admits, what there is first where it will do."""
    assert choices([_requirement(text)], now) == found


@pytest.mark.parametrize(
    "wanted",
    [">=2.0", ">2", "<14", "<=14.2", "!=3", "==10.0.19045", ">=12,<14", ">2,<4", "<2"],
)
def test_a_version_is_found(wanted: str) -> None:
    """A range of versions that can be met has a value in it."""
    text = f'computer.firmware_version = {{ version = "{wanted}" }}'
    found = choices([_requirement(text)])
    assert found
    assert all(meets([_requirement(text)], one) for one in found)


def test_a_version_of_another_scheme_is_found() -> None:
    """A range in another scheme has a value too."""
    requirement = _requirement("computer.firmware_version = { version = '~=2.2', scheme = 'pep440' }")
    assert choices([requirement])[0] == "2.2"


def test_several_are_met_together() -> None:
    """A value must meet everything asked, so what only one admits is left out."""
    first = _requirement("power.screen_off_after.minimum = '10 min'")
    second = _requirement("power.screen_off_after.maximum = '1 h'")
    assert choices([first, second]) == [600, 3600]
    assert choices([first, _requirement("power.screen_off_after.maximum = '5 min'")]) == []


def test_a_minimum_that_may_grow_has_no_value() -> None:
    """Where it is not known how much is asked, no value is known to do."""
    requirement = _requirement("memory.installed.minimum = '16 GB'")
    assert choices([requirement._replace(unsettled="threads are not known")]) == []
