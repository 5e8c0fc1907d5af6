"""The electrical part of a place in figures and tables."""

from __future__ import annotations

from typing import Final

from tests.core.plan.sites import figures, place_text, sections

TEXT: Final = place_text(
    "US",
    circuits=[
        'id = "c"\ntitle = "Panel 7"\nvoltage = "208 V"\nrating = "20 A"\nother_load = "0 W"',
        'id = "d"\nrating = "15 A"',
    ],
    outlets=['id = "o"\ncircuit = "c"\nrating = "20 A"\nsockets = 2', 'id = "p"\ncircuit = "d"', 'id = "q"'],
    strips=[
        'id = "s"\ntitle = "Left strip"\nplugged_into = "o"\nrating = "15 A"\nsockets = 6\nsurge = true',
        'id = "r"\nsurge = false',
    ],
    things=[
        'id = "m"\ntitle = "Module"\ncount = 2\nplugged_into = "o"\napparent = "104 VA"\nbasis = "measured"',
        'id = "w"\nplugged_into = "s"\npower = "50 W"',
        'id = "x"\nkind = "pump"',
    ],
)


def test_what_is_plugged_where() -> None:
    """Each thing has a row for all its pieces, with what is not known marked so."""
    table = sections(TEXT)["place.power"].tables[0]
    assert table.columns == ("thing", "plugged into", "W", "VA", "A", "by")
    assert table.rows == (
        ("2 x Module", "o", "0 to 208", "208", "1", "measured"),
        ("w", "s", "50", "from 50", "from 0.24", "not said"),
        ("x", "?", "?", "?", "?", "not said"),
    )
    first = table.data[0]
    assert first["volt_amperes"] == {"at_least": 208.0, "at_most": 208.0} and first["pieces"] == 2
    assert table.data[1]["amperes"]["at_most"] is None


def test_what_outlets_and_strips_carry() -> None:
    """Each outlet and strip has a row with its load, its rating, and its sockets used and there.

    The pump, of which nobody said where it is plugged in, may be plugged in anywhere.
    """
    table = sections(TEXT)["place.power"].tables[1]
    assert table.rows == (
        ("o", "c", "from 1.24", "20", "3 of 2", ""),
        ("p", "d", "?", "?", "0 of ?", ""),
        ("q", "?", "?", "?", "0 of ?", ""),
        ("Left strip", "o", "from 0.24", "15", "1 of 6", "yes"),
        ("r", "?", "?", "?", "0 of ?", "no"),
    )
    assert table.data[0]["rating"] == 20 and table.data[1]["rating"] is None
    assert (table.data[0]["sockets_used"], table.data[0]["sockets"]) == (3, 2)


def test_tables_are_left_out_where_nothing_is_in_them() -> None:
    """Only what is entered has a table."""
    names = {
        key: [one.title for one in sections(f'[[place.{key}]]\nid = "a"\n')["place.power"].tables]
        for key in ("things", "outlets", "strips", "circuits")
    }
    assert names == {
        "things": ["What is plugged where"],
        "outlets": ["Outlets and strips"],
        "strips": ["Outlets and strips"],
        "circuits": [],
    }


def test_the_current_of_a_circuit() -> None:
    """The current is shown with its formula, and as a lower bound where something is not entered."""
    found = figures(TEXT)
    open_above = found["power.circuit[c].current"]
    assert open_above.title == "Current in Panel 7" and open_above.value is None
    assert open_above.shown == "at least 1.24 A" and "lower bound" in open_above.note  # (208 + 50) / 208
    whole = TEXT.replace('power = "50 W"', 'apparent = "104 VA"').replace('"pump"', '"other"')
    known = figures(whole)["power.circuit[c].current"]
    assert (known.value, known.shown, known.note) == (1.5, "1.5 A", "")
    assert dict(known.inputs) == {"sum of apparent powers": "312 VA", "voltage": "208 V"}


def test_what_may_hang_on_a_circuit() -> None:
    """The figure names the rule for hours, and takes the lowest nominal voltage where none is entered."""
    found = figures(TEXT)
    assert found["power.circuit[c].usable"].title == "What may hang on Panel 7, 3 hours or more"
    assert found["power.circuit[c].usable"].value == 20 * 0.8 * 208
    assert found["power.circuit[d].usable"].value == 15 * 0.8 * 120


def test_the_current_of_a_thing_with_two_figures_says_which_counts() -> None:
    """Where the apparent power is entered as well the note says that the larger counts."""
    for more, noted in (("", False), ('apparent = "90 VA"', True)):
        text = place_text("AT", things=[f'id = "t"\npower = "46 W"\npower_factor = 0.5\n{more}'])
        figure = figures(text)["power.thing[t].current"]
        assert figure.shown == "0.4 A" and bool(figure.note) == noted


def test_the_notes_say_which_voltage_is_used() -> None:
    """Where a voltage is blank the notes say which nominal one takes its place."""
    notes = " ".join(sections(TEXT)["place.power"].notes)
    assert "Where no voltage is entered 120 V is used" in notes
    given = TEXT.replace('id = "d"', 'id = "d"\nvoltage = "120 V"')
    assert "Where no voltage" not in " ".join(sections(given)["place.power"].notes)


def test_the_notes_stand_with_whatever_is_entered() -> None:
    """One list is enough for the notes; an empty place has none."""
    for key in ("things", "outlets", "strips", "circuits"):
        assert sections(f'[[place.{key}]]\nid = "a"\n')["place.power"].notes
    assert not sections("[place]\n")["place.power"].notes


def test_what_is_not_entered_is_said() -> None:
    """The section says which lists are empty, and which things have no kind."""
    assert sections(TEXT)["place.power"].not_asked == (
        "`kind` of thing m is not entered",
        "`kind` of thing w is not entered",
    )
    assert sections("[place]\n")["place.power"].not_asked == (
        "no `[[place.circuits]]` is entered",
        "no `[[place.outlets]]` is entered",
        "no `[[place.things]]` is entered",
    )
