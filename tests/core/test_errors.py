"""Errors."""

from __future__ import annotations

from pcaudit.errors import Mistake, MistakesError, PcauditError, Place, UsageError


def test_an_error_says_what_where_and_what_next() -> None:
    """Message, place and next step stand apart, so that a caller can lay them out."""
    error = UsageError("no such file", Place("p.toml", 3), "look for it")
    assert isinstance(error, PcauditError)
    assert (str(error), error.place, error.next_step) == ("no such file", Place("p.toml", 3), "look for it")


def test_mistakes_are_told_together() -> None:
    """Several mistakes make one error, which counts them and names the file."""
    one, two = Mistake("a", "wrong"), Mistake("b", "wrong too")
    assert str(MistakesError("p.toml", [one])) == "p.toml: 1 mistake"
    error = MistakesError("p.toml", [one, two])
    assert str(error) == "p.toml: 2 mistakes"
    assert error.mistakes == [one, two]
    assert isinstance(error, UsageError)
