"""How the rows of an explained profile are to be read: only what its own rows need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from pcaudit.core import units
from pcaudit.core.catalogue import Type
from pcaudit.core.conditions import Requirement
from pcaudit.core.profile import AnyOf, Condition, Items, Meta, Profile, Scalar

_BINDING: Final = (
    '"Must" binds. "Should", "recommended" and "advised only" do not bind: a PC that falls short of them is '
    "marginal, not unfit."
)
_UNDER: Final = (
    "Under each row: why it is asked, what to do where it falls short, by whom, and at which line of the "
    "file it stands."
)
_TEXTS: Final = (
    "Texts in quotation marks are compared without regard to capitals and repeated spaces, mount points and "
    "names of services letter by letter."
)
_PATTERNS: Final = (
    "In a pattern * stands for any characters, ? for one, [0-9] for one of these and [!0-9] for one that is "
    "none of these; the whole text must fit."
)
_VERSIONS: Final = (
    'Versions are compared only as far as they are written: "at most 14" takes in 14.5, "above 14" does not, '
    '"14" alone means any 14.'
)
_MEMORY: Final = "Memory is counted as it is sold: 1 GB is 2^30 bytes."
_STORAGE: Final = "Storage is counted as drives are sold: 1 GB is 10^9 bytes, 1 GiB is 2^30."
_CLAIMS: Final = (
    "A network adapter, screen or drive serves one thing only that the rows ask for, the earlier row first, "
    "unless a row says otherwise."
)
_CLAIMS_IN_WAYS: Final = (
    "Alternatives have the network adapters, screens and drives that all other rows leave."
)
_SPACE: Final = (
    "Where several products share the PC, each needs the free space it asks of volumes, or inside "
    "alternatives, beside that of the others."
)
_WHERE: Final = 'A row that begins with "Only where" does not apply to any other PC or choice.'


def _flat(conditions: Iterable[Condition]) -> Iterator[Scalar | Items]:
    for one in conditions:
        if isinstance(one, AnyOf):
            for alternative in one.alternatives:
                yield from alternative.conditions
        else:
            yield one


def _metas(conditions: Iterable[Condition]) -> Iterator[Meta]:
    for one in conditions:
        yield one.meta
        if isinstance(one, AnyOf):
            for alternative in one.alternatives:
                yield alternative.meta
                yield from (condition.meta for condition in alternative.conditions)


def _requirements(flat: Iterable[Scalar | Items], metas: Iterable[Meta]) -> Iterator[Requirement]:
    for one in flat:
        yield from one.keys if isinstance(one, Items) else (one.requirement, *one.guards)
    for meta in metas:
        yield from meta.when.requirements


def _asks_space(one: Condition) -> bool:
    """Whether a row asks for space that is added up without the row saying so."""
    if isinstance(one, AnyOf):
        return any(
            _asks_space(each) if isinstance(each, Items) else each.record.adds and each.adds is not False
            for alternative in one.alternatives
            for each in alternative.conditions
        )
    if isinstance(one, Items):
        return one.record.name == "storage.volumes" and any(key.name == "free" for key in one.keys)
    return False


def _claims(one: Scalar | Items) -> bool:
    return isinstance(one, Items) and one.claims


def _all(
    profile: Profile, conditions: Sequence[Condition]
) -> tuple[list[Requirement], list[Scalar | Items], list[Meta]]:
    flat, metas = list(_flat(conditions)), list(_metas(conditions))
    wanted = [*profile.arrangements, *(a for option in profile.options for a in option.arrangements)]
    metas += [one.meta for one in wanted]
    return list(_requirements(flat, metas)), flat, metas


def legend(profile: Profile) -> tuple[str, ...]:
    """What a reader must know of the rows of a profile, one sentence or two each."""
    conditions = [*profile.conditions, *(c for option in profile.options for c in option.conditions)]
    asked, flat, metas = _all(profile, conditions)
    forms = {test.form.key for one in asked for test in one.tests(with_advised=True)}
    kinds = [one.spec.kind for one in asked]
    texts = any(one.spec.type in (Type.TEXT, Type.SET) and not one.spec.words for one in asked)
    dotted = any(
        test.form.key == "version" and test.operand[0].scheme == "dotted"
        for one in asked
        for test in one.tests(with_advised=True)
    )
    said = (
        (True, _UNDER),
        (True, _BINDING),
        (any(meta.when.requirements or meta.when.options for meta in metas), _WHERE),
        (texts, _TEXTS),
        ("matches" in forms, _PATTERNS),
        (dotted, _VERSIONS),
        (units.MEMORY in kinds, _MEMORY),
        (units.STORAGE in kinds, _STORAGE),
        (any(map(_asks_space, conditions)), _SPACE),
        (any(map(_claims, flat)), _CLAIMS),
        (any(map(_claims, _flat(one for one in conditions if isinstance(one, AnyOf)))), _CLAIMS_IN_WAYS),
    )
    return tuple(text for holds, text in said if holds)
