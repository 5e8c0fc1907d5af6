"""Verdicts of many PCs, without words: what was judged once is not judged again.

What is asked falls into parts that have nothing to do with each other. A part is judged by
``pcaudit.core.evaluate``, on a snapshot that notes which readings were looked at; the next PC that shows
the same there gets the same verdicts, for judging depends on nothing else. What a reading shows is told by
its value, or, where only comparisons are made with it, by how these turn out.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from operator import itemgetter
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, Reading, Type
from pcaudit.core.choose import Asked
from pcaudit.core.conditions import AMOUNTS, TEXTS, Requirement, judge_value
from pcaudit.core.context import Context
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.evaluate import Came, verdicts
from pcaudit.core.profile import AnyOf, Condition, Items, Scalar
from pcaudit.core.report import Outcome, Verdict
from pcaudit.core.snapshot import Observation, Snapshot, read_observation
from pcaudit.core.truth import Truth
from pcaudit.core.union import Question, questions

_MOST: Final = 4096
"""Different states of one reading that are remembered; beyond, it begins anew, so that memory stays flat."""

_MOST_ITEMS: Final = 50_000
"""The same for items of a list: programs with their versions are many."""

_READ_BY_DERIVATIONS: Final = frozenset(
    {"display.screens", "display.primary_width", "display.primary_height", "display.primary_scaling"}
    | {"network.adapters", "cpu.features", "os.machine"}
)
"""Readings that others are derived from: more of them may matter than is asked of them."""

_DERIVED_FROM: Final = {
    "network.adapters": ("medium",),
    "display.screens": ("width", "height", "diagonal"),
}
"""Keys of items that others are derived from, whether or not they are asked of."""

_OF_THE_PC: Final = "computer."
"""Readings of this group differ on every PC, and no other is derived from them."""

_SPACE: Final = "storage."
"""Readings of this group are shared out among several products by their very amounts."""

CODES: Final[dict[Came, str]] = {
    Came(verdict, binding): code
    for binding, codes in ((True, "mguv-a"), (False, "MGUV_A"))
    for verdict, code in zip(
        (
            *(Verdict.MET, Verdict.MARGINAL, Verdict.UNMET, Verdict.UNVERIFIED),
            *(Verdict.NOT_APPLICABLE, Verdict.ACCEPTED),
        ),
        codes,
        strict=True,
    )
}
"""One letter for each verdict, so that those of a PC are a short text; capitals do not bind."""

CAME: Final = {code: came for came, code in CODES.items()}
"""What a letter stands for."""

_MISSING: Final = object()

Key = Callable[[Any], Hashable]
"""What a reading shows, of what the snapshot's JSON says of it."""


def outcome_of_codes(codes: str) -> Outcome:
    """The outcome of a PC by its letters: as ``outcome_of`` says of findings."""
    if CODES[Came(Verdict.UNMET, True)] in codes:
        return Outcome.NOT_READY
    return Outcome.INCONCLUSIVE if CODES[Came(Verdict.UNVERIFIED, True)] in codes else Outcome.READY


# -- what a reading shows


def _any(raw: Any) -> Hashable:
    """The whole of it, but for where it was read."""
    if raw.__class__ is not dict:
        return ("missing",) if raw is _MISSING else ("no table", repr(raw))
    if len(raw) == 2 and "source" in raw and "value" in raw:
        value = raw["value"]
        if value.__class__ in _BARE:
            return value
        if value.__class__ in _NUMBERS:
            # Python takes 1, 1.0 and true for the same; pcaudit does not.
            return value.__class__, value
    return "raw", repr({name: one for name, one in raw.items() if name != "source"})


_BARE: Final = frozenset((str, bool))
_NUMBERS: Final = frozenset((int, float))


def _bounds(requirements: Iterable[Requirement]) -> list[float]:
    """Everything that amounts of one kind are held against, in order."""
    found: set[float] = set()
    for one in requirements:
        operands = [test.operand for test in one.tests(with_advised=True)]
        found.update(each for each in operands if isinstance(each, int | float))
        found.update(limit for limit in (one.spec.low, one.spec.high) if limit is not None)
    return sorted(found)


class _Amount:
    """Tells amounts by how they compare with everything they are held against.

    Args:
        requirements: What they are held against.
    """

    def __init__(self, requirements: Iterable[Requirement]) -> None:
        self._bounds = _bounds(requirements)

    def __call__(self, raw: Any) -> Hashable:
        if raw.__class__ is dict and len(raw) == 2 and "source" in raw:
            value = raw.get("value")
            if value.__class__ is int:
                return "amount", bisect_left(self._bounds, value), bisect_right(self._bounds, value)
        return _any(raw)


class _Name:
    """Tells names and other texts that differ on every PC by how they compare with what is asked.

    Args:
        requirements: What is asked.
    """

    def __init__(self, requirements: Sequence[Requirement]) -> None:
        self._asked = [(one, also) for one in requirements for also in (False, True) if one.tests(also)]

    def __call__(self, raw: Any) -> Hashable:
        if raw.__class__ is dict and len(raw) == 2 and "source" in raw:
            value = raw.get("value")
            if value.__class__ is str and value.strip():
                return ("name", *[judge_value(one, value, also).truth.value for one, also in self._asked])
        return _any(raw)


def _truth(key: Requirement, value: Any, advised: bool) -> Truth:
    if not key.tests(advised):
        return Truth.TRUE
    return Truth.UNKNOWN if value is None else judge_value(key, value, advised).truth


class _ItemsOf:
    """Tells lists by what is asked of their items, and leaves out items that no table can count.

    Args:
        record: The list.
        tables: Everything that is asked of it.
    """

    def __init__(self, record: Reading, tables: Sequence[Items]) -> None:
        self._record = record
        self._tables = [table.keys for table in tables]
        asked = {key.name: key.spec.type for keys in self._tables for key in keys}
        self._names = tuple(asked)
        # A value of another type counts as unknown, so that none is mistaken for another of these.
        self._texts = bool(asked) and all(kind in (*TEXTS, Type.VERSION) for kind in asked.values())
        self._bounds = {
            name: _bounds(key for keys in self._tables for key in keys if key.name == name)
            for name, kind in asked.items()
            if kind in AMOUNTS
        }
        self._known: dict[Hashable, int | None] = {}
        self._numbers: dict[Hashable, int] = {}

    def _sort(self, item: dict[str, Any]) -> int | None:
        """A number for how every comparison with an item turns out; None where no table can count it."""
        clean = read_observation({"value": [item], "source": ""}, self._record).value[0]
        found = []
        possible = bool(self._record.lookup)
        for keys in self._tables:
            held = [tuple(_truth(key, clean.get(key.name), also) for also in (False, True)) for key in keys]
            possible = possible or all(one is not Truth.FALSE for one, _ in held)
            found.append(tuple(held))
        return self._numbers.setdefault(tuple(found), len(self._numbers)) if possible else None

    def _shown(self, item: dict[str, Any]) -> Hashable:
        shown = []
        for name in self._names:
            value, bounds = item.get(name), self._bounds.get(name)
            if bounds is not None and value.__class__ is int:
                value = ("amount", bisect_left(bounds, value), bisect_right(bounds, value))
            shown.append(value)
        return repr(shown)

    def _quick(self, items: list[dict[str, Any]]) -> list[Any]:
        known = self._known
        if not self._texts:
            return [known.get(self._shown(item), _MISSING) for item in items]
        if len(self._names) == 1:
            (name,) = self._names
            return [known.get(item.get(name), _MISSING) for item in items]
        get = itemgetter(*self._names)
        try:
            return [known.get(get(item), _MISSING) for item in items]
        except KeyError:
            return [_MISSING] * len(items)

    def sorts(self, items: list[dict[str, Any]]) -> list[int | None]:
        """Of each item what ``_sort`` tells."""
        try:
            found = self._quick(items)
        except TypeError:  # a value that cannot be looked up, and is no text
            return [self._sort(item) for item in items]
        if _MISSING in found:
            for index, sort in enumerate(found):
                if sort is _MISSING:
                    found[index] = self._new(items[index])
        return found

    def _new(self, item: dict[str, Any]) -> int | None:
        if len(self._known) > _MOST_ITEMS:
            self._known.clear()
        key = self._shown(item)
        values = tuple(item.get(name) for name in self._names)
        if self._texts and {value.__class__ for value in values} == _STRINGS:
            key = values[0] if len(values) == 1 else values
        self._known[key] = sort = self._sort(item)
        return sort

    @staticmethod
    def _readable(raw: Any) -> bool:
        """Whether it is a list of tables that was read, and nothing else is said of it."""
        if raw.__class__ is not dict or not raw.keys() <= _OF_LISTS:
            return False
        value = raw.get("value")
        return value.__class__ is list and set(map(type, value)) <= _TABLES

    def __call__(self, raw: Any) -> Hashable:
        if not self._readable(raw):
            return _any(raw)
        sorts = tuple([one for one in self.sorts(raw["value"]) if one is not None])
        if len(raw) == 2:
            return "items", sorts
        return "items", sorts, repr((raw.get("complete", True), raw.get("why")))

    def without(self, raw: Any) -> Any:
        """The same without the items that no table can count."""
        if not self._readable(raw):
            return raw
        items = raw["value"]
        kept = [item for item, sort in zip(items, self.sorts(items), strict=True) if sort is not None]
        return {**raw, "value": kept}


class _KeysOf:
    """Tells lists by the keys of their items that are looked at, and leaves out all others.

    Args:
        names: Of those keys.
    """

    def __init__(self, names: Iterable[str]) -> None:
        self._names = tuple(sorted(set(names)))

    def __call__(self, raw: Any) -> Hashable:
        return _any(self.without(raw))

    def without(self, raw: Any) -> Any:
        """The same without the keys that nothing looks at."""
        if raw.__class__ is not dict or raw.get("value").__class__ is not list:
            return raw
        items = raw["value"]
        if not set(map(type, items)) <= _TABLES:
            return raw
        return {**raw, "value": [{name: item.get(name) for name in self._names} for item in items]}


_OF_LISTS: Final = frozenset({"value", "source", "complete", "why"})
_TABLES: Final = frozenset((dict,))
_STRINGS: Final = frozenset((str,))


# -- what is asked of a reading


def _within(condition: Condition) -> Iterator[Scalar | Items]:
    if isinstance(condition, AnyOf):
        for alternative in condition.alternatives:
            yield from alternative.conditions
    else:
        yield condition


def _whens(condition: Condition) -> Iterator[Requirement]:
    yield from condition.meta.when.requirements
    if isinstance(condition, AnyOf):
        for alternative in condition.alternatives:
            yield from alternative.meta.when.requirements
            for one in alternative.conditions:
                yield from one.meta.when.requirements


def _of_scalars(conditions: Sequence[Condition]) -> Iterator[Requirement]:
    """Everything that is asked of a reading as a whole."""
    for condition in conditions:
        yield from _whens(condition)
        for one in _within(condition):
            if isinstance(one, Scalar):
                yield one.requirement._replace(name=one.record.name)
                yield from one.guards


def _names(conditions: Sequence[Condition]) -> dict[str, Key]:
    """How to tell the names of PCs, from which nothing else is derived."""
    asked: dict[str, list[Requirement]] = {}
    for one in _of_scalars(conditions):
        if one.name.startswith(_OF_THE_PC) and one.spec.type is Type.TEXT and not one.spec.words:
            asked.setdefault(one.name, []).append(one)
    return {name: _Name(found) for name, found in asked.items()}


def _amounts(conditions: Sequence[Condition]) -> dict[str, Key]:
    """How to tell the amounts that are compared and nothing else."""
    asked: dict[str, list[Requirement]] = {}
    left_alone = set(_READ_BY_DERIVATIONS)
    for one in _of_scalars(conditions):
        asked.setdefault(one.name, []).append(one)
        if one.scales or one.spec.type not in AMOUNTS:
            left_alone |= {one.name, *(scale.name for scale in one.scales)}
    for condition in conditions:
        for each in _within(condition):
            for key in each.keys if isinstance(each, Items) else ():
                left_alone |= {scale.name for scale in key.scales}
    return {name: _Amount(found) for name, found in asked.items() if name not in left_alone}


def _lists(conditions: Sequence[Condition]) -> dict[str, _ItemsOf | _KeysOf]:
    """How to tell the lists of which only what is asked of their items matters."""
    tables: dict[str, list[Items]] = {}
    for condition in conditions:
        for one in _within(condition):
            if isinstance(one, Items):
                tables.setdefault(one.record.name, []).append(one)
    found: dict[str, _ItemsOf | _KeysOf] = {}
    for name, of in tables.items():
        keys = [key for one in of for key in one.keys]
        if name in _DERIVED_FROM or any(key.scales for key in keys):
            found[name] = _KeysOf((*(key.name for key in keys), *_DERIVED_FROM.get(name, ())))
        else:
            found[name] = _ItemsOf(CATALOGUE[name], of)
    return found


# -- parts that have nothing to do with each other


def _parted(together: Sequence[Question], products: int) -> list[list[int]]:
    """Positions of questions, those together that compete for items, space or alternatives."""
    groups: dict[str, list[int]] = {}
    linked: dict[str, str] = {}
    for position, question in enumerate(together):
        conditions = [one for _, one in question.asked]
        names = {one.record.name for c in conditions for one in _within(c) if isinstance(one, Items)}
        either = any(isinstance(one, AnyOf) for one in conditions)
        if not names and not (either and products > 1):
            groups[f"alone {position}"] = [position]
            continue
        # Alternatives that claim items are followed together, and so are products that share space.
        joined = {"alternatives"} if either or products > 1 else set()
        wanted = sorted({linked.get(name, name) for name in names | joined})
        first = wanted[0]
        for name in wanted[1:]:
            groups[first] = sorted(groups.get(first, []) + groups.pop(name, []))
            linked = {key: first if value == name else value for key, value in linked.items()}
        linked.update(dict.fromkeys((*wanted, *names, *joined), first))
        groups[first] = sorted([*groups.get(first, []), position])
    return list(groups.values())


class _Noted(dict[str, Observation]):
    """Readings of a snapshot, made as they are asked for; it notes which were."""

    def __init__(self, make: Callable[[str], Observation | None]) -> None:
        super().__init__()
        self._make = make
        self.noted: dict[str, None] = {}

    def get(self, name: str, default: Any = None) -> Any:
        """The observation of ``name``; ``default`` where the snapshot has none."""
        self.noted[name] = None
        if name not in self:
            made = self._make(name)
            if made is None:
                return default
            self[name] = made
        return self[name]


class _Node:
    """A reading that was looked at, and what came of it by what it showed."""

    __slots__ = ("after", "key", "name")

    def __init__(self, name: str, key: Key) -> None:
        self.name = name
        self.key = key
        self.after: dict[Hashable, _Node | str] = {}


class _Part:
    """Questions that are judged together, and what came of them on PCs seen before."""

    __slots__ = ("positions", "questions", "start")

    def __init__(self, positions: Sequence[int], together: Sequence[Question]) -> None:
        self.positions = positions
        self.questions = [together[one] for one in positions]
        self.start: _Node | str | None = None


class _Seen(NamedTuple):
    """One PC: its readings as the snapshot's JSON has them, and what each shows, told once."""

    readings: Mapping[str, Any]
    version: str
    told: dict[str, Hashable]


class Verdicts:
    """Judges one PC after another.

    Args:
        asked: The profiles, with what was chosen of each.
        knowledge: For what follows from observations.
    """

    def __init__(self, asked: Sequence[Asked], knowledge: Knowledge) -> None:
        self._asked = asked
        self._knowledge = knowledge
        together = questions(asked)
        self.ids = tuple(one.id for one in together)
        self._parts = [_Part(group, together) for group in _parted(together, len(asked))]
        judged = [position for part in self._parts for position in part.positions]
        order = [judged.index(position) for position in range(len(judged))]
        self._order = None if order == sorted(order) else order
        conditions = [one for each in asked for one in each.conditions]
        self._lists = _lists(conditions)
        if len(asked) > 1:
            self._lists = {name: one for name, one in self._lists.items() if not name.startswith(_SPACE)}
        self._keys: dict[str, Key] = dict(self._lists)
        if len(asked) == 1:
            self._keys |= _amounts(conditions) | _names(conditions)

    def of(self, readings: Mapping[str, Any], version: str = "") -> str:
        """The verdicts of one PC.

        Args:
            readings: As the snapshot's JSON has them.
            version: Of the tool that took them.

        Returns:
            A letter of ``CODES`` for each of ``ids``.
        """
        seen = _Seen(readings, version, {})
        told = seen.told
        found = []
        for part in self._parts:
            node = part.start
            while node.__class__ is _Node:
                name = node.name
                if name not in told:
                    told[name] = node.key(readings.get(name, _MISSING))
                node = node.after.get(told[name])
            found.append(node or self._judge(part, seen))
        codes = "".join(found)  # type: ignore[arg-type]
        return codes if self._order is None else "".join([codes[place] for place in self._order])

    def _node(self, name: str) -> _Node:
        return _Node(name, self._keys.get(name, _any))

    def _tell(self, seen: _Seen, name: str) -> Hashable:
        if name not in seen.told:
            seen.told[name] = self._keys.get(name, _any)(seen.readings.get(name, _MISSING))
        return seen.told[name]

    def _made(self, seen: _Seen, name: str) -> Observation | None:
        raw = seen.readings.get(name, _MISSING)
        if raw is _MISSING or CATALOGUE[name].derived:
            return None
        shortened = self._lists.get(name)
        return read_observation(shortened.without(raw) if shortened else raw, CATALOGUE[name])

    def _judge(self, part: _Part, seen: _Seen) -> str:
        noted = _Noted(lambda name: self._made(seen, name))
        readings = Readings(Snapshot("", seen.version, noted), self._knowledge)
        contexts = [Context(readings, one.parameters, one.options) for one in self._asked]
        codes = "".join(CODES[one] for one in verdicts(part.questions, contexts))
        self._keep(part, seen, tuple(noted.noted), codes)
        return codes

    def _keep(self, part: _Part, seen: _Seen, names: Sequence[str], codes: str) -> None:
        """Remember what came of it, under what each reading that was looked at shows."""
        if not names:
            part.start = codes
            return
        if part.start is None:
            part.start = self._node(names[0])
        node = part.start
        for name, following in zip(names, (*names[1:], ""), strict=True):
            assert isinstance(node, _Node) and node.name == name, "the same is looked at in the same order"
            key = self._tell(seen, name)
            if len(node.after) >= _MOST:
                node.after.clear()
            if not following:
                node.after[key] = codes
            else:
                node = node.after.setdefault(key, self._node(following))
