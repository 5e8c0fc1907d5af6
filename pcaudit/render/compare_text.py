"""A comparison as text, for a terminal or a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isinf
from typing import Final

from pcaudit.core.changes import Change, Means
from pcaudit.core.compare import Candidate, Cell, Comparison, Headroom, Row, price_words, says, standing
from pcaudit.core.prices import show_price
from pcaudit.core.ranking import Place
from pcaudit.core.report import Outcome, Verdict
from pcaudit.core.visible import visible
from pcaudit.render import gauge
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell as Column
from pcaudit.render.layout import Page, Style
from pcaudit.render.paint import painter

PROSE: Final = 600
"""Characters shown of a text somebody wrote."""

_TITLE: Final = 24
"""Columns a condition's title needs beside the marks; on a narrower page signs stand for marks."""

SIGNS: Final = {
    Verdict.MET: "+",
    Verdict.MARGINAL: "~",
    Verdict.UNMET: "x",
    Verdict.UNVERIFIED: "?",
    Verdict.ACCEPTED: "a",
    Verdict.NOT_APPLICABLE: "-",
}
"""What stands for a mark where there is no room for it."""

_STYLES: Final[dict[Outcome, Style]] = {
    Outcome.READY: Verdict.MET,
    Outcome.NOT_READY: Verdict.UNMET,
    Outcome.INCONCLUSIVE: Verdict.UNVERIFIED,
}

_OF_PARTS: Final = (
    "Whether a part goes into a PC is for its manual to say: slots, the most it takes, its form and its "
    "power are not judged here. Memory is counted as if all of it were bought."
)
_DISCLAIMER: Final = (
    "This is about these readings, taken then. It is no guarantee of operation, safety or compliance."
)


def _safe(text: str) -> str:
    return visible(text, PROSE)


def _grouped(texts: Iterable[tuple[str, str]]) -> str:
    """Letters with what is said of each, those of whom the same is said together."""
    groups: dict[str, list[str]] = {}
    for letter, text in texts:
        groups.setdefault(text, []).append(letter)
    return "; ".join(f"{', '.join(letters)}: {text}" for text, letters in groups.items())


def _found(cell: Cell) -> str:
    found, why = _safe(cell.found), _safe(cell.why)
    if not why or why in found:
        return found or "nothing"
    return f"{found}: {why}" if found else why


def place_words(place: Place) -> str:
    """The places a candidate may take: "1", "2 to 4"."""
    return str(place.best) if place.best == place.worst else f"{place.best} to {place.worst}"


def headroom_words(one: Headroom) -> str:
    """How far a reading exceeds its minimum: "2.00 times", "at least 1.20 times", "not known"."""
    if isinf(one.least):
        return "without limit"
    # Never rounded up: what falls short must not look as if it did not.
    ratio = f"{int(one.least * 100) / 100:.2f} times"
    if one.known:
        return ratio
    return f"at least {ratio}" if one.least > 0 else "not known"


class _Drawing:
    """Draws the page.

    Args:
        comparison: What is on it.
        screen: What it is laid out for.
    """

    def __init__(self, comparison: Comparison, screen: Screen) -> None:
        self._said = comparison
        self._page = Page(screen, painter(screen.colours))
        self._titles = {row.id: row.title for row in comparison.rows}
        number = len(comparison.candidates)
        room = (gauge.WIDTH + 2) * number
        self._marks = self._page.width - room >= _TITLE
        self._column = gauge.WIDTH if self._marks else 1
        self._gap = self._column + (2 if self._marks else 1)

    def draw(self) -> str:
        """The whole page."""
        self._head()
        self._candidates()
        self._choice()
        self._lines("What to know first", self._said.notes)
        self._not_asked()
        self._matrix()
        self._needs()
        self._headroom()
        return str(self._page)

    # -- the first lines

    def _head(self) -> None:
        page, said = self._page, self._said
        page.text(f"COMPARISON OF {len(said.candidates)} CANDIDATES", "strong")
        page.text(" + ".join(_safe(profile.title) for profile in said.profiles), "strong")
        page.blank()
        page.labelled("Judged for", f"{said.on.isoformat()} (support, expiries, concessions)")
        page.labelled("Counted from", f"{said.as_of.isoformat()} (age of the readings)")
        page.blank()
        page.text(_DISCLAIMER)

    def _candidates(self) -> None:
        page = self._page
        page.heading("Candidates")
        for one in self._said.candidates:
            computer = one.report.computer
            serial = computer.get("serial_number")
            texts = [one.name, computer.get("model") or "", f"serial number {serial}" if serial else ""]
            page.row(
                [
                    Column(one.letter, "strong"),
                    Column(one.report.pc_outcome.value, _STYLES[one.report.pc_outcome]),
                    Column(", ".join(_safe(text) for text in texts if text)),
                ],
                [1, 12, page.width - 17],
            )
            version = one.report.snapshot.tool_version or "of unknown version"
            origin = f"{one.file}, taken {one.report.snapshot.taken_at[:10]} by pcaudit {version}"
            page.text(_safe(origin), "quiet", indent=17)

    # -- which to choose

    def _choice(self) -> None:
        page, ranking = self._page, self._said.ranking
        page.heading("Which to choose")
        by_letter = {one.letter: one for one in self._said.candidates}

        def at(place: Place) -> tuple[int, int, int, str]:
            # What is known to pass stands before what may take the same places.
            return place.worst, place.best, standing(by_letter[place.letter]).worst, place.letter

        for place in sorted(ranking.places, key=at):
            words = says(by_letter[place.letter], self._said.currency)
            page.row(
                [
                    Column(f"place {place_words(place)}"),
                    Column(place.letter, "strong"),
                    Column(_safe(words)),
                ],
                [12, 1, page.width - 17],
            )
        if ranking.orders:
            page.blank()
        for order in ranking.steps():
            page.item(f"{order.before} before {order.after}: {_safe(order.because)}")
        if ranking.no_orders:
            page.blank()
        for because, pairs in self._unordered().items():
            page.item(f"No order between {'; '.join(pairs)}: {_safe(because)}")

    def _unordered(self) -> dict[str, list[str]]:
        """Pairs without an order, by the reason."""
        found: dict[str, list[str]] = {}
        for pair in self._said.ranking.no_orders:
            found.setdefault(pair.because, []).append(f"{pair.first} and {pair.second}")
        return found

    def _lines(self, title: str, lines: Sequence[str]) -> None:
        if lines:
            self._page.heading(title)
        for line in lines:
            self._page.item(_safe(line))

    def _not_asked(self) -> None:
        said = self._said
        letters = ", ".join(one.letter for one in said.candidates)
        grouped: dict[str, list[str]] = {}
        for one in said.candidates:
            for line in one.report.not_asked:
                grouped.setdefault(line, []).append(one.letter)
        lines = []
        for line, of in grouped.items():
            whose = ", ".join(of)
            lines.append(line if whose == letters else f"{whose}: {line}")
        self._lines("Not asked", lines)

    # -- the matrix

    def _matrix(self) -> None:
        differing, alike = self._said.differing(), self._said.alike()
        page = self._page
        page.heading(f"Where they differ ({len(differing)} of {len(self._said.rows)} conditions)")
        self._legend()
        if differing:
            self._letters()
        for row in differing:
            self._row(row)
            page.labelled("asked", self._required(row), 5, 2)
            page.labelled("found", _grouped((cell.letter, _found(cell)) for cell in row.cells), 5, 2)
        if not differing:
            page.text("Every condition comes to the same on all of them.")
        if alike:
            page.heading(f"All alike ({len(alike)})")
            self._letters()
        for row in alike:
            self._row(row)

    def _legend(self) -> None:
        used = {cell.verdict for row in self._said.rows for cell in row.cells}
        words = [f"{self._mark(verdict)} {verdict.value}" for verdict in Verdict if verdict in used]
        self._page.text(", ".join(words), "quiet")

    def _mark(self, verdict: Verdict) -> str:
        return gauge.mark(verdict, self._page.drawn).strip() if self._marks else SIGNS[verdict]

    def _grid(self, title: Column, cells: Sequence[Column]) -> None:
        # Signs stand one space apart, so they are one column of the page.
        room = self._page.width - self._gap * len(cells)
        if self._marks:
            self._page.row([title, *cells], [room, *[self._column] * len(cells)])
            return
        signs = " ".join(cell.text for cell in cells)
        self._page.row([title, Column(signs, whole=True)], [room - 1, len(signs)])

    def _letters(self) -> None:
        letters = [Column(one.letter, "strong") for one in self._said.candidates]
        self._grid(Column("Condition", "quiet"), letters)

    def _row(self, row: Row) -> None:
        title = visible(row.title) + ("" if row.binding else " (advised)")
        cells = []
        for cell in row.cells:
            text = gauge.mark(cell.verdict, self._page.drawn) if self._marks else SIGNS[cell.verdict]
            cells.append(Column(text, cell.verdict, whole=True))
        self._grid(Column(title), cells)

    def _required(self, row: Row) -> str:
        texts = {cell.required for cell in row.cells}
        if len(texts) == 1:
            return _safe(row.required).removesuffix(" (advised)")
        return _grouped((cell.letter, _safe(cell.required)) for cell in row.cells)

    # -- what each needs

    def _needs(self) -> None:
        page = self._page
        page.heading("What each would need")
        if any(one.mending.of(Means.PART) for one in self._said.candidates):
            page.text(_OF_PARTS, "quiet")
            page.blank()
        for number, one in enumerate(self._said.candidates):
            if number:
                page.blank()
            page.row([Column(f"{one.letter}: {_safe(one.name)}", "strong")], [page.width])
            self._need(one)

    def _need(self, one: Candidate) -> None:
        page, mending = self._page, one.mending
        self._changes("Settings (free)", mending.of(Means.SETTING))
        parts = mending.of(Means.PART)
        self._changes("Parts (to buy)", parts)
        price = price_words(parts, self._said.currency)
        if price:
            page.text(f"together {_safe(price)}", indent=4)
        if mending.left:
            page.text("Not mended by a setting or a part", "strong", 2)
        for left in mending.left:
            page.item(f"{_safe(left.title)}: {_safe(left.why)}", 4)
        if mending.unread:
            page.text("Not known; make it readable first", "strong", 2)
        for unread in mending.unread:
            page.item(f"{_safe(unread.title)}: {_safe(unread.why)}", 4)
            if unread.remedy:
                page.labelled("do", _safe(unread.remedy), 3, 7)
        page.text(_verdict_on(one), indent=2)

    def _changes(self, title: str, changes: Sequence[Change]) -> None:
        if changes:
            self._page.text(title, "strong", 2)
        for change in changes:
            self._page.item(self._change(change), 4)
            if len(change.mends) > 1:
                titles = [visible(self._titles.get(name, name)) for name in change.mends]
                self._page.text(f"mends: {', '.join(titles)}", indent=7)
            if change.caveat:
                self._page.text(_safe(change.caveat), indent=7)

    def _change(self, change: Change) -> str:
        now = f", now {_safe(change.now)}" if change.now else ""
        if change.kind is Means.SETTING:
            return f"{_safe(change.what)}: {_safe(change.to)}{now}"
        text = f"{_safe(change.part)}: {_safe(change.what).lower()}{now}"
        if not self._said.currency:
            return text
        if change.price is None:
            return f"{text}; no price"
        sold = f", as {_safe(change.priced_as)}" if change.priced_as else ""
        return f"{text}; {_safe(show_price(change.price, self._said.currency))}{sold}"

    # -- headroom

    def _headroom(self) -> None:
        page, said = self._page, self._said
        page.heading("Headroom and support")
        page.text("What there is, as a multiple of what is required.", "quiet")
        rows: dict[str, list[tuple[str, Headroom]]] = {}
        for one in said.candidates:
            for room in one.headroom:
                rows.setdefault(room.id, []).append((one.letter, room))
        width = min(30, page.width // 3)
        for of in rows.values():
            page.labelled(
                visible(of[0][1].title),
                _grouped((letter, headroom_words(room)) for letter, room in of),
                width,
            )
        page.labelled(
            "Years of support", _grouped((one.letter, _support(one)) for one in said.candidates), width
        )


def _support(one: Candidate) -> str:
    ends, years, why = _safe(one.support.ends), one.support.years, one.support.why
    if years is None:
        return f"not known: {_safe(why)}"
    return f"{years:.1f}, until {ends}" if years >= 0 else f"none, ended {ends}"


def _verdict_on(one: Candidate) -> str:
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


def render(comparison: Comparison, screen: Screen = PLAIN) -> str:
    """Lay a comparison out as text.

    What profiles and PCs say is shown as it is and never obeyed.

    Args:
        comparison: What to show.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    return _Drawing(comparison, screen).draw()
