"""The drawn gauges: shape and scale."""

from __future__ import annotations

import re
from typing import Final

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.report import Verdict
from pcaudit.render import gauge_svg
from pcaudit.render.gauge_svg import HEIGHT, WIDTH, Level
from pcaudit.render.levels import level_of, ratio_words
from tests.render.page import Element, Page
from tests.render.samples import GB, finding

TO_SCALE: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.UNMET, Verdict.ACCEPTED)


def _paths(svg: str) -> dict[str, list[list[float]]]:
    """The numbers of each path, by its class."""
    found: dict[str, list[list[float]]] = {}
    for path in Page(svg).all("path"):
        numbers = [float(number) for number in re.findall(r"-?[0-9.]+", path.get("d"))]
        found.setdefault(path.get("class"), []).append(numbers)
    return found


def _level_end(svg: str) -> float:
    """Where the level ends, from the left."""
    ends = [float(x) for path in _level(svg) for x in re.findall(r"[HL]([0-9.]+)", path.get("d"))]
    return max(ends)


def _level(svg: str) -> list[Element]:
    return [path for path in Page(svg).all("path") if path.get("class") == "l"]


def _shapes() -> dict[Verdict, str]:
    page = gauge_svg.signs()
    names = [re.search('#([a-z-]+)"', gauge_svg.sign(verdict)) for verdict in Verdict]
    return {
        verdict: page.partition(f'id="{name[1]}"')[2].partition("</symbol>")[0]
        for verdict, name in zip(Verdict, names, strict=True)
        if name is not None
    }


def _kind(shape: str) -> tuple[str, ...]:
    """What a shape is made of, without where it stands: kinds of line, and the letters of its paths."""
    return tuple(
        f"{one.get('class')}{re.sub('[0-9. -]+', '', one.get('d'))}" for one in Page(shape).all("path")
    )


def test_verdicts_differ_without_colour() -> None:
    """In black and white each verdict still has a shape of its own."""
    kinds = {verdict: _kind(shape) for verdict, shape in _shapes().items()}
    assert len(kinds) == len(Verdict)
    # Marginal and unmet differ in where the level ends; the others in what they are made of.
    assert len(set(kinds.values())) == len(Verdict)


def test_no_shape_has_a_colour_of_its_own() -> None:
    """Colours are the style sheet's, so that a dark screen and paper get theirs."""
    whole = gauge_svg.signs() + gauge_svg.outcome(3, 2, 1) + gauge_svg.scaled(Verdict.MET, Level(2, 1))
    assert "fill" not in whole and "stroke" not in whole and "style" not in whole


amounts = st.floats(0, 1e18)


@given(amounts, amounts, st.none() | amounts, st.sampled_from(TO_SCALE))
def test_the_level_ends_where_the_verdict_says(
    found: float, minimum: float, recommended: float | None, verdict: Verdict
) -> None:
    """Whatever the amounts, a level that is met passes its limits, and one that is unmet stops short."""
    if minimum <= 0:
        return
    if recommended is not None and recommended < minimum:
        recommended = minimum
    svg = gauge_svg.scaled(verdict, Level(found, minimum, recommended))
    paths = _paths(svg)
    (limit,) = (numbers[0] for numbers in paths["t"])
    wished = [numbers[0] for numbers in paths.get("r", [])]
    end = _level_end(svg)
    if verdict is Verdict.MET:
        assert end > max([limit, *wished]) + 4
    elif verdict is Verdict.MARGINAL:
        assert end >= limit - 0.1
        assert all(end < one for one in wished)
    else:
        assert 2 < end < limit - 4
    assert all(0 <= number <= WIDTH for numbers in paths["l"] + paths["t"] for number in numbers)
    assert HEIGHT == 20


def test_amounts_stand_to_scale() -> None:
    """Half of the minimum reaches half as far as the limit stands, the recommended twice as far."""
    paths = _paths(svg := gauge_svg.scaled(Verdict.UNMET, Level(8, 16, 32)))
    (limit,), (wished,) = [[one[0] for one in paths[name]] for name in ("t", "r")]
    assert _level_end(svg) - 2 == pytest.approx((limit - 2) / 2, abs=0.2)
    assert wished - 2 == pytest.approx(2 * (limit - 2), abs=0.2)


@pytest.mark.parametrize("verdict", [Verdict.UNVERIFIED, Verdict.NOT_APPLICABLE])
def test_what_is_not_known_has_no_level(verdict: Verdict) -> None:
    """A number that proves nothing is not drawn as if it did."""
    assert gauge_svg.scaled(verdict, Level(8, 16)) == gauge_svg.sign(verdict)


@pytest.mark.parametrize("level", [Level(1, 0), Level(float("inf"), 1), Level(float("nan"), 1)])
def test_what_has_no_scale_is_a_sign(level: Level) -> None:
    """Without a limit to measure by, or an amount to draw, the verdict's sign is drawn."""
    assert gauge_svg.scaled(Verdict.MET, level) == gauge_svg.sign(Verdict.MET)


@given(st.integers(0, 400), st.integers(0, 400), st.integers(0, 400))
def test_the_whole_passes_its_limit_only_when_all_hold(held: int, unknown: int, short: int) -> None:
    """The gauge of a report passes the limit when every binding condition holds, and else ends before it."""
    svg = gauge_svg.outcome(held, unknown, short)
    if not held + unknown + short:
        assert svg == ""
        return
    paths = _paths(svg)
    (limit,) = (numbers[0] for numbers in paths["t"])
    if not unknown + short:
        assert _level_end(svg) > limit
    elif held:
        assert _level_end(svg) < limit
    else:
        assert "l" not in paths
    assert ("d" in paths) == (unknown > 0)


def test_a_scale_of_many_conditions_stays_readable() -> None:
    """However many conditions there are, the scale has at most 60 marks."""
    for count in (1, 2, 60, 61, 1000):
        marks = Page(gauge_svg.outcome(count, 0, 0)).all("path")[1].get("d").count("M")
        assert marks <= 60


# -- amounts read back from a finding's words


@pytest.mark.parametrize(
    ("name", "required", "value", "level"),
    [
        ("cpu.cores", "at least 4", 8, Level(8, 4)),
        ("cpu.cores", "at least 4 (8 recommended)", 4, Level(4, 4, 8)),
        ("memory.installed", "at least 16 GB (32 GB recommended)", 8 * GB, Level(8 * GB, 16 * GB, 32 * GB)),
        ("storage.system_size", "at least 200 GB (186.3 GiB)", 10**11, Level(1e11, 2e11)),
        (
            "storage.system_free",
            "at least 60 GB (55.9 GiB) (100 GB (93.1 GiB) recommended)",
            5 * 10**10,
            Level(5e10, 6e10, 1e11),
        ),
        (
            "memory.installed",
            "at least 28 GB = 16 GB + 3 x 4 GB (instruments) (44 GB recommended)",
            8 * GB,
            Level(8 * GB, 28 * GB, 44 * GB),
        ),
        ("memory.installed", "at least 20 GB = 16 GB + 4 GB", 8 * GB, Level(8 * GB, 20 * GB)),
        ("power.sleep_after", "at least 30 min", 600, Level(600, 1800)),
        ("cpu.max_clock", "at least 2.5 GHz", 3_100_000_000, Level(3.1e9, 2.5e9)),
    ],
)
def test_amounts_are_read_back(name: str, required: str, value: float, level: Level) -> None:
    """The words of a minimum give back the amounts they were made of."""
    entry = finding(name, Verdict.UNMET, required=required)._replace(value=value)
    assert level_of(entry) == level


@pytest.mark.parametrize(
    ("name", "required", "value"),
    [
        ("cpu.cores", "at most 8", 4),
        ("cpu.cores", "exactly 4", 4),
        ("cpu.cores", "at least 4, at most 8", 4),
        ("cpu.cores", "at least 4 = 2 + 2, at most 8", 4),
        ("cpu.cores", "at least 4 (advised)", 4),
        ("cpu.cores", "at least 4, plus 2 for each of instruments", 4),
        ("cpu.cores", "at least 4", None),
        ("cpu.cores", "at least 4", True),
        ("cpu.cores", "at least 0", 4),
        ("cpu.cores", "at least 1.2.3", 4),
        ("memory.installed", "at least 16", 8 * GB),
        ("memory.installed", "at least 16 Gbit/s", 8 * GB),
        ("memory.installed", "at least 16 GB (32 MHz recommended)", 8 * GB),
        ("power.sleep_after", "never", 600),
        ("power.sleep_after", "at least 30 min", "never"),
        ("os.support_ends", "at least 2027-06-30", "2026-10-13"),
        ("cpu.level", "at least x86-64-v2", "x86-64-v3"),
        ("memory.modules[pair]", "at least 2", 2),
        ("no.such", "at least 2", 2),
    ],
)
def test_what_does_not_read_back_whole_has_no_scale(name: str, required: str, value: object) -> None:
    """Other limits, other types and amounts that are not understood are drawn without a scale."""
    entry = finding(name, Verdict.UNMET, required=required)._replace(value=value)
    assert level_of(entry) is None


@pytest.mark.parametrize(
    ("found", "minimum", "words"),
    [
        (8, 20, "0.40 times the minimum"),
        (15.999, 16, "0.99 times the minimum"),
        (16, 16, "1.00 times the minimum"),
        (39.99, 20, "1.99 times the minimum"),
        (199.9, 20, "9.99 times the minimum"),
        (205, 20, "10 times the minimum"),
        (0, 20, "0.00 times the minimum"),
    ],
)
def test_a_ratio_is_never_rounded_up(found: float, minimum: float, words: str) -> None:
    """What falls short never reads as if it reached the minimum."""
    assert ratio_words(Level(found, minimum)) == words
