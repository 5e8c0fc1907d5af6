"""What docs/survey.md shows works: its queries answer, and its sentence is what the program says."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path
from typing import Any, Final

import duckdb
import pytest

from tests.benchmarks.survey import snapshots
from tests.cli.program import DAYS, TOP, WORKSTATION, pcaudit

PAGE: Final = (TOP / "docs" / "survey.md").read_text(encoding="utf-8")
QUERIES: Final = re.findall(r"```sql\n(.*?)```", PAGE, re.DOTALL)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The 400 PCs of the page, and the survey of them in JSON."""
    made = tmp_path_factory.mktemp("page")
    (made / "snapshots").mkdir()
    for index, one in enumerate(snapshots(400)):
        (made / "snapshots" / f"pc-{index:03}.json").write_text(json.dumps(one), encoding="utf-8")
    done = pcaudit(
        "survey", WORKSTATION, "snapshots", *DAYS, "--format", "json", "--output", "survey.json", cwd=made
    )
    assert done.code == 0, done
    return made


def _answers(query: str, folder: Path) -> list[Any]:
    before = Path.cwd()
    os.chdir(folder)
    try:
        return duckdb.connect().execute(query).fetchall()
    finally:
        os.chdir(before)


def test_there_are_queries() -> None:
    """The page has more than one question asked in SQL."""
    assert len(QUERIES) >= 3


@pytest.mark.parametrize("number", range(len(QUERIES)))
def test_each_query_answers(number: int, folder: Path) -> None:
    """Run as the page has it, each query gives rows."""
    assert _answers(QUERIES[number], folder)


def test_the_first_query_counts_as_the_survey_does(folder: Path) -> None:
    """PCs by model and outcome add up to the survey's own counts."""
    counts = json.loads((folder / "survey.json").read_text(encoding="utf-8"))["counts"]
    found: dict[str, int] = {}
    for _, outcome, number in _answers(QUERIES[0], folder):
        found[outcome] = found.get(outcome, 0) + number
    assert found == {name: number for name, number in counts.items() if number}


def test_the_sentence_of_the_page_is_the_program_s(folder: Path) -> None:
    """What the page quotes for a manager is what the survey of its 400 PCs says first."""
    text = pcaudit("survey", WORKSTATION, "snapshots", *DAYS, "--quiet", cwd=folder).out
    (quoted,) = re.findall(r"^> (.+(?:\n> .+)*)", PAGE, re.MULTILINE)
    assert " ".join(quoted.replace("\n> ", " ").split()) in " ".join(text.split())
