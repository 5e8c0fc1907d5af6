"""Profiles: the requirements of one piece of instrument software, compiled.

``pcaudit.core.compile`` makes them of what a person wrote; nothing in here is left to parse.
"""

from __future__ import annotations

from typing import NamedTuple

from pcaudit.core.catalogue import Reading
from pcaudit.core.conditions import Requirement


class Meta(NamedTuple):
    """What a profile says around a condition."""

    title: str
    because: str
    remedy: str
    owner: str
    advised: bool
    line: int


class Scalar(NamedTuple):
    """A condition on one reading.

    Attributes:
        id: ``group.name``.
        record: The reading.
        requirement: What is asked.
        guards: What the same table asks of readings without which this one means nothing.
        meta: What is said around it.
        digest: Fingerprint.
    """

    id: str
    record: Reading
    requirement: Requirement
    guards: tuple[Requirement, ...]
    meta: Meta
    digest: str


class Items(NamedTuple):
    """A condition on the items of a list.

    Attributes:
        id: ``group.list[id]``.
        record: The list.
        keys: What is asked of an item.
        minimum, maximum: How many items must and may meet it.
        better_minimum, better_maximum: How many are recommended.
        claims: Its items serve no other table.
        meta: What is said around it.
        digest: Fingerprint.
    """

    id: str
    record: Reading
    keys: tuple[Requirement, ...]
    minimum: int | None
    maximum: int | None
    better_minimum: int | None
    better_maximum: int | None
    claims: bool
    meta: Meta
    digest: str


class Alternative(NamedTuple):
    """One way to meet an ``any_of``."""

    conditions: tuple[Scalar | Items, ...]
    meta: Meta


class AnyOf(NamedTuple):
    """Alternatives of which one must be met."""

    id: str
    group: str
    alternatives: tuple[Alternative, ...]
    meta: Meta
    digest: str


Condition = Scalar | Items | AnyOf


class WantedArrangement(NamedTuple):
    """An arrangement as the profile asks it."""

    id: str
    kind: str
    title: str
    because: str
    remedy: str
    owner: str
    needed: str
    lead_time: str
    line: int


class Profile(NamedTuple):
    """A profile, compiled."""

    title: str
    path: str
    sha256: str
    text: str
    conditions: tuple[Condition, ...]
    arrangements: tuple[WantedArrangement, ...]
