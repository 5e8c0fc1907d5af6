"""Arrangements in a plan: a list to tick off, one entry for each; what to do about them stands before it."""

from __future__ import annotations

from typing import Final

from pcaudit.core.finding import Arrangement, Verdict
from pcaudit.core.visible import visible
from pcaudit.render.layout import VERDICT, Cell, Page
from pcaudit.render.sections.actions import PROSE
from pcaudit.render.sections.arrangements import NO_SECRETS, SECRETS_TITLE, secrets_first
from pcaudit.render.sections.plan_section import balanced

OTHERS_TITLE: Final = "What else to have ready"
NOTHING: Final = "The worksheet answers no arrangement, and no profile it names asks for one."

_GAP: Final = 2
_IN_HAND: Final = "in hand"
_SETTLED: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.ACCEPTED, Verdict.NOT_APPLICABLE)


def is_settled(one: Arrangement) -> bool:
    """Whether it is there, or nobody needs it."""
    return one.verdict in _SETTLED


def _where(one: Arrangement) -> list[str]:
    """Who has it, where, and until when."""
    said = [one.holder] if one.holder else []
    said += [f"else {one.deputy}"] if one.deputy else []
    said += [f"kept: {one.kept}"] if one.kept else []
    return [*said, f"expires: {one.expires}"] if one.expires else said


def _when(one: Arrangement) -> list[str]:
    """When it was asked for, is promised and must be there; nothing of what is there already."""
    if is_settled(one) or one.state == _IN_HAND:
        return []
    said = [f"promised for {one.expected}"] if one.expected else []
    begin = bool(one.latest_start) and not (one.requested or one.expected)
    said += [f"begin by {one.latest_start}"] if begin else []
    said += [f"due {one.due}"] if one.due else []
    return [*said, f"by {one.owner}"] if one.owner else said


def answer_words(one: Arrangement) -> str:
    """What the worksheet says of it, in a line: "in hand: I. Fallow; kept: instrument file"."""
    if one.verdict is Verdict.NOT_APPLICABLE:
        return one.why or one.state
    said = [*_when(one), *_where(one)]
    if one.required:
        said.append(f"measured: {one.found or 'not yet'} (asked: {one.required})")
    said += [one.note] if one.note else []
    said += [one.why] if one.why and one.state == _IN_HAND and not is_settled(one) else []
    asked = f" {one.requested}" if one.requested and not is_settled(one) else ""
    return f"{one.state}{asked}: {'; '.join(said)}" if said else f"{one.state}{asked}"


def _title(one: Arrangement) -> str:
    return f"{visible(one.title, PROSE)} ({visible(one.kind)})"


def _draw_all(page: Page, several: list[Arrangement]) -> None:
    rows = [(_title(one), visible(answer_words(one), PROSE)) for one in several]
    room = page.width - sum(VERDICT) - 2 * _GAP
    widths = balanced(list(map(list, zip(*rows, strict=True))), room)
    if widths is None:
        widths = [(room - _GAP) // 2] * 2
    for one, (title, answer) in zip(several, rows, strict=True):
        cells = [*page.verdict(one.verdict or Verdict.UNVERIFIED), Cell(title), Cell(answer)]
        page.row(cells, [*VERDICT, *widths])


def draw(page: Page, wanted: tuple[Arrangement, ...]) -> None:
    """Draw the list: credentials and licences first, in each part what takes longest first."""
    page.heading("Arrangements")
    secrets, others = secrets_first(wanted)
    if not wanted:
        page.text(NOTHING)
    if secrets:
        page.text(SECRETS_TITLE, "strong")
        page.text(NO_SECRETS, "quiet")
        _draw_all(page, secrets)
    if secrets and others:
        page.blank()
    if others:
        page.text(OTHERS_TITLE, "strong")
        _draw_all(page, others)
