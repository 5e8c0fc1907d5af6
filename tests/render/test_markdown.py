"""Reports as Markdown: no element but ours, whatever profiles and PCs say."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from pcaudit.core.report import Outcome, Part, Verdict
from pcaudit.core.visible import visible
from pcaudit.render.interface import renderer
from pcaudit.render.markdown import inline, render
from tests.render.hostile import HOSTILE, hostile_report
from tests.render.samples import ACCEPTANCE, finding, report

PLAIN = MarkdownIt("commonmark")
# With tables, strike-through and links without brackets, as ticket systems add them.
TICKETS = MarkdownIt("gfm-like")

_OURS = {
    *("heading_open", "heading_close", "inline", "text", "paragraph_open", "paragraph_close"),
    *("bullet_list_open", "bullet_list_close", "list_item_open", "list_item_close"),
    *("strong_open", "strong_close", "code_inline"),
}
# What ticket systems act on in the finished text, outside code; common practice, from memory.
_ACTED_ON = re.compile(r"@|://|www\.|#\d|!\d|\bGH-\d|:[a-z]+:")


def _tokens(parser: MarkdownIt, text: str) -> list[Token]:
    """Every token, those inside lines too."""
    flat: list[Token] = []
    for token in parser.parse(text):
        flat += [token, *(token.children or [])]
    return flat


def _shown(parser: MarkdownIt, text: str) -> str:
    """The text a reader sees of one line."""
    return "".join(t.content for t in _tokens(parser, text) if t.type in ("text", "code_inline"))


@pytest.mark.parametrize("parser", [PLAIN, TICKETS], ids=["commonmark", "tickets"])
@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_text_makes_no_element(text: str, parser: MarkdownIt) -> None:
    """HTML, links, images, tables, fences, rules and quotes never come of what a profile says."""
    tokens = _tokens(parser, render(hostile_report(text)))
    assert {token.type for token in tokens} <= _OURS
    own = [t.type for t in _tokens(parser, render(hostile_report("word")))]
    structure = [t.type for t in tokens if t.type not in ("text", "code_inline", "inline")]
    if visible(text).strip():
        assert structure == [kind for kind in own if kind not in ("text", "code_inline", "inline")]
    for token in tokens:
        assert token.type != "text" or not _ACTED_ON.search(token.content), token.content


@pytest.mark.parametrize("parser", [PLAIN, TICKETS], ids=["commonmark", "tickets"])
@given(st.text(st.characters(codec=None, categories=None), max_size=60))
def test_any_text_is_shown_as_it_is(parser: MarkdownIt, text: str) -> None:
    """A reader sees every character, white space folded, and nothing else comes of it."""
    wanted = " ".join(visible(text, 1000).split())
    for before in ("", "- ", "# "):
        assert {t.type for t in _tokens(parser, before + inline(text))} <= _OURS
        assert _shown(parser, before + inline(text)) == wanted


@pytest.mark.parametrize("parser", [PLAIN, TICKETS], ids=["commonmark", "tickets"])
@given(st.text("`|\\*_[]()<>@#!~$&:.-+=1 aw/^\"'", max_size=16))
def test_markup_in_any_order_is_shown_as_it_is(parser: MarkdownIt, text: str) -> None:
    """However the marks of Markdown are put together, they are shown, not obeyed."""
    wanted = " ".join(text.split())
    for before in ("", "- ", "  - do: "):
        tokens = _tokens(parser, before + inline(text))
        assert {t.type for t in tokens} <= _OURS | {"code_block"}
        assert not any(_ACTED_ON.search(t.content) for t in tokens if t.type == "text")
    assert _shown(parser, inline(text)) == wanted


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("none [state 2e277d12]: the nearest", "none \\[state `2e277d12`\\]: the nearest"),
        ("(see www.example.org).", "(see `www.example.org`)."),
        ('"a@b.example", then', '"`a@b.example`", then'),
        ("of #12.", "of `#12`."),
        (":smile:, it says", "`:smile:,` it says"),
    ],
)
def test_code_marks_leave_the_sentence_outside(text: str, shown: str) -> None:
    """Brackets and punctuation around a word that would act are not part of the code."""
    assert inline(text) == shown


@given(st.text("`|\\*_[]<>@#!~a ", max_size=16))
def test_text_fits_a_cell_of_a_table(text: str) -> None:
    """Whoever pastes a line into a table gets one cell: its bars are escaped, in code too."""
    page = f"| a | b |\n| - | - |\n| {inline(text)} | end |\n"
    tokens = TICKETS.parse(page)
    assert sum(t.type == "td_open" for t in tokens) == 2
    cell = tokens[[t.type for t in tokens].index("td_open") + 1]
    assert "".join(t.content for t in cell.children or []) == " ".join(text.split())


def test_it_says_what_to_do_by_owner() -> None:
    """Outcome first, then the actions with their remedies, arrangements, and every condition."""
    text = render(report())
    assert text.startswith("# NOT READY: bench-pc-07\n")
    order = [
        "## Not asked",
        "## What to do",
        "### lab: 1 (1 advised)",
        "### IT: 2 (1 to find out, 1 advised)",
        "### purchasing: 1 (1 unmet)",
        "  - do: Add memory modules; two slots are free.",
        "## What to have ready",
        "- **in hand**: Licence certificate for the workstation (licence; by lab)",
        "## Every condition",
        "- **accepted**: Cores: 6 (required: at least 8)",
        "  - concession: unmet without the concession by A. Example until 2027-06-30",
    ]
    positions = [text.find(line) for line in order]
    assert -1 not in positions, order[positions.index(-1)]
    assert positions == sorted(positions)


def test_nothing_to_do_is_said() -> None:
    """A report in which all is met says that nothing is left."""
    text = render(report((finding("cpu.cores", Verdict.MET),), arrangements=()))
    assert text.startswith(f"# {Outcome.READY.value.upper()}: ")
    assert "Nothing is left to do on the PC." in text
    assert "What to have ready" not in text


def test_an_accepted_part_names_its_concession() -> None:
    """Where one of several conditions is accepted the original verdict stays visible."""
    one = Part("at least 8", Verdict.ACCEPTED, True, "", "", "base.toml", 3, "ab", ACCEPTANCE)
    text = render(report((finding("cpu.cores", Verdict.ACCEPTED, parts=(one, one)),)))
    assert text.count("  - concession: unmet without") == 2


def test_it_is_a_format_of_its_own() -> None:
    """The renderers' table knows it by name."""
    assert renderer("markdown")(report()) == render(report())
