"""What people must have ready: a checklist with blanks to fill in."""

from __future__ import annotations

from typing import Final

from pcaudit.core.report import Arrangement, Report
from pcaudit.core.visible import visible
from pcaudit.render.layout import Cell, Page
from pcaudit.render.sections.actions import PROSE

_BLANK: Final = "____"
_SECRETS: Final = frozenset({"licence", "certificate", "authorisation code", "credential"})


def secret_first(arrangements: tuple[Arrangement, ...]) -> list[Arrangement]:
    """Licences and credentials first, then the rest, each in the profile's order."""
    return sorted(arrangements, key=lambda arrangement: arrangement.kind.casefold() not in _SECRETS)


def _answer(text: str) -> str:
    return visible(text, PROSE) if text else _BLANK


def _draw_arrangement(page: Page, asked: Arrangement) -> None:
    title = f"{visible(asked.title)} ({visible(asked.kind)})"
    page.row([Cell(title, "strong"), Cell(visible(asked.state))], [page.width - 20, 18])
    page.labelled("held by", _answer(asked.holder), 10, 4)
    page.labelled("kept at", _answer(asked.kept), 10, 4)
    page.labelled("expires", _answer(asked.expires), 10, 4)
    lead = visible(asked.lead_time) or _BLANK
    page.labelled("needed", f"{visible(asked.needed) or _BLANK}; lead time {lead}", 10, 4)
    page.labelled("owner", visible(asked.owner) or _BLANK, 10, 4)
    if asked.remedy:
        page.labelled("do", visible(asked.remedy, PROSE), 10, 4)
    if asked.because:
        page.labelled("why", visible(asked.because, PROSE), 10, 4)


def draw(page: Page, report: Report) -> None:
    """Draw the section."""
    page.heading("What to have ready")
    if not report.arrangements:
        page.text("The profile names no licence, credential or other arrangement.")
        return
    page.text("Never write the secret itself here: write who holds it and where it is kept.")
    for arrangement in secret_first(report.arrangements):
        page.blank()
        _draw_arrangement(page, arrangement)
