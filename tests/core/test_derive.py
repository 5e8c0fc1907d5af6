"""Readings that follow from observations."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.catalogue import CATALOGUE, LEVEL_FEATURES, LEVELS
from pcaudit.core.derive import Readings
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, Observation
from tests.core.builders import (
    MARGINAL,
    MET,
    UNMET,
    UNVERIFIED,
    absent,
    at_least,
    snapshot_of,
    unknown,
    value,
    verdict_of,
)

V1, V2, V3, V4 = (list(LEVEL_FEATURES[level]) for level in LEVELS)


def _get(name: str, readings: dict[str, Any]) -> Observation:
    return Readings(snapshot_of(readings)).get(name)


# x86-64 psABI, "Micro-architecture levels".
@pytest.mark.parametrize(
    ("features", "level"),
    [
        (V1, "x86-64-v1"),
        (V1 + V2, "x86-64-v2"),
        (V1 + V2 + V3, "x86-64-v3"),
        (V1 + V2 + V3 + V4, "x86-64-v4"),
        (V1 + V3, "x86-64-v1"),
        (V1 + V2 + V3[1:], "x86-64-v2"),
        ([feature.upper() for feature in V1 + V2], "x86-64-v2"),
    ],
)
def test_a_level_needs_every_feature_up_to_it(features: list[str], level: str) -> None:
    """The level is the highest whose features, and those of all levels below, are there."""
    seen = _get("cpu.level", {"os.machine": value("x86_64"), "cpu.features": value(features)})
    assert seen.value == level
    assert "psABI" in seen.source


@pytest.mark.parametrize(
    ("readings", "form"),
    [
        ({"os.machine": value("arm64"), "cpu.features": value(["neon"])}, Form.ABSENT),
        ({"os.machine": value("x86_64"), "cpu.features": value([])}, Form.UNKNOWN),
        ({"os.machine": value("x86_64"), "cpu.features": value(V1[1:])}, Form.UNKNOWN),
        ({"os.machine": value("x86_64"), "cpu.features": unknown("CPUID is blocked")}, Form.UNKNOWN),
        ({"os.machine": value("x86_64"), "cpu.features": absent("")}, Form.UNKNOWN),
        ({"os.machine": value("x86_64"), "cpu.features": value(V1[1:], complete=False)}, Form.UNKNOWN),
        ({"os.machine": value("x86_64"), "cpu.features": value(V1, complete=False)}, Form.AT_LEAST),
        ({"cpu.features": value(V1)}, Form.KNOWN),
        ({}, Form.UNKNOWN),
    ],
)
def test_a_level_that_cannot_be_told_has_a_reason(readings: dict[str, Any], form: Form) -> None:
    """Features that are unknown, incomplete or too few give no level, other machines have none."""
    seen = _get("cpu.level", readings)
    assert seen.form is form
    assert seen.why or form is Form.KNOWN


def test_a_level_reached_by_an_incomplete_list_is_a_lower_bound() -> None:
    """What was seen makes up a level; what was not seen may make up a higher one."""
    features = value(V1 + V2 + V3[1:], complete=False, why="not all can be asked for")
    seen = _get("cpu.level", {"cpu.features": features})
    assert (seen.form, seen.value) == (Form.AT_LEAST, "x86-64-v2")
    assert V3[0] in seen.why
    assert "not all can be asked for" in seen.why


@pytest.mark.parametrize(
    ("asked", "verdict"),
    [
        ('"x86-64-v1"', MET),
        ('"x86-64-v2"', MET),
        ('"x86-64-v3"', UNVERIFIED),
        ('{ maximum = "x86-64-v1" }', UNMET),
        ('{ maximum = "x86-64-v2" }', UNVERIFIED),
        ('{ minimum = "x86-64-v2", recommended = "x86-64-v3" }', MARGINAL),
    ],
)
def test_a_level_known_from_below_proves_only_minimums(asked: str, verdict: Verdict) -> None:
    """A lower bound proves a minimum and disproves a maximum, never the reverse; levels rank by the psABI."""
    readings = {"os.machine": value("x86_64"), "cpu.features": value(V1 + V2, complete=False, why="hidden")}
    assert verdict_of(f"cpu.level = {asked}", readings) is verdict


def test_the_highest_level_of_an_incomplete_list_is_sure() -> None:
    """Where every feature of every level was seen, what was not seen changes nothing."""
    features = value(V1 + V2 + V3 + V4, complete=False)
    assert _get("cpu.level", {"cpu.features": features}).value == "x86-64-v4"


ADAPTERS = [{"medium": "wired"}, {"medium": "wireless"}, {"medium": "wired"}, {"medium": "virtual"}]


def test_physical_wired_adapters_are_counted() -> None:
    """Wireless and virtual adapters are no wired ones."""
    seen = _get("network.wired_count", {"network.adapters": value(ADAPTERS)})
    assert (seen.form, seen.value) == (Form.KNOWN, 2)


@pytest.mark.parametrize(
    "adapters",
    [
        value([*ADAPTERS, {"medium": None}]),
        value([*ADAPTERS, {}]),
        value([*ADAPTERS, {"medium": "unheard of"}]),
        value(ADAPTERS, complete=False, why="one card is hidden"),
    ],
)
def test_a_count_with_open_items_is_a_lower_bound(adapters: dict[str, Any]) -> None:
    """Adapters of an unknown medium, or unseen, may be wired: the count is a bound with a reason."""
    seen = _get("network.wired_count", {"network.adapters": adapters})
    assert (seen.form, seen.value) == (Form.AT_LEAST, 2)
    assert seen.why


def test_a_count_of_an_unknown_list_is_unknown() -> None:
    """Nothing is counted where the list was not read, and its reason is passed on."""
    seen = _get("display.screen_count", {"display.screens": unknown("no graphics driver")})
    assert (seen.form, seen.why) == (Form.UNKNOWN, "no graphics driver")
    assert _get("display.screen_count", {"display.screens": absent("")}).form is Form.UNKNOWN


@pytest.mark.parametrize(("screens", "number"), [([], 0), ([{}], 1), ([{}, {}], 2)])
def test_screens_are_counted_whatever_is_known_of_them(screens: list[Any], number: int) -> None:
    """Each screen in use counts, named or not."""
    assert _get("display.screen_count", {"display.screens": value(screens)}).value == number


# 1920 x 1080 at 125 % is 1536 x 864, at 150 % 1280 x 720: arithmetic.
@pytest.mark.parametrize(
    ("scaling", "width", "height"), [(100, 1920, 1080), (125, 1536, 864), (150, 1280, 720)]
)
def test_programs_see_fewer_pixels_where_the_desktop_scales(scaling: int, width: int, height: int) -> None:
    """Logical pixels are physical ones by the scaling, rounded down."""
    readings = {
        "display.primary_width": value(1920),
        "display.primary_height": value(1080),
        "display.primary_scaling": value(scaling),
    }
    assert _get("display.primary_logical_width", readings).value == width
    assert _get("display.primary_logical_height", readings).value == height


@pytest.mark.parametrize(
    "form", [unknown("run at the console"), absent("no screen"), at_least(800, "who knows")]
)
@pytest.mark.parametrize("name", ["display.primary_width", "display.primary_scaling"])
def test_without_pixels_or_scaling_there_are_no_logical_pixels(name: str, form: dict[str, Any]) -> None:
    """What the logical size follows from must be known exactly; else its reason is passed on."""
    readings = {"display.primary_width": value(1920), "display.primary_scaling": value(100), name: form}
    seen = _get("display.primary_logical_width", readings)
    assert seen.form is (Form.ABSENT if "absent" in form else Form.UNKNOWN)
    assert seen.why == form["why"]


# sqrt(w^2 + h^2) / inches: arithmetic.
@pytest.mark.parametrize(
    ("width", "height", "diagonal", "ppi"),
    [
        (1920, 1080, 24, 91.79),
        (1920, 1080, 23.8, 92.56),
        (1280, 1024, 19, 86.27),
        (2560, 1440, 27, 108.79),
        (3840, 2160, 27, 163.18),
    ],
)
def test_pixels_per_inch_follow_from_pixels_and_diagonal(
    width: int, height: int, diagonal: float, ppi: float
) -> None:
    """The pixels along the diagonal by its inches."""
    screen = {"width": width, "height": height, "diagonal": diagonal}
    (seen,) = _get("display.screens", {"display.screens": value([screen])}).value
    assert seen["ppi"] == pytest.approx(ppi, abs=0.005)


@pytest.mark.parametrize(
    "screen",
    [
        {"ppi": 96},
        {"width": 1920, "height": 1080, "ppi": 96},
        {"width": 1920, "height": 1080, "diagonal": None, "ppi": 96},
        {"width": 7680, "height": 4320, "diagonal": 1, "ppi": 96},
    ],
)
def test_pixels_per_inch_are_never_taken_from_a_snapshot(screen: dict[str, Any]) -> None:
    """A ppi beside unknown or impossible measures is unknown, whatever the snapshot says."""
    (seen,) = _get("display.screens", {"display.screens": value([screen])}).value
    assert seen["ppi"] is None


def test_every_derived_reading_of_an_empty_snapshot_is_unknown_with_a_reason() -> None:
    """Nothing is derived from nothing, and each reading says why."""
    readings = Readings(snapshot_of({}))
    for name in CATALOGUE:
        seen = readings.get(name)
        assert seen.form is Form.UNKNOWN
        assert seen.why


def test_a_reading_the_catalogue_does_not_have_is_a_fault_of_the_caller() -> None:
    """Nobody asks for a reading that does not exist without noticing."""
    with pytest.raises(KeyError):
        Readings(snapshot_of({})).get("no.such_reading")


def test_a_derived_reading_is_derived_once() -> None:
    """Asking twice gives the same observation."""
    readings = Readings(snapshot_of({"cpu.features": value(V1)}))
    assert readings.get("cpu.level") is readings.get("cpu.level")
