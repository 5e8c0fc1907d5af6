"""Answers with three values: Kleene's strong logic (Kleene, Introduction to Metamathematics, 1952)."""

from __future__ import annotations

from itertools import product

import pytest

from pcaudit.core.truth import NO, YES, Answer, Truth, answer, cannot_tell, every, some

MAYBE = cannot_tell("because")
# Truth ordered: false < unknown < true; "and" is the least, "or" the greatest.
RANK = {Truth.FALSE: 0, Truth.UNKNOWN: 1, Truth.TRUE: 2}


@pytest.mark.parametrize("answers", list(product((YES, NO, MAYBE), repeat=3)))
def test_every_and_some_are_least_and_greatest(answers: tuple[Answer, ...]) -> None:
    """All of is the lowest of the answers and one of the highest, unknown lying between."""
    ranks = [RANK[one.truth] for one in answers]
    assert RANK[every(answers).truth] == min(ranks)
    assert RANK[some(answers).truth] == max(ranks)


def test_nothing_asked_is_all_met_and_none_found() -> None:
    """All of nothing holds, one of nothing does not."""
    assert every(()) is YES
    assert some(()) is NO


def test_the_first_reason_is_kept() -> None:
    """An unknown answer carries the first reason met, not the last."""
    answers = (YES, cannot_tell("first"), cannot_tell("second"))
    assert every(answers).why == "first"
    assert some((NO, *answers[1:])).why == "first"


def test_booleans_become_answers() -> None:
    """True is yes and false is no, without a reason."""
    assert answer(True) == YES
    assert answer(False) == NO
    assert not YES.why
