"""What people must have ready: a checklist with blanks to fill in."""

from __future__ import annotations

from typing import Final

from pcaudit.core.actions import by_lead_time
from pcaudit.core.report import Arrangement, Report
from pcaudit.core.visible import visible
from pcaudit.render.layout import VERDICT, Cell, Page
from pcaudit.render.sections.actions import PROSE

_BLANK: Final = "____________"
SECRETS_TITLE: Final = "Credentials and licences"
_SETTLED: Final = ("in hand", "not needed", "does not apply")
"""States of which no day matters any more."""

NO_SECRETS: Final = "Never write the secret itself here: write who holds it and where it is kept."
_SECRETS: Final = frozenset({"licence", "certificate", "authorisation code", "credential"})


def _answer(text: str) -> str:
    return visible(text, PROSE) if text else _BLANK


def state_words(one: Arrangement) -> str:
    """State of an arrangement, and that it is open: "requested, open"."""
    return f"{one.state}, open" if one.open else one.state


def days_words(one: Arrangement) -> str:
    """When it was asked for, promised, and must be begun or had; empty where nothing is said of that."""
    waiting = one.verdict is not None and one.state not in _SETTLED
    said = (
        ("requested", one.requested),
        ("expected", one.expected),
        ("begin by", one.latest_start if waiting else ""),
        ("due by", one.due if waiting else ""),
    )
    return ", ".join(f"{label} {text}" for label, text in said if text)


def measured_words(one: Arrangement) -> str:
    """What was measured and what it must be; empty where nothing is measured."""
    return f"{one.found or 'not measured'} (asked: {one.required})" if one.required else ""


def _draw_arrangement(page: Page, asked: Arrangement) -> None:
    title = f"{visible(asked.title)} ({visible(asked.kind)})"
    if asked.verdict is None:
        page.row([Cell(title, "strong"), Cell(visible(asked.state))], [page.width - 20, 18])
    else:
        left = page.width - sum(VERDICT) - 24
        cells = [*page.verdict(asked.verdict), Cell(title, "strong"), Cell(visible(state_words(asked)))]
        page.row(cells, [*VERDICT, left, 18])
    lead = f", lead time {visible(asked.lead_time)}" if asked.lead_time else ""
    page.text(
        f"needed {visible(asked.needed) or _BLANK}{lead}; by {visible(asked.owner) or _BLANK}", indent=4
    )
    third = (page.width - 8) // 3
    answers = (("held by", asked.holder), ("kept at", asked.kept), ("expires", asked.expires))
    page.row([Cell(f"{label} {_answer(text)}") for label, text in answers], [third] * 3, 4)
    _draw_answer(page, asked)
    if asked.remedy:
        page.labelled("do", visible(asked.remedy, PROSE), 3, 4)
    if asked.because:
        page.labelled("why", visible(asked.because, PROSE), 3, 4)


def _draw_answer(page: Page, asked: Arrangement) -> None:
    """What a worksheet says beside holder, place and expiry, and what that comes to."""
    rows = (
        ("deputy", asked.deputy),
        ("days", days_words(asked)),
        ("measured", measured_words(asked)),
        ("note", asked.note),
        ("verdict", asked.why),
    )
    for label, text in rows if asked.verdict is not None else ():
        if text:
            page.labelled(label, visible(text, PROSE), 8, 4)


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
