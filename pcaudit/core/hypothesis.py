"""A PC as it would be with some things changed: settings made and parts fitted.

A plan says what is changed; ``realise`` makes of it the snapshot that the PC would then give.
"""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.conditions import Requirement
from pcaudit.core.parts import ADDED, FITTINGS, Bought, Seen, Wants
from pcaudit.core.primary_screen import make_primary
from pcaudit.core.snapshot import Form, Snapshot, known

MADE: Final = "as if the setting were made"
"""Source of a reading that a setting would change."""


class Setting(NamedTuple):
    """One setting to make.

    Attributes:
        reading: The reading it changes.
        value: The value it gets; an item that is installed; None for an item that is removed.
        to: What it must become, in words.
        wants: What is asked of it.
        item: Position of the item it is on; None for the reading itself and for a new item.
        key: The item's key; empty for the reading itself, and for an item as a whole.
        title: What it is about, where the reading's own title does not say.
    """

    reading: str
    value: Any
    to: str
    wants: tuple[Requirement, ...] = ()
    item: int | None = None
    key: str = ""
    title: str = ""

    @property
    def name(self) -> str:
        """Tells it from other settings."""
        return f"{self.reading}#{'' if self.item is None else self.item}.{self.key}{self.title}"

    @property
    def makes_primary(self) -> bool:
        """Whether it makes a screen the primary one."""
        return (self.reading, self.key) == ("display.screens", "primary")


class Plan(NamedTuple):
    """Everything to be changed.

    Attributes:
        settings: By name.
        parts: What is asked of each part, by its sort and number: "network card 1".
    """

    settings: dict[str, Setting] = {}
    parts: dict[str, Wants] = {}

    def having(self, *settings: Setting) -> Plan:
        """The plan with these settings too."""
        return self._replace(settings={**self.settings, **{one.name: one for one in settings}})

    def wanting(self, part: str, wants: Wants) -> Plan:
        """The plan with more asked of a part; a part that was not in it is added."""
        before = self.parts.get(part, Wants())
        new = tuple(one for one in wants.of if one not in before.of)
        whole = Wants(before.of + new, max(before.pieces, wants.pieces))
        return self._replace(parts={**self.parts, part: whole})

    def without(self, name: str) -> Plan:
        """The plan without one setting or part."""
        return Plan(
            {key: one for key, one in self.settings.items() if key != name},
            {key: one for key, one in self.parts.items() if key != name},
        )

    def key(self) -> Hashable:
        """Tells it from other plans: alike for those that change the same to the same."""
        settings = frozenset((name, str(one.value)) for name, one in self.settings.items())
        wants = frozenset(
            (part, key, test.form.key, str(test.operand))
            for part, whole in self.parts.items()
            for key, one in whole.of
            for test in one.required
        )
        pieces = frozenset((part, whole.pieces) for part, whole in self.parts.items())
        return settings, wants, pieces

    def fitted(self, sort: str) -> list[str]:
        """Its parts of one sort."""
        return [name for name in self.parts if sort_of(name) == sort]


def sort_of(part: str) -> str:
    """The sort of a part in a plan."""
    return part.rstrip("0123456789").rstrip()


class World(NamedTuple):
    """A PC as a plan would make it, and what must be bought for it, by part."""

    snapshot: Snapshot
    bought: dict[str, Bought]


_MIRRORED: Final = {
    "display.primary_scaling": ("display.screens", "primary", "scaling"),
    "storage.system_encrypted": ("storage.volumes", "system", "encrypted"),
}
"""Readings that one item of a list gives too: the list, what marks the item, and its key."""


def _mirror(setting: Setting, seen: Seen) -> None:
    """One setting changes what two readings say."""
    for name, (listed, mark, key) in _MIRRORED.items():
        items = seen[listed].value if seen[listed].form is Form.KNOWN else []
        if setting.reading == name:
            changed = [{**one, key: setting.value} if one.get(mark) is True else one for one in items]
            if items:
                seen[listed] = seen[listed]._replace(value=changed)
        elif (
            (setting.reading, setting.key) == (listed, key)
            and setting.item is not None
            and items[setting.item].get(mark) is True
        ):
            seen[name] = known(setting.value, MADE)


def _make(setting: Setting, seen: Seen) -> None:
    """Change a reading, or a key of one of its items; whole items come later."""
    name = setting.reading
    if not setting.key and setting.item is None and not setting.title:
        seen[name] = known(setting.value, MADE)
    elif setting.makes_primary and setting.item is not None:
        make_primary(setting.item, seen)
    elif setting.key and setting.item is not None:
        items = list(seen[name].value)
        items[setting.item] = {**items[setting.item], setting.key: setting.value}
        seen[name] = seen[name]._replace(value=items)


def _whole_items(plan: Plan, seen: Seen) -> None:
    """Remove items, then add those that are installed: positions hold until then."""
    gone: dict[str, set[int]] = {}
    new: dict[str, list[dict[str, Any]]] = {}
    for one in plan.settings.values():
        if one.key or (one.item is None and not one.title):
            continue
        if one.item is not None:
            gone.setdefault(one.reading, set()).add(one.item)
        else:
            new.setdefault(one.reading, []).append(one.value)
    for name in {**gone, **new}:
        before = seen[name].value if seen[name].form is Form.KNOWN else []
        kept = [item for index, item in enumerate(before) if index not in gone.get(name, ())]
        complete, why = seen[name].complete, seen[name].why
        items = kept + new.get(name, [])
        seen[name] = known(items, MADE)._replace(complete=complete, why="" if complete else why)


def realise(plan: Plan, snapshot: Snapshot) -> World | None:
    """The PC with a plan carried out.

    Args:
        plan: What is changed.
        snapshot: The PC as it is.

    Returns:
        What it would then read; None where a part does not exist that does what is asked of it.
    """
    seen = {name: snapshot.get(name) for name, record in CATALOGUE.items() if not record.derived}
    bought = {}
    for sort, fit in FITTINGS.items():
        for part in plan.fitted(sort):
            found = fit(plan.parts[part], seen)
            if found is None:
                return None
            bought[part] = found
    # What is set on the primary screen is set on the one that is then primary.
    for setting in sorted(plan.settings.values(), key=lambda one: not one.makes_primary):
        _make(setting, seen)
        _mirror(setting, seen)
    _whole_items(plan, seen)
    return World(snapshot._replace(readings=seen), bought)


def next_part(plan: Plan, sort: str) -> str:
    """The name of one more part of a sort."""
    if sort not in ADDED:
        return sort
    return f"{sort} {len(plan.fitted(sort)) + 1}"
