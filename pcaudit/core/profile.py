"""Profiles: the requirements of one piece of instrument software, compiled.

``pcaudit.core.compile`` makes them of what a person wrote; nothing in here is left to parse.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from pcaudit.core.catalogue import Reading
from pcaudit.core.conditions import Requirement

if TYPE_CHECKING:
    from pcaudit.core.measured import Measured


class When(NamedTuple):
    """What a table is limited to.

    Attributes:
        requirements: Asked of readings (names with a dot) and parameters (without).
        options: Options and whether they must be chosen.
    """

    requirements: tuple[Requirement, ...]
    options: tuple[tuple[str, bool], ...]


ALWAYS: Final = When((), ())
"""Not limited to anything."""


class Meta(NamedTuple):
    """What a profile says around a condition.

    ``profile`` is the file that says it, as given, ``line`` the line in it.
    """

    title: str
    because: str
    remedy: str
    owner: str
    advised: bool
    profile: str
    line: int
    when: When = ALWAYS


class Scalar(NamedTuple):
    """A condition on one reading.

    Attributes:
        id: ``group.name``.
        record: The reading.
        requirement: What is asked.
        guards: What the same table asks of readings without which this one means nothing.
        meta: What is said around it.
        digest: Fingerprint.
        adds: Whether its minimum is added to those of other products; None where the profile leaves
            that to the reading and to what other products say.
    """

    id: str
    record: Reading
    requirement: Requirement
    guards: tuple[Requirement, ...]
    meta: Meta
    digest: str
    adds: bool | None = None


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
    """An arrangement as the profile asks it: kind, when it is needed, how long it takes, what is measured."""

    id: str
    kind: str
    needed: str
    lead_time: str
    meta: Meta
    measured: Measured | None = None


class Parameter(NamedTuple):
    """A number the lab chooses, such as how many instruments one PC controls.

    Attributes:
        name: As ``--set`` and ``per`` spell it.
        title: For people.
        default: Value where none is chosen.
        minimum, maximum: What may be chosen; None where there is no bound.
        unit: Word printed behind the value.
        whole: Only whole numbers may be chosen.
        profile, line: Where it is declared.
    """

    name: str
    title: str
    default: int | float
    minimum: int | float
    maximum: int | float | None
    unit: str
    whole: bool
    profile: str
    line: int


class Option(NamedTuple):
    """Conditions and arrangements that hold only where the lab chooses the option."""

    name: str
    title: str
    conditions: tuple[Condition, ...]
    arrangements: tuple[WantedArrangement, ...]
    profile: str
    line: int


class ProfileSource(NamedTuple):
    """A profile file as it was used."""

    title: str
    path: str
    sha256: str
    text: str


class Profile(NamedTuple):
    """A profile with everything it is based on, compiled.

    Attributes:
        title: Its own.
        path: Its file, as given.
        sources: Every file it is made of, what it is based on first.
        conditions, arrangements: What holds always.
        options: What holds where an option is chosen; one name may stand in several files.
        parameters: By name.
    """

    title: str
    path: str
    sources: tuple[ProfileSource, ...]
    conditions: tuple[Condition, ...]
    arrangements: tuple[WantedArrangement, ...]
    options: tuple[Option, ...] = ()
    parameters: dict[str, Parameter] = {}
