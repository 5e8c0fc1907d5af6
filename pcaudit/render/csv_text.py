"""The findings of a report as CSV, for spreadsheets.

RFC 4180: commas, CR LF, every field in double quotes. It begins with a byte-order mark, without
which spreadsheets on Windows read UTF-8 as the local code page.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING, Final

from pcaudit.core.report import Acceptance, Effort, Finding, Part, Report
from pcaudit.core.visible import visible

if TYPE_CHECKING:
    import re

BOM: Final = "\ufeff"

_LONGEST: Final = 4000

COLUMNS: Final = (
    *("host_name", "serial_number", "outcome", "on", "as_of", "taken_at"),
    *("id", "part", "title", "verdict", "binding", "required", "found", "value", "why"),
    *("because", "remedy", "owner", "source", "profile", "line", "digest"),
    *("concession_by", "concession_until", "concession_because", "verdict_without"),
    *("needs", "cost", "undo"),
)
"""Names of the columns, in order; more may be added at the end, none renamed."""


# OWASP, "CSV Injection": a cell that begins with one of these may be taken for a formula, full-width
# forms in some locales, and a text may begin a new cell after what another locale takes for a
# separator. Tabs and line ends are no longer in the text: `visible` shows them as escapes.
@cache
def _formula() -> re.Pattern[str]:
    import re

    return re.compile("(^|[,;|])(?=[\\s\"']*[=+\\-@\uff1d\uff0b\uff0d\uff20])")


def defused(text: str) -> str:
    """Text that no spreadsheet takes for a formula, whatever it takes for a separator.

    Args:
        text: Any text.

    Returns:
        One line; an apostrophe stands before whatever could begin a formula.
    """
    return _formula().sub(r"\1'", visible(text, _LONGEST))


def cell(value: object) -> str:
    """A value as one field: quoted, and nothing a spreadsheet takes for a formula."""
    if value is None:
        return '""'
    if isinstance(value, bool):
        return '"yes"' if value else '"no"'
    # A number is no text somebody wrote, and stays one.
    text = str(value) if isinstance(value, int | float) else defused(str(value))
    return '"' + text.replace('"', '""') + '"'


def _concession(acceptance: Acceptance | None) -> tuple[object, ...]:
    if acceptance is None:
        return None, None, None, None
    until = acceptance.until.isoformat()
    return acceptance.by, until, acceptance.because, acceptance.verdict.value


def _effort(effort: Effort | None) -> tuple[object, ...]:
    if effort is None:
        return None, None, None
    return ", ".join(effort.needs), effort.cost, effort.undo


def _part(finding: Finding, part: Part, number: int) -> tuple[object, ...]:
    return (
        *(finding.id, f"{number} of {len(finding.parts)}", finding.title, part.verdict.value, part.binding),
        *(part.required, finding.found, finding.value, "", part.because, "", part.owner, finding.source),
        *(part.profile, part.line, part.digest),
        *_concession(part.acceptance),
        *_effort(None),
    )


def _whole(finding: Finding) -> tuple[object, ...]:
    return (
        *(finding.id, "", finding.title, finding.verdict.value, finding.binding, finding.required),
        *(finding.found, finding.value, finding.why, finding.because, finding.remedy, finding.owner),
        *(finding.source, finding.profile, finding.line, finding.digest),
        *_concession(finding.acceptance),
        *_effort(finding.effort),
    )


def _rows(report: Report) -> Iterator[tuple[object, ...]]:
    computer = report.computer
    before = (
        *(computer.get("host_name"), computer.get("serial_number"), report.outcome.value),
        *(report.on.isoformat(), report.as_of.isoformat(), report.snapshot.taken_at),
    )
    for finding in report.every:
        yield before + _whole(finding)
        for number, part in enumerate(finding.parts, start=1):
            yield before + _part(finding, part, number)


def render(report: Report) -> str:
    """One row for each finding and, under it, one for each of several conditions on its reading.

    Returns:
        CSV with a byte-order mark and a header. Days are ISO 8601; ``value`` is in base units.
        An empty ``part`` marks the row that counts.
    """
    lines = [",".join(map(cell, row)) for row in (COLUMNS, *_rows(report))]
    return BOM + "".join(f"{line}\r\n" for line in lines)
