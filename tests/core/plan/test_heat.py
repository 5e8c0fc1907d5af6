"""Heat given off in the room."""

from __future__ import annotations

from fractions import Fraction

import pytest

from pcaudit.core.finding import Verdict
from pcaudit.core.plan.heat import btu_per_hour
from tests.core.plan.sites import MET, UNMET, UNVERIFIED, figures, findings, place_text, sections


@pytest.mark.parametrize(
    ("watts", "btu", "within"),
    # NIST SP 811, appendix B.8: 1 BTU_IT/h = 0.293 071 1 W; 1 W = 3.412 142 BTU/h by the unrounded factor,
    # which is why that one is held to one part in a million.
    [("1", 3.412142, 3.4e-6), ("250", 853.0, 0.05), ("400", 1364.9, 0.05), ("3516.9", 12000, 0.5)],
)
def test_watts_in_btu_per_hour(watts: str, btu: float, within: float) -> None:
    """A heat flow in BTU/h is its watts over 0.293 071 1."""
    assert float(btu_per_hour(Fraction(watts))) == pytest.approx(btu, abs=within)


def room(cooling: str, *things: str, supplies: tuple[str, ...] = ()) -> str:
    """A room with cooling and some things."""
    text = place_text("AT", things=list(things), supplies=list(supplies))
    return f'{text}[place.room]\ncooling = "{cooling}"\n'


def thing(entries: str, name: str = "t", kind: str = "pump") -> str:
    """The body of a thing."""
    return f'id = "{name}"\nkind = "{kind}"\n{entries}'


@pytest.mark.parametrize(
    ("cooling", "verdict"),
    [("250 W", MET), ("249.9 W", UNMET), ("853.1 BTU/h", MET), ("853 BTU/h", UNMET), ("", UNVERIFIED)],
)
def test_heat_against_cooling(cooling: str, verdict: Verdict) -> None:
    """What is given off is within the cooling to the watt, whatever unit that was entered in."""
    text = room(cooling, thing('power = "250 W"'))
    finding = findings(text)["heat.room"]
    assert finding.verdict is verdict
    assert text.splitlines()[finding.line - 1] == "[place.room]"
    assert ("within the figures entered" in finding.found) == (verdict is MET)
    assert (finding.why == "enter `cooling` of the room") == (verdict is UNVERIFIED)


def test_without_a_room_the_finding_leads_to_the_place() -> None:
    """Where the room is not entered at all the finding leads to where it would be."""
    finding = findings(place_text("AT", things=[thing('power = "1 W"')]))["heat.room"]
    assert finding.line == 1


def test_heat_is_shown_in_both_units() -> None:
    """The sum is shown in W and BTU/h, with the source of the factor."""
    figure = figures(room("1 kW", thing('power = "250 W"')))["heat.total"]
    assert figure.shown == "250 W (853.0 BTU/h)" and figure.value == 250
    assert "NIST SP 811" in figure.source


@pytest.mark.parametrize(
    ("entries", "low", "high"),
    [
        ('power = "300 W"\ncount = 3', 900, 900),
        ('power = "300 W"\nheat = "1000 BTU/h"', 293.0711, 293.0711),
        ('heat = "120 W"', 120, 120),
        ('apparent = "500 VA"\npower_factor = 0.9', 450, 450),
        ('apparent = "500 VA"', 0, 500),
        ("", 0, None),
    ],
)
def test_what_a_thing_gives_off(entries: str, low: float, high: float | None) -> None:
    """A thing gives off what it draws, at most its apparent power, unless its heat is entered."""
    section = sections(room("2 kW", thing(entries)))["place.heat"]
    (row,) = section.tables[0].data
    assert row["at_least"] == low and row["at_most"] == high


def test_a_thing_without_power_leaves_the_sum_open() -> None:
    """Heat of which only the least is known is never within the cooling, but may be past it."""
    for power, verdict in (("100 W", UNVERIFIED), ("2001 W", UNMET)):
        finding = findings(room("2 kW", thing(f'power = "{power}"'), thing("", "u")))["heat.room"]
        assert finding.verdict is verdict
    assert figures(room("2 kW", thing("")))["heat.total"].value is None


def test_what_draws_nothing_gives_off_nothing() -> None:
    """A tray or a bottle is not asked for its power."""
    text = room("1 kW", thing('power = "100 W"'), thing("", "tray", "other"))
    assert findings(text)["heat.room"].verdict is MET


def test_a_supply_adds_what_it_loses() -> None:
    """A supply of 90 % gives off a ninth of what is behind it; without its efficiency the sum is open."""
    behind = thing('power = "450 W"\nplugged_into = "u"')
    for efficiency, cooling, verdict in (
        ("90 %", "500 W", MET),
        ("90 %", "499.9 W", UNMET),
        ("", "2 kW", UNVERIFIED),
    ):
        text = room(cooling, behind, supplies=(f'id = "u"\nefficiency = "{efficiency}"',))
        assert findings(text)["heat.room"].verdict is verdict


def test_temperature_and_humidity_are_passed_on() -> None:
    """What was measured in the room stands in the section, without a verdict of its own."""
    text = room("1 kW", thing('power = "1 W"')) + 'temperature = "73.4 °F"\nhumidity = "45.5 %"\n'
    notes = " ".join(sections(text)["place.heat"].notes)
    assert "23 °C" in notes and "45.5 %" in notes


def test_without_things_there_is_no_heat_to_judge() -> None:
    """An empty place is asked nothing of its cooling."""
    section = sections(place_text("AT"))["place.heat"]
    assert not section.findings and not section.figures and section.not_asked
