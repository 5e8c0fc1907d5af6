"""The load of circuits, outlets and strips."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.finding import Verdict
from pcaudit.core.plan.electrical_rules import ElectricalKnowledge
from pcaudit.core.plan.mains import HOUSE_MARGIN, mains_of
from pcaudit.core.plan.place import place_sections
from pcaudit.core.plan.wiring import Wiring, volt_amperes_of, watts_of
from pcaudit.core.worksheet.place import MOST_CHAINED
from tests.core.plan.sites import (
    AS_OF,
    BETTER_TO_WORSE,
    MARGINAL,
    MET,
    ON,
    UNMET,
    UNVERIFIED,
    figures,
    findings,
    place_text,
    sections,
    shipped,
    site,
    verdicts,
)

CIRCUIT = 'id = "c"\nrating = "{rating}"\nother_load = "0 W"'
OUTLET = 'id = "o"\ncircuit = "c"\nrating = "{rating}"\nsockets = 4'


def thing(entries: str, name: str = "t", into: str = "o") -> str:
    """The body of a thing."""
    return f'id = "{name}"\nkind = "other"\nplugged_into = "{into}"\n{entries}'


def circuit_with(
    entries: str, country: str = "AT", rating: str = "16 A", outlet: str = "", more: str = ""
) -> str:
    """One thing in one outlet on one circuit."""
    return place_text(
        country,
        circuits=[CIRCUIT.format(rating=rating) + more],
        outlets=[OUTLET.format(rating=outlet or rating)],
        things=[thing(entries)],
    )


# -- the current of one thing


@pytest.mark.parametrize(
    ("country", "power", "factor", "amperes"),
    # I = P / (V x PF), reckoned by hand: 450/(230 x 0.95) = 2.0595, 300/(120 x 0.65) = 3.8462.
    [("AT", "450 W", "0.95", 2.06), ("US", "300 W", "0.65", 3.85)],
)
def test_current_from_power_and_power_factor(country: str, power: str, factor: str, amperes: float) -> None:
    """The current of a thing is its power over voltage and power factor."""
    figure = figures(circuit_with(f'power = "{power}"\npower_factor = {factor}', country))[
        "power.thing[t].current"
    ]
    assert figure.value == pytest.approx(amperes, abs=0.005)
    assert figure.shown == f"{amperes} A" and figure.unit == "A"


@pytest.mark.parametrize(
    ("entries", "watts", "volt_amperes"),
    [
        ('power = "450 W"\npower_factor = 0.9', (450, 450), (500, 500)),
        ('power = "450 W"\napparent = "500 VA"', (450, 450), (500, 500)),
        # Of two figures that disagree the larger counts.
        ('power = "450 W"\napparent = "460 VA"\npower_factor = 0.9', (450, 450), (500, 500)),
        ('power = "450 W"\napparent = "600 VA"\npower_factor = 0.9', (450, 450), (600, 600)),
        ('apparent = "500 VA"\npower_factor = 0.9', (450, 450), (500, 500)),
        ('apparent = "500 VA"', (0, 500), (500, 500)),
        ('power = "450 W"', (450, 450), (450, None)),
        ("", (0, None), (0, None)),
    ],
)
def test_power_and_apparent_power(
    entries: str, watts: tuple[int, int | None], volt_amperes: tuple[int, int | None]
) -> None:
    """What is entered gives bounds of power and apparent power, and the key that is missing."""
    (one,) = site(place_text(things=[f'id = "t"\n{entries}'])).things
    for bounds, expected in ((watts_of(one), watts), (volt_amperes_of(one), volt_amperes)):
        assert bounds.low == expected[0] and bounds.high == expected[1]
        assert bool(bounds.missing) == (bounds.high != bounds.low)


# -- circuits


@pytest.mark.parametrize(
    ("rating", "volt_amperes", "verdict"),
    # NFPA 70, 210.20(A), by secondary texts: a breaker carries 80 % of its rating for hours.
    # At 120 V that is 12 A or 1440 VA of 15 A, and 16 A or 1920 VA of 20 A.
    [
        ("15 A", "1440 VA", MET),
        ("15 A", "1440.0 VA", MET),
        ("15 A", "1440.1 VA", UNMET),
        ("20 A", "1920 VA", MET),
        ("20 A", "1920.1 VA", UNMET),
    ],
)
def test_a_continuous_load_in_north_america(rating: str, volt_amperes: str, verdict: Verdict) -> None:
    """What runs for hours is within 80 % of the breaker, to the volt-ampere."""
    text = circuit_with(f'apparent = "{volt_amperes}"\ncontinuous = true', "US", rating, "40 A")
    finding = findings(text)["power.circuit[c].load"]
    assert finding.verdict is verdict
    assert "counted 1.25 times" in finding.required and "210.20(A)" in finding.source


@pytest.mark.parametrize(("rating", "usable"), [("15 A", 1440), ("20 A", 1920)])
def test_what_a_circuit_may_be_loaded_with(rating: str, usable: int) -> None:
    """The usable apparent power of a circuit is shown with rule, formula and inputs."""
    figure = figures(circuit_with('apparent = "1 VA"', "US", rating))["power.circuit[c].usable"]
    assert figure.value == usable and figure.shown == f"{usable} VA"
    assert dict(figure.inputs) == {"rating": rating, "share": "80 %", "voltage": "120 V"}
    assert "NFPA 70" in figure.source


@pytest.mark.parametrize(
    ("volt_amperes", "verdict"), [("1800 VA", MET), ("1800.1 VA", UNMET)]
)  # 15 A x 120 V
def test_a_short_load_in_north_america(volt_amperes: str, verdict: Verdict) -> None:
    """What does not run for hours may use the whole breaker."""
    text = circuit_with(f'apparent = "{volt_amperes}"\ncontinuous = false', "US", "15 A", "40 A")
    assert verdicts(text)["power.circuit[c].load"] is verdict


@pytest.mark.parametrize(
    ("volt_amperes", "verdict"), [("1440 VA", MET), ("1500 VA", UNVERIFIED), ("1800.1 VA", UNMET)]
)
def test_for_how_long_it_runs_is_not_guessed(volt_amperes: str, verdict: Verdict) -> None:
    """Between the two limits the finding asks how long a thing runs."""
    finding = findings(circuit_with(f'apparent = "{volt_amperes}"', "US", "15 A", "40 A"))[
        "power.circuit[c].load"
    ]
    assert finding.verdict is verdict
    assert finding.why == ("enter `continuous` of thing t" if verdict is UNVERIFIED else "")


@pytest.mark.parametrize(
    ("outlet", "sockets", "volt_amperes", "verdict"),
    # NFPA 70, table 210.21(B)(2), by secondary texts: 12 A from a 15 A receptacle on a 20 A circuit.
    [
        ("15 A", 2, "1440 VA", MET),
        ("15 A", 2, "1440.1 VA", UNMET),
        ("20 A", 2, "1920 VA", MET),
        ("20 A", 2, "1920.1 VA", UNMET),
        ("20 A", 1, "2400 VA", MET),
    ],
)
def test_a_receptacle_among_several(outlet: str, sockets: int, volt_amperes: str, verdict: Verdict) -> None:
    """One of several receptacles gives 80 % of its rating; one by itself all of it."""
    text = circuit_with(f'apparent = "{volt_amperes}"\ncontinuous = false', "US", "20 A", outlet)
    text = text.replace("sockets = 4", f"sockets = {sockets}")
    assert verdicts(text)["power.outlet[o].load"] is verdict


@pytest.mark.parametrize(
    ("country", "rating", "volt_amperes", "verdict"),
    # 80 % is a margin of the house there: 2944 VA of 3680 (16 A), 2392 VA of 2990 (13 A), at 230 V.
    [
        ("AT", "16 A", "2944 VA", MET),
        ("AT", "16 A", "2944.1 VA", MARGINAL),
        ("AT", "16 A", "3680 VA", MARGINAL),
        ("AT", "16 A", "3680.1 VA", UNMET),
        ("GB", "13 A", "2392 VA", MET),
        ("GB", "13 A", "2990 VA", MARGINAL),
        ("GB", "13 A", "2990.1 VA", UNMET),
        # A 10 A strip or appliance inlet (IEC 60320 C13, from memory) carries 2300 VA.
        ("AT", "10 A", "2300 VA", MARGINAL),
        ("AT", "10 A", "2300.1 VA", UNMET),
    ],
)
def test_without_a_rule_the_rating_binds(
    country: str, rating: str, volt_amperes: str, verdict: Verdict
) -> None:
    """Where no rule is known the whole rating may be used, and past 80 % it is marginal."""
    found = findings(circuit_with(f'apparent = "{volt_amperes}"', country, rating))
    assert found["power.circuit[c].load"].verdict is verdict
    assert found["power.outlet[o].load"].verdict is verdict
    assert Fraction(4, 5) == HOUSE_MARGIN
    if verdict is MARGINAL:
        assert "in no code" in found["power.circuit[c].load"].why


@pytest.mark.parametrize(("country", "said"), [("", "`country`"), ("ZZ", "ZZ"), ("JP", "Japan")])
def test_where_no_rule_is_known_a_load_close_to_the_rating_is_unverified(country: str, said: str) -> None:
    """Without the country's rule 80 % is safe to call met, more is not, and past the rating is unmet."""
    for volt_amperes, verdict in (("1200 VA", MET), ("1200.1 VA", UNVERIFIED), ("1500.1 VA", UNMET)):
        text = circuit_with(f'apparent = "{volt_amperes}"', country, "15 A", more='\nvoltage = "100 V"')
        finding = findings(text)["power.circuit[c].load"]
        assert finding.verdict is verdict
        assert (said in finding.why) == (verdict is UNVERIFIED)


def test_a_country_that_is_not_known_is_said() -> None:
    """The section says whose rules were used, from when, or that none were."""
    notes = {
        code: " ".join(sections(circuit_with("", code))["place.power"].notes) for code in ("", "ZZ", "AT")
    }
    assert "No country is entered" in notes[""]
    assert "ZZ is not in the electrical knowledge: only the ratings entered" in notes["ZZ"]
    assert "Austria as known on 2026-11-25" in notes["AT"] and "230 V is used, nominal" in notes["AT"]


def test_old_rules_are_called_old() -> None:
    """Rules more than two years older than the day judged for are to be asked about again."""
    known = ElectricalKnowledge(ON.replace(year=ON.year - 3), shipped().countries)
    made = place_sections(site(circuit_with("")), None, known, ON, AS_OF)
    assert any("more than two years" in note for note in made[0].notes)
    # 730 days are two years; the day after is more.
    for on, old in ((730, False), (731, True)):
        day = shipped().date + timedelta(on)
        made = place_sections(site(circuit_with("")), None, shipped(), day, AS_OF)
        assert any("more than two years" in note for note in made[0].notes) == old


@pytest.mark.parametrize(
    ("spoil", "missing"),
    [
        (('rating = "16 A"\nother', 'rating = ""\nother'), "enter `rating` of circuit c"),
        (('other_load = "0 W"', 'other_load = ""'), "enter `other_load` of circuit c"),
        (('other_load = "0 W"', 'other_load = "100 W"'), "enter `other_load` of circuit c in VA"),
        (('apparent = "500 VA"', 'power = "450 W"'), "enter `power_factor` or `apparent` of thing t"),
        (('apparent = "500 VA"', ""), "enter `power` or `apparent` of thing t"),
        (('"AT"', '""'), "enter `voltage` of circuit c, or `country`"),
    ],
)
def test_what_is_missing_is_asked_for(spoil: tuple[str, str], missing: str) -> None:
    """A blank that could matter makes the circuit unverified, and the reason names its key."""
    text = circuit_with('apparent = "500 VA"')
    assert verdicts(text)["power.circuit[c].load"] is MET
    assert spoil[0] in text
    finding = findings(text.replace(*spoil))["power.circuit[c].load"]
    assert finding.verdict is UNVERIFIED and finding.why.startswith(missing)
    asked = "breaker or fuse (not entered)" if "rating" in missing else "16 A (breaker or fuse)"
    assert finding.required == f"at most {asked}"
    assert "within" not in finding.found


def test_a_load_without_power_factor_can_still_be_too_much() -> None:
    """Power over voltage is the least current, which may be past a rating already."""
    found = findings(circuit_with('power = "3700 W"'))  # 3700 W / 230 V = 16.09 A
    assert found["power.circuit[c].load"].verdict is UNMET
    assert found["power.circuit[c].load"].found == "at least 16.08 A"


def test_what_else_hangs_on_a_circuit_counts() -> None:
    """The other load of a circuit is in its sum, and not in the outlet's."""
    text = circuit_with('apparent = "1000 VA"').replace('"0 W"', '"2700 VA"')
    found = findings(text)
    assert found["power.circuit[c].load"].verdict is UNMET, "3700 VA at 230 V is 16.09 A"
    assert found["power.outlet[o].load"].verdict is MET


def test_another_load_may_be_short_in_north_america() -> None:
    """For how long the other load runs is not known, so it counts once at least and 1.25 times at most."""
    for load, verdict in (("1440 VA", MET), ("1441 VA", UNVERIFIED), ("1801 VA", UNMET)):
        text = circuit_with('apparent = "0 VA"', "US", "15 A", "40 A").replace('"0 W"', f'"{load}"')
        assert verdicts(text)["power.circuit[c].load"] is verdict


@pytest.mark.parametrize("volts", ["400 V", "95 V"])
def test_a_voltage_that_is_not_usual_proves_nothing(volts: str) -> None:
    """Current is not reckoned at several phases, nor at a voltage the country does not have."""
    text = circuit_with('apparent = "9999 VA"', more=f'\nvoltage = "{volts}"')
    finding = findings(text)["power.circuit[c].load"]
    assert finding.verdict is UNVERIFIED and "circuit c" in finding.why
    assert ("230 V is usual in Austria" in finding.why) == (volts == "95 V")
    assert "power.circuit[c].usable" not in figures(text)


@pytest.mark.parametrize("volts", ["207 V", "230 V", "253 V"])  # IEC 60038: 230 V +- 10 %, from memory
def test_a_measured_voltage_is_used(volts: str) -> None:
    """A voltage within the tolerance of the nominal one is reckoned with as entered."""
    text = circuit_with('apparent = "2300 VA"', more=f'\nvoltage = "{volts}"')
    figure = figures(text)["power.circuit[c].current"]
    assert figure.value == pytest.approx(2300 / float(volts.split()[0]))


def test_the_section_says_within_the_figures_entered_and_never_safe() -> None:
    """Met is within the figures entered; cautions stand with it, and the word safe nowhere."""
    text = circuit_with('apparent = "500 VA"')
    assert findings(text)["power.circuit[c].load"].found == "2.18 A, within the figures entered"
    for section in sections(text).values():
        assert "licensed electrician" in " ".join(section.cautions)
        assert " safe " not in str(section).replace("site's safety", "")


@pytest.mark.parametrize(("protection", "words"), [("fuse", "(fuse)"), ("", "(breaker or fuse)")])
def test_what_protects_a_circuit_is_named(protection: str, words: str) -> None:
    """The limit of a circuit is called by what protects it, as far as that is entered."""
    text = circuit_with("", more=f'\nprotection = "{protection}"')
    assert findings(text)["power.circuit[c].load"].required == f"at most 16 A {words}"


# -- outlets and strips


@pytest.mark.parametrize(
    ("volt_amperes", "verdict"), [("1440 VA", MET), ("1440.1 VA", UNMET)]
)  # CSA C22.1, 8-104, from memory: 80 % of 15 A at 120 V
def test_an_outlet_in_canada_follows_the_rule_of_its_breaker(volt_amperes: str, verdict: Verdict) -> None:
    """Where only breakers have a rule for hours an outlet is held to it as well."""
    text = circuit_with(f'apparent = "{volt_amperes}"\ncontinuous = true', "CA", "40 A", "15 A")
    assert verdicts(text)["power.outlet[o].load"] is verdict
    short = text.replace("continuous = true", "continuous = false")
    assert verdicts(short)["power.outlet[o].load"] is MET


def test_a_type_without_a_country_is_only_a_name() -> None:
    """Where no country's sockets are known an outlet's type says nothing of its rating."""
    text = circuit_with('apparent = "100 VA"', "", more='\nvoltage = "230 V"')
    typed = text.replace("sockets = 4", 'sockets = 4\ntype = "CEE 7/3"')
    assert verdicts(typed)["power.outlet[o].load"] is MET
    blank = typed.replace('circuit = "c"\nrating = "16 A"', 'circuit = "c"')
    assert verdicts(blank)["power.outlet[o].load"] is UNVERIFIED


@pytest.mark.parametrize(
    ("entries", "verdict", "said"),
    [
        ('rating = "16 A"', MET, ""),
        ('type = "cee 7/3"', MET, ""),
        ('rating = "16 A"\ntype = "CEE 7/3"', MET, ""),
        ('type = "NEMA 5-15"', UNVERIFIED, "`rating` or `type` of outlet o"),
        ("", UNVERIFIED, "`rating` or `type` of outlet o"),
        # Four ordinary sockets give 64 A at most: more is asked about.
        ('rating = "64 A"', MET, ""),
        ('rating = "65 A"', UNVERIFIED, "`type` of outlet o: an ordinary socket gives 16 A"),
        ('rating = "65 A"\ntype = "IEC 60309"', MET, ""),
    ],
)
def test_what_an_outlet_gives(entries: str, verdict: Verdict, said: str) -> None:
    """An outlet gives its rating or its type's; a rating above any ordinary socket's is asked about."""
    text = circuit_with('apparent = "500 VA"').replace(
        'circuit = "c"\nrating = "16 A"', f'circuit = "c"\n{entries}'
    )
    finding = findings(text)["power.outlet[o].load"]
    assert finding.verdict is verdict and said in finding.why


def test_a_rating_above_that_of_its_type_does_not_count() -> None:
    """An outlet gives no more than its sockets together, whatever is entered."""
    text = circuit_with('apparent = "3700 VA"', rating="32 A", outlet="20 A").replace(
        "sockets = 4", 'sockets = 1\ntype = "CEE 7/3"'
    )
    finding = findings(text)["power.outlet[o].load"]
    assert finding.verdict is UNMET and "16 A (its sockets by CEE 7/3 together)" in finding.required


@pytest.mark.parametrize(
    ("entries", "verdict"),
    # BS 1363, by secondary texts: a socket gives 13 A, 2990 VA at 230 V.
    [
        ('apparent = "2990 VA"', MET),
        ('apparent = "2990.1 VA"', UNMET),
        ('apparent = "1500 VA"\ncount = 3', MET),
        ('power = "1500 W"', UNVERIFIED),
    ],
)
def test_no_single_plug_draws_more_than_a_socket_gives(entries: str, verdict: Verdict) -> None:
    """Where an outlet has several sockets each piece draws no more than one of them gives."""
    text = circuit_with(entries, "GB", rating="32 A", outlet="26 A")
    finding = findings(text)["power.outlet[o].plug"]
    assert finding.verdict is verdict and finding.required == "at most 13 A (a socket by BS 1363)"
    assert "BS 1363" in finding.source
    assert "power.outlet[o].plug" not in findings(circuit_with(entries, "GB", rating="32 A", outlet="13 A"))


def test_a_strip_hangs_on_one_socket() -> None:
    """A strip draws no more than one socket gives, however many the outlet has."""
    text = strip_with('apparent = "3700 VA"', strip=STRIP.replace("10 A", "32 A"), outlet="32 A")
    finding = findings(text)["power.strip[s].load"]
    assert finding.verdict is UNMET and "16 A (a socket by CEE 7/3)" in finding.required
    assert findings(text)["power.outlet[o].plug"].verdict is UNMET


def test_a_plug_among_several_receptacles_in_the_united_states() -> None:
    """One plug draws no more than 80 % of what its receptacle gives (NFPA 70, table 210.21(B)(2))."""
    text = circuit_with('apparent = "1441 VA"', "US", rating="40 A", outlet="30 A")
    typed = text.replace("sockets = 4", 'sockets = 4\ntype = "NEMA 5-15"')
    finding = findings(typed)["power.outlet[o].plug"]
    assert finding.verdict is UNMET
    assert finding.required == "at most 12 A (80 % of a socket by NEMA 5-15)"


def test_a_type_that_is_not_known_is_said() -> None:
    """An outlet of a type the country's knowledge does not have counts as entered, and the notes say so."""
    text = circuit_with('apparent = "1 VA"').replace("sockets = 4", 'sockets = 4\ntype = "IEC 60309"')
    assert any("type of outlet o is not known here" in note for note in sections(text)["place.power"].notes)
    text = text.replace("IEC 60309", "CEE 7/3")
    assert not any("type of outlet" in note for note in sections(text)["place.power"].notes)


STRIP = 'id = "s"\nplugged_into = "o"\nrating = "10 A"\nsockets = 6'


def strip_with(entries: str, country: str = "AT", strip: str = STRIP, outlet: str = "16 A") -> str:
    """One thing in one strip in one outlet."""
    return place_text(
        country,
        circuits=[CIRCUIT.format(rating="16 A")],
        outlets=[OUTLET.format(rating=outlet)],
        strips=[strip],
        things=[thing(entries, into="s")],
    )


@pytest.mark.parametrize(
    ("volt_amperes", "verdict"),
    [("1840 VA", MET), ("1840.1 VA", MARGINAL), ("2300 VA", MARGINAL), ("2300.1 VA", UNMET)],  # 10 A x 230 V
)
def test_a_strip_carries_its_rating(volt_amperes: str, verdict: Verdict) -> None:
    """A strip carries its rating, and past 80 % of it is marginal."""
    assert verdicts(strip_with(f'apparent = "{volt_amperes}"'))["power.strip[s].load"] is verdict


def test_a_strip_carries_no_more_than_its_outlet_gives() -> None:
    """The draw on a strip stays below what its outlet gives (common practice, no source)."""
    found = findings(strip_with('apparent = "1500 VA"', outlet="6 A"))
    assert found["power.strip[s].load"].verdict is UNMET
    assert found["power.strip[s].load"].required == "at most 10 A (the strip) and 6 A (the outlet)"
    assert found["power.outlet[o].load"].verdict is UNMET


@pytest.mark.parametrize(
    ("country", "fuse", "verdict"),
    # BS 1362, by secondary texts: the largest fuse of a plug is 13 A.
    [
        ("GB", "", UNMET),
        ("GB", 'plug_fuse = "3 A"', UNMET),
        ("AT", "", MET),
        ("AT", 'plug_fuse = "13 A"', UNMET),
    ],
)
def test_a_strip_carries_no_more_than_the_fuse_in_its_plug(country: str, fuse: str, verdict: Verdict) -> None:
    """Where plugs have fuses a strip carries no more than the largest, or than its own."""
    strip = f'id = "s"\nplugged_into = "o"\nrating = "20 A"\nsockets = 6\n{fuse}'
    outlet = '32 A"\ntype = "IEC 60309'
    text = strip_with('apparent = "3000 VA"', country, strip, outlet)  # 13.04 A
    assert verdicts(text)["power.strip[s].load"] is verdict


def test_a_strip_that_is_plugged_in_nowhere_is_unverified() -> None:
    """Without its outlet nobody knows what a strip may draw."""
    finding = findings(strip_with('apparent = "100 VA"', strip=STRIP.replace('"o"', '""')))
    assert finding["power.strip[s].load"].verdict is UNVERIFIED
    assert finding["power.strip[s].load"].why == "enter `plugged_into` of strip s"
    assert finding["power.strip[s].plug"].verdict is UNVERIFIED


@pytest.mark.parametrize(
    ("lost", "missing"),
    [
        ("[[place.things]]\n" + thing('apparent = "5 kVA"', "pc", ""), "enter `plugged_into` of thing pc"),
        (
            '[[place.supplies]]\nid = "u"\ninput_va = "5 kVA"\n[[place.things]]\n'
            + thing('power = "4 kW"\npower_factor = 1', "pc", "u"),
            "enter `plugged_into` of supply u",
        ),
        (
            '[[place.strips]]\nid = "s"\n[[place.things]]\n' + thing('apparent = "5 kVA"', "pc", "s"),
            "enter `plugged_into` of strip s",
        ),
    ],
)
def test_what_is_plugged_in_nowhere_may_be_anywhere(lost: str, missing: str) -> None:
    """No outlet and no circuit is called within its limits while a load has no place."""
    text = circuit_with('apparent = "100 VA"')
    names = ("power.circuit[c].load", "power.outlet[o].load")
    before, after = findings(text), findings(f"{text}\n{lost}")
    for name in names:
        assert before[name].verdict is MET
        assert after[name].verdict is UNVERIFIED and missing in after[name].why


def test_loads_add_up_through_strips_and_supplies() -> None:
    """A circuit carries everything that hangs on it, at whatever remove."""
    text = place_text(
        "AT",
        circuits=[CIRCUIT.format(rating="16 A")],
        outlets=[OUTLET.format(rating="16 A")],
        strips=['id = "s1"\nplugged_into = "o"', 'id = "s2"\nplugged_into = "s1"'],
        supplies=['id = "u"\nplugged_into = "o"\ninput_va = "900 VA"\nefficiency = "90 %"'],
        things=[
            thing('apparent = "100 VA"', "a", "o"),
            thing('apparent = "200 VA"\ncount = 2', "b", "s1"),
            thing('apparent = "300 VA"', "c", "s2"),
            thing('power = "450 W"\napparent = "500 VA"', "d", "u"),
        ],
    )
    wiring = Wiring(site(text))
    assert wiring.load("s2").va == wiring.load("s2").counted
    assert [wiring.load(name).va.high for name in ("s2", "s1", "u", "o")] == [300, 700, 500, 1700]
    # Behind the supply 450 W over 90 % are the least it takes, 900 VA the most.
    assert wiring.load("o").va.low == 100 + 700 + 500
    assert wiring.plugs_in("o") == 3 and wiring.plugs_in("s1") == 3


def test_a_supply_without_its_input_is_a_lower_bound() -> None:
    """What a supply takes while it charges is not guessed."""
    text = place_text(
        "AT",
        circuits=[CIRCUIT.format(rating="16 A")],
        outlets=[OUTLET.format(rating="16 A")],
        supplies=['id = "u"\nplugged_into = "o"'],
        things=[thing('apparent = "100 VA"', into="u")],
    )
    finding = findings(text)["power.circuit[c].load"]
    assert finding.verdict is UNVERIFIED and "enter `input_va` of supply u" in finding.why


def test_a_supply_that_takes_less_than_it_gives_is_asked_about() -> None:
    """What a supply takes at most cannot be less than the power behind it."""
    text = place_text(
        "AT",
        circuits=[CIRCUIT.format(rating="16 A")],
        outlets=[OUTLET.format(rating="16 A")],
        supplies=['id = "u"\nplugged_into = "o"\nefficiency = "90 %"\ninput_va = "111 VA"'],
        things=[thing('power = "100 W"\npower_factor = 1', into="u")],  # 100 W / 0.9 = 111.1 W
    )
    finding = findings(text)["power.circuit[c].load"]
    assert finding.verdict is UNVERIFIED and "`input_va` of supply u again" in finding.why
    assert findings(text.replace("111 VA", "112 VA"))["power.circuit[c].load"].verdict is MET


def test_a_supply_whose_most_is_too_much_is_to_be_measured() -> None:
    """Between what hangs on a supply and what it takes at most only a measurement tells."""
    text = place_text(
        "AT",
        circuits=[CIRCUIT.format(rating="16 A")],
        outlets=[OUTLET.format(rating="16 A")],
        supplies=['id = "u"\nplugged_into = "o"\ninput_va = "4 kVA"'],
        things=[thing('power = "100 W"\npower_factor = 1', into="u")],
    )
    finding = findings(text)["power.circuit[c].load"]
    assert finding.verdict is UNVERIFIED and "measure" in finding.why


def test_a_long_chain_is_summed() -> None:
    """A chain as long as is read is summed like a short one."""
    strips = [f'id = "s{i}"\nplugged_into = "{f"s{i - 1}" if i else "o"}"' for i in range(MOST_CHAINED)]
    last = f"s{MOST_CHAINED - 1}"
    text = place_text(outlets=['id = "o"'], strips=strips, things=[thing('apparent = "7 VA"', into=last)])
    assert Wiring(site(text)).load("o").va.high == 7


# -- more load is never better

DRAWS = st.sampled_from(
    [
        "",
        'power = "100 W"',
        'power = "900 W"',
        'power = "900 W"\npower_factor = 0.7',
        'apparent = "250 VA"\ncontinuous = true',
        'apparent = "1000 VA"',
        'apparent = "1440 VA"\ncontinuous = false',
    ]
)
KIND = st.sampled_from(["", "computer", "screen", "printer", "instrument module", "pump", "other"])
INTO = st.sampled_from(["o", "p", "s", "u"])


SUPPLY = (
    'id = "u"\nplugged_into = "p"\nsockets = 2\ncapacity_va = "1500 VA"\ncapacity_w = "900 W"\n'
    'efficiency = "90 %"\ninput_va = "1800 VA"\nruntime_needed = "9 min"\n'
    'battery = { voltage = "12 V", charge = "9 Ah", count = 2, remaining = "100 %" }\n'
    'runtimes = [{ load = "300 W", runtime = "25 min" }, { load = "900 W", runtime = "5 min" }]'
)


@st.composite
def things(draw: st.DrawFn, name: str) -> str:
    """A thing that is plugged in somewhere."""
    return f'id = "{name}"\nkind = "{draw(KIND)}"\nplugged_into = "{draw(INTO)}"\n{draw(DRAWS)}'


@given(
    country=st.sampled_from(["", "US", "AT", "GB", "JP"]),
    other=st.sampled_from(["", "0 W", "500 VA", "300 W"]),
    rating=st.sampled_from(["", "10 A", "15 A", "20 A"]),
    before=st.lists(st.integers(0, 9), unique=True, max_size=4).flatmap(
        lambda names: st.tuples(*(things(f"t{name}") for name in names))
    ),
    more=things("more"),
)
def test_another_load_never_makes_anything_better(
    country: str, other: str, rating: str, before: tuple[str, ...], more: str
) -> None:
    """Adding a load never lowers a circuit's load, and no verdict gets better by it."""

    def text(listed: tuple[str, ...]) -> str:
        return place_text(
            country,
            circuits=[f'id = "c"\nvoltage = "120 V"\nrating = "{rating}"\nother_load = "{other}"'],
            outlets=[
                f'id = "o"\ncircuit = "c"\nrating = "{rating}"\nsockets = 3',
                'id = "p"\ncircuit = "c"\nrating = "15 A"\nsockets = 3',
            ],
            strips=[f'id = "s"\nplugged_into = "o"\nrating = "{rating}"\nsockets = 4'],
            supplies=[SUPPLY],
            things=list(listed),
        )

    sparse, full = text(before), text((*before, more))
    factor = mains_of(site(sparse), shipped()).factor
    for name in ("o", "p", "s", "u"):
        small, large = (Wiring(site(one), factor).load(name) for one in (sparse, full))
        for one, two in zip(small, large, strict=True):
            assert one.low <= two.low
            assert two.high is None or (one.high is not None and one.high <= two.high)
    assert all(one.why for one in findings(full).values() if one.verdict is UNVERIFIED)
    worse = verdicts(full)
    for name, verdict in verdicts(sparse).items():
        if verdict in BETTER_TO_WORSE:
            assert BETTER_TO_WORSE.index(verdict) <= BETTER_TO_WORSE.index(worse[name]), name
