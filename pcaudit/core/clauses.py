"""What a profile asks, as clauses of English sentences.

Everything goes through the forms of ``conditions.FORMS``; amounts are written exactly, since
the page is held against paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core import phrases, versions
from pcaudit.core.catalogue import CATALOGUE, Property, Type
from pcaudit.core.conditions import Requirement, Scale, Test
from pcaudit.core.phrases import Phrase
from pcaudit.core.profile import ALWAYS, Option, Parameter, When
from pcaudit.core.units import NEVER
from pcaudit.core.wording import quoted as quoted, show_exact

_OS_NAMES: Final = {"windows": "Windows", "linux": "Linux", "macos": "macOS"}
_BOUNDS: Final = {">=": "at least ", "<=": "at most ", ">": "above ", "<": "below ", "!=": "other than "}


class Names(NamedTuple):
    """Titles of what a profile declares itself."""

    parameters: dict[str, Parameter]
    options: tuple[Option, ...]

    def parameter(self, name: str) -> str:
        """A parameter as people know it, and its name: "Runs open at the same time" (open_runs)."""
        one = self.parameters.get(name)
        return f"{quoted(one.title)} ({name})" if one is not None and one.title else name

    def option(self, name: str) -> str:
        """An option as people know it, and its name."""
        title = next((one.title for one in self.options if one.name == name and one.title), "")
        return f"the option {quoted(title)} ({name})" if title else f"the option {name}"

    def counted(self, name: str) -> str:
        """What an amount is asked for each of: a parameter, or a reading."""
        if name in self.parameters:
            return self.parameter(name)
        return f"{quoted(CATALOGUE[name].value.title)} ({name})"


class _Piece(NamedTuple):
    """One test as a predicate: a verb, whether it is denied, and what follows it."""

    verb: str
    text: str
    denied: bool = False


def listed(texts: Sequence[str], last: str, between: str = ", ") -> str:
    """Texts in a row: "a, b or c"."""
    if len(texts) < 2:
        return "".join(texts)
    comma = between if between != ", " and len(texts) > 2 else " "
    return f"{between.join(texts[:-1])}{comma}{last} {texts[-1]}"


# -- single tests


def _word(text: str, spec: Property) -> str:
    if spec is CATALOGUE["os.type"].value:
        return _OS_NAMES.get(text, text)
    return text if spec.words else quoted(text)


def _of(count: int, lead: str, texts: Iterable[str]) -> str:
    return f"{lead if count > 1 else ''}{', '.join(texts)}"


def _range(one: versions.Range) -> str:
    bounds = [f"{_BOUNDS[c.operator]}{c.text}" if c.operator in _BOUNDS else c.text for c in one.clauses]
    odd = any(clause.operator not in (*_BOUNDS, "==") for clause in one.clauses)
    return quoted(one.text) if odd else " and ".join(bounds)


def _ranges(operand: tuple[versions.Range, ...]) -> str:
    text = ", or ".join(map(_range, operand))
    scheme = operand[0].scheme
    return text if scheme == "dotted" else f"{text} (as {scheme} orders versions)"


def _per(scales: Sequence[Scale], spec: Property, names: Names) -> str:
    each = [f"{show_exact(one.amount, spec)} for each of {names.counted(one.name)}" for one in scales]
    return " plus ".join(each)


def _minimum(operand: Any, requirement: Requirement, names: Names, better: bool) -> str:
    spec = requirement.spec
    if operand == NEVER:
        return NEVER
    text = show_exact(operand, spec)
    if spec.type is Type.DATE:
        return f"{text} or later"
    if not requirement.scales:
        return f"at least {text}"
    if better:
        return f"at least {text} plus the same"
    each = _per(requirement.scales, spec, names)
    return f"at least {text} plus {each}" if operand else f"at least {each}"


def _maximum(operand: Any, spec: Property) -> str:
    text = show_exact(operand, spec)
    return f"{text} or earlier" if spec.type is Type.DATE else f"at most {text}"


def _equal(operand: Any, spec: Property, phrase: Phrase) -> _Piece:
    if spec.type is Type.BOOLEAN:
        return _Piece("be", phrase.complement, denied=not operand)
    if isinstance(operand, tuple):
        return _Piece("be", listed([_word(one, spec) for one in operand], "or"))
    exactly = "" if operand == NEVER or spec.type is Type.DATE else "exactly "
    return _Piece("be", f"{exactly}{show_exact(operand, spec)}")


def _texts(key: str, operand: tuple[str, ...], spec: Property) -> _Piece:
    count, words = len(operand), [_word(one, spec) for one in operand]
    if key == "none_of":
        return _Piece("be", _of(count, "any of: ", words), denied=True)
    if key == "matches":
        lead = "one of the patterns " if count > 1 else "the pattern "
        return _Piece("match", lead + ", ".join(words))
    leads = {"includes": "all of: ", "includes_any": "at least one of: ", "excludes": "any of: "}
    return _Piece("include", _of(count, leads[key], words), denied=key == "excludes")


def _piece(test: Test, requirement: Requirement, phrase: Phrase, names: Names, better: bool) -> _Piece:
    key, operand, spec = test.form.key, test.operand, requirement.spec
    if key == "minimum":
        return _Piece("be", _minimum(operand, requirement, names, better))
    if key == "maximum":
        return _Piece("be", _maximum(operand, spec))
    if key in ("equal", "one_of"):
        return _equal(operand, spec, phrase)
    if key == "version":
        return _Piece("be", _ranges(operand))
    if key in ("none_of", "matches", "includes", "includes_any", "excludes"):
        return _texts(key, operand, spec)
    return _Piece("be", test.form.says(operand, spec))


# -- a requirement

_FINITE: Final = {
    ("be", False): "is",
    ("be", True): "is not",
    ("match", False): "matches",
    ("include", False): "include",
    ("include", True): "do not include",
}


def _predicate(pieces: Sequence[_Piece], modal: str, several: bool = False) -> str:
    """Pieces as one predicate: "must be at least 4 and at most 8", "is not encrypted"."""
    parts: list[str] = []
    before = None
    for piece in pieces:
        kind = piece.verb, piece.denied
        verb = f"{modal}{' not' * piece.denied} {piece.verb}" if modal else _FINITE[kind]
        if not modal and several and piece.verb == "be":
            verb = "are" + " not" * piece.denied
        parts.append(piece.text if kind == before else f"{verb} {piece.text}")
        before = kind
    return " and ".join(parts)


def _split(requirement: Requirement) -> tuple[tuple[Test, ...], tuple[Test, ...]]:
    """What is asked first, and what is recommended beyond it."""
    if requirement.required:
        return requirement.required, requirement.advised
    keys = [test.form.key for test in requirement.advised]
    doubled = len(keys) > 1 and keys[-1] in keys[:-1]  # `recommended` stands last, as a second bound
    cut = len(keys) - 1 if doubled else len(keys)
    return requirement.advised[:cut], requirement.advised[cut:]


def _recommended(better: Sequence[Test], requirement: Requirement, phrase: Phrase, names: Names) -> str:
    texts = [_piece(test, requirement, phrase, names, True).text for test in better]
    return f" (recommended: {' and '.join(texts)})" if texts else ""


def _pieces(tests: Sequence[Test], requirement: Requirement, phrase: Phrase, names: Names) -> list[_Piece]:
    return [_piece(test, requirement, phrase, names, False) for test in tests]


def _never(requirement: Requirement) -> tuple[str, str, str] | None:
    tests = requirement.required + requirement.advised
    only = len(tests) == 1 and tests[0].operand == NEVER and tests[0].form.key in ("equal", "minimum")
    return phrases.NEVER.get(requirement.name) if only else None


def of_scalar(requirement: Requirement, names: Names, modal: str = "") -> str:
    """A condition on one reading: "the installed memory must be at least 16 GB".

    Args:
        requirement: What is asked, of a reading or of a parameter.
        names: Titles of parameters and options.
        modal: "must" or "should"; without one it is said as a fact, "is at least 16 GB".
    """
    never = _never(requirement)
    if never is not None:
        who, infinitive, finite = never
        return f"{who} {modal} never {infinitive}" if modal else f"{who} never {finite}"
    if "." in requirement.name:
        phrase = phrases.of_reading(requirement.name, requirement.spec)
    else:
        phrase = Phrase(names.parameter(requirement.name))
    tests, better = _split(requirement)
    text = _predicate(_pieces(tests, requirement, phrase, names), modal)
    return f"{phrase.subject} {text}{_recommended(better, requirement, phrase, names)}"


def of_key(record: str, requirement: Requirement, names: Names, several: bool, all_advised: bool) -> str:
    """What is asked of one key of an item: "that is wired", "whose link is up"."""
    phrase = phrases.of_key(record, requirement.name, requirement.spec)
    tests, better = _split(requirement)
    pieces = _pieces(tests, requirement, phrase, names)
    lead = f"whose {phrase.subject} " if phrase.subject else "that "
    text = lead + _predicate(pieces, "", several=several and not phrase.subject)
    text += _recommended(better, requirement, phrase, names)
    return text if requirement.required or all_advised else f"{text} (advised only)"


def only_where(when: When, names: Names) -> str:
    """What a table is limited to: "only where the chassis is laptop"; empty where to nothing."""
    if when == ALWAYS:
        return ""
    clauses = [of_scalar(one, names) for one in when.requirements]
    clauses += [f"{names.option(name)} is{'' if wanted else ' not'} chosen" for name, wanted in when.options]
    return f"only where {', and '.join(clauses)}"
