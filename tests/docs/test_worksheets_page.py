"""docs/worksheets.md says what a worksheet can hold, and its example is one."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Final

from pcaudit.core.compile import KINDS
from pcaudit.core.worksheet.arrangements import STATES, Answer
from pcaudit.core.worksheet.installation import Installation, Use
from pcaudit.core.worksheet.people import Person
from pcaudit.core.worksheet.sheet import SECTIONS, read_worksheet
from pcaudit.errors import Place
from pcaudit.worksheets import load_worksheet
from tests.docs import tables

PATH: Final = Path(__file__).parents[2] / "docs" / "worksheets.md"
PAGE: Final = PATH.read_text(encoding="utf-8")
EXAMPLE: Final = PAGE.split("```toml\n")[1].split("```")[0]


def test_the_example_is_a_worksheet(tmp_path: Path) -> None:
    """It is read without a mistake, and nothing in it resembles a secret."""
    file = tmp_path / "worksheet.toml"
    file.write_text(EXAMPLE, encoding="utf-8")
    sheet = load_worksheet(str(file))
    assert set(sheet.arrangements.by_id) == {"licence", "lifting-table"}
    assert sheet.arrangements.by_id["lifting-table"].own
    assert sheet == read_worksheet(
        tomllib.loads(EXAMPLE), str(file), lambda _: Place(str(file)), sha256=sheet.sha256, text=sheet.text
    )._replace(**{name: getattr(sheet, name) for name in SECTIONS})


def test_every_section_is_in_the_table() -> None:
    """The table of sections has each section a worksheet can have, and no other."""
    named = [
        name for cell, _ in tables.rows(PAGE, "section", "holds") for name in re.findall(r"\[([a-z]+)", cell)
    ]
    assert sorted(named) == sorted(SECTIONS)


def test_every_key_of_an_arrangement_is_in_the_table() -> None:
    """The table of keys has each key that an arrangement takes; `because` and `by` stand with the state."""
    cells = [cell for row in tables.rows(PAGE, "key", "holds") for cell in row]
    keys = set(Answer._fields) - {"id", "line", "never_expires"}
    assert keys <= set(re.findall(r"`([a-z_]+)`", " ".join(cells)))
    first = {name for key, _ in tables.rows(PAGE, "key", "holds") for name in re.findall(r"`([a-z_]+)`", key)}
    assert first | {"because", "by"} == keys


def test_the_keys_of_the_other_sections_are_named() -> None:
    """Of installation, use and people the table of sections names every key."""
    text = " ".join(cell for _, cell in tables.rows(PAGE, "section", "holds"))
    kept = {"asked", "line", "lines", "id"}
    for fields in (Installation._fields, Use._fields, Person._fields):
        assert set(fields) - kept <= set(re.findall(r"`([a-z_]+)`", text))


def test_every_state_and_kind_is_named() -> None:
    """The page has the states an arrangement can be in, and lists the kinds in the program's order."""
    assert all(f"`{state}`" in PAGE for state in STATES)
    assert f"Kinds: {', '.join(KINDS)}." in " ".join(PAGE.split())
