"""Compiling what a profile asks of one value, and the words around it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Property, Reading, Type
from pcaudit.core.conditions import (
    FORMS,
    Requirement,
    Scale,
    Test,
    WrongValueError,
    forms_for,
    rank,
    read_ordered,
)
from pcaudit.core.places import Path, dotted
from pcaudit.core.profile import ALWAYS, Meta, Parameter, When
from pcaudit.core.texts import did_you_mean, fold
from pcaudit.core.units import NEVER
from pcaudit.core.versions import SCHEMES
from pcaudit.errors import Mistake, Place

WORDS: Final = ("title", "because", "remedy", "owner")
"""What may be said around any condition."""

MEASURED_KEYS: Final = ("quantity", "minimum", "maximum", "recommended")
"""Keys of an arrangement by which it is measured."""

_NOT_IN_WHEN: Final = ("advised", "recommended", "per", "adds", "when")

_WITHOUT_QUOTES: Final = "write advised = true, without quotes"

SCALED: Final = (Type.INTEGER, Type.NUMBER, Type.QUANTITY)
"""Types of readings of which an amount may be asked for each of something."""


def needed(record: Reading | None, table: Mapping[str, Any]) -> tuple[str, ...]:
    """Readings a table must pin down beside ``record``, seen from the types of OS it names."""
    if record is None:
        return ()
    of_os = table.get("os.type", table.get("type"))
    more = record.needs_on.get(fold(of_os), ()) if isinstance(of_os, str) else ()
    return record.needs + more


def parameter_spec(parameter: Parameter) -> Property:
    """What the value of a parameter is, as conditions on it are read."""
    kind = Type.INTEGER if parameter.whole else Type.NUMBER
    return Property(parameter.title or parameter.name, kind, low=parameter.minimum, high=parameter.maximum)


class Names(NamedTuple):
    """What tables may refer to beside readings: parameters and options declared anywhere."""

    parameters: Mapping[str, Parameter]
    options: frozenset[str]


class RequirementReader:
    """Reads one document and gathers its mistakes.

    Args:
        file: Its name, as given.
        place: Finds the place of a key in it.
        names: Parameters and options, its own and those of what it is based on.
    """

    def __init__(self, file: str, place: Callable[[Path], Place], names: Names) -> None:
        self.file = file
        self._place = place
        self.names = names
        self.mistakes: list[Mistake] = []
        self.limited_by: set[str] = set()
        """Options that a `when` of the document names."""

    def wrong(self, path: Path, message: str, hint: str = "") -> None:
        """Note a mistake at a key."""
        self.mistakes.append(Mistake(dotted(path), message, hint, self._place(path)))

    def line(self, path: Path) -> int:
        """The line a key stands in."""
        return self._place(path).line

    # -- words around a condition

    def text(self, table: Mapping[str, Any], path: Path, key: str) -> str:
        """A text that may be left out; empty where it is, or is wrong."""
        value = table.get(key, "")
        if isinstance(value, str) and (value.strip() or key not in table):
            return value.strip()
        message = f"`{key}` is {'empty' if isinstance(value, str) else 'a text'}"
        self.wrong((*path, key), message, f'write {key} = "..."')
        return ""

    def meta(self, table: Mapping[str, Any], path: Path, within: When = ALWAYS) -> Meta:
        """What a table says around its condition; ``within`` limits the table around it."""
        advised = table.get("advised", False)
        if not isinstance(advised, bool):
            self.wrong((*path, "advised"), "`advised` is true or false", _WITHOUT_QUOTES)
            advised = False
        title, because, remedy, owner = (self.text(table, path, word) for word in WORDS)
        when = self.when(table["when"], (*path, "when")) if "when" in table else ALWAYS
        both = When(within.requirements + when.requirements, within.options + when.options)
        return Meta(title, because, remedy, owner, advised, self.file, self.line(path), both)

    # -- when

    def when(self, raw: Any, path: Path) -> When:
        """What a table is limited to: readings, parameters, options."""
        if not isinstance(raw, Mapping) or not raw:
            self.wrong(path, "`when` is a table", 'write when = { "os.type" = "windows" }')
            return ALWAYS
        requirements: list[Requirement] = []
        options: list[tuple[str, bool]] = []
        for key, value in raw.items():
            here = (*path, key)
            # os.type without quotes is a table in a table
            if key in (*GROUPS, "parameters", "options") and isinstance(value, Mapping):
                if not value:
                    self.wrong(here, "nothing is asked here", 'write when = { "os.type" = "windows" }')
                for name, inner in value.items():
                    self._when_one(f"{key}.{name}", inner, (*here, name), requirements, options)
            else:
                self._when_one(key, value, here, requirements, options)
        pinned = {one.name: word for one in requirements if (word := _only_word(one))}
        for one in requirements:
            self.check_scheme(one, requirements, (*path, one.name))
            for need in needed(CATALOGUE.get(one.name), pinned):
                if need not in pinned:
                    message = f"`{one.name}` means nothing here unless `{need}` is one value"
                    self.wrong(path, message, f'add "{need}" = "..."')
        return When(tuple(requirements), tuple(options))

    def _when_one(
        self,
        name: str,
        raw: Any,
        path: Path,
        requirements: list[Requirement],
        options: list[tuple[str, bool]],
    ) -> None:
        kind, dot, rest = name.partition(".")
        if dot and kind in ("parameters", "options"):
            known = self.names.parameters if kind == "parameters" else self.names.options
            if rest not in known:
                hint = did_you_mean(rest, sorted(known)) if known else f"the profile has no {kind}"
                self.wrong(path, f"`{rest}` is none of the {kind}", hint)
                return
            name = rest
        if name in self.names.options:
            if isinstance(raw, bool):
                options.append((name, raw))
                self.limited_by.add(name)
            else:
                self.wrong(path, f"`{name}` is an option", "write true or false")
            return
        record = CATALOGUE.get(name)
        extra = [key for key in (*_NOT_IN_WHEN, *WORDS) if isinstance(raw, Mapping) and key in raw]
        for key in extra:
            self.wrong((*path, key), f"`{key}` has no place in `when`", "write only what must hold")
        if extra:
            return
        if name in self.names.parameters:
            spec = parameter_spec(self.names.parameters[name])
        elif record is not None and record.value.type is not Type.LIST:
            spec = record.value
        else:
            hint = did_you_mean(name, [*CATALOGUE, *self.names.parameters, *sorted(self.names.options)])
            what = "is a list" if record else "is no reading, parameter or option"
            counts = 'ask for a count, such as "network.wired_count" = { minimum = 1 }'
            self.wrong(path, f"`{name}` {what}", counts if record else hint)
            return
        one = self.requirement(name, raw, spec, path, record)
        requirements += [one] if one else []

    def check_scheme(self, one: Requirement, beside: Iterable[Requirement], path: Path) -> None:
        """Refuse a version of Windows or macOS in a scheme that orders it otherwise than its maker does.

        Args:
            one: What is asked of a reading.
            beside: What the same table asks.
            path: Key of ``one``.
        """
        if one.name != "os.version":
            return
        systems = {_only_word(other) for other in beside if other.name == "os.type"} & {"windows", "macos"}
        others = {
            allowed.scheme
            for test in one.tests(with_advised=True)
            for allowed in test.operand
            if allowed.scheme != "dotted"
        }
        for scheme in sorted(others) if systems else ():
            message = f"the {scheme} scheme does not order the versions of {' or '.join(sorted(systems))}"
            self.wrong(path, message, "leave scheme out: they are numbers with points, such as 10.0.22631")

    # -- one reading

    def requirement(
        self, name: str, raw: Any, spec: Property, path: Path, record: Reading | None = None
    ) -> Requirement | None:
        """What is asked of one value; None where the profile has it wrong."""
        before = len(self.mistakes)
        written_out = isinstance(raw, Mapping)
        table = raw if written_out else self._bare(raw, spec, path)
        words = () if record is None else (*WORDS, "when")
        if record is None and not isinstance(table.get("advised", False), bool):
            self.wrong((*path, "advised"), "`advised` is true or false", _WITHOUT_QUOTES)
        self._check_keys(table, spec, path, words)
        tests = [
            test
            for key in FORMS
            if key in table and spec.type in FORMS[key].types
            if (test := self._test(key, table, spec, (*path, key) if written_out else path)) is not None
        ]
        scaled = "per" in table and spec.type in SCALED
        scales = self._scales(table["per"], spec, (*path, "per")) if scaled else ()
        if scales and "minimum" not in table:
            tests.append(Test(FORMS["minimum"], 0))
        advised = self._recommended(table, spec, path)
        if len(self.mistakes) == before and not tests:
            self.wrong(path, "nothing is asked here", _how_to_ask(spec))
        if len(self.mistakes) > before:
            return None
        self._check_together(tests, spec, path)
        required, extra = tuple(tests), tuple(advised)
        if table.get("advised") is True:
            required, extra = (), required + extra
        if record is None:
            return Requirement(name, spec, required, extra, scales=scales)
        return Requirement(name, spec, required, extra, record.absent, record.abbreviated, scales)

    def _scales(self, raw: Any, spec: Property, path: Path) -> tuple[Scale, ...]:
        """What is added for each of something."""
        if not isinstance(raw, Mapping) or not raw:
            self.wrong(path, "`per` is a table", 'write per = { instruments = "4 GB" }')
            return ()
        return tuple(
            scale for name, amount in raw.items() if (scale := self._scale(name, amount, spec, (*path, name)))
        )

    def _scale(self, name: str, raw: Any, spec: Property, path: Path) -> Scale | None:
        record = CATALOGUE.get(name)
        name = name.removeprefix("parameters.")
        counts = record is not None and record.value.type in (Type.INTEGER, Type.NUMBER)
        if name not in self.names.parameters and not counts:
            known = [n for n, r in CATALOGUE.items() if r.value.type is Type.INTEGER]
            hint = did_you_mean(name, [*self.names.parameters, *known])
            self.wrong(path, f"`{name}` is no parameter and no reading that counts something", hint)
            return None
        try:
            return Scale(name, read_ordered(raw, spec))
        except WrongValueError as error:
            self.wrong(path, str(error), error.hint)
            return None

    def _bare(self, raw: Any, spec: Property, path: Path) -> Mapping[str, Any]:
        """The table that a bare value stands for."""
        kind = spec.type
        if kind is Type.VERSION:
            return {"version": raw}
        if kind is Type.LEVEL:
            return {"minimum": raw}
        never = kind is Type.DURATION and isinstance(raw, str) and raw.strip().casefold() == NEVER
        if never or kind in (Type.TEXT, Type.WORD, Type.BOOLEAN):
            return {"equal": raw}
        if kind is Type.SET:
            self.wrong(path, "a set needs to be told how", _how_to_ask(spec))
        elif kind is Type.LIST:
            self.wrong(path, "this reading is a list", f"write [[{dotted(path)}]] and what an item must be")
        elif kind is Type.DURATION and raw == 0 and not isinstance(raw, bool):
            self.wrong(path, "a duration of 0 is ambiguous", 'write "never" where it must not happen')
        else:
            self.wrong(path, "a bare value where a bound belongs", _how_to_ask(spec))
        return {}

    def _check_keys(self, table: Mapping[str, Any], spec: Property, path: Path, words: Iterable[str]) -> None:
        able = forms_for(spec.type)
        extras = ["recommended"] if "minimum" in able else []
        extras += ["per"] if spec.type in SCALED else []
        extras += ["adds"] if spec.type in SCALED and words else []
        extras += ["scheme"] if spec.type is Type.VERSION else []
        known = (*able, *extras, "advised", *words)
        for key in table:
            if key in known:
                continue
            if key in FORMS:
                self.wrong((*path, key), f"`{key}` cannot be asked of {_type_name(spec)}", _how_to_ask(spec))
            elif key in (*WORDS, "when"):
                self.wrong(
                    (*path, key),
                    f"`{key}` belongs to the table, not to one of its keys",
                    "write it beside them",
                )
            elif key == "per":
                self.wrong(
                    (*path, key),
                    f"`per` cannot be asked of {_type_name(spec)}",
                    "it is for numbers and sizes",
                )
            elif key == "recommended":
                self.wrong(
                    (*path, key),
                    f"`recommended` cannot be asked of {_type_name(spec)}",
                    "write advised = true where the whole condition is only recommended",
                )
            else:
                self.wrong((*path, key), f"unknown key `{key}`", did_you_mean(key, known))

    def _test(self, key: str, table: Mapping[str, Any], spec: Property, path: Path) -> Test | None:
        value = table[key]
        if key == "version" and isinstance(value, Mapping):
            self.wrong(path, "a table where a version range belongs", _how_to_ask(spec))
            return None
        if key == "version" and "scheme" in table:
            if not self._scheme(table["scheme"], (*path[:-1], "scheme")):
                return None
            value = {"version": value, "scheme": table["scheme"]}
        try:
            return Test(FORMS[key], FORMS[key].read(value, spec))
        except WrongValueError as error:
            self.wrong(path, str(error), error.hint)
            return None

    def _scheme(self, raw: Any, path: Path) -> bool:
        """Whether a version scheme is one there is; else the mistake is noted at its own key."""
        if raw in SCHEMES if isinstance(raw, str) else False:
            return True
        message = f"{raw!r:.60} is no version scheme" if isinstance(raw, str) else "`scheme` is a text"
        self.wrong(path, message, f"schemes: {', '.join(SCHEMES)}")
        return False

    def _recommended(self, table: Mapping[str, Any], spec: Property, path: Path) -> list[Test]:
        if "recommended" not in table or "minimum" not in forms_for(spec.type):
            return []
        bounds = [key for key in ("minimum", "maximum") if key in table]
        here = (*path, "recommended")
        if "per" in table and not bounds:  # the minimum counts from zero
            bounds = ["minimum"]
        if "per" in table and bounds == ["maximum"]:
            self.wrong(
                here,
                "`per` adds to a minimum and what is recommended beyond it, not to a maximum",
                "leave one of the two out",
            )
            return []
        if len(bounds) != 1:
            hint = "leave one of them out" if bounds else "write minimum with advised = true"
            self.wrong(here, "`recommended` goes with exactly one of `minimum` and `maximum`", hint)
            return []
        try:
            operand = read_ordered(table["recommended"], spec)
            limit = read_ordered(table[bounds[0]], spec) if bounds[0] in table else 0
        except WrongValueError as error:
            self.wrong(here, str(error), error.hint)
            return []
        looser = (
            rank(operand, spec) < rank(limit, spec)
            if bounds[0] == "minimum"
            else rank(operand, spec) > rank(limit, spec)
        )
        if looser:
            way = "more" if bounds[0] == "minimum" else "less"
            self.wrong(
                here,
                f"what is recommended is looser than the {bounds[0]}",
                f"recommend {way}, or leave it out",
            )
            return []
        return [Test(FORMS[bounds[0]], operand)]

    def _check_together(self, tests: list[Test], spec: Property, path: Path) -> None:
        asked = {test.form.key: test.operand for test in tests}
        bounds = [rank(asked[key], spec) for key in ("minimum", "maximum") if key in asked]
        if bounds != sorted(bounds):
            self.wrong(path, "the minimum is above the maximum", "no PC could meet both")
        if "equal" in asked and len(asked) > 1:
            self.wrong(path, "`equal` stands alone", "leave out the other conditions")
        wanted = [*asked.get("includes", ()), *asked.get("includes_any", ())]
        if spec.type is Type.SET and set(wanted) & set(asked.get("excludes", ())):
            self.wrong(path, "the same word is asked for and excluded", "no PC could meet both")


def _only_word(requirement: Requirement) -> str:
    """The one word a value must be; empty where several will do."""
    for test in requirement.required:
        if test.form.key in ("equal", "one_of"):
            words = test.operand if isinstance(test.operand, tuple) else (test.operand,)
            if len(words) == 1 and isinstance(words[0], str):
                return words[0]
    return ""


def _type_name(spec: Property) -> str:
    return {
        Type.TEXT: "a text",
        Type.WORD: "a word of a closed list",
        Type.LEVEL: "a level",
        Type.BOOLEAN: "a yes or no",
        Type.VERSION: "a version",
        Type.SET: "a set of texts",
        Type.DATE: "a date",
        Type.DURATION: "a duration",
        Type.LIST: "a list",
    }.get(spec.type, "an amount")


def _how_to_ask(spec: Property) -> str:
    """One line showing how a condition on this kind of value is written."""
    if spec.kind is not None:
        example, _, never = spec.kind.example.partition(" or ")
        return f"write minimum, maximum or equal, such as {{ minimum = {example} }}" + (
            f", or {never}" if never else ""
        )
    return {
        Type.INTEGER: "write minimum, maximum or equal, such as { minimum = 4 }",
        Type.NUMBER: "write minimum, maximum or equal, such as { minimum = 90 }",
        Type.DATE: "write minimum, maximum or equal, such as { minimum = 2027-01-31 }",
        Type.SET: 'write includes, includes_any or excludes, such as { includes = ["..."] }',
        Type.VERSION: 'write a range such as ">=10.0.19045,<11"',
        Type.LEVEL: f'write {{ minimum = "{spec.words[1] if spec.words else ""}" }}',
        Type.BOOLEAN: "write true or false",
        Type.WORD: f"write one of: {', '.join(spec.words)}",
    }.get(spec.type, 'write a text, a list of texts, or { matches = "..." }')
