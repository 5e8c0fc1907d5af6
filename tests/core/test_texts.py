"""Comparing texts as people mean them."""

from __future__ import annotations

from fnmatch import fnmatchcase

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.texts import did_you_mean, fold, matches


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Debian GNU/Linux", "debian  gnu/linux"),
        (" Pro ", "pro"),
        ("Pro\tEdition", "pro edition"),
        ("caf\u00e9", "cafe\u0301"),  # Unicode Standard Annex 15: composed and decomposed e acute
        ("STRASSE", "stra\u00dfe"),  # Unicode CaseFolding.txt: sharp s folds to ss
        ("\u212alaus", "klaus"),  # the Kelvin sign is canonically a K
        ("\u00a0Pro", "Pro"),
    ],
)
def test_what_people_take_for_the_same_folds_alike(one: str, other: str) -> None:
    """Case, composition and number of spaces do not matter."""
    assert fold(one) == fold(other)


@pytest.mark.parametrize(("one", "other"), [("Pro", "Prof"), ("8.1", "8.10"), ("a b", "ab"), ("e", "\u00e9")])
def test_what_is_different_stays_different(one: str, other: str) -> None:
    """Folding joins no texts that mean different things."""
    assert fold(one) != fold(other)


@given(st.text())
def test_folding_twice_changes_nothing(text: str) -> None:
    """A folded text is its own folding, so that comparing folded texts is enough."""
    assert fold(fold(text)) == fold(text)


# POSIX.1-2017, Shell Command Language, 2.13 Pattern Matching Notation.
@pytest.mark.parametrize(
    ("text", "pattern", "fits"),
    [
        ("visual c++ 2015", "visual c++*", True),
        ("visual c++", "visual c++*", True),
        ("not visual c++", "visual c++*", False),
        ("suite 5", "suite ?", True),
        ("suite 10", "suite ?", False),
        ("suite 10", "suite [1-5][!0-9]*", False),
        ("suite 1.2", "suite [1-5][!0-9]*", True),
        ("suite 1", "suite", False),
        ("two\nlines", "two*", True),
        ("a.b", "a?b", True),
        ("axb", "a.b", False),
        ("", "*", True),
        ("[x", "[x", True),
    ],
)
def test_patterns_fit_the_whole_text(text: str, pattern: str, fits: bool) -> None:
    """Stars, question marks and brackets fit as POSIX says, from first to last character."""
    assert matches(text, pattern) is fits


@given(st.text("ab.*", min_size=1, max_size=6), st.text("ab.", max_size=6))
def test_stars_fit_as_the_general_matcher_has_it(pattern: str, text: str) -> None:
    """Plain patterns, which take a shorter way, fit exactly what Python's own matcher fits."""
    assert matches(text, pattern) is fnmatchcase(text, pattern)


def test_a_hint_names_the_closest_word_or_all() -> None:
    """A slip of the pen gets the word that was meant; anything else the whole list."""
    assert did_you_mean("MINIMIM", ["minimum", "maximum"]) == "did you mean `minimum`?"
    assert did_you_mean("zzz", ["minimum", "maximum"]) == "known here: minimum, maximum"
