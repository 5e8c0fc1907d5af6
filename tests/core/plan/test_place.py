"""The sections of a place together."""

from __future__ import annotations

from pcaudit.core.derive import Readings
from pcaudit.core.plan.place import place_sections
from tests.core.builders import snapshot_of, value
from tests.core.plan.sites import AS_OF, ON, place_text, sections, shipped, site

THING = 'id = "t"\npower = "9 W"\npower_factor = 1'
BATTERY = 'battery = { voltage = "12 V", charge = "9 Ah", count = 2 }'
NAMES = ["place.power", "place.supply", "place.heat", "place.bench", "place.ports"]


def test_a_worksheet_without_a_place_says_so() -> None:
    """Without the section nothing is judged or minded, and one line says that it was not asked."""
    (section,) = place_sections(site("x = 1\n"), None, shipped(), ON, AS_OF)
    assert not section.findings and section.not_asked == ("the worksheet has no section [place]",)
    assert not section.cautions


def test_an_empty_place_is_judged_in_nothing() -> None:
    """A blank section has no findings, says what was not asked, and shows its cautions."""
    made = sections("[place]\n")
    assert list(made) == NAMES
    for section in made.values():
        assert not section.findings and section.not_asked and section.cautions


def test_findings_begin_with_their_section() -> None:
    """The ids of findings and figures begin with the name of their section, and their group is it."""
    text = place_text(
        "AT",
        circuits=['id = "c"\nrating = "16 A"'],
        outlets=['id = "o"\ncircuit = "c"'],
        supplies=[
            'id = "u"\nruntime_needed = "5 min"\nbattery = { voltage = "12 V", charge = "9 Ah", count = 2 }'
        ],
        things=[
            'id = "t"\nkind = "computer"\npower = "9 W"\npower_factor = 1\nplugged_into = "u"\nlan = "site"'
        ],
        benches=['id = "b"'],
    )
    for name, section in sections(text).items():
        assert section.findings, name
        assert all(one.id.startswith(f"{name}.") and one.group == name for one in section.findings)
        assert all(one.id.startswith(f"{name}.") for one in section.figures)


def test_without_knowledge_only_what_was_entered_counts() -> None:
    """Where the electrical knowledge is not there, its country is as good as not known."""
    text = place_text("AT", circuits=['id = "c"\nrating = "16 A"\nother_load = "100 VA"'])
    section = place_sections(site(text), None, None, ON, AS_OF)[0]
    assert "AT is not in the electrical knowledge" in section.notes[0]
    assert "enter `voltage` of circuit c" in section.findings[0].why


def test_more_screens_than_entered_are_noted() -> None:
    """Screens that the snapshot has and the worksheet has not are in no sum, which is said."""
    text = place_text("AT", things=['id = "s"\nkind = "screen"\npower = "9 W"'])
    for count, noted in ((1, False), (2, True)):
        screens = value([{"name": f"S{i}"} for i in range(count)])
        readings = Readings(snapshot_of({"display.screens": screens}))
        notes = place_sections(site(text), readings, shipped(), ON, AS_OF)[0].notes
        assert any(f"{count} screens" in note for note in notes) == noted
    unknown = Readings(snapshot_of({}))
    assert not any(
        "screens" in note for note in place_sections(site(text), unknown, shipped(), ON, AS_OF)[0].notes
    )


def test_the_same_place_gives_the_same_sections() -> None:
    """Planning is a function of what it is given."""
    text = place_text("AT", things=['id = "s"\npower = "9 W"\nplugged_into = ""'])
    assert sections(text) == sections(text)
