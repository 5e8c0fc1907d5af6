"""Choosing options and parameters."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.choose import ask
from pcaudit.errors import UsageError
from tests.core.builders import profile_of

TEXT = """
[parameters]
instruments = { default = 2, minimum = 1, maximum = 4 }
hours = { default = 1.5, minimum = 0.5 }
[cpu.cores]
minimum = 2
[options.camera.cpu.cores]
minimum = 4
"""
PROFILE = profile_of(TEXT)


@pytest.mark.parametrize(
    "setting",
    [
        *(
            "instruments=0",
            "instruments=5",
            "instruments=2.5",
            "instruments=x",
            "instruments=",
            "instruments=-1",
        ),
        *("instruments=nan", "instruments=inf", "instruments=" + "9" * 5000),
        *("hours=nan", "hours=inf", "hours=-inf", "hours=1e999", "hours=0.4", "hours=1e13"),
    ],
)
def test_a_value_outside_a_parameters_range_is_refused(setting: str) -> None:
    """What is no number, not whole where it must be, or out of range is refused with the range."""
    name, _, text = setting.partition("=")
    with pytest.raises(UsageError) as caught:
        ask([PROFILE], (), {name: text})
    assert "from" in caught.value.next_step


def test_the_profile_with_the_narrower_range_is_named() -> None:
    """Where two products allow different values, the one that refuses is named, and what each allows."""
    other = profile_of("parameters.instruments = { default = 1, maximum = 2 }\ncpu.cores = { minimum = 2 }")
    narrow = {"instruments": other.parameters["instruments"]._replace(profile="beta.toml")}
    with pytest.raises(UsageError) as caught:
        ask([PROFILE, other._replace(parameters=narrow)], (), {"instruments": "3"})
    assert "outside the range of beta.toml" in caught.value.message
    assert caught.value.next_step == (
        "beta.toml allows a whole number from 0 to 2; p.toml allows a whole number from 1 to 4"
    )


@pytest.mark.parametrize(("text", "value"), [("1", 1), ("4", 4)])
def test_the_ends_of_a_range_may_be_chosen(text: str, value: int) -> None:
    """Minimum and maximum belong to a parameter's range."""
    (asked,) = ask([PROFILE], (), {"instruments": text})
    assert asked.parameters["instruments"].value == value
    assert asked.given == {"instruments"}


@given(st.text(max_size=12))
def test_any_text_is_a_value_or_refused(text: str) -> None:
    """No text as a parameter's value does anything but count or be refused."""
    try:
        (asked,) = ask([PROFILE], (), {"hours": text})
    except UsageError:
        return
    assert 0.5 <= asked.parameters["hours"].value <= 1e12


def test_what_was_not_chosen_is_known() -> None:
    """An option left out adds no condition; a parameter left out counts at its default."""
    (asked,) = ask([PROFILE])
    assert [one.name for one in asked.left_out] == ["camera"]
    assert len(asked.conditions) == 1
    assert asked.parameters["instruments"].value == 2
    assert not asked.given
    (chosen,) = ask([PROFILE], ["camera"])
    assert not chosen.left_out
    assert len(chosen.conditions) == 2


@pytest.mark.parametrize(
    ("options", "values", "hint"),
    [
        (["camra"], {}, "did you mean `camera`?"),
        ([], {"instrument": "2"}, "did you mean `instruments`?"),
    ],
)
def test_names_that_no_profile_declares_are_refused(
    options: list[str], values: dict[str, str], hint: str
) -> None:
    """An option or parameter that no profile has is refused with the closest one."""
    with pytest.raises(UsageError) as caught:
        ask([PROFILE], options, values)
    assert hint in caught.value.next_step


def test_one_product_of_several_may_offer_what_is_chosen() -> None:
    """With two products, an option of one is chosen of that one only."""
    first, second = ask([PROFILE, profile_of("cpu.cores = { minimum = 2 }")], ["camera"])
    assert first.options == {"camera"}
    assert second.options == frozenset()
