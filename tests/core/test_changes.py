"""Which readings a setting mends, which a part, and which nothing."""

from __future__ import annotations

import pytest

from pcaudit.core.catalogue import CATALOGUE, Type
from pcaudit.core.changes import CAVEATS, MEANS, SETTABLE, Change, Means, Mending, without_means

LISTS = {name: record for name, record in CATALOGUE.items() if record.value.type is Type.LIST}


def test_every_reading_has_one() -> None:
    """Each reading of the catalogue is mended by a setting, a part or nothing, and none else is named."""
    assert set(MEANS) == set(CATALOGUE)


def test_every_list_has_its_keys_told_apart() -> None:
    """Each list says which keys a setting changes, and names only keys it has."""
    assert set(SETTABLE) == set(LISTS)
    assert {name: keys - set(LISTS[name].items) for name, keys in SETTABLE.items() if keys} == {
        name: frozenset() for name, keys in SETTABLE.items() if keys
    }


@pytest.mark.parametrize("group", ["cpu"])
def test_a_processor_is_not_mended(group: str) -> None:
    """Nothing about the processor is a setting or a part."""
    assert {MEANS[name] for name in MEANS if name.startswith(f"{group}.")} == {Means.NONE}


@pytest.mark.parametrize("name", ["os.edition", "os.type", "os.machine", "computer.chassis"])
def test_what_needs_a_licence_or_another_pc(name: str) -> None:
    """An edition, a family, an architecture and a chassis are not mended, and it is said what would."""
    assert MEANS[name] is Means.NONE
    assert "another PC" in without_means(name)


def test_power_is_a_setting() -> None:
    """Everything about power is a setting."""
    assert {MEANS[name] for name in MEANS if name.startswith("power.")} == {Means.SETTING}


def test_what_should_be_mended_and_is_not_says_so() -> None:
    """A reading that a setting mends in most cases does not promise another PC."""
    assert without_means("power.sleep_after") == "no setting and no part known here mends it"


def test_caveats_are_of_settings() -> None:
    """What to know before is said of settings only: of a reading, of an item's key, or of a new volume."""
    whole = {name for name in CAVEATS if name in MEANS}
    assert {MEANS[name] for name in whole} == {Means.SETTING}
    others = CAVEATS.keys() - whole - {"storage.volumes+"}
    assert others and all(
        key in SETTABLE[reading] for reading, _, key in (name.rpartition(".") for name in others)
    )


def test_changes_of_one_kind() -> None:
    """Settings and parts can be taken apart."""
    setting = Change(Means.SETTING, "Sleep after", "30 min", "never", ("power.sleep_after",))
    part = Change(Means.PART, "Memory", "8 GB", "memory 16 GB", ("memory.installed",), part="memory 16 GB")
    found = Mending((setting, part), (), (), passes=True)
    assert (found.of(Means.SETTING), found.of(Means.PART)) == ((setting,), (part,))
