"""The catalogue of readings."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import pytest

from pcaudit.core.catalogue import (
    CATALOGUE,
    FEATURES,
    GROUPS,
    LEVEL_FEATURES,
    LEVELS,
    OS_TYPES,
    Absent,
    Property,
    Reading,
    Type,
)
from pcaudit.core.compile import LIST_WORDS
from pcaudit.core.conditions import FORMS, forms_for
from pcaudit.core.derive import CPU_DERIVATIONS, DERIVATIONS, OS_DERIVATIONS
from pcaudit.core.texts import fold

READINGS = list(CATALOGUE.values())
PROPERTIES = [
    (f"{record.name}{f'.{key}' * bool(key)}", spec)
    for record in READINGS
    for key, spec in (("", record.value), *record.items.items())
]


@pytest.mark.parametrize("record", READINGS, ids=lambda record: record.name)
def test_every_reading_is_described(record: Reading) -> None:
    """A reading has a group people know, a name, a sentence and a place it is read, or is derived."""
    group, _, name = record.name.partition(".")
    assert group == record.group
    assert group in GROUPS
    assert name.replace("_", "").isalpha()
    assert record.meaning.endswith(".")
    assert record.value.title
    assert record.derived != bool(record.linux)
    assert bool(record.items) == (record.value.type is Type.LIST)


@pytest.mark.parametrize(("name", "spec"), PROPERTIES)
def test_every_value_has_what_its_type_needs(name: str, spec: Property) -> None:
    """Quantities have a unit, words their list, amounts a range, and every type a condition."""
    assert (spec.kind is not None) == (spec.type in (Type.QUANTITY, Type.DURATION)), name
    if spec.type in (Type.WORD, Type.LEVEL):
        assert spec.words
    if spec.type in (Type.INTEGER, Type.NUMBER, Type.QUANTITY, Type.DURATION):
        assert spec.low is not None
        assert spec.high is not None
        assert 0 <= spec.low < spec.high
    assert bool(forms_for(spec.type)) == (spec.type is not Type.LIST)


@pytest.mark.parametrize(("name", "spec"), PROPERTIES)
def test_closed_lists_hold_each_word_once_as_folded(name: str, spec: Property) -> None:
    """No two words of a closed list differ only in what does not matter."""
    assert len({fold(word) for word in spec.words}) == len(spec.words), name


@pytest.mark.parametrize("record", [r for r in READINGS if r.items], ids=lambda record: record.name)
def test_list_words_and_item_keys_are_kept_apart(record: Reading) -> None:
    """A list table's own words share the table with the items' keys, so none may be both."""
    assert not LIST_WORDS & set(record.items)
    assert set(record.lookup) <= set(record.items)


def test_derived_readings_and_derivations_are_the_same() -> None:
    """Every derived reading has a derivation, and nothing observed has one."""
    assert set(DERIVATIONS | OS_DERIVATIONS | CPU_DERIVATIONS) == {
        record.name for record in READINGS if record.derived
    }


def test_needed_readings_exist_in_the_same_group() -> None:
    """What a reading needs beside it is a reading that one table can set to one value."""
    for record in READINGS:
        needed = [*record.needs, *(name for names in record.needs_on.values() for name in names)]
        for name in needed:
            assert CATALOGUE[name].group == record.group
            assert CATALOGUE[name].value.type in (Type.TEXT, Type.WORD)


def test_only_exclusive_lists_are_exclusive() -> None:
    """Adapters, screens and drives serve one table only, nothing else does."""
    exclusive = {record.name for record in READINGS if record.exclusive}
    assert exclusive == {"network.adapters", "display.screens", "storage.drives"}


def test_absence_satisfies_only_where_the_thing_could_do_harm() -> None:
    """A missing lid, battery or timer satisfies; a missing TPM, domain or anything else does not."""
    satisfying = {record.name for record in READINGS if record.absent is Absent.SATISFIES}
    assert all(name.startswith("power.") for name in satisfying)
    assert {"power.lid_action", "power.sleep_after_battery"} <= satisfying
    assert {"power.sleep_after", "power.hibernate_after"} <= satisfying  # no sleep states at all


def test_levels_are_built_of_known_features() -> None:
    """Each level has features of its own, all of them words of the closed list."""
    assert tuple(LEVEL_FEATURES) == LEVELS
    features = [feature for level in LEVELS for feature in LEVEL_FEATURES[level]]
    assert len(set(features)) == len(features)
    assert set(features) <= set(FEATURES)


def test_every_remedy_is_for_a_reading() -> None:
    """No remedy is filed under a name the catalogue does not have, or left empty."""
    text = files("pcaudit").joinpath("knowledge", "remedies.toml").read_text(encoding="utf-8")
    remedies = tomllib.loads(text)["remedies"]
    anything = set(remedies) - set(CATALOGUE) - {"any_of"}
    assert all(name.endswith(".any_of") and name.partition(".")[0] in GROUPS for name in anything)
    for entry in remedies.values():
        assert entry
        flags = {"needs", "cost", "undo"}  # held by test_remedy_knowledge.py
        keys = {*OS_TYPES, "any", "unverified", *(f"unverified_{system}" for system in OS_TYPES)}
        assert set(entry) <= keys | flags
        assert all(text.strip() for key, text in entry.items() if key not in flags)


def test_no_condition_word_is_a_reading_of_its_own() -> None:
    """A form's word never reads as a reading's name inside a section."""
    names = {record.name.partition(".")[2] for record in READINGS} - {"version"}
    assert not names & set(FORMS)
