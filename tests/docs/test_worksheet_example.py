"""The example of a worksheet is what the program prints, and every figure of it comes out by hand."""

from __future__ import annotations

import ast
import json
import operator
import re
from collections.abc import Callable
from functools import cache
from typing import Any, Final

import pytest
from jsonschema import Draft202012Validator

from tests.docs.worksheet_example import COMMAND, PAGE, figures, page, printed, tables
from tests.render.schemas import read

TEXT: Final = PAGE.read_text(encoding="utf-8")
FIGURES: Final = tables(TEXT, "figure")
POINTS: Final = tables(TEXT, "point")

# SI prefixes (NIST SP 330, table 7), and what a minute, an hour and a day are.
UNITS: Final = {"MB": 1e6, "GB": 1e9, "TB": 1e12, "d": 1, "s": 1, "VA": 1, "A": 1, "W": 1}
_OPERATORS: Final[dict[type, Callable[[float, float], float]]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}


def _sum(node: ast.expr) -> float:
    if isinstance(node, ast.BinOp):
        return _OPERATORS[type(node.op)](_sum(node.left), _sum(node.right))
    assert isinstance(node, ast.Constant) and isinstance(node.value, (int, float))
    return node.value


def worked_out(text: str) -> float:
    """What a sum comes to, units left out: "40 MB x 12" is 480."""
    plain = re.sub(r"(?<=\d) (?:MB|GB|weeks)\b", "", text).replace(" x ", " * ")
    return _sum(ast.parse(plain, mode="eval").body)


@cache
def _document() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(printed(COMMAND, "--format", "json"))
    Draft202012Validator(read("plan")).validate(document)
    return document


def test_the_page_shows_what_the_program_prints() -> None:
    """Both pieces of output are the program's; run python -m tests.docs.worksheet_example."""
    assert page(TEXT) == TEXT


def test_the_command_is_the_one_that_was_run() -> None:
    """What the page tells people to type is what made the output."""
    assert f"```\npcaudit {' '.join(COMMAND)}\n```" in TEXT


@pytest.mark.parametrize("row", [*FIGURES, *POINTS], ids=lambda row: row[0][:50])
def test_sums_come_to_what_the_page_says(row: list[str]) -> None:
    """Each sum written out on the page is right to the digits that are written."""
    number = row[2].split()[0]
    digits = len(number.partition(".")[2])
    # Half a unit of the last digit, or a thousandth of a percent where terms were rounded before.
    off = max(0.5 * 10**-digits, 1e-5 * float(number))
    assert worked_out(row[1]) == pytest.approx(float(number), abs=off * 1.0001)


def test_every_figure_of_the_plan_is_worked_out() -> None:
    """No figure stands in the plan that the page does not compute, nor the other way round."""
    named = [name for row in FIGURES for name in row[0].split(", ")]
    assert sorted(named) == sorted(figures(_document()))


@pytest.mark.parametrize("row", FIGURES, ids=lambda row: row[0][:50])
def test_the_plan_comes_to_the_same(row: list[str]) -> None:
    """The value in the plan is the one by hand, and is shown as the page says."""
    number, unit = row[2].split()
    for name in row[0].split(", "):
        figure = figures(_document())[name]
        assert figure["value"] == pytest.approx(float(number) * UNITS[unit], rel=1e-4)
        assert figure["shown"] == row[3]


@pytest.mark.parametrize("row", POINTS, ids=lambda row: row[0][:50])
def test_points_stand_in_the_plan(row: list[str]) -> None:
    """What is worked out by hand beside the figures stands in the findings or tables of the plan."""
    found = [one["found"] for section in _document()["sections"] for one in section["findings"]]
    rows = [
        row for section in _document()["sections"] for table in section["tables"] for row in table["rows"]
    ]
    notes = [note for section in _document()["sections"] for note in section["notes"]]
    shown = [*found, *(" ".join(filter(None, one)) for one in rows), *notes]
    assert any(row[3] in one for one in shown), row[3]


def test_a_wrong_sum_would_be_found() -> None:
    """The check of sums computes them: brackets, order and units count."""
    assert worked_out("(12.7 GB + 1252.8) / 0.85") == pytest.approx(1488.8235, abs=1e-4)
    assert worked_out("348 weeks x 7 + 4") == 2440
    assert worked_out("2 + 3 x 4") == 14
