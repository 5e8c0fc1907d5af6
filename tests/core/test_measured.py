"""What can be measured of an arrangement, and values held against it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.compile import compile_profile
from pcaudit.core.finding import Verdict
from pcaudit.core.measured import QUANTITIES, Measured
from pcaudit.core.units import UnitError
from pcaudit.errors import Place


def _wanted(**keys: Any) -> Measured | None:
    arrangement = {"id": "a", "kind": "place", "title": "A", **keys}
    data = {"format": 1, "title": "P", "cpu": {"cores": {"minimum": 1}}, "arrangements": [arrangement]}
    profile = compile_profile(data, path="p.toml", place=lambda _path: Place("p.toml", 1))
    return profile.arrangements[0].measured


@pytest.mark.parametrize(
    ("keys", "expected", "says"),
    [
        ({}, None, ""),
        (
            {"quantity": "temperature", "minimum": "18 °C", "maximum": "77 F"},
            Measured("temperature", 18, 25),  # NIST SP 811 (2008), B.8: t/degC = (t/degF - 32) / 1.8
            "at least 18 °C, at most 25 °C",
        ),
        (
            {"quantity": "count", "minimum": 3, "recommended": 4},
            Measured("count", 3, recommended=4),
            "at least 3 (4 recommended)",
        ),
        ({"quantity": "length", "minimum": "15 cm"}, Measured("length", 150), "at least 15 cm"),
        ({"quantity": "humidity", "maximum": "80 %"}, Measured("humidity", maximum=80), "at most 80 %"),
        ({"quantity": "temperature", "minimum": "-5 °C"}, Measured("temperature", -5), "at least -5 °C"),
        ({"quantity": "mass", "minimum": "80 kg"}, Measured("mass", 80), "at least 80 kg"),
        (
            {"quantity": "apparent power", "minimum": "1.5 kVA"},
            Measured("apparent power", 1500),
            "at least 1.5 kVA",
        ),
    ],
)
def test_what_is_measured_is_compiled(keys: dict[str, Any], expected: Measured | None, says: str) -> None:
    """A quantity and its bounds are read in base units, and said in the units people use."""
    found = _wanted(**keys)
    assert found == expected
    assert found is None or found.says() == says


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=QUANTITIES)
def test_every_example_can_be_read(quantity: Any) -> None:
    """The example in a hint is one that is taken, and is shown as something that is taken too."""
    amount = quantity.read(quantity.example.strip('"'))
    assert quantity.read(quantity.show(amount).partition(" (")[0]) == amount


@pytest.mark.parametrize(
    ("name", "value", "amount"),
    [("humidity", "100 %", 100), ("count", 0, 0), ("count", " 7 ", 7), ("count", "1000000000", 10**9)],
)
def test_the_ends_of_what_is_taken(name: str, value: Any, amount: int) -> None:
    """The largest and smallest amounts are taken themselves."""
    assert QUANTITIES[name].read(value) == amount


@pytest.mark.parametrize("wrong", ["1000000001", 10**9 + 1])
def test_a_count_beyond_reason_is_refused(wrong: Any) -> None:
    """A count of more than a thousand million is a slip."""
    with pytest.raises(UnitError):
        QUANTITIES["count"].read(wrong)


@pytest.mark.parametrize("wrong", [True, -1, 2.5, "2.5", "two", "-2", "", "\u0662", "9" * 11, None])
def test_a_count_is_whole(wrong: Any) -> None:
    """A count has no unit, no sign and no decimals."""
    with pytest.raises(UnitError):
        QUANTITIES["count"].read(wrong)


@pytest.mark.parametrize("name", [name for name in QUANTITIES if name != "count"])
@pytest.mark.parametrize("wrong", [True, 20, "20", "", "never", "20 parsec", "1,5 kg"])
def test_every_other_quantity_has_its_unit(name: str, wrong: Any) -> None:
    """A bare number, a word and another unit are refused."""
    with pytest.raises(UnitError):
        QUANTITIES[name].read(wrong)


@pytest.mark.parametrize(
    ("asked", "amount", "expected"),
    [
        (Measured("temperature", 18, 25), 18, Verdict.MET),
        (Measured("temperature", 18, 25), 25, Verdict.MET),
        (Measured("temperature", 18, 25), 17.9, Verdict.UNMET),
        (Measured("temperature", 18, 25), 25.1, Verdict.UNMET),
        (Measured("power", maximum=1440), 1440.1, Verdict.UNMET),
        (Measured("count", 3, recommended=4), 2, Verdict.UNMET),
        (Measured("count", 3, recommended=4), 3, Verdict.MARGINAL),
        (Measured("count", 3, recommended=4), 4, Verdict.MET),
        (Measured("humidity", maximum=80, recommended=60), 60, Verdict.MET),
        (Measured("humidity", maximum=80, recommended=60), 61, Verdict.MARGINAL),
        (Measured("humidity", maximum=80, recommended=60), 81, Verdict.UNMET),
    ],
)
def test_a_value_is_held_against_the_bounds(asked: Measured, amount: float, expected: Verdict) -> None:
    """A bound is allowed itself; past it is unmet, short of what is recommended marginal."""
    assert asked.judge(amount) is expected


_ORDER = (Verdict.UNMET, Verdict.MARGINAL, Verdict.MET)


@given(st.integers(0, 50), st.integers(0, 50), st.integers(0, 100), st.integers(0, 100))
def test_more_is_never_worse_under_a_minimum(low: int, more: int, first: int, second: int) -> None:
    """With a minimum a larger amount never gets a worse verdict."""
    asked = Measured("count", low, recommended=low + more)
    less, greater = sorted((first, second))
    assert _ORDER.index(asked.judge(less)) <= _ORDER.index(asked.judge(greater))
