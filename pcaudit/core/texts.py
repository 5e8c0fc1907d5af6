"""Comparing texts as people mean them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from unicodedata import normalize


@lru_cache(maxsize=8192)
def fold(text: str) -> str:
    """A text without what does not matter: NFC, case folded, spaces collapsed."""
    if text.isascii():
        return " ".join(text.lower().split())
    return " ".join(normalize("NFC", normalize("NFC", text).casefold()).split())


def _plain(part: str, before: bool, behind: bool) -> Callable[[str], object]:
    """Matches a text with nothing special in it, and anything before or behind it where that is said."""
    if before and behind:
        return lambda text: part in text
    if before:
        return lambda text: text.endswith(part)
    return (lambda text: text.startswith(part)) if behind else part.__eq__


@lru_cache(maxsize=512)
def _matcher(pattern: str, folded: bool) -> Callable[[str], object]:
    if folded:
        pattern = fold(pattern)
    part = pattern.strip("*")
    if not any(special in part for special in "*?["):
        # By far the commonest patterns, and compiling an expression takes longer than a whole list.
        return _plain(part, pattern[:1] == "*", pattern[-1:] == "*")
    from fnmatch import translate

    return re.compile(translate(pattern)).match


def matches(text: str, pattern: str, folded: bool = False) -> bool:
    """Whether the whole text fits a POSIX pattern (``*``, ``?``, ``[...]``).

    Args:
        text: As it is compared.
        pattern: As the profile writes it.
        folded: The text was folded, so the pattern is too.

    Source: POSIX.1-2017, Shell Command Language, 2.13 Pattern Matching Notation.
    """
    return bool(_matcher(pattern, folded)(text))


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A hint naming the closest known word, or all of them where none is close."""
    from difflib import get_close_matches

    words = list(known)
    near = get_close_matches(word.lower(), [w.lower() for w in words], n=1, cutoff=0.6)
    if near:
        right = next(w for w in words if w.lower() == near[0])
        return f"did you mean `{right}`?"
    return f"known here: {', '.join(words)}"
