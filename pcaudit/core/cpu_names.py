"""Processor series and generation from the model string, by a table of the makers' names."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final, NamedTuple

from pcaudit.core.snapshot import Form, Observation, absent, known, unknown
from pcaudit.core.texts import fold
from pcaudit.errors import Mistake, MistakesError

Get = Callable[[str], Observation]

FORMAT: Final = 1
"""Newest format of the table this version reads."""

_LONGEST: Final = 200
_MEANS: Final = ("generation", "no_generation", "generation_unknown")
_KEYS: Final = ("series", "pattern", "suffixes", *_MEANS)

# What a pattern is made of: nothing that repeats without end, so that no text takes long.
_PARTS: Final = re.compile(r"(?:[a-z0-9 -]|\[[a-z0-9+-]+\]|\{[1-9]\}|\?|\(\?:|\(\?P<[a-z]+>|\)|\|)+")
_REPEATS_OF_MORE: Final = ("){", "}{", "?{", "}?", "??")
# Each choice can double the work: 2^16 steps at worst.
_MOST_CHOICES: Final = 16
# Digits that make a number from 1 up, whatever they match.
_DIGIT: Final = r"(?:[{0}-9]|\[[{0}-9](?:-[{0}-9])?[{0}-9]*\])"
_NUMBER: Final = re.compile(r"\(\?P<generation>" + _DIGIT.format(1) + _DIGIT.format(0) + r"{0,3}\)(?!\?)")
_MOST_GENERATION: Final = 9999
_BRACES: Final = re.compile(r"\{([a-z]+)\}")

_TRADE_MARKS: Final = re.compile(r"\((?:r|tm|c)\)|[®™©]", re.IGNORECASE)
_SAID: Final = re.compile(r"^([0-9]{1,2})(?:st|nd|rd|th) gen (?=intel )", re.ASCII)
_GRAPHICS: Final = re.compile(r" (?:with|w/) radeon")
_CORES: Final = re.compile(r" [0-9a-z]{1,10}-cores?$", re.ASCII)
_EMPTY_WORDS: Final = ("cpu", "processor")


class Pattern(NamedTuple):
    """One shape of model string, and what it says.

    Attributes:
        series: Name of the series; ``{group}`` stands for a group of the pattern.
        expression: Must fit the whole simplified string.
        suffixes: What the group ``suffix`` may be; None where the pattern alone decides.
        generation: The generation; None where the group ``generation`` has it or nobody knows.
        none: Why the series has no generations; empty where it has.
        untold: Why the model number does not tell the generation; empty where it does.
    """

    series: str
    expression: re.Pattern[str]
    suffixes: frozenset[str] | None
    generation: int | None
    none: str
    untold: str


class CpuKnowledge(NamedTuple):
    """The table of processor names: the day it was written, and its patterns in order."""

    date: date
    patterns: tuple[Pattern, ...]


class _Found(NamedTuple):
    series: str
    generation: int | None
    pattern: Pattern


# ---------------------------------------------------------------- reading the table


def _expression(text: Any) -> re.Pattern[str] | str:
    """The compiled pattern, or what is wrong with it."""
    if not isinstance(text, str) or not _PARTS.fullmatch(text):
        return "not a pattern of plain characters, sets, groups, alternatives, ? and {n}"
    if any(pair in text for pair in _REPEATS_OF_MORE):
        return "only single characters and sets are repeated"
    if text.replace("(?", "").count("?") + text.count("|") > _MOST_CHOICES:
        return f"more than {_MOST_CHOICES} choices: make two patterns of it"
    if "<generation>" in text and not _NUMBER.search(text):
        return "the group generation holds digits, the first not 0, and is not optional"
    try:
        return re.compile(text, re.ASCII)
    except re.error as error:
        return f"not a regular expression: {error}"


def _series_problem(text: Any, expression: re.Pattern[str]) -> str:
    if not isinstance(text, str) or not text.strip() or text != fold(text):
        return "a text in lower case was expected"
    missing = sorted(set(_BRACES.findall(text)) - set(expression.groupindex))
    if missing:
        return f"the pattern has no group {', '.join(missing)}"
    rest = _BRACES.sub("", text)
    return "braces hold the name of a group" if "{" in rest or "}" in rest else ""


def _suffixes_problem(value: Any, expression: re.Pattern[str]) -> str:
    if value is None:
        return "the pattern's group suffix needs the list" if "suffix" in expression.groupindex else ""
    if not isinstance(value, list) or not value or not all(isinstance(item, str) for item in value):
        return "a list of texts was expected"
    return "" if "suffix" in expression.groupindex else "the pattern has no group suffix"


def _means_problem(entry: Mapping[str, Any], expression: re.Pattern[str]) -> str:
    given = [key for key in _MEANS if key in entry]
    ways = len(given) + ("generation" in expression.groupindex)
    if ways != 1:
        return "give the generation in exactly one way: a group, " + ", ".join(_MEANS)
    if not given:
        return ""
    value = entry[given[0]]
    if given[0] == "generation":
        number = isinstance(value, int) and not isinstance(value, bool)
        return "" if number and 1 <= value <= _MOST_GENERATION else "a whole number from 1 up was expected"
    return "" if isinstance(value, str) and value.strip() else f"{given[0]} says why, in a text"


def _pattern(entry: Any, key: str, mistakes: list[Mistake]) -> Pattern | None:
    if not isinstance(entry, dict):
        mistakes.append(Mistake(key, "a table was expected"))
        return None
    hint = f"known here: {', '.join(_KEYS)}"
    mistakes.extend(Mistake(f"{key}.{name}", "no such key", hint) for name in entry if name not in _KEYS)
    expression = _expression(entry.get("pattern"))
    if isinstance(expression, str):
        mistakes.append(Mistake(f"{key}.pattern", expression))
        return None
    problems = {
        "series": _series_problem(entry.get("series"), expression),
        "suffixes": _suffixes_problem(entry.get("suffixes"), expression),
        "generation": _means_problem(entry, expression),
    }
    wrong = [Mistake(f"{key}.{name}", text) for name, text in problems.items() if text]
    if wrong:
        mistakes.extend(wrong)
        return None
    suffixes = entry.get("suffixes")
    return Pattern(
        entry["series"],
        expression,
        None if suffixes is None else frozenset(suffixes),
        entry.get("generation"),
        entry.get("no_generation", ""),
        entry.get("generation_unknown", ""),
    )


def _meta_mistakes(meta: Any) -> list[Mistake]:
    if not isinstance(meta, dict):
        return [Mistake("meta", "the table with format, date and sources is missing")]
    known_keys = ("format", "date", "sources")
    mistakes = [Mistake(f"meta.{key}", "no such key") for key in meta if key not in known_keys]
    form, day, sources = meta.get("format"), meta.get("date"), meta.get("sources")
    if not isinstance(form, int) or isinstance(form, bool) or form < 1:
        mistakes.append(Mistake("meta.format", "a whole number from 1 up was expected"))
    elif form > FORMAT:
        text = f"format {form} is newer than this version of pcaudit reads ({FORMAT})"
        mistakes.append(Mistake("meta.format", text, "use a newer pcaudit"))
    if type(day) is not date:
        mistakes.append(Mistake("meta.date", "a day was expected", "write date = 2026-11-25"))
    if not isinstance(sources, list) or not sources:
        mistakes.append(Mistake("meta.sources", "a list of where the names come from was expected"))
    return mistakes


def read(data: Mapping[str, Any], file: str = "cpu.toml") -> CpuKnowledge:
    """Make the table of processor names from parsed TOML.

    Args:
        data: The parsed document.
        file: Its name, for messages.

    Returns:
        The table, ready to ask.

    Raises:
        MistakesError: Anything in it that is not as docs/cpu-knowledge.md says; all of it at once.
    """
    mistakes = [Mistake(key, "no such key") for key in data if key not in ("meta", "patterns")]
    mistakes.extend(_meta_mistakes(data.get("meta")))
    entries = data.get("patterns")
    if not isinstance(entries, list) or not entries:
        mistakes.append(Mistake("patterns", "a list of patterns was expected"))
        entries = []
    made = [_pattern(entry, f"patterns[{i}]", mistakes) for i, entry in enumerate(entries)]
    if mistakes:
        raise MistakesError(file, mistakes)
    return CpuKnowledge(data["meta"]["date"], tuple(pattern for pattern in made if pattern))


# ---------------------------------------------------------------- asking it


def _unmarked(model: str) -> str:
    return fold(_TRADE_MARKS.sub(" ", model))


def simplified(model: str) -> str:
    """A model string without what does not name the model.

    Lower case, single spaces; without trade marks, "11th Gen", "CPU", "Processor", the clock
    behind ``@``, the graphics and the count of cores.
    """
    text = _SAID.sub("", _unmarked(model), count=1)
    text = _GRAPHICS.split(text.partition(" @")[0], maxsplit=1)[0]
    text = " ".join(word for word in text.split() if word not in _EMPTY_WORDS)
    return _CORES.sub("", text)


def _find(model: str, knowledge: CpuKnowledge) -> _Found | None:
    if len(model) > _LONGEST:
        return None
    text = simplified(model)
    for pattern in knowledge.patterns:
        match = pattern.expression.fullmatch(text)
        if match is None:
            continue
        groups = match.groupdict(default="")
        if pattern.suffixes is not None and groups["suffix"] not in pattern.suffixes:
            continue
        number = groups.get("generation")
        name = fold(pattern.series.format_map(groups))
        return _Found(name, int(number) if number else pattern.generation, pattern)
    return None


def _said(model: str) -> int | None:
    """The generation that Intel's model strings of some years begin with: "12th Gen Intel ..."."""
    match = _SAID.match(_unmarked(model))
    return int(match[1]) if match else None


def _asked(get: Get, knowledge: CpuKnowledge) -> tuple[Observation, _Found | None]:
    """The model, and what the table says of it; where nothing, the observation says why."""
    model = get("cpu.model")
    if model.form is not Form.KNOWN:
        return unknown(model.why or "the processor's model is not known"), None
    found = _find(model.value, knowledge)
    if found is None:
        why = (
            f"{model.value!r:.80} names no series this version knows (table of {knowledge.date}): "
            "a newer table may (--knowledge)"
        )
        return unknown(why), None
    return model, found


def _source(model: Observation, knowledge: CpuKnowledge) -> str:
    return f"{model.source}, by the processor table of {knowledge.date}"


def series(get: Get, knowledge: CpuKnowledge) -> Observation:
    """The product series of the processor, such as ``core i5``.

    Args:
        get: Gives the observation of ``cpu.model``.
        knowledge: The table of processor names.

    Returns:
        The series; unknown, with the reason, where the table has no place for the model.
    """
    model, found = _asked(get, knowledge)
    return model if found is None else known(found.series, _source(model, knowledge))


def generation(get: Get, knowledge: CpuKnowledge) -> Observation:
    """The maker's generation of the processor within its series.

    Args:
        get: Gives the observation of ``cpu.model``.
        knowledge: The table of processor names.

    Returns:
        The generation, from 1; absent where the maker numbers none; unknown, with the reason,
        where the model number does not tell it or the model string contradicts itself.
    """
    model, found = _asked(get, knowledge)
    if found is None:
        return model
    if found.pattern.none:
        return absent(found.pattern.none, _source(model, knowledge))
    if found.generation is None:
        return unknown(f"{model.value!r:.80}: {found.pattern.untold}")
    said = _said(model.value)
    if said is not None and said != found.generation:
        return unknown(
            f"{model.value!r:.80} says generation {said}, its number {found.generation}: ask the maker"
        )
    return known(found.generation, _source(model, knowledge))
