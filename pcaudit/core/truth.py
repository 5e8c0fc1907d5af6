"""Answers with three values: yes, no, and cannot be known."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import Final, NamedTuple


class Truth(Enum):
    """Kleene's strong three-valued logic."""

    TRUE = "true"
    FALSE = "false"
    UNKNOWN = "unknown"


class Answer(NamedTuple):
    """A truth and, where it is not simply yes, the reason."""

    truth: Truth
    why: str = ""


YES: Final = Answer(Truth.TRUE)
NO: Final = Answer(Truth.FALSE)


def answer(holds: bool) -> Answer:
    """Yes or no."""
    return YES if holds else NO


def cannot_tell(why: str) -> Answer:
    """Neither yes nor no, and why."""
    return Answer(Truth.UNKNOWN, why)


def every(answers: Iterable[Answer]) -> Answer:
    """Yes where all are yes, no where one is no, else the first that cannot be known."""
    open_question = None
    for one in answers:
        if one.truth is Truth.FALSE:
            return one
        if one.truth is Truth.UNKNOWN and open_question is None:
            open_question = one
    return open_question or YES


def some(answers: Iterable[Answer]) -> Answer:
    """Yes where one is yes, no where all are no, else the first that cannot be known."""
    open_question = None
    for one in answers:
        if one.truth is Truth.TRUE:
            return one
        if one.truth is Truth.UNKNOWN and open_question is None:
            open_question = one
    return open_question or NO
