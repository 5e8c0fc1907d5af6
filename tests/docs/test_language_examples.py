"""The examples of the profile language are profiles."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import pytest

from pcaudit.core.catalogue import GROUPS
from pcaudit.core.choose import ask
from pcaudit.core.compile import compile_profile
from pcaudit.core.concessions import read_concessions
from pcaudit.core.contradictions import contradictions
from pcaudit.core.toml_text import parse_toml
from pcaudit.errors import Place

PAGE: Final = Path(__file__).parent.parent.parent / "docs" / "profile-language.md"
_BLOCK: Final = re.compile(r"^```toml\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_HEAD: Final = 'format = 1\ntitle = "An example"\n'


def _blocks() -> list[str]:
    return [found.group(1) for found in _BLOCK.finditer(PAGE.read_text(encoding="utf-8"))]


def _whole(block: str) -> str:
    """A block as a file: those that show a part lack the first lines, a condition, or their bases."""
    text = re.sub(r"^based_on = .*$", "", block, flags=re.MULTILINE)
    text = text if "format = " in text else _HEAD + text
    asks_of_pcs = re.search(rf"^\[+(options\..*\.)?({'|'.join(GROUPS)})\b", text, re.MULTILINE)
    return text if asks_of_pcs or "[[concessions]]" in text else text + "[cpu.cores]\nminimum = 1\n"


def _nowhere(_: tuple[str | int, ...]) -> Place:
    return Place(PAGE.name, 1)


@pytest.mark.parametrize("block", _blocks())
def test_every_example_compiles(block: str) -> None:
    """Each TOML block of the page is read without a mistake and contradicts itself in nothing."""
    data, _ = parse_toml(_whole(block), PAGE.name)
    if "concessions" in data:
        assert read_concessions(data, path=PAGE.name, place=_nowhere)
        return
    profile = compile_profile(data, path=PAGE.name, place=_nowhere)
    assert profile.conditions
    assert not contradictions(ask([profile], [option.name for option in profile.options]))


def test_examples_are_found() -> None:
    """The page has examples, among them one with parameters, options, when and concessions each."""
    together = "\n".join(_blocks())
    for word in ("[parameters]", "[options.", "when = {", "[[concessions]]", "per = {", "based_on = "):
        assert word in together
