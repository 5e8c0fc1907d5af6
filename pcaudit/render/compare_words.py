"""What a comparison says in words, on every page that is made of one."""

from __future__ import annotations

from collections.abc import Iterable
from math import isinf
from typing import Final, NamedTuple

from pcaudit.core.changes import Change, Means
from pcaudit.core.compare import Candidate, Cell, Comparison, Headroom, Row, standing
from pcaudit.core.prices import show_price
from pcaudit.core.ranking import Place
from pcaudit.core.visible import visible

PROSE: Final = 600
"""Characters shown of a text somebody wrote."""

OF_PARTS: Final = (
    "Whether a part goes into a PC is for its manual to say: slots, the most it takes, its form and its "
    "power are not judged here. Memory is counted as if all of it were bought."
)
DISCLAIMER: Final = (
    "This is about these readings, taken then. It is no guarantee of operation, safety or compliance."
)
OF_HEADROOM: Final = "What there is, as a multiple of what is required."
ALL_ALIKE: Final = "Every condition comes to the same on all of them."


def safe(text: str) -> str:
    """A text somebody wrote, as it may be shown."""
    return visible(text, PROSE)


class Group(NamedTuple):
    """Candidates of whom the same is said."""

    letters: tuple[str, ...]
    text: str


def grouped(texts: Iterable[tuple[str, str]]) -> list[Group]:
    """Letters with what is said of each, those of whom the same is said together."""
    groups: dict[str, list[str]] = {}
    for letter, text in texts:
        groups.setdefault(text, []).append(letter)
    return [Group(tuple(letters), text) for text, letters in groups.items()]


def in_one_line(groups: Iterable[Group]) -> str:
    """Groups one after the other: "A, C: ssd; B: hdd"."""
    return "; ".join(f"{', '.join(one.letters)}: {one.text}" for one in groups)


def found_words(cell: Cell) -> str:
    """What was found, and why no more is known."""
    found, why = safe(cell.found), safe(cell.why)
    if not why or why in found:
        return found or "nothing"
    return f"{found}: {why}" if found else why


def found(row: Row) -> list[Group]:
    """What was found on each candidate."""
    return grouped((cell.letter, found_words(cell)) for cell in row.cells)


def required_words(row: Row) -> str:
    """What is asked, of each candidate where it differs; that it is advised stands beside the title."""
    if len({cell.required for cell in row.cells}) == 1:
        return safe(row.required).removesuffix(" (advised)")
    return in_one_line(grouped((cell.letter, safe(cell.required)) for cell in row.cells))


def place_words(place: Place) -> str:
    """The places a candidate may take: "1", "2 to 4"."""
    return str(place.best) if place.best == place.worst else f"{place.best} to {place.worst}"


def in_order(said: Comparison) -> list[tuple[Place, Candidate]]:
    """Places with who takes them; what is known to pass before what may take the same."""
    by_letter = {one.letter: one for one in said.candidates}

    def at(place: Place) -> tuple[int, int, int, str]:
        return place.worst, place.best, standing(by_letter[place.letter]).worst, place.letter

    return [(place, by_letter[place.letter]) for place in sorted(said.ranking.places, key=at)]


def unordered(said: Comparison) -> dict[str, list[str]]:
    """Pairs without an order, by the reason: "B and C"."""
    pairs: dict[str, list[str]] = {}
    for pair in said.ranking.no_orders:
        pairs.setdefault(pair.because, []).append(f"{pair.first} and {pair.second}")
    return pairs


def prices_left(said: Comparison) -> str:
    """That prices did not count, and of whom one is missing; empty where they did or none was given."""
    parts = {one.letter: one for one in said.candidates if one.mending.of(Means.PART)}
    lacking = [letter for letter, one in parts.items() if one.price is None]
    if not said.currency or len(parts) < 2 or not lacking:
        return ""
    who = f"{', '.join(lacking)} {'needs' if len(lacking) == 1 else 'need'}"
    return f"Prices were not compared, the number of parts was: {who} a part without a price."


def not_asked(said: Comparison) -> list[str]:
    """What the comparison does not cover; of whom, where that is not all of them."""
    texts = ((one.letter, line) for one in said.candidates for line in one.report.not_asked)
    lines = []
    for letters, line in grouped(texts):
        lines.append(line if len(letters) == len(said.candidates) else f"{', '.join(letters)}: {line}")
    return lines


def computer_words(one: Candidate) -> str:
    """What a candidate is called: "CDS-0007, Benchline 40, serial number S-1"."""
    serial = one.report.computer.get("serial_number")
    texts = [one.name, one.report.computer.get("model") or "", f"serial number {serial}" if serial else ""]
    return ", ".join(safe(text) for text in texts if text)


def origin_words(one: Candidate) -> str:
    """Where the readings of a candidate are from."""
    version = one.report.snapshot.tool_version or "of unknown version"
    return safe(f"{one.file}, taken {one.report.snapshot.taken_at[:10]} by pcaudit {version}")


def mended_words(change: Change, titles: dict[str, str]) -> str:
    """What else than the one condition a change mends; empty where it mends no more.

    Args:
        change: Which.
        titles: Of the conditions, by id.
    """
    if len(change.mends) < 2:
        return ""
    return ", ".join(visible(titles.get(name, name)) for name in change.mends)


def price_of(change: Change, currency: str) -> str:
    """What a part costs, and as what; empty where no prices were given."""
    if not currency or change.kind is not Means.PART:
        return ""
    if change.price is None:
        return "no price"
    sold = f", as {safe(change.priced_as)}" if change.priced_as else ""
    return f"{safe(show_price(change.price, currency))}{sold}"


def verdict_on(one: Candidate) -> str:
    """Whether the changes are enough."""
    mending = one.mending
    if mending.passes:
        if not mending.changes:
            return "Nothing: it is ready as it is."
        return "Judged again with these changes it is ready."
    if mending.left:
        return "Settings and parts alone do not make it pass."
    if mending.changes:
        return "These changes are not shown to be enough: what is not known may ask for more."
    return "No change is known to be needed, and it is not known to pass."


def headroom_words(one: Headroom) -> str:
    """How far a reading exceeds its minimum: "2.00 times", "at least 1.20 times", "not known"."""
    if isinf(one.least):
        return "without limit"
    # Never rounded up: what falls short must not look as if it did not.
    ratio = f"{int(one.least * 100) / 100:.2f} times"
    if one.known:
        return ratio
    return f"at least {ratio}" if one.least > 0 else "not known"


def headroom_rows(said: Comparison) -> list[dict[str, Headroom]]:
    """The headroom above each minimum, by the letter of the candidates it is asked of."""
    rows: dict[str, dict[str, Headroom]] = {}
    for one in said.candidates:
        for room in one.headroom:
            rows.setdefault(room.id, {})[one.letter] = room
    return list(rows.values())


def support_words(one: Candidate) -> str:
    """How long the operating system gets security updates: "1.7, until 2028-08-09"."""
    ends, years, why = safe(one.support.ends), one.support.years, one.support.why
    if years is None:
        return f"not known: {safe(why)}"
    return f"{years:.1f}, until {ends}" if years >= 0 else f"none, ended {ends}"
