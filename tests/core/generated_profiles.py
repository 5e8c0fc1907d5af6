"""Valid profiles of every kind, as ``tomllib`` would give them, for tests of properties.

``profiles()`` uses the whole language but ``based_on``, which needs files. What it gives compiles
without a mistake; ``compiled`` does so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time
from typing import Any, Final, NamedTuple

from hypothesis import strategies as st

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Property, Reading, Type
from pcaudit.core.compile import FORMAT, KINDS, NEEDED, OWNERS, compile_profile
from pcaudit.core.compile_requirement import SCALED, WORDS
from pcaudit.core.conditions import TEXTS, rank, read_ordered
from pcaudit.core.places import Path
from pcaudit.core.profile import Profile
from pcaudit.errors import Place

Table = dict[str, Any]

PARAMETERS: Final = ("instruments", "analysts", "runs_a-day", "x2")
OPTIONS: Final = ("mass-detector", "autosampler", "Cold_Trap", "display")  # the last is a group's name too
IDS: Final = ("instrument-port", "site", "A.1", "old_suite", "0")

_COUNTING: Final = tuple(n for n, r in CATALOGUE.items() if r.value.type in (Type.INTEGER, Type.NUMBER))
_SCALARS: Final = tuple(r for r in CATALOGUE.values() if r.value.type is not Type.LIST)
_WHOLE: Final = Property("A whole number", Type.INTEGER)
_PLAIN: Final = ("Old Suite", "Analyser 2", "wired port", "Größe", "LAB-7", "24H2", "a")
_PATTERNS: Final = ("LAB-[0-9]*", "Old Suite*", "?", "[!a-z]*", "*", "[*]", "Größe ?")
_RANGES: Final = {
    "dotted": (">=10.0.19045,<10.0.22000", "14", "== v4.8", "<=14.5", "!=2", " > 1.2 , < 3 "),
    "pep440": ("~=2.2", "==2.*", ">=1.0rc1,<2", "2.1rc1"),
    "semver": (">=1.4.0-beta.2", "<2.0.0", "1.0.0"),
    "debian": (">=1:2.30-1+deb12u1", "<2.31~rc1", "9.0c"),
}


class Declared(NamedTuple):
    """Names a generated profile declares, which its tables may refer to."""

    parameters: tuple[str, ...] = ()
    options: tuple[str, ...] = ()


def compiled(data: Mapping[str, Any]) -> Profile:
    """The profile a mapping makes.

    Raises:
        MistakesError: Every mistake of meaning in it.
    """

    def place(_: Path) -> Place:
        return Place("generated.toml", 1)

    return compile_profile(data, path="generated.toml", place=place)


def texts() -> st.SearchStrategy[str]:
    """Texts that say something, with what a page or a terminal could stumble over."""
    odd = st.text("aZ9 é漢ß\"'\\<>&{}[]%*?-_.,:;#`|", min_size=1, max_size=12).filter(str.strip)
    return st.sampled_from(_PLAIN) | odd


# -- operands


def _words(spec: Property) -> st.SearchStrategy[str]:
    """Texts of a reading, those of a closed list spelled as freely as profiles may."""
    if not spec.words:
        return texts()
    spellings = st.sampled_from((str, str.upper, str.title, lambda word: f" {word} "))
    return st.builds(lambda spell, word: spell(word), spellings, st.sampled_from(spec.words))


@st.composite
def _quantities(draw: st.DrawFn, spec: Property) -> str:
    assert spec.kind is not None
    number = draw(st.sampled_from(("1", "4", "16", "0.5", "1.25", "007", "100")))
    return f"{number}{draw(st.sampled_from(('', ' ', '  ')))}{draw(st.sampled_from(tuple(spec.kind.units)))}"


def operands(spec: Property) -> st.SearchStrategy[Any]:
    """What ``minimum`` may say of a reading that has an order."""
    if spec.type is Type.DATE:
        days = st.dates(date(2020, 1, 1), date(2035, 12, 31))
        return days | st.builds(lambda day: datetime.combine(day, time(9, 30), UTC), days)
    if spec.type is Type.LEVEL:
        return _words(spec)
    if spec.type is Type.INTEGER:
        return st.integers(0, 64)
    if spec.type is Type.NUMBER:
        return st.integers(0, 300) | st.sampled_from((0.5, 92.25))
    never = st.sampled_from(("never", " Never")) if spec.type is Type.DURATION else st.nothing()
    return _quantities(spec) | never


@st.composite
def _in_order(draw: st.DrawFn, spec: Property) -> tuple[Any, Any]:
    pair = draw(st.tuples(operands(spec), operands(spec)))
    low, high = sorted(pair, key=lambda value: rank(read_ordered(value, spec), spec))
    return low, high


def _one_or_more(strategy: st.SearchStrategy[str]) -> st.SearchStrategy[Any]:
    return strategy | st.lists(strategy, min_size=1, max_size=3)


# -- conditions


@st.composite
def _bounds(draw: st.DrawFn, spec: Property, bare_words: bool) -> Table:
    """A condition on an amount, a date or a level; ``bare_words``: only what ``when`` may say."""
    low, high = draw(_in_order(spec))
    able: list[Table] = [{"minimum": low}, {"maximum": high}, {"minimum": low, "maximum": high}]
    if spec.type is not Type.LEVEL:
        able.append({"equal": low})
    if not bare_words:
        able += [{"minimum": low, "recommended": high}, {"maximum": high, "recommended": low}]
    return draw(st.sampled_from(able))


@st.composite
def _scaled(draw: st.DrawFn, spec: Property, declared: Declared) -> Table:
    """A condition with ``per``, over parameters and over readings that count something."""
    low, high = draw(_in_order(spec))
    bounds: tuple[Table, ...] = (
        {},
        {"minimum": low},
        {"minimum": low, "recommended": high},
        {"recommended": high},
        {"maximum": high},
    )
    table = draw(st.sampled_from(bounds))
    names = [*declared.parameters, *(f"parameters.{name}" for name in declared.parameters[:1])]
    of_readings = st.sampled_from(_COUNTING)
    # One of the two kinds of names first: there are many readings that count.
    name = st.sampled_from(names) | of_readings if names else of_readings
    several = st.lists(name, min_size=1, max_size=2, unique=True)
    return {**table, "per": {name: draw(operands(spec)) for name in draw(several)}}


@st.composite
def _of_texts(draw: st.DrawFn, spec: Property) -> Any:
    """A condition on a text or a word of a closed list."""
    words = _one_or_more(_words(spec))
    forms = {"one_of": words, "none_of": words}
    if spec.type is Type.TEXT:
        forms["matches"] = _one_or_more(st.sampled_from(_PATTERNS))
    keys = draw(st.lists(st.sampled_from(sorted(forms)), max_size=2, unique=True))
    if keys:
        return {key: draw(forms[key]) for key in keys}
    return draw(words | st.fixed_dictionaries({"equal": words}))


@st.composite
def _of_versions(draw: st.DrawFn, spec: Property) -> Any:
    """A condition on a version, by any scheme; that of some operating systems has one of its own."""
    schemes = ["dotted"] if spec == CATALOGUE["os.version"].value else sorted(_RANGES)
    scheme = draw(st.sampled_from(schemes))
    ranges = draw(_one_or_more(st.sampled_from(_RANGES[scheme])))
    if scheme != "dotted":
        return {"version": ranges, "scheme": scheme}
    return draw(st.sampled_from((ranges, {"version": ranges}, {"version": ranges, "scheme": scheme})))


@st.composite
def _of_sets(draw: st.DrawFn, spec: Property) -> Table:
    """A condition on a set: what it asks for and what it excludes do not meet."""
    words = st.sampled_from(spec.words) if spec.words else st.sampled_from(_PLAIN)
    some = draw(st.lists(words, min_size=3, max_size=5, unique=True))
    keys = draw(st.lists(st.sampled_from(("includes", "includes_any", "excludes")), min_size=1, unique=True))
    parts = {"includes": some[0], "includes_any": some[:2], "excludes": some[2:]}
    return {key: parts[key] for key in keys}


@st.composite
def asked(draw: st.DrawFn, spec: Property, declared: Declared, bare_words: bool = False) -> Any:
    """What may be asked of one value, bare or as a table, without words around it.

    Args:
        draw: Hypothesis's own.
        spec: What the value is.
        declared: Parameters that ``per`` may name.
        bare_words: Only what ``when`` may say: nothing recommended or scaled.
    """
    if spec.type in TEXTS:
        return draw(_of_texts(spec))
    if spec.type is Type.BOOLEAN:
        flag = draw(st.booleans())
        return draw(st.sampled_from((flag, {"equal": flag})))
    if spec.type is Type.VERSION:
        return draw(_of_versions(spec))
    if spec.type is Type.SET:
        return draw(_of_sets(spec))
    if spec.type in SCALED and not bare_words and draw(st.integers(0, 3)) == 0:
        return draw(_scaled(spec, declared))
    if spec.type is Type.LEVEL and draw(st.booleans()):
        return draw(_words(spec))
    if spec.type is Type.DURATION and draw(st.integers(0, 3)) == 0:
        return "never"
    return draw(_bounds(spec, bare_words))


def bare_form(spec: Property) -> str:
    """The form that a bare value of a kind stands for."""
    return {Type.VERSION: "version", Type.LEVEL: "minimum"}.get(spec.type, "equal")


# -- words around conditions


def _needed_by(records: Sequence[Reading]) -> tuple[str, ...]:
    """Every reading that must be one value beside one of these, whatever the others say."""
    of_os = [name for record in records for names in record.needs_on.values() for name in names]
    return tuple(dict.fromkeys([*(name for record in records for name in record.needs), *of_os]))


def _pinned(name: str) -> st.SearchStrategy[Any]:
    spec = CATALOGUE[name].value
    one = st.sampled_from(spec.words) if spec.words else st.sampled_from(_PLAIN)
    return st.one_of(
        one,
        one.map(lambda word: [word]),
        one.map(lambda word: {"equal": word}),
        one.map(lambda word: {"one_of": [word]}),
    )


@st.composite
def whens(draw: st.DrawFn, declared: Declared) -> Table:
    """A ``when`` over readings (in quotes or as a table in a table), parameters and options."""
    records = draw(st.lists(st.sampled_from(_SCALARS), max_size=2, unique_by=lambda r: r.name))
    flat = {record.name: draw(asked(record.value, declared, bare_words=True)) for record in records}
    flat |= {name: draw(_pinned(name)) for name in _needed_by(records)}
    table: Table = {}
    for name, value in flat.items():
        group, _, key = name.partition(".")
        if draw(st.integers(0, 3)) == 0:
            table.setdefault(group, {})[key] = value
        else:
            table[name] = value
    of_a_parameter, of_an_option = draw(st.booleans()), draw(st.booleans())
    if declared.parameters and of_a_parameter:
        # Whole numbers may be asked of any parameter.
        table[draw(st.sampled_from(declared.parameters))] = draw(_bounds(_WHOLE, bare_words=True))
    if declared.options and (not table or of_an_option):
        table[draw(st.sampled_from(declared.options))] = draw(st.booleans())
    return table or {"os.type": "windows"}


@st.composite
def _around(draw: st.DrawFn, declared: Declared, more: Sequence[str] = ()) -> Table:
    """Words around a condition; ``more`` of them are flags."""
    table: Table = {}
    for key in draw(st.lists(st.sampled_from((*WORDS, "when", *more)), max_size=2, unique=True)):
        if key == "when":
            table[key] = draw(whens(declared))
        elif key == "owner":
            table[key] = draw(st.sampled_from(OWNERS) | texts())
        else:
            table[key] = draw(st.booleans()) if key in more else draw(texts())
    return table


@st.composite
def _condition_table(draw: st.DrawFn, record: Reading, declared: Declared, binding: bool) -> Table:
    """A condition on one reading, as a table."""
    raw = draw(asked(record.value, declared))
    table = raw if isinstance(raw, dict) else {bare_form(record.value): raw}
    flags = [*(["adds"] if record.value.type in SCALED else []), *([] if binding else ["advised"])]
    return {**table, **draw(_around(declared, flags))}


@st.composite
def _with_words(draw: st.DrawFn, record: Reading, declared: Declared, binding: bool) -> Any:
    """What is asked of one reading: bare, with words around it, or several conditions on it."""
    shape = draw(st.sampled_from(("bare", "bare", "words", "words", "several")))
    if shape == "bare":
        return draw(asked(record.value, declared))
    one = _condition_table(record, declared, binding)
    return draw(one) if shape == "words" else draw(st.lists(one, min_size=1, max_size=3))


# -- lists


@st.composite
def counts(draw: st.DrawFn) -> Any:
    """What a list's table may say of ``count``."""
    low, high = sorted(draw(st.tuples(st.integers(1, 5), st.integers(1, 5))))
    return draw(
        st.sampled_from(
            (
                0,
                {"minimum": low},
                {"maximum": low},
                {"equal": low},
                {"equal": 0},
                {"minimum": low, "maximum": high},
                {"minimum": 0, "maximum": high},
                {"minimum": low, "recommended": high},
                {"maximum": high, "recommended": low},
            )
        )
    )


def _limits(table: Table) -> bool:
    """Whether a list's table has a maximum, beside which no key may only advise."""
    count = table.get("count")
    return count == 0 or (isinstance(count, dict) and not {"maximum", "equal"}.isdisjoint(count))


def _all_required(raw: Any) -> Any:
    if not isinstance(raw, dict):
        return raw
    return {word: value for word, value in raw.items() if word not in ("advised", "recommended")}


@st.composite
def _item_table(draw: st.DrawFn, record: Reading, name: str, declared: Declared, binding: bool) -> Table:
    keys = draw(st.lists(st.sampled_from(sorted(record.items)), max_size=3, unique=True))
    table: Table = {"id": name, **draw(_around(declared, [] if binding else ["advised"]))}
    if draw(st.booleans()):
        table["count"] = draw(counts())
    if draw(st.integers(0, 3)) == 0:
        table["own"] = draw(st.booleans())
    for key in keys:
        raw = draw(asked(record.items[key], declared))
        if isinstance(raw, dict) and draw(st.integers(0, 3)) == 0:
            raw = {**raw, "advised": draw(st.booleans())}
        table[key] = raw if table.get("advised") or not _limits(table) else _all_required(raw)
    for key in record.lookup:
        one = draw(st.integers(1, 65535) if record.items[key].type is Type.INTEGER else texts())
        table[key] = one if isinstance(one, str) and draw(st.booleans()) else {"equal": one}
    return table


@st.composite
def _items(draw: st.DrawFn, record: Reading, declared: Declared, binding: bool) -> list[Table]:
    names = draw(st.lists(st.sampled_from(IDS), min_size=1, max_size=2, unique=True))
    return [draw(_item_table(record, name, declared, binding)) for name in names]


# -- sections


def _of_group(group: str) -> st.SearchStrategy[Reading]:
    """A reading of a group, by its type first: of some types there is only one."""
    kinds: dict[Type, list[Reading]] = {}
    for record in CATALOGUE.values():
        if record.group == group:
            kinds.setdefault(record.value.type, []).append(record)
    return st.sampled_from(tuple(kinds.values())).flatmap(st.sampled_from)


@st.composite
def _readings(draw: st.DrawFn, group: str, declared: Declared, binding: bool) -> Table:
    """Conditions on one or two readings of a group, and on what these need beside them."""
    chosen = draw(st.lists(_of_group(group), min_size=1, max_size=2, unique_by=lambda r: r.name))
    table: Table = {}
    for record in chosen:
        of_list = record.value.type is Type.LIST
        table[record.name.partition(".")[2]] = draw(
            _items(record, declared, binding) if of_list else _with_words(record, declared, binding)
        )
    for name in _needed_by(chosen):
        table[name.partition(".")[2]] = draw(_pinned(name))
    return table


@st.composite
def sections(draw: st.DrawFn, group: str, declared: Declared) -> Table:
    """A section: conditions, alternatives, or both."""
    table = draw(_readings(group, declared, binding=False))
    if draw(st.integers(0, 2)) == 0:
        several = range(draw(st.integers(1, 2)))
        alternatives = [
            {**draw(_readings(group, declared, binding=True)), **draw(_around(declared))} for _ in several
        ]
        table = {"any_of": alternatives, **(table if draw(st.booleans()) else {})}
    if draw(st.integers(0, 4)) == 0:
        table["when"] = draw(whens(declared))
    return table


@st.composite
def _groups(draw: st.DrawFn, declared: Declared, least: int, most: int) -> Table:
    names = draw(st.lists(st.sampled_from(tuple(GROUPS)), min_size=least, max_size=most, unique=True))
    return {name: draw(sections(name, declared)) for name in names}


@st.composite
def arrangements(draw: st.DrawFn, declared: Declared) -> list[Table]:
    """What people must have ready."""
    leads = st.sampled_from(("10 working days", "1 day", "2 weeks", "1 month"))
    more = {"lead_time": leads, "needed": st.sampled_from(NEEDED), "when": whens(declared)}
    words = {word: texts() for word in WORDS if word != "title"}
    return [
        {"id": name, **draw(_named_arrangement({**more, **words})), **draw(_measured())}
        for name in draw(st.lists(st.sampled_from(IDS), min_size=1, max_size=2, unique=True))
    ]


def _measured() -> st.SearchStrategy[Table]:
    """Nothing, or what is measured of an arrangement."""
    return st.sampled_from(
        (
            {},
            {"quantity": "temperature", "minimum": "18 °C", "maximum": "25 °C"},
            {"quantity": "count", "minimum": 3, "recommended": 4},
            {"quantity": "humidity", "maximum": "80 %", "recommended": "60 %"},
            {"quantity": "mass", "minimum": "80 kg"},
        )
    )


def _named_arrangement(optional: dict[str, st.SearchStrategy[Any]]) -> st.SearchStrategy[Table]:
    return st.fixed_dictionaries({"kind": st.sampled_from(KINDS), "title": texts()}, optional=optional)


# -- the whole


@st.composite
def _parameter(draw: st.DrawFn) -> Table:
    low, default, high = sorted(draw(st.lists(st.integers(0, 20) | st.just(2.5), min_size=3, max_size=3)))
    words = {"title": texts(), "unit": texts(), "minimum": st.just(low), "maximum": st.just(high)}
    table: Table = draw(st.fixed_dictionaries({"default": st.just(default)}, optional=words))
    return table


@st.composite
def _option(draw: st.DrawFn, declared: Declared) -> Table:
    table = draw(_groups(declared, 0, 1))
    if not table or draw(st.integers(0, 3)) == 0:
        table["arrangements"] = draw(arrangements(declared))
    return {**({"title": draw(texts())} if draw(st.booleans()) else {}), **table}


@st.composite
def profiles(draw: st.DrawFn, group: str = "") -> Table:
    """A valid profile.

    Args:
        draw: Hypothesis's own.
        group: A group it asks something of, whatever else it asks.
    """
    declared = Declared(
        tuple(draw(st.lists(st.sampled_from(PARAMETERS), max_size=2, unique=True))),
        tuple(draw(st.lists(st.sampled_from(OPTIONS), max_size=2, unique=True))),
    )
    days = st.dates(date(2020, 1, 1), date(2035, 12, 31))
    more = {"issued": days, **{key: texts() for key in ("publisher", "contact", "note")}}
    head = draw(st.fixed_dictionaries({"format": st.just(FORMAT), "title": texts()}, optional=more))
    data: Table = {**head, **draw(_groups(declared, 1, 3))}
    if group and group not in data:
        data[group] = draw(sections(group, declared))
    if declared.parameters or draw(st.integers(0, 9)) == 0:
        data["parameters"] = {name: draw(_parameter()) for name in declared.parameters}
    if declared.options or draw(st.integers(0, 9)) == 0:
        data["options"] = {name: draw(_option(declared)) for name in declared.options}
    if draw(st.booleans()):
        data["arrangements"] = draw(arrangements(declared))
    return data
