"""The outline of a backup plan."""

from __future__ import annotations

from pcaudit.core.report import BackupItem, Report
from pcaudit.core.units import STORAGE, show
from pcaudit.core.visible import visible
from pcaudit.render.layout import Cell, Page
from pcaudit.render.sections.actions import PROSE


def size_words(item: BackupItem) -> str:
    """The size of an item, or that it is not known."""
    return "size unknown" if item.size is None else show(item.size, STORAGE)


def draw(page: Page, report: Report) -> None:
    """Draw the section."""
    backup = report.backup
    page.heading("Backup plan, outline")
    what = min(30, (page.width - 26) // 2)
    widths = [what, 20, page.width - what - 24]
    for item in backup.items:
        row = (visible(item.what, PROSE), size_words(item), visible(item.basis, PROSE))
        page.row([Cell(row[0]), Cell(row[1]), Cell(row[2], "quiet")], widths)
    if backup.copies:
        page.text("Copies and places:", "strong")
    for copy in backup.copies:
        page.item(visible(copy, PROSE))
    if backup.restore_test:
        page.text("Restore test:", "strong")
        page.item(visible(backup.restore_test, PROSE))
    if backup.cautions:
        page.text("Cautions:", "strong")
    for caution in backup.cautions:
        page.item(visible(caution, PROSE))
