"""The page that says how each reading was verified is what the tests say."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from pcaudit.core.catalogue import CATALOGUE
from tests.docs import verification

_TESTS = Path(__file__).parent.parent
_NAMED = sorted({test for ways in verification.UTILITIES.values() for _, test in ways})


def test_the_page_is_what_the_tests_say() -> None:
    """docs/verification.md is up to date; run python -m tests.docs.verification."""
    assert verification.PAGE.read_text(encoding="utf-8") == verification.page()


@pytest.mark.parametrize("name", _NAMED)
def test_a_comparison_with_a_utility_exists(name: str) -> None:
    """Each test that the page rests on is there."""
    file, _, function = name.partition("::")
    tree = ast.parse((_TESTS / file).read_text(encoding="utf-8"))
    assert function in {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


def test_what_is_counted_is_in_the_catalogue() -> None:
    """Nothing is called verified that is no reading, and each way verifies something."""
    for found in (
        verification.in_virtual_pcs(),
        verification.on_recorded_hosts(),
        verification.under_wine(),
        set(verification.UTILITIES),
    ):
        assert found and found <= set(CATALOGUE)


def test_the_page_says_what_was_never_seen() -> None:
    """The page begins with what no test has touched: real Windows, and a real Mac."""
    assert "**No reading has been seen on real Windows or on a real Mac.**" in verification.page()[:400]


def test_every_observed_reading_has_a_row_for_each_system() -> None:
    """No observed reading is left out for any system."""
    page = verification.page()
    for record in CATALOGUE.values():
        if not record.derived:
            assert page.count(f"| `{record.name}` |") == 3, record.name
