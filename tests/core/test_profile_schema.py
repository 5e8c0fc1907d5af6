"""The JSON Schema of profiles agrees with what ``validate`` takes and refuses."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterator
from copy import deepcopy
from datetime import date, datetime, time
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import given, settings, strategies as st
from jsonschema import Draft202012Validator

from pcaudit.core import compile as compiling, compile_parameter, conditions
from pcaudit.core.catalogue import CATALOGUE, GROUPS, Property, Reading, Type
from pcaudit.core.compile_requirement import SCALED
from pcaudit.core.conditions import FORMS, Form, forms_for
from pcaudit.core.json_text import dump_json
from pcaudit.core.profile_schema import profile_schema
from pcaudit.core.profile_schema_values import MEANINGS
from pcaudit.core.texts import fold
from pcaudit.core.units import DURATION, LINK, MEMORY
from pcaudit.errors import MistakesError
from tests.core.broken_profiles import Broken, broken, every_mistake
from tests.core.generated_profiles import PARAMETERS, Declared, Table, asked, bare_form, compiled, profiles
from tests.docs import test_language_examples as language


def _pairs(value: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for key, below in value.items():
            yield key, below
            yield from _pairs(below)
    elif isinstance(value, list):
        for below in value:
            yield from _pairs(below)


def _every_value() -> list[Property]:
    items = [spec for record in CATALOGUE.values() for spec in record.items.values()]
    return [*(record.value for record in CATALOGUE.values()), *items]


# -- what the properties below stand on: profiles that are valid and use the whole language


@given(profiles())
def test_generated_profiles_are_valid(data: dict[str, Any]) -> None:
    """Every generated profile compiles, and asks something of a PC."""
    profile = compiled(data)
    assert profile.conditions or any(option.conditions for option in profile.options)


@pytest.mark.parametrize("kind", [kind for kind in Type if kind is not Type.LIST])
def test_generated_conditions_have_every_form_of_their_type(kind: Type) -> None:
    """What is asked of a value uses each form of its type, and recommends and scales where it can."""
    spec = next(spec for spec in _every_value() if spec.type is kind)
    seen: set[str] = set()

    @settings(max_examples=80)
    @given(asked(spec, Declared(("instruments",))))
    def collect(raw: Any) -> None:
        seen.update(raw if isinstance(raw, dict) else {bare_form(spec)})

    collect()
    more = {"recommended"} if "minimum" in forms_for(kind) else set()
    more |= {"per"} if kind in SCALED else set()
    assert seen - {"scheme"} == {*forms_for(kind)} | more


def test_generated_profiles_use_the_whole_language() -> None:
    """Some generated profile has each group, each word there is, and ``per`` over both kinds of names."""
    keys: set[str] = set()
    counted: set[str] = set()

    def collect(data: Table) -> None:
        compiled(data)
        keys.update(key for key, _ in _pairs(data))
        counted.update(name for key, value in _pairs(data) if key == "per" for name in value)

    # Group by group: random choices alone leave one out now and then.
    for group in GROUPS:
        settings(max_examples=25)(given(profiles(group))(collect))()
        assert group in keys
    words = {*compiling.LIST_WORDS, *compiling._ARRANGEMENT_KEYS, *compiling._HEAD, *compile_parameter._KEYS}
    words |= {*FORMS, "recommended", "per", "adds", "any_of", "scheme"}
    assert words - keys == {"based_on"}
    assert counted & CATALOGUE.keys()
    assert counted & {*PARAMETERS}


# -- the schema by itself


_VALIDATOR: Final[Any] = Draft202012Validator(profile_schema())


def _as_editors_see(value: Any) -> Any:
    """A TOML document as JSON: editors hand dates and times over as texts."""
    if isinstance(value, dict):
        return {key: _as_editors_see(below) for key, below in value.items()}
    if isinstance(value, list):
        return [_as_editors_see(below) for below in value]
    return value.isoformat() if isinstance(value, date | time) else value


def _accepts(data: Table) -> bool:
    return bool(_VALIDATOR.is_valid(_as_editors_see(data)))


def _complaints(data: Table) -> list[str]:
    """What an editor would underline."""
    return [f"{e.json_path}: {e.message}" for e in _VALIDATOR.iter_errors(_as_editors_see(data))]


def _compiles(data: Table) -> bool:
    try:
        compiled(data)
    except MistakesError:
        return False
    return True


def _asking(table: Table) -> Table:
    return {"format": 1, "title": "A profile", **table}


def test_it_is_a_schema() -> None:
    """It is valid JSON Schema, draft 2020-12, says what it is, and every definition has a user."""
    schema = profile_schema()
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["$id"] == "urn:pcaudit:profile:1"
    references = {value for key, value in _pairs(schema) if key == "$ref"}
    assert references == {f"#/$defs/{name}" for name in schema["$defs"]}


def test_it_is_the_same_every_time_and_of_a_size_to_load() -> None:
    """Two runs write the same text, of less than a quarter of a megabyte."""
    text = dump_json(profile_schema())
    assert text == dump_json(profile_schema())
    assert len(text) < 250_000


def _table(schema: Table, defs: Table) -> Table:
    """The keys of the table among what a schema allows, of a list those of its items."""
    if schema.get("type") == "array":
        return _table(schema["items"], defs)
    found: Table = schema.get("properties", {})
    if "$ref" in schema:
        found = found or _table(defs[schema["$ref"].removeprefix("#/$defs/")], defs)
    return found or next((keys for one in schema.get("anyOf", ()) if (keys := _table(one, defs))), {})


@pytest.mark.parametrize("record", CATALOGUE.values(), ids=lambda record: record.name)
def test_every_reading_is_offered_with_its_meaning_and_its_forms(record: Reading) -> None:
    """A reading stands in its section with title, meaning and unit, and takes the forms of its type."""
    schema = profile_schema()
    group, _, key = record.name.partition(".")
    assert key in schema["$defs"][f"section-{group}"]["properties"]
    about = schema["$defs"][record.name]
    assert about["title"] == record.value.title
    assert about["description"].startswith(record.meaning)
    keys = _table(about, schema["$defs"])
    if record.value.type is Type.LIST:
        assert set(keys) == compiling.LIST_WORDS | record.items.keys()
        assert all(keys[item]["title"] == spec.title for item, spec in record.items.items())
        return
    assert {key for key in FORMS if key in keys} == set(forms_for(record.value.type))
    if record.value.kind is not None:
        assert record.value.kind.example in about["description"]


def test_closed_lists_are_offered_word_by_word() -> None:
    """An editor can complete every word of every closed list."""
    offered = [tuple(value) for key, value in _pairs(profile_schema()) if key == "enum"]
    assert {spec.words for spec in _every_value()} - {()} <= set(offered)


def test_every_form_has_a_meaning() -> None:
    """No form goes without a word of what it asks."""
    assert all(MEANINGS.get(form) for form in FORMS)


def test_a_new_reading_appears_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is added to the catalogue is in the schema, wherever readings may stand."""
    hue = Property("Hue", Type.WORD, words=("warm", "cold"))
    monkeypatch.setitem(CATALOGUE, "display.hue", Reading("display.hue", hue, "Hue of the screen."))
    validator = Draft202012Validator(profile_schema())
    assert validator.is_valid(_asking({"display": {"hue": "Warm", "when": {"display.hue": "cold"}}}))
    assert not validator.is_valid(_asking({"display": {"hue": "green"}}))
    assert not _accepts(_asking({"display": {"hue": "warm"}}))


def test_a_new_form_appears_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is added to the table of forms is in the schema, for its types only."""
    none_of = FORMS["none_of"]
    form = Form("begins", (Type.TEXT,), none_of.read, none_of.holds, none_of.says)
    monkeypatch.setitem(FORMS, "begins", form)
    monkeypatch.setattr(conditions, "_FORMS", (*FORMS.values(),))
    validator = Draft202012Validator(profile_schema())
    assert validator.is_valid(_asking({"cpu": {"model": {"begins": ["A", "B"]}}}))
    assert not validator.is_valid(_asking({"cpu": {"cores": {"begins": "A"}}}))
    assert not _accepts(_asking({"cpu": {"model": {"begins": "A"}}}))


def test_keys_that_are_not_readings_are_those_that_validate_knows() -> None:
    """The head, parameters and arrangements have the keys that compiling knows, no more and no fewer."""
    schema = profile_schema()
    assert set(schema["properties"]) == compiling._HEAD | GROUPS.keys()
    parameter = schema["properties"]["parameters"]["additionalProperties"]
    assert set(parameter["properties"]) == set(compile_parameter._KEYS)
    arrangement = schema["$defs"]["arrangements"]["items"]
    assert set(arrangement["properties"]) == set(compiling._ARRANGEMENT_KEYS)


# -- agreement with validate


@given(profiles())
def test_what_is_valid_is_never_underlined(data: Table) -> None:
    """A profile that compiles has no line an editor would mark as wrong."""
    assert not _complaints(data)


def test_an_option_that_only_limits_is_never_underlined() -> None:
    """An option may hold a title alone, where a `when` names it."""
    cores = {"minimum": 1, "when": {"shared": True}}
    data = {"format": 1, "title": "A", "options": {"shared": {"title": "S"}}, "cpu": {"cores": cores}}
    assert not _complaints(data)


# One reading of each type, and one of everything else that a profile can hold.
_OF_EVERYTHING: Final = """
format = 1
title = "Of everything one"
parameters.instruments = { default = 1, minimum = 1, maximum = 4 }
[options.detector.memory.installed]
minimum = "32 GB"
[computer]
model = { matches = "Bench*", none_of = "Bench 1" }
chassis = ["desktop", "server"]
virtual = false
tpm_version = ">=2.0"
[cpu]
cores = { minimum = 4, recommended = 8 }
level = { minimum = "x86-64-v2" }
features = { includes = ["aes"] }
[memory.installed]
minimum = "16 GB"
per = { instruments = "4 GB" }
when = { "os.type" = "windows", "cpu.threads" = { minimum = 2 }, detector = false }
[[os.any_of]]
type = "linux"
product = "Debian GNU/Linux"
version = ">=12,<14"
support_ends = { minimum = 2027-06-30 }
[[display.screens]]
id = "screen"
count = { minimum = 1 }
ppi = { maximum = 300 }
[[network.endpoints]]
id = "licences"
host = "licences.laboratory.example"
port = { equal = 443 }
seconds = { maximum = "2 s" }
[[arrangements]]
id = "licence"
kind = "licence"
title = "Licence"
lead_time = "10 working days"
"""


def test_every_mistake_of_structure_is_refused_by_both() -> None:
    """Unknown keys and words, wrong types, missing and empty things: neither takes any of them."""
    data = tomllib.loads(_OF_EVERYTHING)
    assert _compiles(data)
    several = every_mistake(data)
    assert len({one.kind for one in several}) >= 45
    assert [one.kind for one in several if _compiles(one.data)] == []
    assert [one.kind for one in several if _accepts(one.data)] == []


@settings(max_examples=30)
@given(broken())
def test_a_mistake_of_structure_is_refused_wherever_it_stands(several: list[Broken]) -> None:
    """One mistake of each kind, put into any valid profile, is refused by both."""
    assert [one.kind for one in several if _compiles(one.data)] == []
    assert [one.kind for one in several if _accepts(one.data)] == []


_ODD: Final[tuple[Any, ...]] = (
    *(True, 0, 1, -1, 4.5, 10**12, "", " ", [], ["a"], ["a", "b"], [[]], [{}], {}, "x" * 300),
    *("16 GB", "never", "0 min", "windows", "Linux", ">=1,<2", "==1.*", "debian", "a\n", "\n16 GB\n"),
    *(date(2027, 1, 1), datetime(2027, 1, 1, 3), time(3), "2027-01-31", "20270131"),
    *({"minimum": 1}, {"maximum": 1}, {"equal": 1}, {"equal": "x"}, {"minimum": "1 GB"}, {"recommended": 3}),
    *({"version": ">=1"}, {"one_of": ["a"]}, {"none_of": "a"}, {"matches": "*"}, {"includes": "aes"}),
    *({"cpu.threads": 1}, {"os.type": "windows"}, {"os": {"type": "windows"}}, {"display": True}, {"x": 1}),
    *("licence", " licence ", "1 day", "2 week", "on the day", "x86-64-v2", ["windows"]),
    *({"maximum": "never"}, float("nan")),
)
_ODD_KEYS: Final = (
    *("minimum", "maximum", "equal", "recommended", "per", "title", "owner", "when", "advised", "adds"),
    *("own", "count", "id", "scheme", "version", "one_of", "matches", "includes", "any_of", "type"),
    *("product", "os", "memory", "os.type", "x", "", "issued", "default", "unit", "arrangements"),
    *("parameters", "note"),
    *("options", "options.display", "parameters.instruments", "cpu.threads", "os.x"),
)


def _tables(value: Any) -> Iterator[Any]:
    if isinstance(value, dict):
        yield value
    below = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for one in below:
        yield from _tables(one)


@st.composite
def _changed(draw: st.DrawFn) -> Table:
    """A valid profile with one or two keys taken out, put in or given another value."""
    data = deepcopy(draw(profiles()))
    for _ in range(draw(st.integers(1, 2))):
        table = draw(st.sampled_from(list(_tables(data))))
        key = draw(st.sampled_from([*table, *_ODD_KEYS]))
        if key in table and draw(st.integers(0, 3)) == 0:
            del table[key]
        else:
            table[key] = deepcopy(draw(st.sampled_from(_ODD)))
    return data


def test_what_is_underlined_is_refused() -> None:
    """Whatever is done to a profile, what validate takes the schema takes, and validate never breaks."""
    answers: list[tuple[bool, bool]] = []

    @settings(max_examples=150)
    @given(_changed())
    def check(data: Table) -> None:
        valid = _compiles(data)
        answers.append((valid, _accepts(data)))
        assert not valid or answers[-1][1], _complaints(data)

    check()
    # Both answers occur, and the schema misses few of the mistakes.
    assert (True, True) in answers
    assert answers.count((False, False)) > 4 * answers.count((False, True))


def _parameter(name: str) -> Table:
    return {"cpu": {"level": "x86-64-v1"}, "parameters": {name: {"default": 1}}}


def _link(unit: str) -> Table:
    return {"network": {"adapters": [{"id": "a", "speed": {"equal": f"1 {unit}"}}]}}


def _pep440(text: str) -> Table:
    return {"computer": {"tpm_version": {"version": text, "scheme": "pep440"}}}


# Each place of a pattern: letters to try there, and a profile with a text in it.
_PLACES: Final[dict[str, tuple[str, Callable[[str], Table]]]] = {
    "id": ("aZ0._- \n", lambda text: {"software": {"packages": [{"id": text}]}}),
    "option": ("aZ0._- \n", lambda text: {"options": {text: {"cpu": {"cores": {"minimum": 1}}}}}),
    "parameter": ("aZ0._-\n", _parameter),
    "memory": ("0GB.K i\n", lambda text: {"memory": {"installed": {"minimum": f"1{text}"}}}),
    "amount": ("019. \n-,+e", lambda text: {"memory": {"installed": {"minimum": f"{text}GB"}}}),
    "duration": ("01.5 min", lambda text: {"power": {"sleep_after": {"minimum": text}}}),
    "link": ("GMbit/ps", _link),
    "version": ("1.0v<>=!, \n", lambda text: {"computer": {"tpm_version": text}}),
    "pep440": ("1.0rc<>=!,*~", _pep440),
    "pattern": ("a*?[]\\^:!", lambda text: {"computer": {"model": {"matches": text}}}),
    "date": ("0127-W", lambda text: {"os": {"support_ends": {"minimum": text}}}),
    "never": ("neverNV ", lambda text: {"power": {"sleep_after": text}}),
    "text": ("a \n\u00a0\u2003", lambda text: {"computer": {"model": text}}),
}


@pytest.mark.parametrize("place", _PLACES)
def test_no_text_that_is_right_is_underlined(place: str) -> None:
    """Wherever the schema has a pattern, it takes every text that validate takes."""
    alphabet, build = _PLACES[place]

    @settings(max_examples=300)
    @given(st.text(alphabet, max_size=9))
    def check(text: str) -> None:
        data = _asking(build(text))
        assert _accepts(data) or not _compiles(data), text

    check()


def _right(place: str) -> Iterator[Any]:
    yield from {
        "id": ("a", "A.b-c_9", "0", "a" * 80),
        "option": ("a", "A-b_9", "a" * 80),
        "parameter": ("a", "b-9_", "a" * 60),
        "memory": ("GB", " GiB", " KB ", "\nMB\n", "bytes"),
        "amount": ("1", "0.5", "0", " 007 ", "9" * 18, "1." + "0" * 12),
        "duration": ("1 min", "0.5h", "2 weeks", "never", " NEVER ", "1 day"),
        "link": tuple(LINK.units),
        "version": (">=1", "1", " >= v1.0 , <2 ", "!=1.2.3.4", "V2", ">1"),
        "pep440": ("~=2.2", "==2.*", "1.0rc1", "==1.0"),
        "pattern": ("*", "a?[!b-c]", "\\", "[*]"),
        "date": ("2027-01-31",),
        "never": ("never", " Never "),
        "text": ("a", " a\n"),
    }[place]


@pytest.mark.parametrize(("place", "text"), [(place, text) for place in _PLACES for text in _right(place)])
def test_texts_at_the_edge_are_taken_by_both(place: str, text: str) -> None:
    """Each pattern takes the longest, the shortest and the freest spelling there is."""
    data = _asking(_PLACES[place][1](text))
    assert _compiles(data)
    assert not _complaints(data)


@pytest.mark.parametrize(
    ("place", "text"),
    [
        *(("id", text) for text in ("", ".a", "a b", "\u00e9", "a" * 81)),
        *(("option", text) for text in ("", "os.a", "-a", "a" * 81)),
        *(("parameter", text) for text in ("", "A", "9", "a.b", "a" * 61)),
        *(("memory", text) for text in ("", "gb", " Gbit", "GBB", "G B")),
        *(("amount", text) for text in ("", "-1", "1,5", "1e3", "1.", ".5", "9" * 19, "0." + "0" * 13)),
        *(("duration", text) for text in ("0 min", "0.00 h", "1", "min", "nevers", "1 month")),
        *(("version", text) for text in ("", ">=", "1,", "=1", "~=1", "1.*", "1.2-3", "1" * 13, "1 2")),
        *(("pep440", text) for text in ("", "1" * 201)),
        *(("pattern", text) for text in ("", " ", "a" * 201)),
        *(("date", text) for text in ("20270131", "2027-W04-7", "soon", "2027-1-31")),
        *(("never", text) for text in ("always", "30 min", "")),
        *(("text", text) for text in ("", " ", "\n")),
    ],
)
def test_texts_beyond_the_edge_are_refused_by_both(place: str, text: str) -> None:
    """Each pattern is as narrow as what it stands for."""
    data = _asking(_PLACES[place][1](text))
    assert not _compiles(data)
    assert not _accepts(data)


def test_every_unit_is_taken() -> None:
    """Every unit of every kind of quantity is right in an editor too, and no other unit is."""
    for kind, group, key in ((MEMORY, "memory", "installed"), (DURATION, "power", "sleep_after")):
        for unit in (*kind.units, "ells"):
            data = _asking({group: {key: {"minimum": f"2 {unit}"}}})
            assert _accepts(data) is _compiles(data) is (unit in kind.units), unit


# Characters outside ASCII that case folding turns into ASCII letters; found by trying them all.
_FOLDED: Final = {
    character: fold(character)
    for character in map(chr, (*range(0x80, 0xD800), *range(0xE000, 0x10000)))
    if fold(character).isalpha() and fold(character).isascii()
}


def test_words_of_closed_lists_are_taken_however_they_are_spelled() -> None:
    """Capitals, spaces and letters that fold to others are as right in an editor as in validate."""
    assert len(_FOLDED) > 5
    tried = 0
    for word in CATALOGUE["network.adapters"].items["medium"].words:
        for spelled in (word.upper(), word.title(), f"  {word} ", *_spelled_oddly(word)):
            data = _asking({"network": {"adapters": [{"id": "a", "medium": spelled}]}})
            assert _compiles(data), spelled
            assert not _complaints(data)
            tried += not spelled.isascii()
    assert tried


def _spelled_oddly(word: str) -> Iterator[str]:
    for character, folded in _FOLDED.items():
        if folded in word:
            yield word.replace(folded, character)


@pytest.mark.parametrize(
    "moment",
    [
        "2027-01-31",
        "2027-01-31T09:30:00",
        "2027-01-31 09:30:00",
        "2027-01-31t09:30:00z",
        "2027-01-31 09:30:00.5+01:00",
    ],
)
def test_dates_are_taken_as_toml_spells_them(moment: str) -> None:
    """An editor hands a date over as the file has it, with a time or without (TOML 1.0, date-times)."""
    text = f"format = 1\ntitle = 'A'\nissued = {moment}\nos.support_ends.minimum = {moment}\n"
    assert _compiles(tomllib.loads(text))
    asked_as_text = {"issued": moment, "os": {"support_ends": {"minimum": moment}}}
    assert not _complaints(_asking(asked_as_text))


@pytest.mark.parametrize("moment", ["09:30:00", "31.01.2027", "2027-01-31x"])
def test_what_is_no_date_is_underlined(moment: str) -> None:
    """A time alone and a date in another order are wrong in an editor too."""
    assert not _accepts(_asking({"os": {"support_ends": {"minimum": moment}}}))


# -- profiles at hand


def _profiles_at_hand() -> list[Path]:
    return sorted((Path(__file__).parents[2] / "requirements_profiles").glob("*.toml"))


@pytest.mark.parametrize("path", _profiles_at_hand(), ids=lambda path: path.name)
def test_example_profiles_are_accepted(path: Path) -> None:
    """No example profile has a red line in an editor."""
    assert not _complaints(tomllib.loads(path.read_text(encoding="utf-8")))


def test_there_are_example_profiles() -> None:
    """The examples above are not an empty list."""
    assert len(_profiles_at_hand()) >= 4


@pytest.mark.parametrize("block", [block for block in language._blocks() if "[[concessions]]" not in block])
def test_examples_of_the_language_are_accepted(block: str) -> None:
    """Every profile in the page on the language is right in an editor too."""
    assert not _complaints(tomllib.loads(language._whole(block)))


@pytest.mark.parametrize("bases", ["base.toml", "site/base.toml", ["a.toml", "b.toml"], "../base.toml"])
def test_profiles_built_on_others_need_no_section(bases: Any) -> None:
    """What a profile is based on may be all it asks; where it lies is for validate to say."""
    assert not _complaints(_asking({"based_on": bases}))


@pytest.mark.parametrize("bases", [[], "", " ", ["a.toml", ""], 5, "/base.toml", "C:/base.toml", "a\\b.toml"])
def test_bases_that_are_no_relative_paths_are_refused(bases: Any) -> None:
    """An empty name, an absolute path and a path of another system are wrong in an editor too."""
    assert not _accepts(_asking({"based_on": bases}))


def test_the_schema_is_plain_json() -> None:
    """It survives being written and read: nothing in it is known to Python only."""
    assert json.loads(dump_json(profile_schema())) == json.loads(json.dumps(profile_schema()))
