"""A comparison as text, for a terminal or a file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pcaudit.core.changes import Change, Means
from pcaudit.core.compare import Candidate, Comparison, Row, price_words, says
from pcaudit.core.report import Outcome, Verdict
from pcaudit.core.visible import visible
from pcaudit.render import compare_words as words, gauge
from pcaudit.render.compare_words import in_one_line, safe
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell as Column, Page, Style
from pcaudit.render.paint import painter
from pcaudit.render.sections.head import pc_words

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
        self._lines("Not asked", words.not_asked(self._said))
        self._matrix()
        self._needs()
        self._headroom()
        return str(self._page)

    # -- the first lines

    def _head(self) -> None:
        page, said = self._page, self._said
        page.text(f"COMPARISON OF {len(said.candidates)} CANDIDATES", "strong")
        page.text(" + ".join(safe(profile.title) for profile in said.profiles), "strong")
        page.blank()
        page.labelled("Judged for", f"{said.on.isoformat()} (support, expiries, concessions)")
        page.labelled("Counted from", f"{said.as_of.isoformat()} (age of the readings)")
        page.blank()
        page.text(words.DISCLAIMER)

    def _candidates(self) -> None:
        page = self._page
        page.heading("Candidates")
        for one in self._said.candidates:
            page.row(
                [
                    Column(one.letter, "strong"),
                    Column(pc_words(one.report), _STYLES[one.report.pc_outcome]),
                    Column(words.computer_words(one)),
                ],
                [1, 12, page.width - 17],
            )
            page.text(words.origin_words(one), "quiet", indent=17)

    # -- which to choose

    def _choice(self) -> None:
        page, ranking = self._page, self._said.ranking
        page.heading("Which to choose")
        if left := words.prices_left(self._said):
            page.text(left)
            page.blank()
        for place, one in words.in_order(self._said):
            page.row(
                [
                    Column(f"place {words.place_words(place)}"),
                    Column(place.letter, "strong"),
                    Column(safe(says(one, self._said.currency))),
                ],
                [12, 1, page.width - 17],
            )
        if ranking.orders:
            page.blank()
        for order in ranking.steps():
            page.item(f"{order.before} before {order.after}: {safe(order.because)}")
        if ranking.no_orders:
            page.blank()
        for because, pairs in words.unordered(self._said).items():
            page.item(f"No order between {'; '.join(pairs)}: {safe(because)}")

    def _lines(self, title: str, lines: Sequence[str]) -> None:
        if lines:
            self._page.heading(title)
        for line in lines:
            self._page.item(safe(line))

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
            page.labelled("asked", words.required_words(row), 5, 2)
            page.labelled("found", in_one_line(words.found(row)), 5, 2)
        if not differing:
            page.text(words.ALL_ALIKE)
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

    # -- what each needs

    def _needs(self) -> None:
        page = self._page
        page.heading("What each would need")
        if any(one.mending.of(Means.PART) for one in self._said.candidates):
            page.text(words.OF_PARTS, "quiet")
            page.blank()
        for number, one in enumerate(self._said.candidates):
            if number:
                page.blank()
            page.row([Column(f"{one.letter}: {safe(one.name)}", "strong")], [page.width])
            self._need(one)

    def _need(self, one: Candidate) -> None:
        page, mending = self._page, one.mending
        self._changes("Settings (free)", mending.of(Means.SETTING))
        parts = mending.of(Means.PART)
        self._changes("Parts (to buy)", parts)
        price = price_words(parts, self._said.currency)
        if price:
            page.text(f"together {safe(price)}", indent=4)
        if mending.left:
            page.text("Not mended by a setting or a part", "strong", 2)
        for left in mending.left:
            page.item(f"{safe(left.title)}: {safe(left.why)}", 4)
        if mending.unread:
            page.text("Not known; make it readable first", "strong", 2)
        for unread in mending.unread:
            page.item(f"{safe(unread.title)}: {safe(unread.why)}", 4)
            if unread.remedy:
                page.labelled("do", safe(unread.remedy), 3, 7)
        page.text(words.verdict_on(one), indent=2)

    def _changes(self, title: str, changes: Sequence[Change]) -> None:
        if changes:
            self._page.text(title, "strong", 2)
        for change in changes:
            self._page.item(self._change(change), 4)
            if mended := words.mended_words(change, self._titles):
                self._page.text(f"mends: {mended}", indent=7)
            if change.caveat:
                self._page.text(safe(change.caveat), indent=7)

    def _change(self, change: Change) -> str:
        now = f", now {safe(change.now)}" if change.now else ""
        if change.kind is Means.SETTING:
            return f"{safe(change.what)}: {safe(change.to)}{now}"
        text = f"{safe(change.part)}: {safe(change.what).lower()}{now}"
        price = words.price_of(change, self._said.currency)
        return f"{text}; {price}" if price else text

    # -- headroom

    def _headroom(self) -> None:
        page, said = self._page, self._said
        page.heading("Headroom and support")
        page.text(words.OF_HEADROOM, "quiet")
        width = min(30, page.width // 3)
        for row in words.headroom_rows(said):
            title = visible(next(iter(row.values())).title)
            ratios = ((letter, words.headroom_words(room)) for letter, room in row.items())
            page.labelled(title, in_one_line(words.grouped(ratios)), width)
        page.labelled(
            "Years of support",
            in_one_line(words.grouped((one.letter, words.support_words(one)) for one in said.candidates)),
            width,
        )


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
