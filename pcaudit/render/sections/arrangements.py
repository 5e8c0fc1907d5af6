"""What people must have ready: a checklist with blanks to fill in."""

from __future__ import annotations

from typing import Final

from pcaudit.core.actions import by_lead_time
from pcaudit.core.report import Arrangement, Report
from pcaudit.core.visible import visible
from pcaudit.render.layout import Cell, Page
from pcaudit.render.sections.actions import PROSE

_BLANK: Final = "____________"
SECRETS_TITLE: Final = "Credentials and licences"
NO_SECRETS: Final = "Never write the secret itself here: write who holds it and where it is kept."
_SECRETS: Final = frozenset({"licence", "certificate", "authorisation code", "credential"})


def _answer(text: str) -> str:
    return visible(text, PROSE) if text else _BLANK


def _draw_arrangement(page: Page, asked: Arrangement) -> None:
    title = f"{visible(asked.title)} ({visible(asked.kind)})"
    page.row([Cell(title, "strong"), Cell(visible(asked.state))], [page.width - 20, 18])
    lead = f", lead time {visible(asked.lead_time)}" if asked.lead_time else ""
    page.text(
        f"needed {visible(asked.needed) or _BLANK}{lead}; by {visible(asked.owner) or _BLANK}", indent=4
    )
    third = (page.width - 8) // 3
    answers = (("held by", asked.holder), ("kept at", asked.kept), ("expires", asked.expires))
    page.row([Cell(f"{label} {_answer(text)}") for label, text in answers], [third] * 3, 4)
    if asked.remedy:
        page.labelled("do", visible(asked.remedy, PROSE), 3, 4)
    if asked.because:
        page.labelled("why", visible(asked.because, PROSE), 3, 4)


def _draw_all(page: Page, arrangements: list[Arrangement]) -> None:
    for number, arrangement in enumerate(arrangements):
        if number:
            page.blank()
        _draw_arrangement(page, arrangement)


def secrets_first(arrangements: tuple[Arrangement, ...]) -> tuple[list[Arrangement], list[Arrangement]]:
    """Credentials and licences, and everything else; what must be begun first stands first."""
    ordered = by_lead_time(arrangements)
    secrets = [one for one in ordered if one.kind.casefold() in _SECRETS]
    return secrets, [one for one in ordered if one.kind.casefold() not in _SECRETS]


def draw(page: Page, report: Report) -> None:
    """Draw the sections: credentials and licences first, then everything else."""
    draw_arrangements(page, report.arrangements)


def draw_arrangements(page: Page, wanted: tuple[Arrangement, ...]) -> None:
    """The same, of arrangements that no report holds."""
    if not wanted:
        page.heading(SECRETS_TITLE)
        page.text("The profile names no licence, credential or other arrangement.")
        return
    secrets, others = secrets_first(wanted)
    if secrets:
        page.heading(SECRETS_TITLE)
        page.text(NO_SECRETS)
        page.blank()
        _draw_all(page, secrets)
    if others:
        page.heading("What else to have ready")
        _draw_all(page, others)
