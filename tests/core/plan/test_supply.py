"""Uninterruptible supplies."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.finding import Verdict
from pcaudit.core.plan.supply import formula_minutes
from tests.core.plan.sites import (
    MARGINAL,
    MET,
    UNMET,
    UNVERIFIED,
    figures,
    findings,
    place_text,
    sections,
    verdicts,
)

BATTERY = 'battery = {{ voltage = "12 V", charge = "9 Ah", count = 2{more} }}'
TABLE = 'runtimes = [{ load = "200 W", runtime = "40 min" }, { load = "400 W", runtime = "15 min" }]'


def supply_with(entries: str, thing: str = 'power = "300 W"\npower_factor = 0.95') -> str:
    """A supply with one thing behind it."""
    things = [f'id = "t"\nkind = "computer"\nplugged_into = "u"\n{thing}'] if thing else []
    return place_text("AT", supplies=[f'id = "u"\n{entries}'], things=things)


def battery(more: str = "") -> str:
    """Two batteries of 12 V and 9 Ah."""
    return BATTERY.format(more=more)


@pytest.mark.parametrize(
    ("more", "minutes"),
    # 12 V x 9 Ah x 2 x 0.9 / 300 W = 38.88 min, and 0.8 of that with aged batteries: 31.10 min.
    [(', remaining = "100 %"', 38.9), (', remaining = "80 %"', 31.1)],
)
def test_runtime_by_the_formula(more: str, minutes: float) -> None:
    """The formula gives the most minutes, shown with all that goes into it."""
    figure = figures(supply_with(f'efficiency = "90 %"\n{battery(more)}'))["supply.supply[u].runtime"]
    assert figure.value is not None and round(figure.value / 60, 1) == minutes
    assert figure.unit == "s"
    assert dict(figure.inputs)["voltage"] == "12 V" and dict(figure.inputs)["charge"] == "9 Ah"
    assert dict(figure.inputs)["efficiency"] == "90 %"
    assert [name for name, _ in figure.inputs] == [
        *("voltage", "charge", "batteries", "efficiency", "remaining", "load")
    ]


def test_the_formula_alone() -> None:
    """Volts times ampere-hours times batteries times efficiency over watts are hours."""
    assert formula_minutes(Fraction(12), Fraction(9), 2, Fraction(9, 10), Fraction(300)) == Fraction("38.88")


@pytest.mark.parametrize(
    ("needed", "verdict"),
    [("10 min", UNVERIFIED), ("38 min", UNVERIFIED), ("39 min", UNMET)],
)
def test_the_formula_can_only_say_no(needed: str, verdict: Verdict) -> None:
    """The formula gives too long a time, so it shows that a supply falls short and never that it does not."""
    text = supply_with(f'efficiency = "90 %"\n{battery()}\nruntime_needed = "{needed}"')
    finding = findings(text)["supply.supply[u].runtime"]
    assert finding.verdict is verdict
    assert finding.found == "at most 38.8 min"
    assert ("enter `runtimes` of supply u" in finding.why) == (verdict is UNVERIFIED)


@pytest.mark.parametrize(
    ("needed", "remaining", "verdict"),
    [
        # At 300 W at least what the table says of 400 W: 15 min; at most what it says of 200 W: 40 min.
        ("12 min", "100 %", MET),
        ("12.1 min", "100 %", MARGINAL),
        ("15 min", "100 %", MARGINAL),
        ("15.1 min", "100 %", UNVERIFIED),
        # The formula gives 38.88 min, which is less than the table's 40 min.
        ("38.8 min", "100 %", UNVERIFIED),
        ("38.9 min", "100 %", UNMET),
        ("12 min", "80 %", MET),
        ("12.1 min", "80 %", UNVERIFIED),
        ("7.5 min", "50 %", MET),
        ("20.1 min", "50 %", UNMET),
    ],
)
def test_the_makers_table_can_say_yes(needed: str, remaining: str, verdict: Verdict) -> None:
    """A table says at least what it says of a higher load, and the charge that is left counts in it."""
    more = f', remaining = "{remaining}"'
    text = supply_with(f'efficiency = "90 %"\n{battery(more)}\n{TABLE}\nruntime_needed = "{needed}"')
    finding = findings(text)["supply.supply[u].runtime"]
    assert finding.verdict is verdict
    if verdict is MARGINAL:
        assert "80 %" in finding.why
    if verdict is UNVERIFIED:
        assert finding.why.startswith("enter one of `runtimes` for this load: ")


@pytest.mark.parametrize(
    ("runtime", "needed", "verdict", "found"),
    [
        # 12 V x 9 Ah x 2 x 0.9 / 400 W = 29.16 min with new batteries, 38.88 min at 300 W.
        ("29 min", "20 min", MET, "29 to 38.8 min, within the figures entered"),
        ("30 min", "20 min", UNVERIFIED, "at most 38.8 min"),
        ("25 h", "20 min", UNVERIFIED, "at most 38.8 min"),
        ("25 h", "40 min", UNMET, "at most 38.8 min"),
    ],
)
def test_a_table_cannot_outrun_the_batteries(runtime: str, needed: str, verdict: Verdict, found: str) -> None:
    """A runtime longer than the battery entered can give is a mistake, and shows no supply to be enough."""
    full = battery(', remaining = "100 %"')
    table = f'runtimes = [{{ load = "400 W", runtime = "{runtime}" }}]'
    text = supply_with(f'efficiency = "90 %"\n{full}\n{table}\nruntime_needed = "{needed}"')
    finding = findings(text)["supply.supply[u].runtime"]
    assert (finding.verdict, finding.found) == (verdict, found)
    if verdict is UNVERIFIED:
        assert finding.why == (
            "the runtime at 400 W of supply u contradicts the battery entered, which gives at most 29.1 min: "
            "one of the two is wrong"
        )


def test_a_load_past_the_table_runs_no_longer_than_its_last_entry() -> None:
    """Past the end of a table its last entry is the most, and there is no least."""
    for needed, verdict in (("15 min", UNVERIFIED), ("15.1 min", UNMET)):
        text = supply_with(f'{TABLE}\nruntime_needed = "{needed}"', 'power = "500 W"')
        finding = findings(text)["supply.supply[u].runtime"]
        assert (finding.verdict, finding.found) == (verdict, "at most 15 min")


def test_how_old_the_batteries_are_is_not_guessed() -> None:
    """A table is of new batteries: without what is left of theirs nothing is met."""
    finding = findings(supply_with(f'{TABLE}\nruntime_needed = "5 min"'))["supply.supply[u].runtime"]
    assert finding.verdict is UNVERIFIED and "enter `remaining` of the battery of supply u" in finding.why


@pytest.mark.parametrize(
    ("entries", "thing", "verdict", "why"),
    [
        (TABLE, "", Verdict.NOT_APPLICABLE, "nothing is plugged into it"),
        (TABLE, "\n", UNVERIFIED, "enter `power` or `apparent` of thing t"),
        ("", 'power = "300 W"', UNVERIFIED, "enter `runtimes` of supply u"),
        (TABLE, 'power = "500 W"', UNVERIFIED, "enter `runtimes` of supply u"),
        # Apparent power is the most the power can be.
        (TABLE, 'apparent = "400 VA"', MET, ""),
    ],
)
def test_what_runtime_depends_on(entries: str, thing: str, verdict: Verdict, why: str) -> None:
    """Without a load there is no runtime, and without table or load no verdict."""
    left = 'battery = { remaining = "100 %" }'
    finding = findings(supply_with(f'{entries}\n{left}\nruntime_needed = "5 min"', thing))[
        "supply.supply[u].runtime"
    ]
    assert finding.verdict is verdict and finding.why.startswith(why)


def test_without_a_runtime_that_is_needed_there_is_no_verdict() -> None:
    """How long it must carry is the lab's to say; until then the section says it was not asked."""
    text = supply_with(battery())
    assert "supply.supply[u].runtime" not in findings(text)
    assert "`runtime_needed` of supply u is not entered" in sections(text)["place.supply"].not_asked


@pytest.mark.parametrize(
    ("entries", "va", "watts"),
    # 300 W at a power factor of 0.75 are 400 VA.
    [
        ('capacity_va = "500 VA"\ncapacity_w = "375 W"', MET, MET),
        ('capacity_va = "499 VA"\ncapacity_w = "374 W"', MARGINAL, MARGINAL),
        ('capacity_va = "400 VA"\ncapacity_w = "300 W"', MARGINAL, MARGINAL),
        ('capacity_va = "399 VA"\ncapacity_w = "900 W"', UNMET, MET),
        ('capacity_va = "1500 VA"\ncapacity_w = "299 W"', MET, UNMET),
        ('capacity_va = "1500 VA"', MET, UNVERIFIED),
        ('capacity_w = "900 W"', UNVERIFIED, MET),
    ],
)
def test_a_supply_has_two_limits(entries: str, va: Verdict, watts: Verdict) -> None:
    """A supply is held against its volt-amperes and against its watts, each by itself."""
    found = verdicts(supply_with(entries, 'power = "300 W"\npower_factor = 0.75'))
    assert found["supply.supply[u].va"] is va
    assert found["supply.supply[u].w"] is watts


def test_watts_are_no_volt_amperes() -> None:
    """Without a power factor the volt-amperes are not known, and are never taken for the watts."""
    found = findings(supply_with('capacity_va = "1500 VA"\ncapacity_w = "900 W"', 'power = "300 W"'))
    assert found["supply.supply[u].w"].verdict is MET
    assert found["supply.supply[u].va"].verdict is UNVERIFIED
    assert found["supply.supply[u].va"].why == "enter `power_factor` or `apparent` of thing t"


@given(st.integers(1, 900), st.integers(0, 300), st.integers(1, 60))
def test_more_load_never_runs_longer(watts: int, more: int, needed: int) -> None:
    """A higher load never gives a better verdict on the runtime."""
    order = (MET, MARGINAL, UNVERIFIED, UNMET)
    entries = f'efficiency = "90 %"\n{battery(", remaining = " + chr(34) + "90 %" + chr(34))}\n{TABLE}'
    one, two = (
        verdicts(supply_with(f'{entries}\nruntime_needed = "{needed} min"', f'power = "{load} W"'))[
            "supply.supply[u].runtime"
        ]
        for load in (watts, watts + more)
    )
    assert order.index(one) <= order.index(two)


def test_a_place_without_supplies_is_asked_nothing() -> None:
    """Without a supply the section says so and judges nothing."""
    section = sections(place_text("AT"))["place.supply"]
    assert not section.findings and section.not_asked == ("no `[[place.supplies]]` is entered",)
    assert not section.notes and sections(supply_with(""))["place.supply"].notes
