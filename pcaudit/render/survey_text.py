"""A survey as text, for a terminal or a file."""

from __future__ import annotations

from typing import Final

from pcaudit.core.survey import Survey, age, bought, faults, gained, name_of, turned
from pcaudit.core.survey_verdicts import outcome_of_codes
from pcaudit.render import survey_words as words
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell, Page
from pcaudit.render.paint import painter
from pcaudit.render.survey_words import safe

SHOWN: Final = 40
"""PCs, conditions and files listed at most, unless one outcome was asked for."""

_NUMBER: Final = 10


class _Drawing:
    """Draws the page.

    Args:
        survey: What is on it.
        screen: What it is laid out for.
    """

    def __init__(self, survey: Survey, screen: Screen) -> None:
        self._said = survey
        self._page = Page(screen, painter(screen.colours))

    def draw(self) -> str:
        """The whole page."""
        self._head()
        self._faults()
        self._changes()
        self._against()
        self._what_if()
        self._pcs()
        self._left_out()
        return str(self._page)

    def _head(self) -> None:
        page, said = self._page, self._said
        heading = said.heading
        page.text(f"SURVEY OF {words.pcs(len(said.pcs))}", "strong")
        page.text(" + ".join(safe(profile.title) for profile in heading.profiles), "strong")
        page.blank()
        page.labelled("Outcome", words.counted(said))
        page.labelled("Judged for", heading.on.isoformat())
        page.labelled("Age of readings", words.ages(said))
        chosen = [f"option {name}" for name in heading.options]
        chosen += [f"{name} = {value}" for name, value in heading.parameters.items()]
        if chosen:
            page.labelled("Chosen", safe("; ".join(chosen)))
        page.blank()
        page.text(words.advice(said))
        page.text(words.DISCLAIMER)
        page.heading("What to know first")
        for note in words.notes(said):
            page.item(note)

    def _more(self, number: int) -> None:
        if number > 0:
            self._page.text(f"and {number} more: --format json has all", "quiet", 2)

    def _faults(self) -> None:
        page, found = self._page, faults(self._said)
        page.heading("What fails most often")
        if not found:
            page.text("Every PC meets every condition.")
            return
        widths = [_NUMBER, _NUMBER, _NUMBER, page.width - 3 * _NUMBER - 6]
        page.row([Cell(one, "quiet") for one in ("unmet", "not known", "alone", "condition")], widths)
        for one in found[:SHOWN]:
            title = safe(one.finding.title) + ("" if one.finding.binding else " (advised)")
            texts = (str(one.unmet or "-"), str(one.unverified or "-"), str(one.alone or "-"))
            page.row([*map(Cell, texts), Cell(f"{title}: {safe(one.finding.required)}")], widths)
        self._more(len(found) - SHOWN)
        page.text("alone: the only thing that keeps so many PCs from being ready", "quiet")

    def _changes(self) -> None:
        page, found = self._page, bought(self._said)
        page.heading("One change that would do")
        if not found:
            page.text("No PC that falls short is known to become ready by one part or one setting.")
        for one in found[:SHOWN]:
            page.item(words.change_words(one))
            page.text(words.named(self._said, one.pcs), indent=5)
        self._more(len(found) - SHOWN)

    def _against(self) -> None:
        page, said = self._page, self._said
        if not said.heading.against:
            return
        title = safe(" + ".join(profile.title for profile in said.heading.against))
        page.heading("Against the other edition")
        page.text(title, "strong")
        page.text(words.against_words(said))
        lost = turned(said)
        for index in lost if said.heading.only else lost[:SHOWN]:
            pc = said.pcs[index]
            page.item(f"{safe(name_of(pc))}: {words.blockers(pc.against, said.against)}")
        self._more(0 if said.heading.only else len(lost) - SHOWN)

    def _what_if(self) -> None:
        page, said = self._page, self._said
        if not said.heading.what_if:
            return
        page.heading("Supposed, not seen")
        page.text(words.what_if_words(said))
        if gained(said):
            page.text("Only these readings were changed, not what else an upgrade brings.", "quiet")

    def _pcs(self) -> None:
        page, said = self._page, self._said
        shown = said.shown()
        what = f", {said.heading.only} only" if said.heading.only else ""
        page.heading(f"PCs{what} ({len(shown)})")
        limit = len(shown) if said.heading.only else SHOWN
        for index in shown[:limit]:
            pc, change = said.pcs[index], said.changes[index]
            outcome = outcome_of_codes(pc.codes)
            page.row(
                [Cell(outcome.value, words.STYLES[outcome]), Cell(words.computer(pc))], [12, page.width - 14]
            )
            page.text(f"{safe(pc.place.file)}, {age(pc, said.heading.as_of)} days old", "quiet", 14)
            if why := words.blockers(pc.codes, said.findings):
                page.text(why, indent=14)
            if change:
                page.text(f"one change would do: {safe(change.what)}", indent=14)
        self._more(len(shown) - limit)

    def _left_out(self) -> None:
        page, said = self._page, self._said
        if said.superseded:
            page.heading(f"Older snapshots of the same PCs ({len(said.superseded)})")
        for older in said.superseded[:SHOWN]:
            page.item(f"{safe(older.file)}: newer is {safe(older.by)}")
        self._more(len(said.superseded) - SHOWN)
        if said.not_read:
            page.heading(f"Not read ({len(said.not_read)})")
        for one in said.not_read[:SHOWN]:
            page.item(f"{safe(one.file)}: {safe(one.why)}")
        self._more(len(said.not_read) - SHOWN)


def render(survey: Survey, screen: Screen = PLAIN) -> str:
    """Lay a survey out as text.

    Args:
        survey: What to show.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    return _Drawing(survey, screen).draw()
