"""Invented readings of many PCs, near to what a profile asks, so that verdicts differ among them."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import Any, Final

from pcaudit.core.catalogue import CATALOGUE, Property, Type
from pcaudit.core.profile import AnyOf, Condition, Items, Profile, Scalar

_TEXTS: Final = ("Old Suite", "Old Suite 2", "Analyser 2", "wired port", "GRÖSSE", "LAB-7", "24H2", "a", "zz")
_VERSIONS: Final = ("10.0.19045", "14", "4.8", "2.1rc1", "2.2", "1.4.0-beta.2", "1:2.30-1+deb12u1", "9.0c")
_AMOUNTS: Final = (0, 1, 2, 3, 8, 16, 100, 1 << 30, 8 << 30, 16 * 10**9, 10**12, 2.5, -1)
_DAYS: Final = ("2026-11-24", "2026-11-25T09:00:00+00:00", "2027-06-30", "1999-01-01", "20270101")


def _requirements(condition: Condition) -> Iterator[Any]:
    parts = (
        [one for alternative in condition.alternatives for one in alternative.conditions]
        if isinstance(condition, AnyOf)
        else [condition]
    )
    for part in parts:
        yield from part.meta.when.requirements
        if isinstance(part, Items):
            yield from part.keys
        elif isinstance(part, Scalar):
            yield part.requirement
            yield from part.guards


class Fleet:
    """Makes readings, by the seed.

    Args:
        profile: What they shall be near to.
        seed: The same seed gives the same PCs.
    """

    def __init__(self, profile: Profile, seed: int) -> None:
        self._random = Random(seed)  # noqa: S311
        conditions = (*profile.conditions, *(c for option in profile.options for c in option.conditions))
        self._near: dict[str, list[Any]] = {}
        for condition in conditions:
            for one in _requirements(condition):
                for test in one.tests(with_advised=True):
                    operands = test.operand if isinstance(test.operand, tuple) else (test.operand,)
                    self._near.setdefault(one.spec.title, []).extend(operands)

    def _value(self, spec: Property) -> Any:
        random = self._random
        if random.random() < 0.04:
            return random.choice([None, True, 1, 0, "", "  ", [], {}, [1], 1.0, "[redacted]"])
        near = [one for one in self._near.get(spec.title, ()) if isinstance(one, int | float | str)]
        if near and random.random() < 0.6:
            one = random.choice(near)
            if isinstance(one, int | float) and not isinstance(one, bool):
                return one + random.choice([-1, 0, 0, 1])
            return one
        if spec.words and random.random() < 0.9:
            return random.choice(spec.words)
        pools: dict[Type, tuple[Any, ...]] = {
            Type.BOOLEAN: (True, False),
            Type.VERSION: _VERSIONS,
            Type.DATE: _DAYS,
            Type.DURATION: (*_AMOUNTS, "never"),
        }
        if spec.type is Type.SET:
            return random.sample(_TEXTS, random.randint(0, 4))
        amounts = (Type.INTEGER, Type.NUMBER, Type.QUANTITY)
        return random.choice(pools.get(spec.type, _AMOUNTS if spec.type in amounts else _TEXTS))

    def _list(self, items: dict[str, Property]) -> list[dict[str, Any]]:
        return [
            {key: self._value(spec) for key, spec in items.items() if self._random.random() < 0.9}
            for _ in range(self._random.choice([0, 1, 1, 2, 3, 5]))
        ]

    def _form(self, name: str) -> Any:
        random, record = self._random, CATALOGUE[name]
        form = random.random()
        if form < 0.05:
            return {"value": None, "why": random.choice(["not asked", "needs administrator rights"])}
        if form < 0.1:
            return {"absent": True, "why": "there is none"}
        value = self._list(record.items) if record.items else self._value(record.value)
        if form < 0.15:
            return {"at_least": value, "source": "a test", "why": "only a part was seen"}
        if form < 0.17:
            return value
        if form < 0.25:
            return {"value": value, "source": "a test", "complete": False, "why": "not all was seen"}
        return {"value": value, "source": random.choice(["a test", "another"])}

    def readings(self) -> dict[str, Any]:
        """The readings of one more PC, as a snapshot's JSON has them."""
        names = [name for name, record in CATALOGUE.items() if not record.derived]
        return {name: self._form(name) for name in names if self._random.random() < 0.9}
