"""What the templates of a comparison ask of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any, Final, NamedTuple

from pcaudit.core.changes import Change, Means
from pcaudit.core.compare import Candidate, Cell, Comparison, Headroom, Row, price_words, says
from pcaudit.core.report import Outcome, Verdict
from pcaudit.core.visible import visible
from pcaudit.render import compare_svg, compare_words
from pcaudit.render.html_words import MEANINGS, css_class, outcome_class, whole_gauge, whole_words
from pcaudit.render.sections.head import outcome_words

_NARROWEST: Final = 20
_ACROSS: Final = 96
"""Characters of what was found that fit beside each other in the columns of the widest page."""


def title(said: Comparison) -> str:
    """What the page is of: "4 candidates"."""
    return f"{len(said.candidates)} candidates"


def counts(said: Comparison) -> str:
    """How many are what: "1 ready, 2 not ready, 1 inconclusive"."""
    outcomes = Counter(one.report.pc_outcome for one in said.candidates)
    return ", ".join(f"{outcomes[one]} {one.value}" for one in Outcome if outcomes[one])


def first_choice(said: Comparison) -> str:
    """Who is the first choice, or may be; nobody where none is known to come to pass."""
    if not any(one.mending.passes for one in said.candidates):
        return "None of them is known to pass, even after settings and parts."
    first = [one for place, one in compare_words.in_order(said) if place.best == 1]
    letters = ", ".join(one.letter for one in first)
    left = compare_words.prices_left(said)
    words = f"May be the first choice: {letters}."
    if len(first) == 1:
        words = f"First choice: {letters}, which {says(first[0], said.currency)}."
    return f"{words} {left}".strip()


def chosen(said: Comparison) -> str:
    """Options and parameters in force: "option mass-detector; instruments = 2"."""
    options = [f"option {name}" for name in said.options]
    return "; ".join(options + [f"{name} = {value}" for name, value in said.parameters.items()])


def used(said: Comparison) -> dict[Verdict, str]:
    """The verdicts on the page, and what each says."""
    there = {cell.verdict for row in said.rows for cell in row.cells}
    return {verdict: meaning for verdict, meaning in MEANINGS.items() if verdict in there}


class Seen(NamedTuple):
    """What was found on one candidate: under its verdict, and what has no room there."""

    letter: str
    verdict: Verdict
    beside: str
    below: str


def _seen(cell: Cell, room: int) -> Seen:
    whole, found = compare_words.found_words(cell), compare_words.safe(cell.found)
    if len(whole) <= room:
        return Seen(cell.letter, cell.verdict, whole, "")
    if len(found) <= room:
        return Seen(cell.letter, cell.verdict, found, compare_words.safe(cell.why))
    return Seen(cell.letter, cell.verdict, "", whole)


def seen(row: Row) -> list[Seen]:
    """What was found on each candidate."""
    room = max(_NARROWEST, _ACROSS // len(row.cells))
    return [_seen(cell, room) for cell in row.cells]


def below(cells: list[Seen]) -> list[compare_words.Group]:
    """What has no room under the verdicts, by the candidates it is said of."""
    return compare_words.grouped((one.letter, one.below) for one in cells if one.below)


def required(row: Row) -> list[compare_words.Group]:
    """What is asked, by the candidates it is asked of."""
    texts = ((cell.letter, cell.required.removesuffix(" (advised)")) for cell in row.cells)
    return compare_words.grouped(texts)


def settings(one: Candidate) -> tuple[Change, ...]:
    """The settings a candidate needs."""
    return one.mending.of(Means.SETTING)


def parts(one: Candidate) -> tuple[Change, ...]:
    """The parts a candidate needs."""
    return one.mending.of(Means.PART)


def any_parts(said: Comparison) -> bool:
    """Whether anything is to be bought."""
    return any(map(parts, said.candidates))


class Room(NamedTuple):
    """The headroom of one candidate; nothing where the condition is not asked of it.

    Attributes:
        letter: Of the candidate.
        verdict: Of the condition.
        drawing: Its gauge, as markup.
        words: The ratio.
        found: What there is.
    """

    letter: str
    verdict: Verdict = Verdict.NOT_APPLICABLE
    drawing: str = ""
    words: str = ""
    found: str = ""


class RoomRow(NamedTuple):
    """One minimum: what it is of, what is required, and the headroom of each candidate."""

    title: str
    required: list[compare_words.Group]
    cells: list[Room]


def _row(said: Comparison, rooms: dict[str, Headroom], verdicts: dict[tuple[str, str], Verdict]) -> RoomRow:
    widest = compare_svg.widest(rooms.values())
    cells = []
    for one in said.candidates:
        room = rooms.get(one.letter)
        if room is None:
            cells.append(Room(one.letter))
            continue
        verdict = verdicts[one.letter, room.id]
        drawing = compare_svg.headroom(verdict, room, widest)
        cells.append(Room(one.letter, verdict, drawing, compare_words.headroom_words(room), room.found))
    required = compare_words.grouped((letter, room.required) for letter, room in rooms.items())
    return RoomRow(next(iter(rooms.values())).title, required, cells)


def headroom(said: Comparison) -> list[RoomRow]:
    """Every minimum that binds, with the headroom of each candidate."""
    verdicts = {
        (one.letter, each.id): each.verdict for one in said.candidates for each in one.report.findings
    }
    return [_row(said, rooms, verdicts) for rooms in compare_words.headroom_rows(said)]


def running_head(said: Comparison) -> str:
    """What stands at the top of every sheet of paper."""
    profile = visible(said.profiles[0].title, 60)
    more = f" and {len(said.profiles) - 1} more" if len(said.profiles) > 1 else ""
    return f"{title(said)} compared by {profile}{more}, judged for {said.on.isoformat()}"


FUNCTIONS: Final[dict[str, Any]] = {
    "ALL_ALIKE": compare_words.ALL_ALIKE,
    "DISCLAIMER": compare_words.DISCLAIMER,
    "OF_HEADROOM": compare_words.OF_HEADROOM,
    "OF_PARTS": compare_words.OF_PARTS,
    **{
        function.__name__: function
        for function in (
            any_parts,
            below,
            chosen,
            compare_words.found,
            compare_words.in_order,
            compare_words.mended_words,
            compare_words.not_asked,
            compare_words.place_words,
            compare_words.price_of,
            compare_words.support_words,
            compare_words.unordered,
            compare_words.verdict_on,
            counts,
            css_class,
            first_choice,
            headroom,
            outcome_class,
            outcome_words,
            parts,
            price_words,
            required,
            says,
            seen,
            settings,
            title,
            used,
            whole_words,
        )
    },
}
"""What the templates may call, by name."""

MARKUP: Final[dict[str, Callable[..., str]]] = {
    "drawn": str,
    "places": compare_svg.places,
    "whole": whole_gauge,
}
"""The same for what gives markup."""
