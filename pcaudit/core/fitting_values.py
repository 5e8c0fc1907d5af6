"""Values that would meet what a profile asks, for a PC with something changed.

Every value is held against what is asked before it is given back, so that a candidate that was
badly chosen is lost, never believed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final

from pcaudit.core.catalogue import Type
from pcaudit.core.conditions import Requirement, Test, judge_value
from pcaudit.core.truth import Truth

ANOTHER: Final = "another one"
"""A text that stands for any but those a profile excludes."""

_SOME: Final = "some"


def meets(requirements: Sequence[Requirement], value: Any) -> bool:
    """Whether a value is known to meet everything required."""
    return all(judge_value(one, value).truth is Truth.TRUE for one in requirements)


def _sample(pattern: str) -> str:
    """A text that a POSIX pattern most likely matches."""
    text, rest = "", pattern
    while rest:
        head, rest = rest[0], rest[1:]
        end = rest.find("]", 1) if head == "[" else -1
        if end > 0:
            inside, rest = rest[:end], rest[end + 1 :]
            text += next(c for c in "x0_-" if c not in inside) if inside[0] == "!" else inside[0]
        elif head == "\\" and rest:
            text, rest = text + rest[0], rest[1:]
        elif head != "*":
            text += "x" if head == "?" else head
    return text.strip() or _SOME


def _beside(version: str, step: int) -> str:
    """A version of digits and points with its last number that can be changed one lower, or higher."""
    parts = version.split(".")
    for index in reversed(range(len(parts))):
        if parts[index].isascii() and parts[index].isdigit() and int(parts[index]) + step >= 0:
            zeros = ["0"] * (len(parts) - index - 1)
            return ".".join([*parts[:index], str(int(parts[index]) + step), *zeros])
    return version


def _versions(test: Test) -> Iterator[str]:
    for one in test.operand:
        for clause in one.clauses:
            written = clause.text
            for mark in "<>=!~":
                written = written.replace(mark, "")
            written = written.strip().removesuffix(".*")
            # Longer forms, since a value that may be cut short proves nothing.
            yield from (written, f"{written}.0", f"{written}.0.0", f"{written}.1")
            yield from (_beside(written, 1), _beside(written, -1))
    yield "1"


def _others(test: Test, spec_words: tuple[str, ...]) -> Iterator[str]:
    yield from (word for word in spec_words or (ANOTHER,) if word not in test.operand)


_OF_FORM: Final[dict[str, Callable[[Test, Requirement], Iterator[Any]]]] = {
    "matches": lambda test, _: map(_sample, test.operand),
    "version": lambda test, _: _versions(test),
    "none_of": lambda test, requirement: _others(test, requirement.spec.words),
    "one_of": lambda test, _: iter(test.operand),
}


def _of_test(test: Test, requirement: Requirement) -> Iterator[Any]:
    make = _OF_FORM.get(test.form.key)
    if make is not None:
        yield from make(test, requirement)
    elif isinstance(test.operand, tuple):
        yield from test.operand
    else:
        yield test.operand


def _set(requirements: Sequence[Requirement], now: Any) -> list[str]:
    members = list(now) if isinstance(now, list) else []
    for test in (test for one in requirements for test in one.required):
        if test.form.key == "excludes":
            unwanted = {text.casefold() for text in test.operand}
            members = [text for text in members if text.casefold() not in unwanted]
        else:
            members += test.operand if test.form.key == "includes" else test.operand[:1]
    return members


def choices(requirements: Sequence[Requirement], now: Any = None) -> list[Any]:
    """Values that meet everything required of one reading, or of one key of an item.

    Args:
        requirements: On the same property; at least one.
        now: Its value, where it is known: kept where it will do.

    Returns:
        In the order asked; none where no value is known to do.
    """
    spec = requirements[0].spec
    if spec.type is Type.SET:
        found: list[Any] = [_set(requirements, now)]
    else:
        found = [] if now is None else [now]
        found += [value for one in requirements for test in one.required for value in _of_test(test, one)]
    good = [value for value in found if meets(requirements, value)]
    return [value for index, value in enumerate(good) if value not in good[:index]]
