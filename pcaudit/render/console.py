"""A report as text, for a terminal or a file."""

from __future__ import annotations

from pcaudit.core.report import Report
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Page
from pcaudit.render.paint import painter
from pcaudit.render.sections import actions, arrangements, backup, findings, head


def render(report: Report, screen: Screen = PLAIN) -> str:
    """Lay a report out as text.

    What profiles and PCs say is shown as it is and never obeyed: escape codes, control and
    direction characters appear as visible escapes, and there is no markup to fall for.

    Args:
        report: What to show.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    head.draw(page, report)
    if report.sections:
        _with_plan(page, report)
        return str(page)
    actions.draw(page, report)
    arrangements.draw(page, report)
    backup.draw(page, report)
    findings.draw(page, report)
    return str(page)


def _with_plan(page: Page, report: Report) -> None:
    """The same with the parts of a plan, which say more of backup than its outline."""
    from pcaudit.render.sections import plan_section

    plan_section.draw_glance(page, plan_section.glances(report.arrangements, report.sections))
    actions.draw(page, report)
    arrangements.draw(page, report)
    for section in plan_section.without_repeats(report.sections):
        plan_section.draw(page, section)
    findings.draw(page, report)
    plan_section.draw_figures(page, report.sections)
