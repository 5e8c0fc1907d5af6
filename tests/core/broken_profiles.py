"""Profiles with one mistake of structure each, made from valid ones."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from datetime import date
from typing import Any, Final, NamedTuple

from hypothesis import strategies as st

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Property, Type
from pcaudit.core.conditions import AMOUNTS, FORMS, TEXTS, forms_for
from tests.core.generated_profiles import Table, bare_form, profiles

Path = tuple[str | int, ...]


class Broken(NamedTuple):
    """A profile with one mistake, and what kind of mistake it is."""

    kind: str
    data: Table


class _Change(NamedTuple):
    """A kind of mistake, and how it is made: what ``path`` holds becomes ``value``."""

    kind: str
    path: Path
    value: Any


_GONE: Final = object()

# What stands nowhere in a profile, whatever the key.
_NOWHERE: Final[dict[str, Any]] = {
    "an empty text": "",
    "a negative number": -1,
    "a list in a list": [[]],
    "an empty list": [],
}


def _nodes(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Everything in a document, with its place."""
    if path:
        yield path, value
    if isinstance(value, dict):
        for key, below in value.items():
            yield from _nodes(below, (*path, key))
    elif isinstance(value, list):
        for index, below in enumerate(value):
            yield from _nodes(below, (*path, index))


# -- conditions of a document


class Asked(NamedTuple):
    """What a profile asks of one value: its place, what is written there, what the value is."""

    path: Path
    raw: Any
    spec: Property
    looked_up: bool = False


def _in_table(group: str, table: Table, path: Path) -> Iterator[Asked]:
    for key, raw in table.items():
        record = CATALOGUE.get(f"{group}.{key}")
        if key == "any_of":
            for index, alternative in enumerate(raw):
                yield from _in_table(group, alternative, (*path, key, index))
        elif record is not None and record.value.type is Type.LIST:
            for index, item in enumerate(raw):
                for word in item.keys() & record.items.keys():
                    here = (*path, key, index, word)
                    yield Asked(here, item[word], record.items[word], word in record.lookup)
        elif record is not None and isinstance(raw, list) and isinstance(raw[0], dict):
            for index, one in enumerate(raw):
                yield Asked((*path, key, index), one, record.value)
        elif record is not None:
            yield Asked((*path, key), raw, record.value)


def conditions(data: Table) -> list[Asked]:
    """Everything a document asks of a value, but for what stands in ``when``."""
    places: list[tuple[Table, Path]] = [(data, ())]
    places += [(option, ("options", name)) for name, option in data.get("options", {}).items()]
    found = [
        asked
        for table, path in places
        for group in GROUPS
        if group in table
        for asked in _in_table(group, table[group], (*path, group))
    ]
    return sorted(found, key=lambda asked: tuple(map(str, asked.path)))


def _conditions_of_when(data: Table) -> Iterator[Asked]:
    for path, when in _nodes(data):
        if path[-1] != "when":
            continue
        for key, raw in when.items():
            if key in CATALOGUE:
                yield Asked((*path, key), raw, CATALOGUE[key].value)
            elif key in GROUPS and isinstance(raw, dict):
                for name, inner in raw.items():
                    yield Asked((*path, key, name), inner, CATALOGUE[f"{key}.{name}"].value)


# -- kinds of mistakes


def _anywhere(data: Table) -> Iterator[_Change]:
    for path, value in _nodes(data):
        for kind, wrong in _NOWHERE.items():
            yield _Change(kind, path, wrong)
        # In when and per any name may be a parameter's or an option's, and options are empty by right.
        if isinstance(value, dict) and not {"when", "per", "parameters", "options"} & {*path[-2:]}:
            yield _Change("an unknown key", (*path, "colour"), 1)
    yield _Change("an unknown section", ("colour",), {"depth": {"minimum": 1}})
    for key in ("format", "title"):
        yield _Change(f"no {key}", (key,), _GONE)
    for wrong in (2, 0, True, "1", 1.5):
        yield _Change("another format", ("format",), wrong)


def _of_tables(data: Table) -> Iterator[_Change]:
    for path, value in _nodes(data):
        if path[-1] in GROUPS and "when" not in path:
            yield _Change("an unknown reading", (*path, "colour"), "blue")
        if (
            isinstance(value, dict)
            and "when" not in path
            and {"version", "edition"} & {*value}
            and "type" in value
        ):
            yield _Change("a version without its type", (*path, "type"), _GONE)
        if path[-1] == "when":
            yield _Change("an unknown reading in when", (*path, "os.colour"), True)
            yield _Change("an empty when", path, {})
        if path[-1] == "per":
            yield _Change("an unknown reading in per", (*path, "cpu.colour"), next(iter(value.values())))
            yield _Change("an empty per", path, {})
        if isinstance(value, dict) and "id" in value:
            yield _Change("no id", (*path, "id"), _GONE)
            yield _Change("an id with a space", (*path, "id"), "the port")
            yield _Change("a count that asks nothing", (*path, "count"), {"minimum": 0})
            yield _Change("a bare count", (*path, "count"), 2)
        if isinstance(value, dict) and "kind" in value and "arrangements" in path:
            yield _Change("an unknown kind", (*path, "kind"), "spell")
            yield _Change("no lead time", (*path, "lead_time"), "10 workdays")
            yield _Change("an unknown time", (*path, "needed"), "soon")
            for key in ("kind", "title"):
                yield _Change("an arrangement without a word it needs", (*path, key), _GONE)
        if path[-2:-1] == ("parameters",) and len(path) == 2:
            yield _Change("no default", (*path, "default"), _GONE)
            yield _Change("a parameter beyond all measure", (*path, "maximum"), 10**12)
    for key in GROUPS:
        yield _Change("a parameter with a group's name", ("parameters", key), {"default": 1})
    yield _Change("a parameter with a capital", ("parameters", "Number"), {"default": 1})
    yield _Change(
        "an option with a point in its name", ("options", "os.a"), {"cpu": {"cores": {"minimum": 1}}}
    )


def _operand(spec: Property) -> Any:
    """Some operand that fits a value."""
    if spec.kind is not None:
        return spec.kind.example.split('"')[1]
    if spec.words:
        return spec.words[0]
    return {Type.DATE: date(2027, 1, 31), Type.TEXT: "a"}.get(spec.type, 4)


_WRONG_OPERANDS: Final[dict[Type, tuple[Any, ...]]] = {
    Type.QUANTITY: (16, "16", "16 ells", "16,5 GB", "GB", "never", True),
    Type.DURATION: (0, "0 min", "0.0 h", "30", "30 ells", "always"),
    Type.INTEGER: (4.5, "4", "4 cores", True),
    Type.NUMBER: ("4", "92 dpi", False),
    Type.DATE: ("soon", 2027, "31.01.2027", "20270131"),
    Type.LEVEL: ("x86-64", 2),
}
_WRONG_VERSIONS: Final = (8.1, ">=ten", "~=2.2", "==2.*", ">=2 <3", ">=1,,<2", "=2", {"version": "2"})


def _of_words(asked: Asked, in_when: bool) -> Iterator[_Change]:
    """Words that do not go together, or not with this value."""
    path, spec = asked.path, asked.spec
    table = asked.raw if isinstance(asked.raw, dict) else {bare_form(spec): asked.raw}
    yield _Change("a bare number", path, 7)
    yield _Change("nothing asked", path, {})
    for key in FORMS.keys() - {*forms_for(spec.type)}:
        yield _Change("a form that is not for this type", path, {**table, key: "a"})
    if spec.type in (*TEXTS, *AMOUNTS, Type.DATE):
        other = "one_of" if spec.type in TEXTS else "minimum"
        yield _Change("more beside equal", path, dict.fromkeys(("equal", other), _operand(spec)))
    if "minimum" in forms_for(spec.type):
        several = {"minimum": _operand(spec), "maximum": _operand(spec)}
        yield _Change("recommended without a bound", path, {"recommended": _operand(spec)})
        yield _Change("recommended beside two", path, {**several, "recommended": _operand(spec)})
    for word in ("advised", "recommended", "per", "title", "adds") if in_when else ():
        yield _Change("a word that is not for when", path, {**table, word: True})


def _of_operands(asked: Asked) -> Iterator[_Change]:
    """Values that are not of the reading's kind."""
    path, spec = asked.path, asked.spec
    for operand in _WRONG_OPERANDS.get(spec.type, ()):
        yield _Change(f"no {spec.type.value}", path, {"minimum": operand})
    if spec.type in _WRONG_OPERANDS and spec.type is not Type.LEVEL:
        yield _Change("a bare amount", path, "30 min")
    if spec.type is Type.VERSION:
        for operand in _WRONG_VERSIONS:
            yield _Change("no version range", path, {"version": operand})
        yield _Change("an unknown scheme", path, {"version": "2", "scheme": "roman"})
    if spec.type is Type.SET:
        yield _Change("a bare set", path, ["a"])
    if spec.words:
        for key in forms_for(spec.type):
            yield _Change("an unknown word", path, {key: "colour"})
    if asked.looked_up:
        several_names = [_operand(spec), _operand(spec)]
        yield _Change("a condition that names nothing", path, {"one_of": several_names})
        yield _Change("two names at once", path, {"equal": several_names})
        yield _Change("nothing named", path, _GONE)


def _changes(data: Table) -> list[_Change]:
    found = [*_anywhere(data), *_of_tables(data)]
    of_when = list(_conditions_of_when(data))
    for asked in (*conditions(data), *of_when):
        found += [*_of_words(asked, asked in of_when), *_of_operands(asked)]
    return found


def _changed(data: Table, change: _Change) -> Table:
    data = deepcopy(data)
    place: Any = data
    for step in change.path[:-1]:
        place = place.setdefault(step, {}) if isinstance(place, dict) else place[step]
    if change.value is _GONE:
        place.pop(change.path[-1])
    else:
        place[change.path[-1]] = change.value
    return data


def every_mistake(data: Table) -> list[Broken]:
    """A profile with each mistake that can be made in it."""
    return [Broken(change.kind, _changed(data, change)) for change in _changes(data)]


@st.composite
def broken(draw: st.DrawFn) -> list[Broken]:
    """One profile with one mistake, of each kind that can be made in it in turn."""
    data = draw(profiles())
    by_kind: dict[str, list[_Change]] = {}
    for change in _changes(data):
        by_kind.setdefault(change.kind, []).append(change)
    return [Broken(kind, _changed(data, draw(st.sampled_from(by_kind[kind])))) for kind in sorted(by_kind)]
