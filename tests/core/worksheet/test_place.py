"""Reading the section place of a worksheet."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.worksheet.place import MOST_CHAINED, exact
from tests.core.plan.sites import FILE, read, site

OUTLET = '[[place.outlets]]\nid = "wall"\n'


def test_a_worksheet_without_a_place_was_not_asked() -> None:
    """A worksheet that says nothing of the place gives a place that was not asked."""
    found = site("format = 1\n")
    assert not found.asked and found.file == FILE


BLANKS = {
    "circuits": "voltage rating protection other_load",
    "outlets": "circuit type rating sockets",
    "strips": "plugged_into rating sockets surge plug_fuse",
    "supplies": "plugged_into sockets capacity_va capacity_w input_va efficiency runtime_needed",
    "things": "kind count plugged_into power apparent power_factor basis continuous heat stands_on stack "
    "width depth height mass clear_sides clear_behind clear_above lan wall_ports plug_fuse",
    "benches": "width depth load height headroom",
    "ports": "lan speed tested",
}


@pytest.mark.parametrize("name", BLANKS)
def test_blanks_are_no_mistakes(name: str) -> None:
    """Every blank is a question not yet answered, and the section was asked all the same."""
    keys = "".join(f'{key} = ""\n' for key in ("title", "note", *BLANKS[name].split()))
    found, mistakes = read(f'[[place.{name}]]\nid = "x"\n{keys}')
    assert found.asked and not mistakes


def test_a_blank_room_and_a_blank_battery_are_no_mistakes() -> None:
    """Blanks in tables within tables are questions too."""
    room = '[place]\ncountry = ""\n[place.room]\ntemperature = ""\nhumidity = ""\ncooling = ""\n'
    battery = 'battery = { voltage = "", charge = "", count = "", remaining = "" }\n'
    found, mistakes = read(f'{room}[[place.supplies]]\nid = "u"\n{battery}')
    assert found.asked and not mistakes


def test_everything_is_read_as_it_was_written() -> None:
    """Amounts become exact base units, whatever unit they were written in, and lines are kept."""
    found = site(
        '[place]\ncountry = "at"\n'
        '[place.room]\ntemperature = "71.6 °F"\nhumidity = "45 %"\ncooling = "12000 BTU/h"\n'
        '[[place.circuits]]\nid = "c"\ntitle = "Circuit 7"\nvoltage = "0.23 kV"\nrating = "16 A"\n'
        'protection = "Breaker"\nother_load = "0.4 kW"\n'
        '[[place.things]]\nid = "t"\nkind = "Instrument  module"\npower = "450 W"\npower_factor = 0.95\n'
        'mass = "10 lb"\nwidth = "10 in"\nstands_on = "floor"\n'
    )
    assert found.country == "AT" and found.line == 1
    assert found.room.temperature == pytest.approx(22.0)
    # NIST SP 811, appendix B.8: 12 000 BTU/h = 3516.8532 W, 1 lb = 0.453 592 37 kg, 1 in = 25.4 mm.
    assert found.room.cooling == Fraction("3516.8532") and found.room.humidity == Fraction("0.45")
    (circuit,) = found.circuits
    assert (circuit.title, circuit.protection, circuit.line) == ("Circuit 7", "breaker", 7)
    assert circuit.voltage == 230 and circuit.rating == 16
    assert circuit.other_watts == 400 and circuit.other_va is None
    (thing,) = found.things
    assert (thing.kind, thing.power_factor, thing.pieces) == ("instrument module", Fraction("0.95"), 1)
    assert thing.mass == Fraction("4.5359237") and thing.width == 254
    assert thing.title == "t", "without a title the id stands for it"


def test_other_load_in_volt_amperes_and_none_at_all() -> None:
    """What else hangs on a circuit may be volt-amperes, and no watts are no volt-amperes."""
    one, two = site(
        '[[place.circuits]]\nid = "a"\nother_load = "1.5 kVA"\n'
        '[[place.circuits]]\nid = "b"\nother_load = "0 W"\n'
    ).circuits
    assert one.other_watts is None and one.other_va == 1500
    assert two.other_watts == 0 and two.other_va == 0


THING = '[[place.things]]\nid = "t"\n'
SUPPLY = '[[place.supplies]]\nid = "u"\n'


@pytest.mark.parametrize(
    ("text", "line", "said", "hint"),
    [
        ("place = 3\n", 1, "is a section", "[place]"),
        ("[[place]]\nx = 1\n", 1, "is a section", "[place]"),
        ("[place]\ncirciuts = 1\n", 2, "unknown key `circiuts`", "did you mean `circuits`?"),
        ("[place]\ncircuits = 1\n", 2, "list of tables", "[[place.circuits]]"),
        ("[place]\nroom = 1\n", 2, "is a section", "[place.room]"),
        ('[place]\ncountry = "Austria"\n', 2, "no country", "ISO 3166-1"),
        ("[place]\ncountry = 43\n", 2, "is a text", "country"),
        ('[place.room]\ntemperature = "22 W"\n', 2, "not a temperature", "22 °C"),
        ('[place.room]\ntemperature = "-300 °C"\n', 2, "absolute zero", "22 °C"),
        ('[place.room]\nhumidity = "145 %"\n', 2, "out of reason", "100"),
        ('[place.room]\ncooling = "-3 kW"\n', 2, "not negative", "kW"),
        ("[[place.circuits]]\nrating = '16 A'\n", 1, "every circuit has an `id`", "bench-1"),
        ('[[place.circuits]]\nid = "a b"\n', 2, "cannot be an id", "letters"),
        ('[[place.circuits]]\nid = "c"\nrating = "16 W"\n', 3, "not a unit of a current", "A"),
        ('[[place.circuits]]\nid = "c"\nrating = 16\n', 3, "a current with its unit", "16 A"),
        ('[[place.circuits]]\nid = "c"\nrating = "0 A"\n', 3, "out of reason", "at least 0.1"),
        ('[[place.circuits]]\nid = "c"\nrating = "16000 A"\n', 3, "out of reason", "at most 1000"),
        ('[[place.circuits]]\nid = "c"\nvoltage = "12 V"\n', 3, "out of reason", "at least 50"),
        ('[[place.circuits]]\nid = "c"\nprotection = "braker"\n', 3, "none of what", "breaker"),
        ('[[place.circuits]]\nid = "c"\nother_load = "2 A"\n', 3, "not a unit of a power", "kW"),
        (OUTLET + 'circuit = "c9"\n', 3, "there is no circuit `c9`", "list one with id"),
        (OUTLET + "sockets = 2.5\n", 3, "whole number", "without quotes"),
        (OUTLET + "sockets = 0\n", 3, "from 1", "outside"),
        (OUTLET + OUTLET, 4, "is used twice", "line 2"),
        (OUTLET + '[[place.strips]]\nid = "wall"\n', 4, "is used twice", "line 2"),
        (
            OUTLET + '[[place.strips]]\nid = "s"\nplugged_into = "wal"\n',
            5,
            "no outlet or supply `wal`",
            "`wall`",
        ),
        (SUPPLY + 'efficiency = "0 %"\n', 3, "more than 0 %", "90 %"),
        (SUPPLY + 'efficiency = "101 %"\n', 3, "out of reason", "100"),
        (SUPPLY + 'battery = "12 V"\n', 3, "is a section", "battery"),
        (SUPPLY + 'battery = { volts = "12 V" }\n', 3, "unknown key `volts`", "voltage"),
        (SUPPLY + 'battery = { charge = "9 A" }\n', 3, "not a unit", "Ah"),
        (SUPPLY + 'runtime_needed = "never"\n', 3, "cannot be never", "30 min"),
        (SUPPLY + 'runtimes = [{ load = "300 W" }]\n', 3, "a runtime has its load", "25 min"),
        (
            SUPPLY
            + 'runtimes = [{ load = "300 W", runtime = "9 min" }, { load = "400 W", runtime = "10 min" }]\n',
            3,
            "higher load has the longer runtime",
            "maker's table",
        ),
        (THING + 'kind = "module"\n', 3, "none of what", "instrument module"),
        (THING + "count = 0\n", 3, "from 1", "outside"),
        (THING + "count = 1001\n", 3, "to 1000", "outside"),
        (THING + 'plugged_into = "wall"\n', 3, "no outlet, strip or supply `wall`", "first"),
        (THING + 'stands_on = "bench"\n', 3, "there is no bench `bench`", "floor"),
        (THING + 'power = "-450 W"\n', 3, "not negative", "350 W"),
        (THING + 'power = "450 VA"\n', 3, "not a unit of a power", "kW"),
        (THING + 'power = "900 kW"\n', 3, "out of reason", "200000"),
        (THING + 'apparent = "450 W"\n', 3, "not a unit of an apparent power", "kVA"),
        (THING + 'power = "450 W"\napparent = "400 VA"\n', 4, "less than the power", "never fewer"),
        (THING + "power_factor = 0\n", 3, "from 0.05 to 1", "outside"),
        (THING + "power_factor = 1.2\n", 3, "from 0.05 to 1", "outside"),
        (THING + 'power_factor = "0.9"\n', 3, "is a number", "without quotes"),
        (THING + 'continuous = "yes"\n', 3, "true or false", "without quotes"),
        (THING + 'width = "40"\n', 3, "has no unit", "300 mm"),
        (THING + 'width = "40 m"\n', 3, "out of reason", "30000"),
        ('[place.room]\ncooling = "1 ton"\n', 2, "not a unit of a heat flow", "units: kW, W, BTU/h"),
        ('[place.room]\ncooling = "10 btu/h"\n', 2, "not a unit of a heat flow", "BTU/h"),
        ('[[place.circuits]]\nid = "c"\nother_load = "2 A"\n', 3, "not a unit of a power", "W, kVA, VA"),
        (THING + 'mass = "20 N"\n', 3, "not a unit of a mass", "kg"),
        ('[[place.benches]]\nid = "b"\nload = "1,5 t"\n', 3, "comma", "point"),
        ('[[place.ports]]\nid = "p"\nspeed = "1 GB"\n', 3, "not a unit of a link speed", "bit/s"),
        (
            '[[network.lans]]\nid = "site"\n[[place.ports]]\nid = "p"\nlan = "sight"\n',
            5,
            "there is no network `sight`",
            "`site`",
        ),
    ],
)
def test_a_mistake_is_told_at_its_line(text: str, line: int, said: str, hint: str) -> None:
    """Every mistake has its file, its line, what is wrong and what would be right."""
    (mistake,) = read(text)[1]
    assert mistake.place is not None and (mistake.place.file, mistake.place.line) == (FILE, line)
    assert said in mistake.message and hint in mistake.hint


def test_a_network_may_have_any_name_where_none_are_listed() -> None:
    """Without networks in the worksheet the name of one is only a name."""
    assert not read('[[place.ports]]\nid = "p"\nlan = "anything"\n')[1]


@pytest.mark.parametrize(
    ("plugs", "said"),
    [
        ({"s1": "s1"}, "`s1` is plugged into itself"),
        ({"s1": "s2", "s2": "s1"}, "`s1` is plugged into itself through s2"),
        ({"s1": "s2", "s2": "s3", "s3": "s1"}, "`s1` is plugged into itself through s2, s3"),
        ({"s0": "s1", "s1": "s2", "s2": "s1"}, "`s1` is plugged into itself through s2"),
    ],
)
def test_a_circle_of_strips_is_refused(plugs: dict[str, str], said: str) -> None:
    """A strip that is plugged into itself, by whatever way, is a mistake told once."""
    text = "".join(
        f'[[place.strips]]\nid = "{one}"\nplugged_into = "{into}"\n' for one, into in plugs.items()
    )
    (mistake,) = read(text)[1]
    assert mistake.message == said and "outlet" in mistake.hint


def test_a_strip_and_a_supply_in_a_circle_are_refused() -> None:
    """A circle through a supply is one as well."""
    text = (
        '[[place.strips]]\nid = "s"\nplugged_into = "u"\n[[place.supplies]]\nid = "u"\nplugged_into = "s"\n'
    )
    assert [one.message for one in read(text)[1]] == ["`s` is plugged into itself through u"]


@given(st.lists(st.sampled_from("abcdefw"), min_size=6, max_size=6))
def test_circles_are_found_and_nothing_else(targets: list[str]) -> None:
    """Strips are refused exactly where following the plugs comes back to where it was."""
    into = dict(zip("abcdef", targets, strict=True))
    text = OUTLET.replace("wall", "w") + "".join(
        f'[[place.strips]]\nid = "{one}"\nplugged_into = "{target}"\n' for one, target in into.items()
    )

    def ends(one: str) -> str:
        for _ in into:
            one = into.get(one, "w")
        return one

    mistakes = read(text)[1]
    assert all("itself" in one.message for one in mistakes)
    assert bool(mistakes) == any(ends(one) != "w" for one in into)


@pytest.mark.parametrize(("length", "mistakes"), [(MOST_CHAINED, 0), (MOST_CHAINED + 1, 1), (3000, 1)])
def test_a_chain_of_strips_has_an_end(length: int, mistakes: int) -> None:
    """A chain as long as allowed is read, to be told as one later; a longer one is refused once."""
    strips = "".join(
        f'[[place.strips]]\nid = "s{i}"\nplugged_into = "{f"s{i - 1}" if i else "wall"}"\n'
        for i in range(length)
    )
    found, told = read(OUTLET + strips)
    assert len(found.strips) == length
    assert [one.message for one in told] == ["`s16` hangs on a chain of 16"] * mistakes


def test_thousands_of_names_are_not_compared_with_thousands() -> None:
    """Where there are many names a wrong one is told without looking for one that is near."""
    outlets = "".join(f'[[place.outlets]]\nid = "o{i}"\n' for i in range(100))
    (mistake,) = read(f'{outlets}{THING}plugged_into = "o-1"\n')[1]
    assert mistake.hint == 'list one with id = "o-1" first'


@given(st.decimals(min_value=0, max_value=10**6, places=3))
def test_a_number_is_what_was_written(number: object) -> None:
    """The fraction of a number is the decimal that a person wrote, not the nearest binary one."""
    assert exact(float(str(number))) == Fraction(str(number))
