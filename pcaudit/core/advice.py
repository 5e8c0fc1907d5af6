"""Remarks on a profile that is valid: where it says less than its writer is likely to mean.

None of them is a mistake. Each is certain: what it says of the condition is so on every PC.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.advice_words import names_alone, remarks as of_words
from pcaudit.core.catalogue import OS_TYPES, Type
from pcaudit.core.conditions import Requirement, Test, judge_value
from pcaudit.core.places import Path, Places, dotted, line_text, place_in
from pcaudit.core.profile import ALWAYS, AnyOf, Condition, Items, Meta, Parameter, Profile, Scalar, When
from pcaudit.core.truth import NO
from pcaudit.core.units import NEVER
from pcaudit.core.wording import show_value
from pcaudit.errors import Place


class Advice(NamedTuple):
    """One remark.

    Attributes:
        path: Key it is about, as in the parsed file.
        noticed: What the profile says, in fact.
        better: What would say what is likely meant.
        file: The file, as given.
        line: Of the condition, from 1.
    """

    path: Path
    noticed: str
    better: str
    file: str
    line: int

    @property
    def key(self) -> str:
        """The key as TOML spells it."""
        return dotted(self.path)


_Remark = tuple[Path, str, str]
"""A key below the condition, what was noticed, what would be better."""


_Spot = tuple[Scalar | Items, Path]
"""A condition on one reading, and the key of its table."""

# -- the conditions of a profile, each with its key


def _key(condition: Scalar | Items, above: Path, counts: dict[Path, int]) -> Path:
    path = (*above, condition.record.name.partition(".")[2])
    if isinstance(condition, Scalar):
        return path
    # Tables of one list keep their order when they are compiled.
    number = counts.get(path, 0)
    counts[path] = number + 1
    return (*path, number)


def _walk(conditions: Iterable[Condition], above: Path) -> Iterator[tuple[Path, Condition]]:
    """Conditions that came of one place (a file, or an option in one), with their keys."""
    counts: dict[str, dict[Path, int]] = {}
    for condition in conditions:
        if isinstance(condition, AnyOf):
            yield (*above, condition.group, "any_of"), condition
            continue
        here = counts.setdefault(condition.meta.profile, {})
        yield _key(condition, (*above, condition.record.group), here), condition


def _all(profile: Profile) -> Iterator[tuple[Path, Condition]]:
    yield from _walk(profile.conditions, ())
    for option in profile.options:
        yield from _walk(option.conditions, ("options", option.name))


def _single(path: Path, condition: Condition) -> Iterator[_Spot]:
    """A condition, or those of its alternatives."""
    if not isinstance(condition, AnyOf):
        yield condition, path
        return
    for index, alternative in enumerate(condition.alternatives):
        counts: dict[Path, int] = {}
        for one in alternative.conditions:
            yield one, _key(one, (*path, index), counts)


# -- what is asked of one value


def _written(requirement: Requirement) -> Iterator[tuple[str, Test]]:
    """Each test with the word that asks it: a second one of the same form is what is recommended."""
    seen = set()
    for test in requirement.tests(with_advised=True):
        word = test.form.key
        yield ("recommended" if word in seen else word), test
        seen.add(word)


_VACUOUS: Final = {
    "minimum": (0, "a minimum of 0 is met by every PC", "ask for more, or leave it out"),
    "maximum": (
        NEVER,
        "a maximum of never excludes nothing: no time is longer",
        "write the longest time that will do, or leave it out",
    ),
}


def _bounds(requirement: Requirement) -> Iterator[_Remark]:
    limits: dict[str, Any] = {}
    for word, test in _written(requirement):
        if word == "recommended":
            if limits[test.form.key] == test.operand:
                noticed = f"the same as the {test.form.key}, so nothing more is recommended"
                yield (word,), noticed, "leave it out, or recommend something better than what is required"
            continue
        limits[word] = test.operand
        nothing, noticed, better = _VACUOUS.get(word, (None, "", ""))
        if test.operand == nothing and not requirement.scales:
            yield (word,), noticed, better


def _least(requirement: Requirement, sizes: frozenset[int]) -> Iterator[tuple[str, Test]]:
    """The amounts among ``sizes`` that a value must reach, each once."""
    # With `per` the amount is a sum of needs, not the size of a part that is sold.
    told: set[Any] = set()
    for word, test in () if requirement.scales else _written(requirement):
        if test.form.key in ("minimum", "equal") and test.operand in sizes - told:
            told.add(test.operand)
            yield word, test


# Gigabytes that modules come in, alone or as a pair; 24, 48 and 96 since DDR5. Common practice, no source.
_MODULES: Final = frozenset((n << 30) for n in (4, 8, 16, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512, 1024))


def _modules(requirement: Requirement) -> Iterator[_Remark]:
    for word, test in _least(requirement, _MODULES):
        size = show_value(test.operand, requirement.spec)
        noticed = f"a PC with {size} fitted has less usable: firmware and graphics keep some of it"
        yield (word,), noticed, f"ask {size} of memory.installed, or less than {size} here"


# Gigabytes (10^9) that drives are sold with. Common practice, no source.
_DRIVES: Final = frozenset(
    round(n * 10**9)
    for n in (
        *(64, 120, 128, 240, 250, 256, 320, 480, 500, 512, 750, 960),
        *(1000, 1024, 1920, 2000, 2048, 3000, 3840, 4000, 4096, 6000, 7680, 8000, 10000, 12000, 16000),
    )
)


def _drives(requirement: Requirement) -> Iterator[_Remark]:
    for word, test in _least(requirement, _DRIVES):
        size = show_value(test.operand, requirement.spec)
        noticed = f"the volume on a drive sold as {size.partition(' (')[0]} is smaller than the drive"
        yield (word,), noticed, "ask it of storage.drives (size), or ask for less here"


# -- what is asked of the items of a list

_NAMED: Final = ("software.packages", "software.antivirus")
"""Lists whose names usually go on with a version, an edition or an architecture."""

# Debian Policy 5.6.1: a package's name has only these; it is whole, its version stands apart.
_OF_PACKAGES: Final = frozenset("abcdefghijklmnopqrstuvwxyz0123456789+-.")
_SPECIAL: Final = frozenset('*?[\\"')


def _exact_names(name: Requirement) -> tuple[str, ...]:
    """The names that a key admits only as written; none where one of its patterns goes on."""
    for _, test in _written(name):
        if test.form.key in ("equal", "one_of"):
            return tuple(test.operand)
        if test.form.key == "matches" and not any("*" in pattern for pattern in test.operand):
            return tuple(test.operand)
    return ()


def _exclusions(items: Items, profile: Profile) -> Iterator[_Remark]:
    if 0 not in (items.maximum, items.better_maximum):
        return
    types = _types_asked(profile.conditions) & _types_of(items.meta.when.requirements)
    for key in items.keys:
        names = _exact_names(key) if key.name == "name" else ()
        packages = "linux" in types and all(_OF_PACKAGES.issuperset(name) for name in names)
        if key.name == "name" and (alone := names_alone(key.tests(with_advised=True))):
            noticed = f'with count = 0 "{alone}" itself, with nothing behind it, would pass'
            yield ("name",), noticed, f'write name = {{ matches = ["{alone}", "{alone} *"] }}'
        if not names or packages or types == {"linux"}:
            continue
        yield ("name",), *_only_those(names[0], "matches" in (test.form.key for test in key.required))


def _only_those(first: str, pattern: bool) -> tuple[str, str]:
    """What is said of names, or patterns without ``*``, that exclude nothing with a version behind them."""
    if pattern and any(special in first for special in "?["):
        noticed = f'with count = 0 only names that "{first}" fits to the end are excluded: with more behind'
        example = '"..."' if '"' in first or "\\" in first else f'["{first}", "{first}[!0-9]*"]'
        return f"{noticed} they would pass", f"write name = {{ matches = {example} }}"
    noticed = f'with count = 0 only exactly "{first}" is excluded: "{first} 4.2" would pass'
    example = "..." if _SPECIAL & set(first) else first
    return noticed, f'write name = {{ matches = "{example}*" }}'


def _counts(items: Items) -> Iterator[_Remark]:
    low, high = items.minimum, items.maximum
    for limit, better, word in (
        (low, items.better_minimum, "minimum"),
        (high, items.better_maximum, "maximum"),
    ):
        if limit is not None and limit == better:
            noticed = f"the same as the {word}, so nothing more is recommended"
            yield ("count", "recommended"), noticed, "leave it out, or recommend a better number"


def _is_network(items: Items) -> bool:
    return any(
        test.operand == ("network",) for key in items.keys if key.name == "kind" for test in key.required
    )


def _of_items(items: Items, profile: Profile) -> Iterator[_Remark]:
    yield from _counts(items)
    if items.record.name in _NAMED:
        yield from _exclusions(items, profile)
    for key in items.keys:
        for word, noticed, better in of_words(key, f"{items.record.name}.{key.name}", frozenset()):
            yield (key.name, *_below(word)), noticed, better
        for path, noticed, better in _bounds(key):
            yield (key.name, *path), noticed, better
        if items.record.name == "storage.volumes" and key.name == "size" and not _is_network(items):
            for path, noticed, better in _drives(key):
                yield (key.name, *path), noticed, better


def _below(word: str) -> Path:
    """The key of a word in its table; that of the table for those a bare value stands for."""
    return () if word in ("equal", "one_of") else (word,)


def _of_scalar(scalar: Scalar, beside: frozenset[str], series: frozenset[str]) -> Iterator[_Remark]:
    requirement = scalar.requirement
    for word, noticed, better in of_words(requirement, scalar.id, series):
        yield _below(word), noticed, better
    if requirement.spec.type is not Type.VERSION:
        yield from _bounds(requirement)
    if scalar.id == "memory.usable":
        yield from _modules(requirement)
    elif scalar.id == "storage.system_size":
        yield from _drives(requirement)
    elif scalar.id == "os.version":
        from pcaudit.core.advice_windows import is_windows, remarks, shared

        for noticed, better in (*remarks(requirement), *shared(beside)) if is_windows(scalar.guards) else ():
            yield ("version",), noticed, better


def _asked_always(conditions: Iterable[Condition]) -> frozenset[str]:
    """Readings that something is asked of on every PC, in one table or in each alternative."""
    found: set[str] = set()
    for one in conditions:
        if one.meta.when != ALWAYS:
            continue
        if isinstance(one, AnyOf):
            found |= set.intersection(*({c.id for c in a.conditions} for a in one.alternatives))
        else:
            found.add(one.id)
    return frozenset(found)


# -- which systems a condition is about


def _types_of(requirements: Iterable[Requirement]) -> frozenset[str]:
    asked = [one for one in requirements if one.name == "os.type"]
    return frozenset(t for t in OS_TYPES if all(judge_value(one, t) is not NO for one in asked))


def _types_asked(conditions: Iterable[Condition]) -> frozenset[str]:
    """Types of operating system that a PC can have and meet these conditions."""
    types = frozenset(OS_TYPES)
    for one in conditions:
        if one.id == "os.type" and isinstance(one, Scalar) and one.meta.when == ALWAYS:
            types &= _types_of((one.requirement,))
        elif one.id == "os.any_of" and isinstance(one, AnyOf) and one.meta.when == ALWAYS:
            types &= frozenset().union(
                *(
                    _types_of(c.requirement for c in a.conditions if isinstance(c, Scalar))
                    for a in one.alternatives
                )
            )
    return types


# -- the whole


def _limits(path: Path, condition: Condition) -> Iterator[tuple[Path, Meta]]:
    """Every table of a condition that may be limited by `when`."""
    yield path, condition.meta
    if isinstance(condition, AnyOf):
        for index, alternative in enumerate(condition.alternatives):
            yield (*path, index), alternative.meta
        yield from ((key, one.meta) for one, key in _single(path, condition))


def _in_when(fresh: Iterable[Requirement], series: frozenset[str]) -> Iterator[tuple[str, str]]:
    for one in fresh:
        for _, noticed, better in of_words(one, one.name, series):
            yield f"{one.name}: {noticed}", better


def _whens(profile: Profile, series: frozenset[str]) -> Iterator[Advice]:
    limited = [one for path, condition in _all(profile) for one in _limits(path, condition)]
    arrangements = (*profile.arrangements, *(a for option in profile.options for a in option.arrangements))
    limited += [(("arrangements", one.id), one.meta) for one in arrangements]
    seen: set[int] = set()
    for path, meta in limited:
        # The `when` of a section is that of each condition in it: one remark is enough.
        fresh = tuple(one for one in meta.when.requirements if id(one) not in seen)
        seen.update(map(id, fresh))
        if not fresh:
            continue
        from pcaudit.core.advice_when import remarks

        others = [c for c in profile.conditions if meta.profile in (c.meta.profile, profile.path)]
        told = (*remarks(When(fresh, ()), meta.when, others), *_in_when(fresh, series))
        for noticed, better in told:
            yield Advice((*path, "when"), noticed, better, meta.profile, meta.line)


def _used(profile: Profile) -> Iterator[str]:
    """Parameters, and readings, that something in the profile depends on."""
    for path, condition in _all(profile):
        for _, meta in _limits(path, condition):
            yield from (one.name for one in meta.when.requirements)
        for one, _ in _single(path, condition):
            for asked in one.keys if isinstance(one, Items) else (one.requirement,):
                yield from (scale.name for scale in asked.scales)
    for arrangement in (*profile.arrangements, *(a for o in profile.options for a in o.arrangements)):
        yield from (one.name for one in arrangement.meta.when.requirements)


def _unused(parameters: Mapping[str, Parameter], used: Iterable[str]) -> Iterator[Advice]:
    names = frozenset(used)
    for name, one in parameters.items():
        if name not in names:
            noticed = "nothing in the profile depends on it, so --set changes nothing"
            better = "name it in a `per` or `when`, or leave it out"
            yield Advice(("parameters", name), noticed, better, one.profile, one.line)


def advise(profile: Profile, series: frozenset[str] = frozenset()) -> tuple[Advice, ...]:
    """Remarks on a profile and everything it is based on.

    Args:
        profile: Compiled.
        series: Names of processor series there are; empty where they are not known.

    Returns:
        None, where nothing is to be said; else in the order of its conditions.
    """
    found: list[Advice] = []
    always = _asked_always(profile.conditions)
    for above, condition in _all(profile):
        for one, path in _single(above, condition):
            if isinstance(one, Scalar):
                remarks = _of_scalar(one, always | _beside(path, condition), series)
            else:
                remarks = _of_items(one, profile)
            for key, noticed, better in remarks:
                # The key that a table on one reading asks with is the reading's own where it is bare.
                below = () if key == ("version",) and isinstance(one, Scalar) else key
                found.append(Advice((*path, *below), noticed, better, one.meta.profile, one.meta.line))
    unused = _unused(profile.parameters, _used(profile)) if profile.parameters else ()
    return (*found, *_whens(profile, series), *unused)


def _beside(path: Path, condition: Condition) -> frozenset[str]:
    """Readings that the alternative at a path asks something of."""
    if not isinstance(condition, AnyOf):
        return frozenset()
    index = path[path.index("any_of") + 1]
    return frozenset(one.id for one in condition.alternatives[int(index)].conditions)


def located(advice: Sequence[Advice], profile: Profile) -> list[tuple[Place, Advice]]:
    """Remarks with their places, in the order of the files.

    Args:
        advice: What ``advise`` gave of ``profile``.
        profile: The profile, with the text of its files.
    """
    texts = {source.path: source.text for source in profile.sources}
    order = list(texts)
    places = {file: Places(texts[file]) for file in {one.file for one in advice}}
    found = [_located(one, places[one.file]) for one in advice]
    return sorted(found, key=lambda pair: (order.index(pair[1].file), pair[0].line, pair[0].column))


def _located(one: Advice, places: Places) -> tuple[Place, Advice]:
    path = one.path
    if path[-1] == "when" and len(path) > 2 and places.offset(path) == places.offset(path[:-1]):
        # Not in this table: the section around it is limited.
        path = (*path[:-2], "when")
    place = place_in(places, one.file, places.offset(path))
    if path[0] == "arrangements":
        # One is known by its id, not by where it stands in its list.
        place = Place(one.file, one.line, 1, line_text(places.line(one.line), 1))
        path = one.path
    return place, one._replace(path=path)
