"""The documents say what the program does."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pcaudit.core.catalogue import CATALOGUE
from tests.docs import catalogue

TOP = Path(__file__).parent.parent.parent


def test_the_catalogue_page_is_the_catalogue() -> None:
    """docs/readings.md is what the catalogue says today; run python -m tests.docs.catalogue."""
    assert catalogue.PAGE.read_text(encoding="utf-8") == catalogue.page()


@pytest.mark.parametrize("page", sorted([*TOP.glob("*.md"), *TOP.glob("docs/*.md")]), ids=lambda p: p.name)
def test_links_lead_somewhere(page: Path) -> None:
    """Every relative link of a document names a file that is there."""
    for target in re.findall(r"\]\((?!https?:|#)([^)#]+)", page.read_text(encoding="utf-8")):
        assert (page.parent / target).exists(), f"{page.name} links to {target}"


@pytest.mark.parametrize("page", sorted([*TOP.glob("*.md"), *TOP.glob("docs/*.md")]), ids=lambda p: p.name)
def test_named_readings_exist(page: Path) -> None:
    """A reading that a document names in code marks is in the catalogue."""
    groups = {name.partition(".")[0] for name in CATALOGUE}
    for group, name in re.findall(r"`([a-z]+)\.([a-z_]+)`", page.read_text(encoding="utf-8")):
        if group in groups and name not in ("any_of", "toml", "py", "md"):
            assert f"{group}.{name}" in CATALOGUE, f"{page.name} names {group}.{name}"


def test_the_readme_has_one_command_to_assess_and_one_to_test() -> None:
    """Continuous integration runs the README's own two commands, so there are exactly two."""
    commands = re.findall(r"^python3 -m venv .*$", (TOP / "README.md").read_text(encoding="utf-8"), re.M)
    assert [("pcaudit assess" in c, "pytest" in c) for c in commands] == [(True, False), (False, True)]
