"""Remarks on texts and patterns that no PC, or no more than the writer meant, will have."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

from pcaudit.core.catalogue import Type
from pcaudit.core.conditions import Requirement, Test
from pcaudit.core.texts import fold, matches

_Found = tuple[str, str, str]
"""The word that asks it, what was noticed, what would be better."""

_YES_OR_NO: Final = frozenset({"true", "false", "yes", "no"})
_SEPARATORS: Final = {"comma": ",", "point": ".", "dot": ".", "period": ".", "full stop": "."}
# A mount point as Microsoft's GetVolumePathNamesForVolumeName gives it: D:\ (from memory).
_DRIVE: Final = r"([A-Za-z]):(?:[\\/]?$|(?=\\))"
# Not behind a digit, where "4.*" goes on with a number, and not in names with points, such as "lib.so.*".
_EXPRESSION: Final = r"(?<![0-9])\.[*+]|\([^()]*\|[^()]*\)"
_BACKSLASH: Final = "\\"
_GENERATIONS: Final = 100
"""Far more than any maker has counted (common practice, no source); model numbers are larger."""


def _texts(requirement: Requirement, *forms: str) -> Iterator[tuple[str, str]]:
    for test in requirement.tests(with_advised=True):
        if test.form.key in forms:
            yield from ((test.form.key, one) for one in test.operand)


_WORDS: Final = ("equal", "one_of", "none_of")


def _truths(requirement: Requirement) -> Iterator[_Found]:
    for word, text in _texts(requirement, *_WORDS, "matches"):
        if fold(text) in _YES_OR_NO:
            noticed = f'"{text}" is a text here, and fits only what is named so'
            yield word, noticed, 'for any write { matches = "*" }, for one write its name in quotes'


def _separators(requirement: Requirement) -> Iterator[_Found]:
    for word, text in _texts(requirement, *_WORDS):
        if len(text.strip()) > 1:
            sign = _SEPARATORS.get(fold(text), "")
            better = f'write "{sign}"' if sign else 'write "." or ","'
            yield word, f'"{text}" is a word, and the separator is read as the character itself', better


def _drives(requirement: Requirement) -> Iterator[_Found]:
    for word, text in _texts(requirement, *_WORDS, "matches"):
        match = re.match(_DRIVE, text)
        if not match:
            continue
        right = f"{match[1].upper()}:\\{text[match.end() :].removeprefix(_BACKSLASH)}"
        if right != text:
            noticed = "Windows names a drive by a capital letter, a colon and a backslash, compared exactly"
            yield word, noticed, f"write '{right}'"


def _expressions(requirement: Requirement) -> Iterator[_Found]:
    for word, text in _texts(requirement, "matches"):
        match = re.search(_EXPRESSION, text)
        if not match:
            continue
        if match[0][0] == "(":
            yield word, f"`{match[0]}` stands for itself in a pattern", "write a list of patterns"
        else:
            plain = f'write "{re.sub(_EXPRESSION, "*", text)}"' if '"' not in text else "leave the point out"
            noticed = f"the point of `{match[0]}` stands for itself: what has none there does not fit"
            yield word, noticed, f"{plain}, or [.] where a point is meant"


def _generations(requirement: Requirement) -> Iterator[_Found]:
    for test in requirement.tests(with_advised=True):
        number = test.operand
        if number >= _GENERATIONS:
            count = f"write {number // 1000}" if number % 1000 == 0 else "write the number of the generation"
            yield test.form.key, f"no maker counts {number} generations: that is a model number", count


def _near(word: str, series: frozenset[str]) -> str:
    folded = fold(word)
    parts = [one for one in series if folded in one or one in folded]
    if parts:
        # Of "pentium" and "pentium gold" the longer says more; of "core i5" and "core ultra 5" the shorter.
        inside = [one for one in parts if one in folded]
        return max(inside, key=len) if inside else min(sorted(parts), key=len)
    from difflib import get_close_matches

    near: list[str] = get_close_matches(folded, sorted(series), n=1, cutoff=0.6)
    return near[0] if near else ""


def _series(requirement: Requirement, series: frozenset[str]) -> Iterator[_Found]:
    for word, text in _texts(requirement, *_WORDS, "matches"):
        pattern = word == "matches"
        if fold(text) in series or (pattern and any(matches(one, text, folded=True) for one in series)):
            continue
        near = _near(text.strip("*"), series)
        better = f'did you mean "{near}"?' if near else "docs/cpu-knowledge.md lists the series there are"
        yield word, f'no series "{text}" in the table of processors', better


def remarks(requirement: Requirement, name: str, series: frozenset[str]) -> Iterator[_Found]:
    """Remarks on the words asked of one value.

    Args:
        requirement: What is asked.
        name: Of the reading; for an item's key that of the list, a point and the key.
        series: Names of processor series there are; empty where they are not known.

    Yields:
        The word that asks it, what was noticed, and what would be better.
    """
    if requirement.spec.type is Type.TEXT:
        yield from _truths(requirement)
        yield from _expressions(requirement)
    if name == "os.decimal_separator":
        yield from _separators(requirement)
    elif name == "storage.volumes.mount":
        yield from _drives(requirement)
    elif name == "cpu.generation":
        yield from _generations(requirement)
    elif name == "cpu.series" and series:
        yield from _series(requirement, series)


def names_alone(tests: Iterable[Test]) -> str:
    """The name that patterns such as "Old Suite *" leave out: the one with nothing behind it."""
    patterns: list[str] = [one for test in tests if test.form.key == "matches" for one in test.operand]
    for pattern in patterns:
        stem = pattern.removesuffix("*").rstrip()
        alone = pattern.endswith(" *") and not any(special in stem for special in '*?["')
        if alone and not any(matches(fold(stem), other, folded=True) for other in patterns):
            return stem
    return ""
