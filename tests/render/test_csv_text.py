"""Findings as CSV: whole, read back unchanged, and no formula for any spreadsheet."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.report import Verdict
from pcaudit.core.visible import visible
from pcaudit.render.csv_text import BOM, COLUMNS, defused, render
from pcaudit.render.interface import renderer
from tests.render.hostile import HOSTILE, hostile_report
from tests.render.samples import ACCEPTANCE, FINDINGS, finding, part, report

# OWASP, "CSV Injection" (owasp.org/www-community/attacks/CSV_Injection): what a formula begins with.
_TRIGGERS = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")


def _rows(text: str) -> list[dict[str, str]]:
    """The rows as Python's own csv module reads them."""
    assert text.startswith(BOM)
    return list(csv.DictReader(io.StringIO(text.removeprefix(BOM), newline=""), strict=True))


def test_every_finding_and_every_part_has_a_row() -> None:
    """Rows stand in the report's order, parts under their finding; an empty part is what counts."""
    rows = _rows(render(report()))
    assert [(row["id"], row["part"]) for row in rows if row["id"] == "memory.installed"] == [
        ("memory.installed", ""),
        ("memory.installed", "1 of 2"),
        ("memory.installed", "2 of 2"),
    ]
    assert [row["id"] for row in rows if not row["part"]] == [one.id for one in FINDINGS]
    assert all(set(row) == set(COLUMNS) for row in rows)


def test_a_row_holds_what_the_finding_says() -> None:
    """Days are ISO 8601, yes and no are words, the concession has columns of its own."""
    rows = {row["id"]: row for row in _rows(render(report())) if not row["part"]}
    cores = rows["cpu.cores"]
    assert (cores["verdict"], cores["verdict_without"]) == ("accepted", "unmet")
    assert (cores["concession_by"], cores["concession_until"]) == ("A. Example", "2027-06-30")
    assert cores["concession_because"] == ACCEPTANCE.because
    sleep = rows["power.sleep_after"]
    assert (sleep["binding"], sleep["on"], sleep["as_of"]) == ("no", "2026-12-07", "2026-11-26")
    assert (sleep["host_name"], sleep["serial_number"], sleep["line"]) == ("bench-pc-07", "", "40")
    assert rows["computer.tpm_version"]["why"] == "needs administrator rights"


@pytest.mark.parametrize(
    ("value", "cell"), [(8589934592, "8589934592"), (True, "yes"), (-5, "-5"), (0.5, "0.5")]
)
def test_a_number_stays_a_number(value: object, cell: str) -> None:
    """Values are in base units; a negative number is no formula."""
    (row,) = _rows(render(report((FINDINGS[0]._replace(value=value),))))
    assert row["value"] == cell


def test_lines_and_fields_are_as_rfc_4180_says() -> None:
    """Every record ends with CR LF, every field stands in double quotes, those inside are doubled."""
    text = render(report((finding("cpu.cores", Verdict.UNMET, remedy='say "yes"', found="a,b"),)))
    lines = text.removeprefix(BOM).split("\r\n")
    assert lines.pop() == ""
    assert len(lines) == 2
    field = r'"(?:[^"]|"")*"'
    for line in lines:
        assert re.fullmatch(rf"{field}(?:,{field})*", line)
    assert '"say ""yes"""' in lines[1]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_no_cell_of_a_hostile_report_is_a_formula(text: str) -> None:
    """No cell begins like a formula, nor does what follows another locale's separator in it."""
    for row in _rows(render(hostile_report(text))):
        for cell in row.values():
            assert not cell.lstrip(" \"'").startswith(_TRIGGERS) or cell.startswith("'")
            for piece in re.split("[,;|\t\r\n]", cell)[1:]:
                assert not piece.lstrip(" \"'").startswith(_TRIGGERS) or piece.startswith("'")


@given(st.text(st.characters(codec=None, categories=None), max_size=60))
def test_what_was_written_is_read_back(text: str) -> None:
    """The csv module reads every text back as it is shown, but for the apostrophes put in."""
    one = finding("cpu.cores", Verdict.UNMET, remedy=text, parts=(part("x", Verdict.MET, 1),))
    row, second = _rows(render(report((one,))))
    assert row["remedy"] == defused(text)
    assert row["remedy"].replace("'", "") == visible(text, 4000).replace("'", "")
    assert second["part"] == "1 of 1"


@given(st.text("=+-@,;|\"' ab\t\r\n", max_size=12))
def test_defusing_knows_every_way_a_formula_begins(text: str) -> None:
    """Whatever separator a spreadsheet splits at, no piece begins with a trigger."""
    for piece in re.split("[,;|\t\r\n]", defused(text)):
        assert piece.startswith("'") or not piece.lstrip(" \"'").startswith(_TRIGGERS)


@pytest.mark.parametrize("text", ["8 GB", ">=12,<14", "C:\\Users: a - b", "x=1", "it's so", ""])
def test_harmless_text_is_left_as_it_is(text: str) -> None:
    """An apostrophe is put in only where something could begin a formula."""
    assert defused(text) == text


def test_it_is_a_format_of_its_own() -> None:
    """The renderers' table knows it by name."""
    assert renderer("csv")(report()) == render(report())


def test_what_a_remedy_takes_has_columns() -> None:
    """Needs, cost and undo stand apart, empty where the remedy is the profile's own."""
    rows = {row["id"]: row for row in _rows(render(report())) if not row["part"]}
    free = rows["storage.system_free"]
    assert (free["needs"], free["cost"], free["undo"]) == ("administrator, restart", "free", "no")
    own = rows["memory.installed"]
    assert (own["needs"], own["cost"], own["undo"]) == ("", "", "")
