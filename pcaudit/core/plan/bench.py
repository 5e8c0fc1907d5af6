"""What stands on benches: width, depth, height and mass, with the free air each thing asks for.

Side by side, two neighbours may share the free air between them, or not; what asks for it mostly
does not say. So a row needs at least its widths and the larger clearances between neighbours, in the
best order, with open ends; at most its widths and both clearances of each. Only what fits at most is met.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final, NamedTuple

from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.bounds import (
    Bounds,
    Held,
    Limit,
    entered,
    hold,
    largest,
    show,
    show_bounds,
    times,
    total,
)
from pcaudit.core.plan.section import Section, Table
from pcaudit.core.plan.site_findings import PREVAILS, Desk, Words, called
from pcaudit.core.worksheet.site import FLOOR, MODULE, Bench, Site, Thing

NAME: Final = "place.bench"

LEAST_SIDES: Final = Fraction(25)
"""Millimetres free on either side of an instrument module (common practice, no source)."""

LEAST_BEHIND: Final = Fraction(80)
"""Millimetres free behind an instrument module, for air and connections (common practice, no source)."""

MOST_IN_STACK: Final = 4
"""Instrument modules in one stack at most (common practice, no source)."""

TALL_STACK: Final = Fraction(1000)
"""Height in millimetres past which a stack is tall (common practice, no source)."""

_PRACTICE: Final = "common practice, no source"

CAUTIONS: Final = (
    PREVAILS,
    (
        "Keep the PC off the floor, its vents clear, and never inside or under a hood or in an area "
        "classified for explosion; away from solvent bottles, waste, drains, liquid lines, gas cylinders and "
        "vibration."
    ),
    "After a spill cut the power upstream; do not touch what is wet.",
    "Two people lift what one should not, and tall stacks are secured as their maker says.",
)


class Pile(NamedTuple):
    """Things that stand one on the other, or one thing by itself.

    Attributes:
        name: For people.
        things: What is in it.
        across: How many piles like this stand side by side.
        stacked: Whether it is a stack.
    """

    name: str
    things: tuple[Thing, ...]
    across: int
    stacked: bool


def piles_on(bench: Bench, site: Site) -> tuple[Pile, ...]:
    """What stands on a bench: stacks, and things by themselves, side by side."""
    return _piles(site.things, bench.id)


def _piles(things: Iterable[Thing], where: str) -> tuple[Pile, ...]:
    stacks: dict[str, list[Thing]] = {}
    alone = []
    for thing in things:
        if thing.stands_on != where:
            continue
        if thing.stack:
            stacks.setdefault(thing.stack, []).append(thing)
        else:
            alone.append(Pile(thing.title, (thing,), thing.pieces, False))
    return (*(Pile(f"stack {name}", tuple(them), 1, True) for name, them in stacks.items()), *alone)


def _length(thing: Thing, key: str) -> Bounds:
    amount: Fraction | None = getattr(thing, key)
    return entered(amount, f"enter `{key}` of thing {thing.id}")


def _clear(thing: Thing, key: str, least: Fraction) -> Bounds:
    """The clearance a thing asks for; a module whose clearance is blank asks for the usual one at least."""
    bounds = _length(thing, key)
    if bounds.high is None and thing.kind == MODULE:
        return bounds._replace(low=least)
    return bounds


def _largest(pile: Pile, key: str) -> Bounds:
    return largest(_length(one, key) for one in pile.things)


def _sides(pile: Pile) -> Bounds:
    return largest(_clear(one, "clear_sides", LEAST_SIDES) for one in pile.things)


def row_width(piles: Iterable[Pile]) -> Bounds:
    """How wide a row of piles is, with the free air between them."""
    piles = tuple(piles)
    if not piles:
        return Bounds()
    widths = total(times(_largest(one, "width"), one.across) for one in piles)
    clear = total(times(_sides(one), one.across) for one in piles)
    # In any order the larger clearances of neighbours come to all of them but the smallest, or more.
    shared = clear.low - min(_sides(one).low for one in piles)
    apart = None if clear.high is None or widths.high is None else widths.high + 2 * clear.high
    missing = tuple(dict.fromkeys((*widths.missing, *clear.missing)))
    return Bounds(widths.low + shared, apart, missing)


def pile_depth(pile: Pile) -> Bounds:
    """How deep a pile is, with the free air behind it."""
    return largest(
        total((_length(one, "depth"), _clear(one, "clear_behind", LEAST_BEHIND))) for one in pile.things
    )


def pile_height(pile: Pile) -> Bounds:
    """How high a pile is."""
    pieces = (times(_length(one, "height"), one.pieces if pile.stacked else 1) for one in pile.things)
    return total(pieces)


def _above(pile: Pile) -> Bounds:
    """The free air above a pile; what stands uppermost is not said, so the largest counts."""
    return largest(_length(one, "clear_above") for one in pile.things)


def mass_on(piles: Iterable[Pile]) -> Bounds:
    """What stands on a bench, in kilograms."""
    return total(times(_length(one, "mass"), one.pieces) for pile in piles for one in pile.things)


def modules_in(pile: Pile) -> Bounds:
    """Instrument modules in a pile; a thing whose kind is blank may be one."""
    sure = sum(one.pieces for one in pile.things if one.kind == MODULE)
    blank = [one for one in pile.things if not one.kind]
    missing = tuple(f"enter `kind` of thing {one.id}" for one in blank)
    return Bounds(Fraction(sure), Fraction(sure + sum(one.pieces for one in blank)), missing)


# -- findings

_SHARED: Final = (
    "fits only where neighbours share the free air between them or the row ends in the open: set it out with "
    "a tape measure"
)


class _Top(NamedTuple):
    """A bench, what stands on it, and who writes its findings."""

    bench: Bench
    piles: tuple[Pile, ...]
    desk: Desk

    @property
    def called(self) -> str:
        return called("bench", self.bench.id, self.bench.title)

    def against(
        self, name: str, words: Words, bounds: Bounds, key: str, unit: str, between: str = ""
    ) -> Finding:
        bench = self.bench
        amount: Fraction | None = getattr(bench, key)
        what = {"load": "what the bench bears", "headroom": "free above the bench"}.get(key, "the bench")
        limits = [Limit(amount, what, f"enter `{key}` of bench {bench.id}")]
        held = hold(bounds, limits, between)
        return self.desk.amount(f"bench[{bench.id}].{name}", bench.line, words, held, bounds, limits, unit)


def _width(top: _Top) -> Finding:
    words = Words(
        f"Width of {top.called}",
        "Side by side, instruments need free air between them for cooling.",
        "Take a wider bench, or put something elsewhere.",
        "facilities",
    )
    return top.against("width", words, row_width(top.piles), "width", "mm", _SHARED)


def _depth(top: _Top) -> Finding:
    words = Words(
        f"Depth of {top.called}",
        "Air and connections need room behind an instrument.",
        "Take a deeper bench, or turn it so that the back is free.",
        "facilities",
    )
    return top.against("depth", words, largest(map(pile_depth, top.piles)), "depth", "mm")


def _load(top: _Top) -> Finding:
    words = Words(
        f"Load of {top.called}",
        "A bench that sags vibrates, and one that fails falls with everything on it.",
        "Spread it over several benches, or ask the bench's maker what it bears.",
        "facilities",
    )
    return top.against("load", words, mass_on(top.piles), "load", "kg")


def _height(top: _Top) -> Finding | None:
    things = [one for pile in top.piles for one in pile.things]
    if top.bench.headroom is None and not any(one.clear_above for one in things):
        return None
    words = Words(
        f"Room above {top.called}",
        "Lids open upwards, bottles stand on top, and shelves are in the way.",
        "Take down the shelf, or make two stacks of one.",
        "facilities",
    )
    heights = largest(total((pile_height(one), _above(one))) for one in top.piles)
    return top.against("headroom", words, heights, "headroom", "mm")


def _no_headroom(top: _Top) -> str:
    return f"room above {top.called}: enter `headroom`, what is free above its top"


def _stack(pile: Pile, where: str, on: str, desk: Desk) -> Finding | None:
    """The modules of a stack; ``where`` it stands begins its name, and ``on`` what is for people."""
    if not pile.stacked:
        return None
    modules = modules_in(pile)
    limits = [Limit(Fraction(MOST_IN_STACK), "in one stack")]
    words = Words(
        f"Modules in {pile.name}{on}",
        "A stack of more is hard to reach, and to keep upright.",
        "Make two stacks of it.",
        "lab",
        _PRACTICE,
    )
    name = f"{where}stack[{pile.things[0].stack}]"
    return desk.amount(name, pile.things[0].line, words, hold(modules, limits), modules, limits, "modules")


def _off_benches(site: Site, desk: Desk) -> list[Finding]:
    """Stacks on the floor, and those of a place without benches, which need not say where they stand."""
    places = [(FLOOR, f"{FLOOR}.", " on the floor")]
    if not site.benches:
        places.append(("", "", ""))
    return [
        found
        for place, where, on in places
        for pile in _piles(site.things, place)
        if (found := _stack(pile, where, on, desk))
    ]


def _clearance(thing: Thing, desk: Desk) -> Finding | None:
    """Whether the clearances entered for a module are the usual ones at least."""
    if thing.kind != MODULE or (thing.clear_sides is None and thing.clear_behind is None):
        return None
    short = [
        key
        for key, amount, least in (
            ("at its sides", thing.clear_sides, LEAST_SIDES),
            ("behind it", thing.clear_behind, LEAST_BEHIND),
        )
        if amount is not None and amount < least
    ]
    held = Held(Verdict.MET, "")
    if short:
        held = Held(Verdict.MARGINAL, f"less than usual {' and '.join(short)}; the maker's paper counts")
    words = Words(
        f"Free air asked for by {thing.title}",
        "Modules draw in and blow out air, and cables bend behind them.",
        "Look into the maker's paper for the clearances, and enter those.",
        "lab",
        _PRACTICE,
    )
    amounts = (("sides", thing.clear_sides), ("behind", thing.clear_behind))
    found = ", ".join(f"{name} {float(amount):g} mm" for name, amount in amounts if amount is not None)
    required = f"usual: {LEAST_SIDES} mm at either side, {LEAST_BEHIND} mm behind"
    return desk.say(f"thing[{thing.id}].clearance", thing.line, words, held, required, found)


def _nowhere(thing: Thing, desk: Desk) -> Finding:
    """A thing of which it is not known where it stands is on no bench, and in no sum."""
    words = Words(
        f"Where {thing.title} stands",
        "What stands nowhere is in no sum.",
        "Say on which bench it stands, or that it stands on the floor.",
    )
    held = Held(Verdict.UNVERIFIED, f'enter `stands_on` of thing {thing.id}, a bench or "{FLOOR}"')
    name = f"thing[{thing.id}].stands_on"
    return desk.say(name, thing.line, words, held, "a bench or the floor", "not entered")


def _bench(top: _Top) -> list[Finding]:
    if not top.piles:
        return []
    where, on = f"bench[{top.bench.id}].", f" on {top.called}"
    stacks = [_stack(one, where, on, top.desk) for one in top.piles]
    found = [_width(top), _depth(top), _load(top), _height(top), *stacks]
    return [one for one in found if one is not None]


def _table(tops: list[_Top]) -> Table:
    rows, data = [], []
    for top in tops:
        for pile in top.piles:
            width, depth = _largest(pile, "width"), pile_depth(pile)
            height, mass = pile_height(pile), mass_on((pile,))
            cells = [_cell(one) for one in (width, depth, height, mass)]
            across = f"{pile.across} x " if pile.across > 1 else ""
            rows.append((top.bench.title, across + pile.name, *cells))
            data.append(
                {"bench": top.bench.id, "things": [one.id for one in pile.things], "across": pile.across}
            )
    columns = ("bench", "what", "width mm", "depth mm", "height mm", "kg")
    note = "Depth is with the free air behind; mass is of all pieces."
    return Table("What stands where", columns, tuple(rows), tuple(data), note)


def _cell(bounds: Bounds) -> str:
    return show_bounds(bounds, "").strip().replace("at least", "from").replace("not known", "?")


_ROW: Final = (
    "A row of things needs at least the larger free air of two neighbours between them, at most both; only "
    "what fits at most is met."
)


def _above_floor(bench: Bench, pile: Pile) -> str:
    height = pile_height(pile).high
    if bench.height is None or height is None:
        return ""
    return f", {show(bench.height + height, 'mm', 0)} above the floor"


def _notes(tops: list[_Top]) -> tuple[str, ...]:
    tall = [
        f"{pile.name.capitalize()} on {top.called} stands over 1 m high{_above_floor(top.bench, pile)}: look "
        "for shelves and sprinklers above it, and whether its uppermost part can be reached."
        for top in tops
        for pile in top.piles
        if pile.stacked and pile_height(pile).low > TALL_STACK
    ]
    return (_ROW, *tall)


def _blanks(site: Site) -> list[str]:
    out = [] if site.benches else ["no `[[place.benches]]` is entered"]
    if site.benches:
        used = {one.stands_on for one in site.things if one.stands_on not in ("", FLOOR)}
        out += [f"nothing stands on bench {one.id}" for one in site.benches if one.id not in used]
    return out


def bench_section(site: Site) -> Section:
    """The benches of a place."""
    desk = Desk(NAME, site.file)
    tops = [_Top(one, piles_on(one, site), desk) for one in site.benches]
    clearances = [found for thing in site.things if (found := _clearance(thing, desk))]
    nowhere = [_nowhere(one, desk) for one in site.things if site.benches and not one.stands_on]
    filled = [one for one in tops if one.piles]
    return Section(
        NAME,
        "Benches",
        (*(one for top in tops for one in _bench(top)), *_off_benches(site, desk), *clearances, *nowhere),
        tables=(_table(filled),) if filled else (),
        notes=_notes(filled) if filled else (),
        cautions=CAUTIONS,
        not_asked=(*_blanks(site), *(_no_headroom(top) for top in filled if _height(top) is None)),
    )
