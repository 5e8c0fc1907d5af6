"""Text made safe for terminals."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.visible import visible

# Every code point, lone surrogates included.
ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=80)


def test_plain_text_stays_itself() -> None:
    """Text without anything odd comes back as it is, accents and CJK included."""
    for text in ("", "Detector 2, 16 GB", "Gerät für München", "液体クロマトグラフ", "C:\\temp", "🔬️"):
        assert visible(text) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31mred", r"\x1b[31mred"),
        ("a\x07\x7f\x9bb", r"a\x07\x7f\x9bb"),
        ("C:\temp", r"C:\temp"),
        ("one\r\ntwo", r"one\r\ntwo"),
        ("abc\u202etxt", r"abc\u202etxt"),
        ("\u2066\u2069\u200e\u200f\u061c", r"\u2066\u2069\u200e\u200f\u061c"),
        ("zero\u200bwidth\ufeff", r"zero\u200bwidth\ufeff"),
        ("\u2028\u2029", r"\u2028\u2029"),
        ("\udc80", r"\udc80"),
        ("\uffff\U0001fffe", r"\uffff\U0001fffe"),
        ("\U000e0041", r"\U000e0041"),
    ],
)
def test_what_steers_or_hides_is_escaped(text: str, shown: str) -> None:
    """Controls, direction marks, invisible characters and no characters become escapes."""
    assert visible(text) == shown


def test_newlines_are_kept_on_request() -> None:
    """With newlines, line feeds stay, CR LF counts as one, other controls are still escaped."""
    assert visible("one\r\ntwo\nthree\x0b\rfour", newlines=True) == "one\ntwo\nthree\\x0b\\rfour"


def test_long_text_is_cut_with_a_count() -> None:
    """Text over the limit ends with how many characters are missing."""
    assert visible("x" * 1000, 50) == "x" * 25 + "... (975 more characters)"


def test_escapes_count_towards_the_limit() -> None:
    """What is cut is counted in characters of the text, the limit in characters shown."""
    shown = visible("\x1b" * 100, 60)
    assert shown == r"\x1b" * 9 + "... (91 more characters)"
    assert len(shown) <= 60


@given(ANY_TEXT, st.integers(40, 100), st.booleans())
def test_nothing_dangerous_remains(text: str, limit: int, newlines: bool) -> None:
    """No control, surrogate, line or paragraph separator, or direction control is left in."""
    shown = visible(text, limit, newlines=newlines)
    kept = shown.replace("\n", "") if newlines else shown
    assert not {unicodedata.category(character) for character in kept} & {"Cc", "Cs", "Zl", "Zp"}
    # Bidi_Control, Unicode Standard Annex 9, table 1.
    directions = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    assert not {unicodedata.bidirectional(character) for character in kept} & directions
    assert len(shown) <= limit


@given(ANY_TEXT, st.integers(40, 100))
def test_twice_is_once(text: str, limit: int) -> None:
    """Applying it to its own result changes nothing."""
    once = visible(text, limit)
    assert visible(once, limit) == once
