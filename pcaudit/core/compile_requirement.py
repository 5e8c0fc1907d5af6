"""Compiling what a profile asks of one value, and the words around it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from pcaudit.core.catalogue import Property, Reading, Type
from pcaudit.core.conditions import (
    FORMS,
    Requirement,
    Test,
    WrongValueError,
    forms_for,
    rank,
    read_ordered,
)
from pcaudit.core.places import Path, dotted
from pcaudit.core.profile import Meta
from pcaudit.core.texts import did_you_mean
from pcaudit.core.units import NEVER
from pcaudit.errors import Mistake, Place

WORDS: Final = ("title", "because", "remedy", "owner")
"""What may be said around any condition."""

WORDS_NOT_YET: Final = frozenset({"when", "per"})


class RequirementReader:
    """Reads one document and gathers its mistakes."""

    def __init__(self, place: Callable[[Path], Place]) -> None:
        self._place = place
        self.mistakes: list[Mistake] = []

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
        if key in table and (not isinstance(value, str) or not value.strip()):
            self.wrong((*path, key), f"`{key}` is a text", f'write {key} = "..."')
            return ""
        return str(value).strip()

    def meta(self, table: Mapping[str, Any], path: Path) -> Meta:
        """What a table says around its condition."""
        advised = table.get("advised", False)
        if not isinstance(advised, bool):
            self.wrong((*path, "advised"), "`advised` is true or false")
            advised = False
        title, because, remedy, owner = (self.text(table, path, word) for word in WORDS)
        return Meta(title, because, remedy, owner, advised, self.line(path))

    # -- one reading

    def requirement(
        self, name: str, raw: Any, spec: Property, path: Path, record: Reading | None = None
    ) -> Requirement | None:
        """What is asked of one value; None where the profile has it wrong."""
        before = len(self.mistakes)
        written_out = isinstance(raw, Mapping)
        table = raw if written_out else self._bare(raw, spec, path)
        words = () if record is None else WORDS
        if record is None and not isinstance(table.get("advised", False), bool):
            self.wrong((*path, "advised"), "`advised` is true or false")
        self._check_keys(table, spec, path, words)
        tests = [
            test
            for key in FORMS
            if key in table and spec.type in FORMS[key].types
            if (test := self._test(key, table, spec, (*path, key) if written_out else path)) is not None
        ]
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
            return Requirement(name, spec, required, extra)
        return Requirement(name, spec, required, extra, record.absent, record.abbreviated)

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
        extras += ["scheme"] if spec.type is Type.VERSION else []
        known = (*able, *extras, "advised", *words)
        for key in table:
            if key in known:
                continue
            if key in WORDS_NOT_YET:
                self.wrong((*path, key), f"`{key}` is not in this version of the profile language")
            elif key in FORMS:
                self.wrong((*path, key), f"`{key}` cannot be asked of {_type_name(spec)}", _how_to_ask(spec))
            elif key in WORDS:
                self.wrong((*path, key), f"`{key}` belongs to the table, not to one of its keys")
            else:
                self.wrong((*path, key), f"unknown key `{key}`", did_you_mean(key, known))

    def _test(self, key: str, table: Mapping[str, Any], spec: Property, path: Path) -> Test | None:
        value = table[key]
        if key == "version" and isinstance(value, Mapping):
            self.wrong(path, "a table where a version range belongs", _how_to_ask(spec))
            return None
        if key == "version" and "scheme" in table:
            value = {"version": value, "scheme": table["scheme"]}
        try:
            return Test(FORMS[key], FORMS[key].read(value, spec))
        except WrongValueError as error:
            self.wrong(path, str(error), error.hint)
            return None

    def _recommended(self, table: Mapping[str, Any], spec: Property, path: Path) -> list[Test]:
        if "recommended" not in table or "minimum" not in forms_for(spec.type):
            return []
        bounds = [key for key in ("minimum", "maximum") if key in table]
        here = (*path, "recommended")
        if len(bounds) != 1:
            self.wrong(here, "`recommended` goes with exactly one of `minimum` and `maximum`")
            return []
        try:
            operand = read_ordered(table["recommended"], spec)
            limit = read_ordered(table[bounds[0]], spec)
        except WrongValueError as error:
            self.wrong(here, str(error), error.hint)
            return []
        looser = (
            rank(operand, spec) < rank(limit, spec)
            if bounds[0] == "minimum"
            else rank(operand, spec) > rank(limit, spec)
        )
        if looser:
            self.wrong(here, f"what is recommended is looser than the {bounds[0]}")
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


def _type_name(spec: Property) -> str:
    return {
        Type.TEXT: "a text",
        Type.WORD: "a word of a closed list",
        Type.LEVEL: "a level",
        Type.BOOLEAN: "a yes or no",
        Type.VERSION: "a version",
        Type.SET: "a set of texts",
        Type.DATE: "a date",
        Type.LIST: "a list",
    }.get(spec.type, "an amount")


def _how_to_ask(spec: Property) -> str:
    """One line showing how a condition on this kind of value is written."""
    if spec.kind is not None:
        return (
            f"write minimum, maximum or equal, such as {{ minimum = {spec.kind.example.split(' or ')[0]} }}"
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
