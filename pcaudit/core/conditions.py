"""The forms a condition takes: one table that reads, judges and explains each of them.

A form knows which types it is for, how to read what the profile says, how to hold it against
a value or a lower bound, and how to say it. Validating, evaluating and explaining all go
through ``FORMS``; a new form is one more record.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any, Final, NamedTuple

from pcaudit.core import units, versions
from pcaudit.core.catalogue import Absent, Property, Type
from pcaudit.core.pseudonyms import WHY as REDACTED, is_redacted
from pcaudit.core.snapshot import Form as Known, Observation
from pcaudit.core.texts import did_you_mean, fold, matches
from pcaudit.core.truth import NO, YES, Answer, answer, cannot_tell, every
from pcaudit.core.units import NEVER, UnitError
from pcaudit.core.wording import show_exact, told

AMOUNTS: Final = (Type.INTEGER, Type.NUMBER, Type.QUANTITY, Type.DURATION)
ORDERED: Final = (*AMOUNTS, Type.DATE, Type.LEVEL)
TEXTS: Final = (Type.TEXT, Type.WORD)


class WrongValueError(ValueError):
    """A value that does not fit its condition; the message says why, ``hint`` what would be right."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


class Form(NamedTuple):
    """One form of a condition.

    Attributes:
        key: The word profiles write.
        types: Types of readings it is for.
        read: What the profile says to an operand; raises ``WrongValueError``.
        holds: Operand against a known value; the flag says whether a set is complete.
        bound: Rank of the operand against a rank that the value is known to be no lower than.
        says: The operand in words.
        excludes: It asks for something not to be so; what is absent satisfies it.
    """

    key: str
    types: tuple[Type, ...]
    read: Callable[[Any, Property], Any]
    holds: Callable[[Any, Any, Property, bool], Answer]
    says: Callable[[Any, Property], str]
    bound: Callable[[Any, Any], Answer] | None = None
    excludes: bool = False


class Test(NamedTuple):
    """A form with its operand: something a value can be held against."""

    form: Form
    operand: Any


# -- reading operands


def _kind_of(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"the bare number {value}"
    if isinstance(value, str):
        return f"the text {value!r:.60}"
    if isinstance(value, list):
        return "a list"
    return "a table" if isinstance(value, Mapping) else f"the date {value}"


# What others call them; the nearest spelling would mislead ("amd64" is near to "arm64").
_ALSO_CALLED: Final = {
    "x86_64": ("amd64", "x64", "x86-64", "intel64"),
    "arm64": ("aarch64", "armv8"),
    "x86": ("i386", "i686", "ia32"),
    "desktop": ("tower", "workstation", "mini"),
    "laptop": ("notebook",),
    "macos": ("darwin", "mac", "osx", "os x"),
    "nothing": ("none", "do nothing", "off"),
    "wired": ("ethernet", "lan", "copper"),
    "wireless": ("wi-fi", "wifi", "wlan"),
    "ssd": ("flash", "solid-state"),
}


_FEW: Final = 10
"""So many words are shown in full beside the nearest one."""


def _meant(value: str, words: tuple[str, ...]) -> str:
    other = next((w for w in words if fold(value) in _ALSO_CALLED.get(w, ())), None)
    hint = f"did you mean `{other}`?" if other else did_you_mean(value, words)
    all_of_few = len(words) <= _FEW and not hint.startswith("known")
    return f"{hint} Known here: {', '.join(words)}" if all_of_few else hint


def _read_text(value: Any, spec: Property) -> str:
    if isinstance(value, bool) and not spec.words and not spec.exact:
        # In quotes it would be held against names, and no name is "true".
        hint = 'for any write { matches = "*" }, for one its name in quotes'
        raise WrongValueError(f"{_kind_of(value)} where a text belongs", hint)
    if not isinstance(value, str):
        few = isinstance(value, bool) and 0 < len(spec.words) <= _FEW
        hint = f"write one of: {', '.join(spec.words)}" if few else "write it in quotes"
        raise WrongValueError(f"{_kind_of(value)} where a text belongs", hint)
    if not value.strip():
        raise WrongValueError("an empty text", "say what is asked, or leave the condition out")
    if spec.words:
        word = next((w for w in spec.words if fold(w) == fold(value)), None)
        if word is None:
            raise WrongValueError(
                f"{value!r:.60} is no word for {spec.title.lower()}", _meant(value, spec.words)
            )
        return word
    return value


def _read_texts(value: Any, spec: Property) -> tuple[str, ...]:
    values = value if isinstance(value, list) else [value]
    if not values:
        raise WrongValueError("an empty list", "name at least one, or leave the condition out")
    return tuple(_read_text(one, spec) for one in values)


def _read_pattern(value: Any, _spec: Property) -> tuple[str, ...]:
    patterns = _read_texts(value, _ANY_TEXT)
    for pattern in patterns:
        if len(pattern) > versions.LIMIT:
            raise WrongValueError(f"a pattern of {len(pattern)} characters", f"at most {versions.LIMIT}")
        for wrong, hint in _NOT_IN_PATTERNS.items():
            if re.search(wrong, pattern):
                raise WrongValueError(f"{pattern!r:.60} is a pattern that is read in more than one way", hint)
        if "[" in re.sub(_BRACKETS, "", pattern):
            raise WrongValueError(
                f"{pattern!r:.60} has a bracket that is not closed",
                "close it with ], or write [[] for the character itself",
            )
    return patterns


_ANY_TEXT: Final = Property("Text", Type.TEXT)

# POSIX.1-2017, Shell Command Language, 2.13.1: a ] that comes first stands for itself.
_BRACKETS: Final = r"\[!?\]?[^\]]*\]"

# A pattern read otherwise than meant matches nothing, and an exclusion that matches nothing is met.
_NOT_IN_PATTERNS: Final = {
    r"\[\^": "for any character but these write [!...]",
    r"\[[^\]]*\[[:.=]": "write the characters out, such as [0-9] for [[:digit:]]",
    r"^\^|\$$": "a pattern fits the whole text: leave ^ and $ out, or write [$] for the character itself",
    r"\\[*?\[]": "write [*] for the character itself, [\\] for a backslash",
}


def _read_boolean(value: Any) -> bool:
    if not isinstance(value, bool):
        raise WrongValueError(f"{_kind_of(value)} where true or false belongs", "write true or false")
    return value


def _read_date(value: Any) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    try:
        # Python reads 20270131 and 2027-W04-7 too, which people mistype and misread.
        if isinstance(value, str) and len(value) == 10 and "W" not in value:
            return date.fromisoformat(value).isoformat()
    except ValueError:
        pass
    raise WrongValueError(f"{_kind_of(value)} where a date belongs", "write 2027-01-31")


def _read_number(value: Any, spec: Property) -> int | float:
    whole = spec.type is Type.INTEGER
    good = isinstance(value, int if whole else int | float) and not isinstance(value, bool)
    if not good:
        what = "a whole number" if whole else "a number"
        raise WrongValueError(f"{_kind_of(value)} where {what} belongs", "write it without quotes and units")
    if value != value or value in (float("inf"), float("-inf")):
        raise WrongValueError("a number that is none or infinite", "write a finite number")
    if value < 0:
        raise WrongValueError("quantities are not negative", "write 0 or more")
    number: int | float = value
    return number


def _read_quantity(value: Any, spec: Property) -> int | float | str:
    assert spec.kind is not None
    if not isinstance(value, str):
        hint = f"write {spec.kind.name} such as {spec.kind.example}"
        if value == 0 and spec.type is Type.DURATION and not isinstance(value, bool):
            hint = 'write "never" where the thing must not happen'
        raise WrongValueError(f"{_kind_of(value)} where {spec.kind.name} with its unit belongs", hint)
    try:
        amount = units.parse(value, spec.kind)
        units.check_thousands(value)
    except UnitError as error:
        raise WrongValueError(str(error), error.hint) from None
    return amount


def read_ordered(value: Any, spec: Property) -> Any:
    """Read an operand of ``minimum``, ``maximum`` or ``recommended``.

    Raises:
        WrongValueError: The value is of another kind than the reading.
    """
    if spec.type is Type.DATE:
        return _read_date(value)
    if spec.type is Type.LEVEL:
        return _read_text(value, spec)
    if spec.type in (Type.INTEGER, Type.NUMBER):
        return _read_number(value, spec)
    return _read_quantity(value, spec)


def _read_equal(value: Any, spec: Property) -> Any:
    if spec.type is Type.BOOLEAN:
        return _read_boolean(value)
    if spec.type in TEXTS:
        return _read_texts(value, spec)
    return read_ordered(value, spec)


def _read_ranges(value: Any, _spec: Property) -> tuple[versions.Range, ...]:
    scheme = "dotted"
    if isinstance(value, Mapping):
        scheme, value = value.get("scheme", scheme), value.get("version")
    texts = value if isinstance(value, list) else [value]
    if not texts:
        raise WrongValueError("an empty list of version ranges", "name at least one")
    if not isinstance(scheme, str):
        raise WrongValueError(
            f"{_kind_of(scheme)} where a scheme's name belongs", f"schemes: {', '.join(versions.SCHEMES)}"
        )
    ranges = []
    for text in texts:
        if not isinstance(text, str):
            raise WrongValueError(
                f"{_kind_of(text)} where a version range belongs", 'write it in quotes: ">=10.0.19045,<11"'
            )
        try:
            ranges.append(versions.read_range(text, scheme))
        except versions.RangeError as error:
            raise WrongValueError(str(error), error.hint) from None
    return tuple(ranges)


# -- order


def rank(value: Any, spec: Property) -> Any:
    """A value's place in the order of its type: ``never`` after every duration, levels by rank."""
    if spec.type is Type.LEVEL:
        return spec.words.index(value)
    if spec.type is Type.DATE:
        return value[:10]
    return float("inf") if value == NEVER else value


def _at_least(operand: Any, value: Any, spec: Property, _complete: bool) -> Answer:
    return answer(rank(value, spec) >= rank(operand, spec))


def _at_most(operand: Any, value: Any, spec: Property, _complete: bool) -> Answer:
    return answer(rank(value, spec) <= rank(operand, spec))


def _proves_minimum(operand: Any, low: Any) -> Answer:
    return YES if low >= operand else cannot_tell("only a lower bound is known")


def _disproves(operand: Any, low: Any) -> Answer:
    return NO if low > operand else cannot_tell("only a lower bound is known")


# -- equality and texts


def same_text(first: str, second: str, spec: Property) -> bool:
    """Whether two texts are the same: by letter where the property says so, else as people mean them."""
    return first == second if spec.exact else fold(first) == fold(second)


def _equals(operand: Any, value: Any, spec: Property, _complete: bool) -> Answer:
    if spec.type in TEXTS:
        return answer(any(same_text(one, value, spec) for one in operand))
    if spec.type is Type.DATE:
        return answer(value[:10] == operand)
    return answer(value == operand)


def _is_none_of(operand: tuple[str, ...], value: str, spec: Property, _complete: bool) -> Answer:
    return answer(not any(same_text(one, value, spec) for one in operand))


def _fits_pattern(operand: tuple[str, ...], value: str, spec: Property, _complete: bool) -> Answer:
    if not spec.exact:
        value = fold(value)
    # A plain loop: it is asked of every program that is installed, and of most in vain.
    for pattern in operand:
        if matches(value, pattern, not spec.exact):
            return YES
    return NO


def _in_ranges(operand: tuple[versions.Range, ...], value: str, _spec: Property, complete: bool) -> Answer:
    # For versions the flag says that the value is written out in full.
    return versions.contained_in_any(operand, value, abbreviated=not complete)


# -- sets


def _folded(value: list[str]) -> set[str]:
    return {fold(one) for one in value}


_MAYBE_UNSEEN: Final = cannot_tell("the list may not be complete")


def _includes(operand: tuple[str, ...], value: list[str], _spec: Property, complete: bool) -> Answer:
    if {fold(one) for one in operand} <= _folded(value):
        return YES
    return NO if complete else _MAYBE_UNSEEN


def _includes_any(operand: tuple[str, ...], value: list[str], _spec: Property, complete: bool) -> Answer:
    if not {fold(one) for one in operand}.isdisjoint(_folded(value)):
        return YES
    return NO if complete else _MAYBE_UNSEEN


def _leaves_out(operand: tuple[str, ...], value: list[str], _spec: Property, complete: bool) -> Answer:
    if not {fold(one) for one in operand}.isdisjoint(_folded(value)):
        return NO
    return YES if complete else _MAYBE_UNSEEN


# -- words


def _value_words(prefix: str) -> Callable[[Any, Property], str]:
    def says(operand: Any, spec: Property) -> str:
        return f"{prefix}{show_exact(operand, spec)}"

    return says


def _list_words(one: str, several: str) -> Callable[[Any, Property], str]:
    def says(operand: tuple[str, ...], _spec: Property) -> str:
        return f"{one if len(operand) == 1 else several}{', '.join(map(told, operand))}"

    return says


def _says_equal(operand: Any, spec: Property) -> str:
    if spec.type in TEXTS:
        texts = ", ".join(map(told, operand))
        return texts if len(operand) == 1 else f"one of: {texts}"
    if spec.type in AMOUNTS and operand != NEVER:
        return f"exactly {show_exact(operand, spec)}"
    return show_exact(operand, spec)


def _says_ranges(operand: tuple[versions.Range, ...], _spec: Property) -> str:
    scheme = operand[0].scheme
    text = " or ".join(one.text for one in operand)
    return text if scheme == "dotted" else f"{text} ({scheme})"


_FORMS: Final = (
    Form("minimum", ORDERED, read_ordered, _at_least, _value_words("at least "), _proves_minimum),
    Form("maximum", ORDERED, read_ordered, _at_most, _value_words("at most "), _disproves),
    Form("equal", (*TEXTS, Type.BOOLEAN, *AMOUNTS, Type.DATE), _read_equal, _equals, _says_equal, _disproves),
    Form("one_of", TEXTS, _read_texts, _equals, _says_equal),
    Form(
        "none_of",
        TEXTS,
        _read_texts,
        _is_none_of,
        _list_words("not ", "none of: "),
        excludes=True,
    ),
    Form("matches", (Type.TEXT,), _read_pattern, _fits_pattern, _list_words("like ", "like one of: ")),
    Form("version", (Type.VERSION,), _read_ranges, _in_ranges, _says_ranges),
    Form("includes", (Type.SET,), _read_texts, _includes, _list_words("with ", "with all of: ")),
    Form("includes_any", (Type.SET,), _read_texts, _includes_any, _list_words("with ", "with one of: ")),
    Form(
        "excludes",
        (Type.SET,),
        _read_texts,
        _leaves_out,
        _list_words("without ", "with none of: "),
        excludes=True,
    ),
)

FORMS: Final = {form.key: form for form in _FORMS}
"""Every form by the word profiles write."""


def forms_for(kind: Type) -> tuple[str, ...]:
    """The words that may be asked of a type of reading."""
    return tuple(form.key for form in _FORMS if kind in form.types)


class Scale(NamedTuple):
    """An amount asked once more for each of something: a parameter, or a reading."""

    name: str
    amount: int | float


class Requirement(NamedTuple):
    """What is asked of one reading, or of one key of a list's items.

    Attributes:
        name: The reading's name, or the item's key.
        spec: What the value is.
        required: What must hold.
        advised: What should hold beyond that.
        absent: What it means that the thing is known not to exist.
        abbreviated: The value may leave out its last parts.
        scales: What is added to minimum and recommended, not yet counted in.
        arithmetic: How the minimum came about, once counted in.
        unsettled: Why more may be asked than is known here; then it can fail but not hold.
    """

    name: str
    spec: Property
    required: tuple[Test, ...] = ()
    advised: tuple[Test, ...] = ()
    absent: Absent = Absent.FALLS_SHORT
    abbreviated: bool = False
    scales: tuple[Scale, ...] = ()
    arithmetic: str = ""
    unsettled: str = ""

    def operands(self, *keys: str) -> list[Any]:
        """What is required in these forms, in the order of the forms."""
        return [test.operand for test in self.required if test.form.key in keys]

    def tests(self, with_advised: bool) -> tuple[Test, ...]:
        """What must hold, or that and what should."""
        return self.required + self.advised if with_advised and self.advised else self.required

    def says(self) -> str:
        """The requirement in words: "at least 16 GB (32 GB recommended)"."""
        text, better = (
            ", ".join(test.form.says(test.operand, self.spec) for test in tests)
            for tests in (self.required, self.advised)
        )
        for scale in self.scales:
            each = f", plus {show_exact(scale.amount, self.spec)} for each of {scale.name}"
            text, better = (words and words + each for words in (text, better))
        text += f" = {self.arithmetic}" if text and self.arithmetic else ""
        if not text:
            return f"{better} (advised)"
        if not better:
            return text
        return f"{text} ({better.removeprefix('at least ').removeprefix('at most ')} recommended)"


def _hold(test: Test, seen: Observation, requirement: Requirement) -> Answer:
    form = test.form
    if seen.form is Known.UNKNOWN:
        return cannot_tell(seen.why)
    if seen.form is Known.ABSENT:
        return YES if form.excludes or requirement.absent is Absent.SATISFIES else NO
    if seen.form is Known.AT_LEAST:
        if form.bound is None:
            return cannot_tell(seen.why)
        spec = requirement.spec
        found = form.bound(rank(test.operand, spec), rank(seen.value, spec))
        return found if not found.why else cannot_tell(seen.why or found.why)
    if is_redacted(seen.value):
        return cannot_tell(REDACTED)
    complete = seen.complete
    if requirement.spec.type is Type.VERSION:
        complete = not requirement.abbreviated
    found = form.holds(test.operand, seen.value, requirement.spec, complete)
    return cannot_tell(f"{found.why}: {seen.why}") if found is _MAYBE_UNSEEN and seen.why else found


def judge_value(requirement: Requirement, value: Any, with_advised: bool = False) -> Answer:
    """Hold a requirement against a value known in full, as ``judge`` does."""
    if is_redacted(value):
        return cannot_tell(REDACTED)
    complete = requirement.spec.type is not Type.VERSION or not requirement.abbreviated
    tests = requirement.tests(with_advised)
    if len(tests) == 1:
        held = tests[0].form.holds(tests[0].operand, value, requirement.spec, complete)
    else:
        held = every(test.form.holds(test.operand, value, requirement.spec, complete) for test in tests)
    return _settled(requirement, held)


def _settled(requirement: Requirement, held: Answer) -> Answer:
    """What holds of a minimum that may yet grow is not known to hold."""
    return cannot_tell(requirement.unsettled) if held is YES and requirement.unsettled else held


def judge(requirement: Requirement, seen: Observation, with_advised: bool = False) -> Answer:
    """Hold a requirement against what was seen.

    Args:
        requirement: What is asked.
        seen: What the snapshot says, in any of its four forms.
        with_advised: Ask also for what is recommended or advised.

    Returns:
        Yes, no, or cannot be known, with the reason.
    """
    return _settled(
        requirement, every(_hold(test, seen, requirement) for test in requirement.tests(with_advised))
    )
