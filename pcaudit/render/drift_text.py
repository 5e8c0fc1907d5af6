"""A drift as text: what turned, what changed, what changes by itself, what nobody can say."""

from __future__ import annotations

from typing import Final

from pcaudit.core.drift import Change, Drift, Open, SamePc, Turned
from pcaudit.core.outcome_words import with_concessions
from pcaudit.core.report import Verdict
from pcaudit.core.snapshot import Form, Snapshot
from pcaudit.core.visible import visible
from pcaudit.render.drift_words import both_words, what_words
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import VERDICT, Cell, Page
from pcaudit.render.paint import painter

_PROSE: Final = 600
_SHOWN: Final = 200
"""Changes shown in one section; beyond, they are counted, and JSON has them all."""

_SIDES: Final = {"then": "not known then", "now": "not known now", "both": "known neither then nor now"}


def _host(snapshot: Snapshot) -> str:
    name = snapshot.get("computer.host_name")
    return visible(name.value) if name.form is Form.KNOWN else "this PC"


def _headline(drift: Drift) -> tuple[str, str]:
    """The first line, and the one that says how much."""
    host = _host(drift.now)
    steady = [change for change in drift.changes if change.counts]
    counts = f"{_counted(len(drift.turned), 'verdict')} turned, {_counted(len(steady), 'change')}"
    if drift.same_pc is SamePc.ANOTHER:
        return f"ANOTHER PC: {visible(drift.pc_words)}", counts
    if drift.drifted:
        return f"DRIFTED: {host}", counts
    unclear = sum(one.side != "both" for one in drift.open)
    rest = f"; {unclear} cannot be compared" if unclear else ""
    return f"NO DRIFT: {host}", f"nothing changed that counts{rest}"


def _counted(number: int, what: str) -> str:
    return f"{number or 'no'} {what}{'s' * (number != 1)}"


def _head(page: Page, drift: Drift) -> None:
    first, counts = _headline(drift)
    page.row([Cell(first, Verdict.UNMET if drift.drifted else Verdict.MET)], [page.width])
    page.row([Cell(" + ".join(visible(title) for title in drift.titles), "strong")], [page.width])
    page.text(counts)
    page.blank()
    held = drift.held
    page.labelled("Record", visible(held.name))
    page.labelled("Entered", f"by {visible(held.by)} as {visible(held.meaning)}, {visible(held.at)}")
    page.labelled("PC", f"{drift.same_pc.value}: {visible(drift.pc_words)}")
    page.labelled("Readings", f"{visible(drift.then.taken_at)} then, {visible(drift.now.taken_at)} now")
    then = with_concessions(drift.outcome_then, drift.conceded[0])
    now = with_concessions(drift.outcome_now, drift.conceded[1])
    page.labelled("Outcome", f"then {then}; now {now}" if "," in then + now else f"{then} then, {now} now")
    page.labelled("Judged for", f"{drift.on.isoformat()} (support, expiries, concessions)")
    page.labelled("Counted from", f"{drift.as_of.isoformat()} (age of the readings)")
    page.labelled("Judged by", "the profiles, choices and concessions that the record holds")


def _draw_turned(page: Page, drift: Drift) -> None:
    if not drift.turned:
        return
    page.heading("Verdicts that turned")
    for number, one in enumerate(drift.turned):
        if number:
            page.blank()
        _draw_verdict(page, one)


def _draw_verdict(page: Page, one: Turned) -> None:
    advised = "" if one.binding else " (advised)"
    room = page.width - sum(VERDICT) - 4
    title = Cell(visible(one.title) + advised, "strong")
    if one.now is None:
        page.row([Cell(""), Cell("not judged"), title], [*VERDICT, room])
    else:
        page.row([*page.verdict(one.now), title], [*VERDICT, room])
    indent = sum(VERDICT) + 4
    then = one.then.value if one.then else "not judged"
    page.labelled("then", f"{then}: {visible(one.found_then, _PROSE)}" if one.found_then else then, 8, indent)
    if one.found_now:
        page.labelled("now", visible(one.found_now, _PROSE), 8, indent)
    if one.why:
        page.labelled("because", visible(one.why, _PROSE), 8, indent)
    page.labelled("asked", visible(one.required, _PROSE), 8, indent)
    if one.remedy and one.now in (Verdict.UNMET, Verdict.UNVERIFIED, Verdict.MARGINAL):
        page.labelled("do", f"{visible(one.remedy, _PROSE)} ({visible(one.owner)})", 8, indent)
    if not one.by_readings:
        text = "not the readings alone: the day judged for, the knowledge or the version differs too"
        page.labelled("cause", text, 8, indent)


def _change_words(one: Change) -> str:
    if one.item is not None and not one.key:
        return "gone" if one.now is None else "new"
    then, now = both_words(one)
    return f"{then} -> {now}"


def _section(page: Page, title: str, changes: list[Change]) -> None:
    if not changes:
        return
    page.heading(title)
    width = (page.width - 6) // 2
    for one in changes[:_SHOWN]:
        follows = " (follows)" if one.record.derived else ""
        page.row(
            [Cell(what_words(one) + follows), Cell(_change_words(one))], [width, page.width - width - 4], 2
        )
    _more(page, len(changes))


def _more(page: Page, count: int) -> None:
    if count > _SHOWN:
        page.text(f"and {count - _SHOWN} more: --format json has all", "quiet", 2)


def _draw_open(page: Page, unclear: tuple[Open, ...]) -> None:
    if not unclear:
        return
    page.heading("Cannot be compared")
    page.text("Not counted as changes: what is not known may or may not have changed.", "quiet")
    width = (page.width - 6) // 2
    sided = [one for one in unclear if one.side != "both"]
    for one in sided[:_SHOWN]:
        text = f"{_SIDES[one.side]}: {visible(one.why, _PROSE)}"
        page.row([Cell(what_words(one)), Cell(text)], [width, page.width - width - 4], 2)
    _more(page, len(sided))
    both = [what_words(one) for one in unclear if one.side == "both"]
    if both:
        page.text(f"{_SIDES['both']}: {', '.join(both)}", "", 2)


def render(drift: Drift, screen: Screen = PLAIN) -> str:
    """Lay a drift out as text.

    Args:
        drift: What to show.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    _head(page, drift)
    if drift.notes:
        page.heading("Warnings")
        for note in drift.notes:
            page.item(visible(note, _PROSE))
    _draw_turned(page, drift)
    _section(page, "What changed", [one for one in drift.changes if not one.volatile])
    _section(page, "Changed by itself, no drift", [one for one in drift.changes if one.volatile])
    _draw_open(page, drift.open)
    return str(page)
