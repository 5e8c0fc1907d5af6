"""The page of an explained profile."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, strategies as st
from rich.cells import cell_len

from pcaudit.core.explain import Explanation, Row, Section, explain
from pcaudit.core.explain_rows import Note, Way
from pcaudit.core.explain_sources import Fact, SourceFile
from pcaudit.core.visible import visible
from pcaudit.render.explain_text import letters, render
from pcaudit.render.interface import TRUE_COLOUR, Screen
from tests.core.builders import profile_of
from tests.core.generated_profiles import Table, compiled, profiles
from tests.render import golden

# ECMA-48: CSI sequences; the only ones painting uses are SGR ("m").
_SGR = re.compile(r"\x1b\[[0-9;]*m")
_DIGEST = "0123456789abcdef" * 4


def _flat(text: str) -> str:
    return " ".join(text.split())


def test_whole_page() -> None:
    """The page of the largest example looks as it was last read line by line and found good."""
    assert golden.explained_page() == golden.path("explained-80").read_text(encoding="utf-8")


@given(profiles())
def test_nothing_is_lost_between_sentences_and_page(data: Table) -> None:
    """Every sentence, word around it and place stands on the page, numbered and with a box to tick."""
    said = explain(compiled(data))
    page = _flat(render(said, Screen(160)))
    for section in said.sections:
        for row in section.rows:
            assert _flat(visible(f"{row.number} [ ] {row.text}", 1 << 20)) in page
            assert f"at line {row.line}, {row.id}" in page
            for way in row.ways:
                assert _flat(visible(way.text, 1 << 20)) in page
            for note in (*row.notes, *(note for way in row.ways for note in way.notes)):
                assert _flat(visible(f"{note.label} {note.text}", 1 << 20)) in page


def _one(text: str, several: bool = False) -> Explanation:
    """An explanation with ``text`` wherever a file's text may stand."""
    row = Row(1, text, text, (Way(text, (Note("why", text),), text, 3),), (Note("do", text),), text, 2)
    file = SourceFile(text, _DIGEST, (Fact("title", text, 1), Fact("note", text, 4)))
    files = (file, file) if several else (file,)
    return Explanation(text, "1 condition", files, ("a legend",), (Section("Memory", False, (row,)),))


@given(
    text=st.text(st.characters(), min_size=1, max_size=40),
    width=st.integers(20, 160),
    drawn=st.booleans(),
    several=st.booleans(),
)
def test_no_text_is_obeyed_and_no_line_too_wide(text: str, width: int, drawn: bool, several: bool) -> None:
    """Whatever text stands in whatever field, only painting uses escape codes, and lines fit."""
    page = render(_one(text, several), Screen(width, TRUE_COLOUR, drawn))
    for line in _SGR.sub("", page).split("\n"):
        assert not any(character < " " or "\x7f" <= character <= "\x9f" for character in line)
        assert not any("\u202a" <= character <= "\u202e" for character in line)
        assert cell_len(line) <= max(width, 40)


def test_nothing_is_cut_short() -> None:
    """A text of ten thousand characters is there whole: a page that is signed leaves nothing out."""
    assert render(_one("word " * 2000)).count("word") >= 2000 * 6


def test_no_escape_codes_without_colours() -> None:
    """Into a pipe or a file goes plain text."""
    assert "\x1b" not in render(_one("text"))


def test_a_digest_stays_on_one_line() -> None:
    """At 80 columns the digest of a file can be read and compared in one piece."""
    assert any(_DIGEST in line for line in render(_one("text"), Screen(80)).splitlines())


def test_places_name_the_file_where_there_are_several() -> None:
    """A profile of one file gives lines, one of several the file before them, standard input by name."""
    assert "at   line 2, text" in render(_one("text"))
    assert "at   text:2, text" in render(_one("text", several=True))
    assert "at   standard input:2, -" in render(_one("-", several=True))
    assert _flat(render(_one("-"))).startswith(
        "- Requirements profile in sentences: 1 condition file standard"
    )


def test_the_page_ends_with_a_signature() -> None:
    """There is room for the source held against, the rows that differ, the name and the day."""
    *_, last = render(explain(profile_of("cpu.cores = { minimum = 4 }"))).splitlines()
    assert re.fullmatch(r"by _+  on _+", last)
    page = render(explain(profile_of("cpu.cores = { minimum = 4 }")))
    assert re.search(r"^Checked against  _{40,}$", page, re.M)
    assert re.search(r"^Rows that differ _{40,}$", page, re.M)


@pytest.mark.parametrize(("number", "letter"), [(0, "a"), (25, "z"), (26, "aa"), (27, "ab"), (701, "zz")])
def test_letters_of_alternatives(number: int, letter: str) -> None:
    """Alternatives are lettered as list items are, beyond z with two letters."""
    assert letters(number) == letter
