"""A survey as CSV, one row for each PC, in the form of a report's."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pcaudit.core.report import Verdict
from pcaudit.core.survey import Survey, age, deciding
from pcaudit.core.survey_verdicts import outcome_of_codes
from pcaudit.render.csv_text import BOM, cell

COLUMNS: Final = (
    *("file", "host_name", "serial_number", "model", "outcome", "taken_at", "age_days"),
    *("unmet", "unverified", "change_kind", "change", "against", "against_unmet", "against_unverified"),
    *("what_if",),
)
"""Names of the columns, in order; more may be added at the end, none renamed."""


def _rows(survey: Survey) -> Iterator[tuple[object, ...]]:
    for index in survey.shown():
        pc, change = survey.pcs[index], survey.changes[index]
        open_ = deciding(pc.codes, survey.findings)
        later = deciding(pc.against, survey.against) if pc.against else []
        short = [
            " ".join(finding.id for finding, verdict in found if verdict is wanted)
            for found in (open_, later)
            for wanted in (Verdict.UNMET, Verdict.UNVERIFIED)
        ]
        yield (
            *(pc.place.file, pc.host_name, pc.serial_number, pc.model, outcome_of_codes(pc.codes).value),
            *(pc.taken_at, age(pc, survey.heading.as_of), *short[:2]),
            *((change.kind.value, change.what) if change else (None, None)),
            *(outcome_of_codes(pc.against).value if pc.against else None, *short[2:]),
            outcome_of_codes(pc.what_if).value if pc.what_if else None,
        )


def render(survey: Survey) -> str:
    """One row for each PC; ids are separated by spaces.

    Returns:
        CSV with a byte-order mark and a header. What could not be read has no row.
    """
    lines = [",".join(map(cell, row)) for row in (COLUMNS, *_rows(survey))]
    return BOM + "".join(f"{line}\r\n" for line in lines)
