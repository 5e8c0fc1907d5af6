"""What stands on benches."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise, permutations

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.finding import Verdict
from pcaudit.core.plan.bench import piles_on, row_width
from tests.core.plan.sites import (
    MARGINAL,
    MET,
    UNMET,
    UNVERIFIED,
    findings,
    place_text,
    sections,
    site,
    verdicts,
)

MODULE = (
    'kind = "instrument module"\nwidth = "40 cm"\ndepth = "45 cm"\nheight = "22 cm"\nmass = "12 kg"\n'
    'clear_sides = "25 mm"\nclear_behind = "80 mm"\nclear_above = "0 mm"'
)
BENCH = 'width = "{width}"\ndepth = "{depth}"\nload = "{load}"'


def bench_with(
    *things: str, width: str = "3 m", depth: str = "75 cm", load: str = "500 kg", more: str = ""
) -> str:
    """A bench with some things on it."""
    bench = BENCH.format(width=width, depth=depth, load=load)
    listed = [f'id = "t{i}"\nstands_on = "b"\n{one}' for i, one in enumerate(things)]
    return place_text(benches=[f'id = "b"\n{bench}\n{more}'], things=listed)


@pytest.mark.parametrize(
    ("width", "verdict"),
    # Two modules of 400 mm that ask for 25 mm at either side (common practice, no source):
    # 825 mm where they share the air between them and end in the open, 900 mm where nothing is shared.
    [("900 mm", MET), ("899 mm", UNVERIFIED), ("825 mm", UNVERIFIED), ("824 mm", UNMET)],
)
def test_width_with_the_free_air_between(width: str, verdict: Verdict) -> None:
    """What fits without sharing any air is met, what fits only with it unverified, the rest unmet."""
    finding = findings(bench_with(MODULE, MODULE, width=width))["bench.bench[b].width"]
    assert finding.verdict is verdict
    assert ("tape measure" in finding.why) == (verdict is UNVERIFIED)


def test_pieces_stand_side_by_side_unless_stacked() -> None:
    """Three pieces take three widths and three clearances; in a stack they take one."""
    apart = findings(bench_with(f"{MODULE}\ncount = 3"))["bench.bench[b].width"]
    stacked = findings(bench_with(f'{MODULE}\ncount = 3\nstack = "left"'))["bench.bench[b].width"]
    assert apart.found.startswith("1250 to 1350 mm")
    assert stacked.found.startswith("400 to 450 mm")


@given(
    st.lists(st.tuples(st.integers(1, 800), st.integers(0, 200)), min_size=1, max_size=5),
    st.booleans(),
    st.booleans(),
)
def test_every_way_to_set_them_out_lies_between_the_bounds(
    sizes: list[tuple[int, int]], shared: bool, walls: bool
) -> None:
    """Whatever the order, shared air or not, walls at the ends or not: the row is within its bounds."""
    text = bench_with(*(f'width = "{width} mm"\nclear_sides = "{clear} mm"' for width, clear in sizes))
    place = site(text)
    bounds = row_width(piles_on(place.benches[0], place))
    for order in permutations(sizes):
        gaps = sum(max(a, b) if shared else a + b for (_, a), (_, b) in pairwise(order))
        ends = order[0][1] + order[-1][1] if walls else 0
        row = sum(width for width, _ in order) + gaps + ends
        assert bounds.high is not None and bounds.low <= row <= bounds.high


@pytest.mark.parametrize(
    ("depth", "verdict"), [("530 mm", MET), ("529.9 mm", UNMET)]
)  # 450 mm and 80 mm behind (common practice, no source)
def test_depth_with_the_free_air_behind(depth: str, verdict: Verdict) -> None:
    """A thing and the air behind it fit on the bench to the tenth of a millimetre."""
    assert verdicts(bench_with(MODULE, depth=depth))["bench.bench[b].depth"] is verdict


@pytest.mark.parametrize(("load", "verdict"), [("48 kg", MET), ("47.9 kg", UNMET), ("", UNVERIFIED)])
def test_mass(load: str, verdict: Verdict) -> None:
    """Everything on a bench, each piece of it, is within what the bench bears."""
    text = bench_with(f'{MODULE}\ncount = 3\nstack = "a"', MODULE, load=load)
    assert verdicts(text)["bench.bench[b].load"] is verdict


@pytest.mark.parametrize(
    ("key", "name"), [("width", "width"), ("clear_sides", "width"), ("depth", "depth"), ("mass", "load")]
)
def test_what_is_missing_is_asked_for(key: str, name: str) -> None:
    """A measure that is not entered leaves its sum open, and the reason names the key."""
    lines = [line for line in MODULE.splitlines() if not line.startswith(key)]
    finding = findings(bench_with("\n".join(lines)))[f"bench.bench[b].{name}"]
    assert (finding.verdict, finding.why) == (UNVERIFIED, f"enter `{key}` of thing t0")


def test_a_module_without_clearances_asks_for_the_usual_ones_at_least() -> None:
    """Blank clearances of a module can show that a bench is too small, with what is usual."""
    bare = MODULE.replace('clear_sides = "25 mm"', "").replace('clear_behind = "80 mm"', "")
    found = verdicts(bench_with(bare, bare, width="820 mm", depth="529 mm"))
    assert found["bench.bench[b].width"] is UNMET, "at least 2 x 400 mm + 25 mm"
    assert found["bench.bench[b].depth"] is UNMET, "at least 450 mm + 80 mm"
    other = bare.replace("instrument module", "pump")
    assert verdicts(bench_with(other, other, width="820 mm"))["bench.bench[b].width"] is UNVERIFIED


@pytest.mark.parametrize(
    ("sides", "behind", "verdict"),
    [("25 mm", "8 cm", MET), ("2.4 cm", "8 cm", MARGINAL), ("5 cm", "79 mm", MARGINAL), ("", "", None)],
)
def test_clearances_of_a_module_against_the_usual_ones(
    sides: str, behind: str, verdict: Verdict | None
) -> None:
    """Less than 2.5 cm at a side or 8 cm behind is less than usual (common practice, no source)."""
    text = bench_with(f'kind = "instrument module"\nclear_sides = "{sides}"\nclear_behind = "{behind}"')
    assert verdicts(text).get("bench.thing[t0].clearance") is verdict


@pytest.mark.parametrize(
    ("things", "verdict"),
    # At most four modules in one stack, two stacks beyond that (common practice, no source).
    [
        ([("instrument module", 4)], MET),
        ([("instrument module", 5)], UNMET),
        ([("instrument module", 2), ("instrument module", 2)], MET),
        ([("instrument module", 4), ("other", 1)], MET),
        ([("instrument module", 4), ("", 1)], UNVERIFIED),
        ([("instrument module", 3), ("", 1)], MET),
        ([("instrument module", 5), ("", 1)], UNMET),
    ],
)
def test_modules_in_a_stack(things: list[tuple[str, int]], verdict: Verdict) -> None:
    """A stack has four modules at most, and what may be one leaves it open."""
    listed = (f'kind = "{kind}"\ncount = {count}\nstack = "left"' for kind, count in things)
    finding = findings(bench_with(*listed))["bench.bench[b].stack[left]"]
    assert finding.verdict is verdict
    assert ("two stacks" in finding.remedy) == (verdict is UNMET)


@pytest.mark.parametrize(
    ("stands_on", "benches", "name"),
    [("floor", [], "floor.stack[s]"), ("floor", ['id = "b"'], "floor.stack[s]"), ("", [], "stack[s]")],
)
def test_a_stack_on_the_floor_is_a_stack(stands_on: str, benches: list[str], name: str) -> None:
    """A stack has four modules at most wherever it stands, in a place without benches too."""
    for count, verdict in ((4, MET), (5, UNMET)):
        thing = f'id = "t{{}}"\nstands_on = "{stands_on}"\nstack = "s"\nkind = "instrument module"'
        text = place_text(benches=benches, things=[thing.format(number) for number in range(count)])
        assert verdicts(text)[f"bench.{name}"] is verdict


def test_what_stands_where() -> None:
    """Each stack and each thing has a row, with its free air behind in the depth and its mass as a whole."""
    pump = 'title = "Pump"\nwidth = "30 cm"\ncount = 2'
    table = sections(bench_with(f'{MODULE}\ncount = 3\nstack = "left"', pump, MODULE))["place.bench"].tables[
        0
    ]
    assert table.rows == (
        ("b", "stack left", "400", "530", "660", "36"),
        ("b", "2 x Pump", "300", "?", "?", "?"),
        ("b", "t2", "400", "530", "220", "12"),
    )
    assert table.data[0] == {"bench": "b", "things": ["t0"], "across": 1}


def test_two_stacks_are_two() -> None:
    """Each stack is counted by itself, and stacks of one name on two benches are two."""
    four = f'{MODULE}\ncount = 4\nstack = "{{}}"'
    text = bench_with(four.format("left"), four.format("right")) + (
        '[[place.benches]]\nid = "c"\n[[place.things]]\nid = "x"\nstands_on = "c"\n'
        'kind = "instrument module"\ncount = 4\nstack = "left"\n'
    )
    found = verdicts(text)
    for name in ("bench[b].stack[left]", "bench[b].stack[right]", "bench[c].stack[left]"):
        assert found[f"bench.{name}"] is MET


@pytest.mark.parametrize(("count", "tall"), [(4, False), (5, True)])  # 4 x 22 cm, 5 x 22 cm
def test_a_stack_over_a_metre_is_noted(count: int, tall: bool) -> None:
    """A stack that stands over 1 m high is called so (common practice, no source)."""
    notes = sections(bench_with(f'{MODULE}\ncount = {count}\nstack = "left"'))["place.bench"].notes
    assert any("over 1 m high: look" in note for note in notes) == tall


def test_how_high_a_stack_reaches_is_said() -> None:
    """Where the height of the bench is entered the note says how far up a tall stack ends."""
    text = bench_with(f'{MODULE}\ncount = 5\nstack = "left"', more='height = "72 cm"')
    assert any("1820 mm above the floor" in note for note in sections(text)["place.bench"].notes)


@pytest.mark.parametrize(
    ("headroom", "above", "verdict"),
    [
        ("80 cm", "14 cm", MET),
        ("80 cm", "14.1 cm", UNMET),
        ("", "14 cm", UNVERIFIED),
        ("80 cm", "", UNVERIFIED),
        ("", "0 cm", None),
    ],
)
def test_room_above_a_bench(headroom: str, above: str, verdict: Verdict | None) -> None:
    """A stack and the air above it fit under the shelf; it is asked for where either is entered."""
    things = MODULE.replace('clear_above = "0 mm"', f'clear_above = "{above}"')
    text = bench_with(f'{things}\ncount = 3\nstack = "left"', more=f'headroom = "{headroom}"')
    assert verdicts(text).get("bench.bench[b].headroom") is verdict


@pytest.mark.parametrize(
    ("headroom", "above", "told"), [("", "0 mm", True), ("", "1 cm", False), ("2 m", "0 mm", False)]
)
def test_room_above_that_is_not_judged_is_named(headroom: str, above: str, told: bool) -> None:
    """A bench without a headroom is not judged in silence."""
    thing = MODULE.replace('clear_above = "0 mm"', f'clear_above = "{above}"')
    section = sections(bench_with(thing, more=f'headroom = "{headroom}"'))["place.bench"]
    line = "room above bench b: enter `headroom`, what is free above its top"
    assert (line in section.not_asked) is told


def test_one_thing_that_opens_upwards_is_enough_to_ask() -> None:
    """Room above a bench is asked for as soon as one thing on it wants some."""
    lid = MODULE.replace('clear_above = "0 mm"', 'clear_above = "30 cm"')
    found = findings(bench_with(MODULE, lid))["bench.bench[b].headroom"]
    assert (found.verdict, found.why) == (UNVERIFIED, "enter `headroom` of bench b")


def test_what_stands_nowhere_is_asked_for() -> None:
    """With a bench entered each thing says where it stands; the floor is an answer."""
    text = place_text(
        benches=['id = "b"'],
        things=['id = "a"', 'id = "f"\nstands_on = "floor"', 'id = "o"\nstands_on = "b"'],
    )
    found = findings(text)
    assert found["bench.thing[a].stands_on"].verdict is UNVERIFIED
    assert not {"bench.thing[f].stands_on", "bench.thing[o].stands_on"} & found.keys()
    assert "bench.thing[a].stands_on" not in verdicts(place_text(things=['id = "a"']))


def test_an_empty_bench_is_asked_nothing() -> None:
    """A bench that nothing stands on is judged in nothing, and the section says so."""
    section = sections(place_text(benches=['id = "b"']))["place.bench"]
    assert not section.findings and section.not_asked == ("nothing stands on bench b",)


SIZE = st.sampled_from(["", "1 cm", "35 cm", "80 cm"])


@st.composite
def things(draw: st.DrawFn) -> str:
    """A thing of any measures."""
    kind = draw(st.sampled_from(["", "instrument module", "other"]))
    stack = draw(st.sampled_from(["", "left", "right"]))
    measures = [
        f'{key} = "{draw(SIZE)}"' for key in ("width", "depth", "height", "clear_sides", "clear_above")
    ]
    mass = draw(st.sampled_from(["", "5 kg", "90 kg"]))
    count = draw(st.integers(1, 3))
    return "\n".join([f'kind = "{kind}"\nstack = "{stack}"\nmass = "{mass}"\ncount = {count}', *measures])


@given(st.lists(things(), max_size=4), things())
def test_another_thing_never_makes_anything_better(before: list[str], more: str) -> None:
    """Setting another thing on a bench gives no verdict a better one."""
    order = (MET, MARGINAL, UNVERIFIED, UNMET)
    bench = {"width": "180 cm", "depth": "70 cm", "load": "150 kg", "more": 'headroom = "1 m"'}
    after = verdicts(bench_with(*before, more, **bench))
    sparse = findings(bench_with(*before, **bench))
    assert all(one.why for one in sparse.values() if one.verdict is UNVERIFIED)
    for name, one in sparse.items():
        assert order.index(one.verdict) <= order.index(after[name]), name


def test_measures_are_exact() -> None:
    """Inches and centimetres add up without rounding: 10 in are 254 mm exactly (NIST SP 811)."""
    place = site(
        bench_with('width = "10 in"\nclear_sides = "0 mm"', 'width = "0.1 cm"\nclear_sides = "0 mm"')
    )
    assert row_width(piles_on(place.benches[0], place)).high == Fraction(255)
