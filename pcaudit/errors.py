"""The one family of errors: what is wrong, where, and what to do next.

The library raises these; only ``pcaudit.cli`` prints them and chooses an exit code.
"""

from __future__ import annotations

from typing import NamedTuple


class Place(NamedTuple):
    """A spot in a file a person wrote.

    ``line`` and ``column`` count from 1; 0 means not known. ``text`` is the line itself.
    """

    file: str
    line: int = 0
    column: int = 0
    text: str = ""


class PcauditError(Exception):
    """Root of every error pcaudit raises on purpose.

    Args:
        message: What is wrong, one line, for a person.
        place: Where it is wrong, if it is in a file.
        next_step: What would be right, or what to do.
    """

    def __init__(self, message: str, place: Place | None = None, next_step: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.place = place
        self.next_step = next_step


class UsageError(PcauditError):
    """Wrong use, unreadable input or unwritable output: exit code 2."""


class Mistake(NamedTuple):
    """One thing wrong in a file a person wrote.

    ``key`` is the dotted key as the file spells it, ``hint`` what would be right.
    """

    key: str
    message: str
    hint: str = ""
    place: Place | None = None


class MistakesError(UsageError):
    """Every mistake of meaning found in one file, told together.

    Args:
        file: The file's name as the person gave it.
        mistakes: At least one.
    """

    def __init__(self, file: str, mistakes: list[Mistake]) -> None:
        count = len(mistakes)
        super().__init__(f"{file}: {count} mistake{'s' if count != 1 else ''}")
        self.file = file
        self.mistakes = mistakes
