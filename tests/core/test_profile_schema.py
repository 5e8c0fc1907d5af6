"""The JSON Schema of profiles agrees with what ``validate`` takes and refuses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from hypothesis import given, settings

from pcaudit.core.catalogue import GROUPS, Type
from pcaudit.core.conditions import FORMS, Requirement
from pcaudit.core.profile import AnyOf, Condition, Items, Meta
from tests.core.generated_profiles import compiled, profiles

# -- what the properties below stand on: profiles that are valid and use the whole language


@given(profiles())
def test_generated_profiles_are_valid(data: dict[str, Any]) -> None:
    """Every generated profile compiles, and asks something of a PC."""
    profile = compiled(data)
    assert profile.conditions or any(option.conditions for option in profile.options)


def _requirements(condition: Condition) -> Iterator[Requirement]:
    if isinstance(condition, AnyOf):
        for alternative in condition.alternatives:
            for one in alternative.conditions:
                yield from _requirements(one)
    elif isinstance(condition, Items):
        yield from condition.keys
    else:
        yield condition.requirement
    yield from condition.meta.when.requirements


def _keys(value: Any) -> Iterator[str]:
    """Every key of a document, at any depth."""
    if isinstance(value, dict):
        yield from value
        for below in value.values():
            yield from _keys(below)
    elif isinstance(value, list):
        for below in value:
            yield from _keys(below)


def test_generated_profiles_use_the_whole_language() -> None:
    """Some generated profile has each group, each form on each of its types, and each word there is."""
    forms: set[tuple[str, Type]] = set()
    keys: set[str] = set()
    groups: set[str] = set()
    readings: set[str] = set()

    @settings(max_examples=400)
    @given(profiles())
    def collect(data: dict[str, Any]) -> None:
        profile = compiled(data)
        keys.update(_keys(data))
        groups.update(data.keys() & GROUPS.keys())
        for condition in (*profile.conditions, *(c for o in profile.options for c in o.conditions)):
            for one in _requirements(condition):
                forms.update((test.form.key, one.spec.type) for test in one.required + one.advised)
                readings.update(scale.name for scale in one.scales)

    collect()
    assert groups == set(GROUPS)
    assert {(form.key, kind) for form in FORMS.values() for kind in form.types} - forms == set()
    words = {*Meta._fields} - {"profile", "line"}
    words |= {"recommended", "per", "adds", "any_of", "id", "count", "own", "scheme"}
    words |= {"parameters", "options", "arrangements", "kind", "lead_time", "needed", "default", "unit"}
    assert words - keys == set()
    assert any("." in name for name in readings) and any("." not in name for name in readings)
