"""A plan as text, for a terminal, a file or the installation folder."""

from __future__ import annotations

from collections import Counter
from typing import Final

from pcaudit.core.finding import Finding, Outcome, Verdict
from pcaudit.core.plan.document import Plan
from pcaudit.core.visible import visible
from pcaudit.render import plan_arrangements
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Cell, Page, Style
from pcaudit.render.paint import painter
from pcaudit.render.sections import actions, plan_section
from pcaudit.render.sections.actions import PROSE

_STYLES: Final[dict[Outcome, Style]] = {
    Outcome.READY: Verdict.MET,
    Outcome.NOT_READY: Verdict.UNMET,
    Outcome.INCONCLUSIVE: Verdict.UNVERIFIED,
}
_HOLD: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.ACCEPTED)

STATEMENTS: Final = {
    Outcome.READY: "By what was entered, everything that was asked is arranged",
    Outcome.NOT_READY: "By what was entered, something asked is not arranged",
    Outcome.INCONCLUSIVE: "By what was entered, something is still open or not known",
}
"""What the outcome of a plan means."""

LIMITS: Final = (
    "A planning aid, within the figures entered: neither an electrical design nor a certificate. Local "
    "codes, site rules and licensed practice prevail."
)
"""What a plan is not."""


def held_open_short(plan: Plan) -> tuple[int, int, int]:
    """How many points that bind hold, are open or not known, and fall short."""
    verdicts = Counter(finding.verdict for finding in plan.every if finding.binding)
    return sum(verdicts[one] for one in _HOLD), verdicts[Verdict.UNVERIFIED], verdicts[Verdict.UNMET]


def counts_words(plan: Plan) -> str:
    """The same in words: "19 of 31 points hold; 3 are open or not known, 9 fall short"."""
    held, unknown, short = held_open_short(plan)
    count = held + unknown + short
    if not count:
        return "Nothing was asked"
    text = f"{held} of {count} point{'s' if count > 1 else ''} hold{'s' if held == 1 else ''}"
    rest = [f"{unknown} {'is' if unknown == 1 else 'are'} open or not known"] if unknown else []
    rest += [f"{short} fall{'s' if short == 1 else ''} short"] if short else []
    return f"{text}; {', '.join(rest)}" if rest else text


def day_words(plan: Plan) -> str:
    """Which day it is a plan for."""
    return f"installation on {plan.on.isoformat()}" if plan.day_known else "no installation day"


def pc_words(plan: Plan) -> str:
    """Which PC its readings are of, and from when they are."""
    if not plan.taken_at:
        return "no snapshot was given: what it holds is not known"
    return (
        f"{visible(plan.computer.get('host_name') or 'of unknown name')}, read {visible(plan.taken_at)[:10]}"
    )


def to_do(plan: Plan) -> tuple[Finding, ...]:
    """Every finding, without what the calendar only repeats of an arrangement."""
    said = {f"calendar.arrangements[{one.id}]": one.verdict for one in plan.arrangements}

    def repeats(one: Finding) -> bool:
        first = said.get(one.id)
        return first is Verdict.UNMET or (first is Verdict.UNVERIFIED and one.verdict is not Verdict.UNMET)

    return tuple(one for one in plan.every if not repeats(one))


def statement(plan: Plan) -> str:
    """What the outcome means, and what it does not cover."""
    return " ".join(filter(None, (f"{STATEMENTS[plan.outcome]}.", plan_section.left_out(plan.sections))))


def _head(page: Page, plan: Plan) -> None:
    words = f"{plan.outcome.value.upper()}: {day_words(plan)}"
    page.row([Cell(words, _STYLES[plan.outcome])], [page.width])
    page.row([Cell(visible(plan.title, PROSE), "strong")], [page.width])
    page.blank()
    page.labelled("Worksheet", visible(plan.path, PROSE))
    page.labelled("PC", pc_words(plan))
    page.labelled("Counted from", f"{plan.as_of.isoformat()} (what is late)")
    page.blank()
    page.text(f"{counts_words(plan)}.")
    page.text(statement(plan))
    page.text(LIMITS)
    if plan.warnings:
        page.heading("Warnings")
    for line in plan.warnings:
        page.item(visible(line, PROSE))


def render(plan: Plan, screen: Screen = PLAIN) -> str:
    """Lay a plan out as text.

    What files say is shown as it is and never obeyed.

    Args:
        plan: What to show.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    _head(page, plan)
    plan_section.draw_glance(page, plan_section.glances(plan.arrangements, plan.sections))
    actions.draw_findings(page, to_do(plan), "Nothing is left to do.")
    plan_arrangements.draw(page, plan.arrangements)
    for section in plan_section.without_repeats(plan.sections):
        plan_section.draw(page, section)
    plan_section.draw_figures(page, plan.sections)
    return str(page)
