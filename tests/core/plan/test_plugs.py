"""What may be plugged into what."""

from __future__ import annotations

import pytest

from pcaudit.core.finding import Verdict
from tests.core.plan.sites import MARGINAL, MET, UNMET, UNVERIFIED, findings, place_text, verdicts

OUTLET = 'id = "wall"\nsockets = {sockets}\nrating = "16 A"'


def thing(name: str, kind: str, into: str = "s", more: str = "") -> str:
    """The body of a thing."""
    return f'id = "{name}"\nkind = "{kind}"\nplugged_into = "{into}"\npower = "10 W"\n{more}'


def strip_with(*things: str, more: str = "sockets = 6") -> str:
    """A strip with some things on it."""
    return place_text(
        outlets=[OUTLET.format(sockets=4)],
        strips=[f'id = "s"\nplugged_into = "wall"\n{more}'],
        things=list(things),
    )


@pytest.mark.parametrize(
    ("kinds", "verdict"),
    # Common practice, no source: a computer and its screens share a strip, and nothing joins them.
    [
        (("computer",), MET),
        (("computer", "screen"), MET),
        (("computer", "screen", "screen"), MET),
        (("computer", "printer"), UNMET),
        (("computer", "screen", "pump"), UNMET),
        (("computer", "switch"), UNMET),
        (("computer", "instrument module"), UNMET),
        (("computer", "computer"), UNMET),
        (("computer", "other"), UNMET),
        (("computer", ""), UNVERIFIED),
        (("computer", "printer", ""), UNMET),
        (("pump", ""), UNVERIFIED),
        (("pump", "printer"), None),
        (("",), None),
        ((), None),
    ],
)
def test_who_may_share_a_strip_with_a_computer(kinds: tuple[str, ...], verdict: Verdict | None) -> None:
    """A computer shares its strip with screens only; a thing of unknown kind leaves it open."""
    text = strip_with(*(thing(f"t{i}", kind) for i, kind in enumerate(kinds)))
    assert verdicts(text).get("power.strip[s].company") is verdict


def test_who_must_go_is_named() -> None:
    """The finding names what shares the strip, and what is to be plugged in elsewhere."""
    text = strip_with(thing("pc", "computer"), thing("lp", "printer", more='title = "Label printer"'))
    finding = findings(text)["power.strip[s].company"]
    assert finding.found == "pc, Label printer"
    assert finding.remedy == "Plug Label printer in elsewhere." and "no source" in finding.source


def test_two_computers_are_two_however_they_are_written() -> None:
    """Two pieces of one computer are two computers on the strip."""
    assert verdicts(strip_with(thing("pc", "computer", more="count = 2")))["power.strip[s].company"] is UNMET


def test_strips_are_never_chained() -> None:
    """A strip in a strip is unmet, one in an outlet met, one behind a supply only as its maker allows."""
    text = place_text(
        outlets=[OUTLET.format(sockets=2)],
        strips=[
            'id = "a"\nplugged_into = "wall"',
            'id = "b"\nplugged_into = "a"',
            'id = "c"\nplugged_into = "u"',
            'id = "d"',
        ],
        supplies=['id = "u"\nplugged_into = "wall"'],
    )
    found = verdicts(text)
    assert [found[f"power.strip[{one}].plug"] for one in "abcd"] == [MET, UNMET, MARGINAL, UNVERIFIED]
    assert [findings(text)[f"power.strip[{one}].plug"].found.split(",")[0] for one in "abcd"] == [
        *("outlet wall", "strip a", "supply u", "not entered")
    ]
    # 29 CFR 1910.303(b)(2), by secondary texts.
    assert "1910.303" in findings(text)["power.strip[b].plug"].source


@pytest.mark.parametrize(("into", "verdict"), [("wall", MET), ("s", UNMET), ("v", UNMET), ("", UNVERIFIED)])
def test_a_supply_goes_straight_into_an_outlet(into: str, verdict: Verdict) -> None:
    """A supply hangs on no strip and on no other supply."""
    text = place_text(
        outlets=[OUTLET.format(sockets=2)],
        strips=['id = "s"\nplugged_into = "wall"'],
        supplies=[f'id = "u"\nplugged_into = "{into}"', 'id = "v"\nplugged_into = "wall"'],
    )
    assert verdicts(text)["supply.supply[u].plug"] is verdict


@pytest.mark.parametrize(
    ("sockets", "pieces", "verdict"),
    [("3", 3, MET), ("3", 4, UNMET), ('""', 1, UNVERIFIED), ("4", 4, MET)],
)
def test_every_piece_needs_a_socket(sockets: str, pieces: int, verdict: Verdict) -> None:
    """Sockets are counted against plugs, a plug for each piece."""
    text = place_text(
        outlets=[OUTLET.format(sockets=sockets)],
        things=[thing("m", "instrument module", "wall", f"count = {pieces}")],
    )
    finding = findings(text)["power.outlet[wall].sockets"]
    assert finding.verdict is verdict
    assert finding.required == f"{pieces} socket" + "s" * (pieces > 1)
    assert finding.found.split(",")[0] == {"3": "3", "4": "4"}.get(sockets, "not entered")


def test_strips_and_supplies_take_sockets_too() -> None:
    """A strip and a supply each take a socket of what they hang on, and give their own."""
    text = place_text(
        outlets=[OUTLET.format(sockets=2)],
        strips=['id = "s"\nplugged_into = "wall"\nsockets = 1'],
        supplies=['id = "u"\nplugged_into = "wall"\nsockets = 1'],
        things=[thing("a", "other", "wall"), thing("b", "other", "s"), thing("c", "other", "u", "count = 2")],
    )
    found = verdicts(text)
    assert found["power.outlet[wall].sockets"] is UNMET
    assert found["power.strip[s].sockets"] is MET
    assert found["supply.supply[u].sockets"] is UNMET


def test_an_outlet_with_nothing_in_it_needs_no_sockets() -> None:
    """Nothing is asked of an outlet that nothing is plugged into."""
    found = verdicts(place_text(outlets=['id = "wall"']))
    assert "power.outlet[wall].sockets" not in found and "power.outlet[wall].circuit" not in found


@pytest.mark.parametrize(("into", "verdict"), [("wall", MET), ("u", MET), ("s", UNMET), ("", None)])
def test_each_module_has_a_socket_of_its_own(into: str, verdict: Verdict | None) -> None:
    """An instrument module hangs on an outlet or a supply, never on a strip (common practice, no source)."""
    text = place_text(
        outlets=[OUTLET.format(sockets=9)],
        strips=['id = "s"\nplugged_into = "wall"'],
        supplies=['id = "u"\nplugged_into = "wall"'],
        things=[thing("m", "instrument module", into), thing("pump", "pump", into)],
    )
    found = verdicts(text)
    assert found.get("power.thing[m].socket") is verdict
    if verdict:
        where = {"wall": "outlet wall", "u": "supply u", "s": "strip s"}[into]
        assert findings(text)["power.thing[m].socket"].found.split(",")[0] == where
    assert "power.thing[pump].socket" not in found


@pytest.mark.parametrize(
    ("entries", "asked"),
    [
        ('kind = "computer"', True),
        ('power = "5 W"', True),
        ('kind = "other"\napparent = "5 VA"', True),
        ('kind = "other"', False),
        ('kind = "computer"\nplugged_into = "wall"', False),
    ],
)
def test_what_draws_power_is_plugged_in_somewhere(entries: str, asked: bool) -> None:
    """A thing that draws power and is plugged in nowhere may be anywhere, so it is asked for."""
    found = verdicts(place_text(outlets=['id = "wall"'], things=[f'id = "t"\n{entries}']))
    assert found.get("power.thing[t].plug") is (UNVERIFIED if asked else None)


def test_an_outlet_in_use_has_a_circuit() -> None:
    """What hangs on an outlet whose circuit is not entered is held against no breaker: that is asked for."""
    text = place_text(outlets=['id = "wall"'], things=[thing("t", "other", "wall")])
    finding = findings(text)["power.outlet[wall].circuit"]
    assert (finding.verdict, finding.why) == (UNVERIFIED, "enter `circuit` of outlet wall")


@pytest.mark.parametrize(
    ("entries", "verdict"),
    # BS 1362, by secondary texts: fuses of 3 A and 13 A; at 230 V they carry 690 VA and 2990 VA.
    [
        ('plug_fuse = "3 A"\napparent = "690 VA"', MET),
        ('plug_fuse = "3 A"\napparent = "690.1 VA"', UNMET),
        ('plug_fuse = "13 A"\napparent = "2990 VA"', MET),
        ('plug_fuse = "13 A"\napparent = "2990.1 VA"', UNMET),
        ('plug_fuse = "3 A"\npower = "600 W"', UNVERIFIED),
        ('apparent = "690 VA"', None),
    ],
)
def test_the_fuse_in_a_plug(entries: str, verdict: Verdict | None) -> None:
    """A thing draws no more than the fuse in its plug carries, each piece by itself."""
    things = [f'id = "t"\nplugged_into = "wall"\ncount = 5\n{entries}']
    text = place_text("GB", outlets=['id = "wall"'], things=things)
    assert verdicts(text).get("power.thing[t].fuse") is verdict
    if verdict:
        assert "BS 1362" in findings(text)["power.thing[t].fuse"].source
        assert findings(text.replace("GB", "AT"))["power.thing[t].fuse"].source == "worksheet"


def test_findings_lead_to_their_line() -> None:
    """A finding names the file and the line of the table it is about."""
    text = strip_with(thing("pc", "computer"), thing("lp", "printer"))
    finding = findings(text)["power.strip[s].company"]
    assert finding.profile == "w.toml"
    assert text.splitlines()[finding.line - 1] == "[[place.strips]]"
