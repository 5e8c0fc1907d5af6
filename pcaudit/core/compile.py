"""Compiling profiles: from what a person wrote to conditions that can be judged.

One pass over the parsed document gathers every mistake of meaning.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from pcaudit.core.catalogue import CATALOGUE, GROUPS, Reading, Type
from pcaudit.core.compile_parameter import ParameterReader, read_parameter
from pcaudit.core.compile_requirement import MEASURED_KEYS, WORDS, Names, needed
from pcaudit.core.conditions import Requirement
from pcaudit.core.lead_time import LEAD_TIME
from pcaudit.core.places import Path, dotted
from pcaudit.core.profile import (
    ALWAYS,
    Alternative,
    AnyOf,
    Condition,
    Items,
    Meta,
    Option,
    Profile,
    ProfileSource,
    Scalar,
    WantedArrangement,
    When,
)
from pcaudit.core.texts import did_you_mean
from pcaudit.errors import Mistake, MistakesError, Place

if TYPE_CHECKING:
    from pcaudit.core.measured import Measured

FORMAT: Final = 1
"""Newest profile format this version reads."""

OWNERS: Final = ("lab", "IT", "purchasing", "facilities", "installer")
KINDS: Final = (
    "licence",
    "certificate",
    "authorisation code",
    "medium",
    "order paper",
    "credential",
    "support contract",
    "person",
    "place",
    "supply",
    "agreement",
)
NEEDED: Final = ("before the day", "on the day")

_HEAD: Final = frozenset(
    {
        "format",
        "title",
        "issued",
        "publisher",
        "contact",
        "note",
        "arrangements",
        "parameters",
        "options",
        "based_on",
    }
)
LIST_WORDS: Final = frozenset({"id", "count", "own", "advised", "when", *WORDS})
"""A list table's own words; they share the table with the items' keys, so none may be both."""

_ARRANGEMENT_KEYS: Final = (
    "id",
    "kind",
    "title",
    "because",
    "remedy",
    "owner",
    "needed",
    "lead_time",
    "when",
    *MEASURED_KEYS,
)
_ID = re.compile(r"[a-z0-9][a-z0-9._-]{0,79}", re.IGNORECASE | re.ASCII)
# Without a point, so that no option has a reading's name: `when` names both.
_OPTION = re.compile(r"[a-z0-9][a-z0-9_-]{0,79}", re.IGNORECASE | re.ASCII)


class _Reader(ParameterReader):
    """Reads one document and gathers its mistakes."""

    # -- groups

    def group(self, group: str, table: Any, path: Path, within: When = ALWAYS) -> list[Condition]:
        """The conditions of one section."""
        if not isinstance(table, Mapping):
            self.wrong(path, f"`{group}` is a section", f"write [{group}]")
            return []
        conditions: list[Condition] = []
        inside = self.meta({"when": table["when"]}, path, within).when if "when" in table else within
        for key, raw in table.items():
            if key == "any_of":
                found = self.any_of(group, raw, (*path, key), inside)
                conditions += [found] if found else []
            elif key != "when":
                conditions += self.reading(group, key, raw, table, path, inside)
        return conditions

    def reading(
        self,
        group: str,
        key: str,
        raw: Any,
        table: Mapping[str, Any],
        path: Path,
        within: When,
    ) -> list[Scalar | Items]:
        """The conditions on one reading of a table."""
        record = CATALOGUE.get(f"{group}.{key}")
        here = (*path, key)
        if record is None:
            self._unknown_reading(group, key, here)
            return []
        if record.value.type is Type.LIST:
            return self.lists(record, raw, here, within)
        if isinstance(raw, list) and raw and all(isinstance(one, Mapping) for one in raw):
            found: list[Scalar | Items] = []
            for index, one in enumerate(raw):
                found += self._scalar(record, one, table, path, (*here, index), within)
            return found
        return self._scalar(record, raw, table, path, here, within)

    def _scalar(
        self, record: Reading, raw: Any, table: Mapping[str, Any], path: Path, here: Path, within: When
    ) -> list[Scalar | Items]:
        """One condition on a reading; a reading may have several, each limited to PCs of its own."""
        before = len(self.mistakes)
        requirement = self.requirement(record.name, raw, record.value, here, record)
        guards = self._guards(record, table, path)
        if requirement:
            self.check_scheme(requirement, (*guards, requirement), here)
        written_out = raw if isinstance(raw, Mapping) else {}
        meta = self.meta(written_out, here, within)
        adds = written_out.get("adds")
        if "adds" in written_out and not isinstance(adds, bool):
            self.wrong((*here, "adds"), "`adds` is true or false", "write adds = true, without quotes")
        if requirement is None or len(self.mistakes) > before:
            return []
        asked = [written_out or {"": raw}, _pinned(record, table), _said(meta.when)]
        return [Scalar(record.name, record, requirement, guards, meta, fingerprint(record.name, asked), adds)]

    def _unknown_reading(self, group: str, key: str, path: Path) -> None:
        if key == "any_of":
            self.wrong(path, "alternatives inside an alternative", "write out each one that will do")
            return
        known = [r.name.partition(".")[2] for r in CATALOGUE.values() if r.group == group]
        elsewhere = next((name for name in CATALOGUE if name.partition(".")[2] == key), "")
        hint = (
            f"it is in another section: [{elsewhere}]" if elsewhere else did_you_mean(key, [*known, "any_of"])
        )
        self.wrong(path, f"no reading `{group}.{key}`", hint)

    def _guards(self, record: Reading, table: Mapping[str, Any], path: Path) -> tuple[Requirement, ...]:
        guards = []
        for name in needed(record, table):
            group, _, key = name.partition(".")
            here = (*path, record.name.partition(".")[2])
            raw = table.get(key)
            pinned = raw if not isinstance(raw, Mapping) else raw.get("equal", raw.get("one_of"))
            if isinstance(pinned, list) and len(pinned) == 1:
                pinned = pinned[0]
            if pinned is None or isinstance(pinned, list | Mapping) or not isinstance(pinned, str):
                self.wrong(
                    here,
                    f"`{record.name}` means nothing unless the same table sets `{key}` to one value",
                    f'add {key} = "..." beside it',
                )
                continue
            spec = CATALOGUE[f"{group}.{key}"].value
            probe = _Reader(self.file, self._place, self.names)
            guard = probe.requirement(name, pinned, spec, path, CATALOGUE[name])
            guards += [guard] if guard else []
        return tuple(guards)

    # -- alternatives

    def any_of(self, group: str, raw: Any, path: Path, within: When) -> AnyOf | None:
        """The alternatives of one section."""
        if not isinstance(raw, list) or not raw or not all(isinstance(one, Mapping) for one in raw):
            self.wrong(path, "`any_of` is a list of tables", f"write [[{group}.any_of]] for each alternative")
            return None
        before = len(self.mistakes)
        alternatives = []
        for index, table in enumerate(raw):
            here = (*path, index)
            meta = self.meta(table, here)
            if meta.advised:
                self.wrong(
                    (*here, "advised"), "one alternative cannot be advised", "say it of a condition in it"
                )
            conditions: list[Scalar | Items] = []
            for key, value in table.items():
                if key not in WORDS and key not in ("advised", "when"):
                    conditions += self.reading(group, key, value, table, here, ALWAYS)
            if not conditions and len(self.mistakes) == before:
                self.wrong(here, "an alternative that asks nothing", "write what must hold, or leave it out")
            elif conditions and not any(_binds(condition) for condition in conditions):
                self.wrong(
                    here, "an alternative that only advises is met by every PC", "require something in it"
                )
            alternatives.append(Alternative(tuple(conditions), meta))
        if len(self.mistakes) > before:
            return None
        name = f"{group}.any_of"
        digest = fingerprint(name, [raw, _said(within)])
        return AnyOf(name, group, tuple(alternatives), self._any_of_meta(alternatives, within), digest)

    def _any_of_meta(self, alternatives: list[Alternative], within: When) -> Meta:
        """The first words said in any alternative speak for all of them."""
        metas = [alternative.meta for alternative in alternatives]
        because, remedy, owner = (
            next((text for meta in metas if (text := getattr(meta, word))), "") for word in WORDS[1:]
        )
        return Meta("", because, remedy, owner, False, self.file, metas[0].line, within)

    # -- lists

    def lists(self, record: Reading, raw: Any, path: Path, within: When) -> list[Scalar | Items]:
        """The tables of one list of items."""
        if not isinstance(raw, list) or not all(isinstance(one, Mapping) for one in raw):
            self.wrong(path, f"`{record.name}` is a list of items", f"write [[{record.name}]] with an id")
            return []
        if not raw:
            self.wrong(path, "an empty list", "say what an item must be, or leave it out")
        found: list[Scalar | Items] = []
        seen: dict[str, int] = {}
        for index, table in enumerate(raw):
            here = (*path, index)
            one = self.items(record, table, here, within)
            name = table.get("id")
            if isinstance(name, str):
                if name in seen:
                    hint = f"the first is in line {seen[name]}"
                    self.wrong((*here, "id"), f"the id `{name}` is used twice in {record.name}", hint)
                seen.setdefault(name, self.line((*here, "id")))
            found += [one] if one else []
        return found

    def items(self, record: Reading, table: Mapping[str, Any], path: Path, within: When) -> Items | None:
        """One table on the items of a list."""
        before = len(self.mistakes)
        name = self._id(table, path)
        keys = []
        for key, raw in table.items():
            if key in LIST_WORDS:
                continue
            if key in record.lookup and isinstance(raw, int) and record.items[key].type is Type.INTEGER:
                # The only condition that makes sense here, so the hint can be exact.
                self.wrong((*path, key), f"a bare value for `{key}`", f"write {key} = {{ equal = {raw} }}")
            elif key in record.items:
                one = self.requirement(key, raw, record.items[key], (*path, key))
                keys += [one] if one else []
            else:
                known = (*record.items, *LIST_WORDS)
                self.wrong((*path, key), f"no `{key}` in {record.name}", did_you_mean(key, sorted(known)))
        low, high, better_low, better_high = self._count(table.get("count", {"minimum": 1}), path)
        own = table.get("own", True)
        if not isinstance(own, bool):
            self.wrong((*path, "own"), "`own` is true or false", "write own = false, without quotes")
        for key in record.lookup:
            if key not in table:
                self.wrong(path, f"{record.name} needs `{key}`", "it names what is to be asked")
            elif not _one_value(table[key]):
                self.wrong(
                    (*path, key), f"`{key}` names what is to be asked", "write one value, not a condition"
                )
        meta = self.meta(table, path, within)
        if high is not None and not meta.advised:
            self._only_required(keys, path)
        if len(self.mistakes) > before:
            return None
        claims = record.exclusive and own and low is not None
        digest = fingerprint(f"{record.name}[{name}]", [table, _said(within)])
        if meta.advised:
            keys = [key._replace(required=(), advised=key.required + key.advised) for key in keys]
            better_low = low if better_low is None else better_low
            better_high = high if better_high is None else better_high
            low = high = None
        return Items(
            f"{record.name}[{name}]",
            record,
            tuple(keys),
            low,
            high,
            better_low,
            better_high,
            claims,
            meta,
            digest,
        )

    def _only_required(self, keys: Sequence[Requirement], path: Path) -> None:
        """A key that only advises would make more items count against a maximum, not fewer."""
        for key in keys:
            if key.advised:
                self.wrong(
                    (*path, key.name),
                    f"`{key.name}` advises or recommends in a table with a maximum",
                    "require it, or write a table of its own with advised = true",
                )

    def _id(self, table: Mapping[str, Any], path: Path) -> str:
        name = table.get("id")
        if not isinstance(name, str) or not _ID.fullmatch(name):
            here = (*path, "id") if "id" in table else path
            self.wrong(
                here,
                "every table of a list has an `id`" if name is None else f"{name!r:.60} cannot be an id",
                'letters, digits, - _ and . such as id = "instrument-port"',
            )
            return ""
        return name

    def _count(self, raw: Any, path: Path) -> tuple[int | None, int | None, int | None, int | None]:
        here = (*path, "count")
        nothing = (1, None, None, None)
        if raw == 0 and isinstance(raw, int) and not isinstance(raw, bool):
            return None, 0, None, None
        if not isinstance(raw, Mapping):
            self.wrong(here, "`count` is 0 or a table", "write count = { minimum = 2 }, { maximum = 1 } or 0")
            return nothing
        before = len(self.mistakes)
        for key, value in raw.items():
            if key not in ("minimum", "maximum", "equal", "recommended"):
                known = ("minimum", "maximum", "equal", "recommended")
                self.wrong((*here, key), f"unknown key `{key}`", did_you_mean(key, known))
            elif not isinstance(value, int) or isinstance(value, bool) or value < 0:
                hint = f"write {key} = 2, without quotes"
                self.wrong((*here, key), f"`{key}` is a whole number from 0 up", hint)
        if len(self.mistakes) > before:
            return nothing
        low, high = raw.get("minimum"), raw.get("maximum")
        if "equal" in raw:
            if len(raw) > 1:
                self.wrong(here, "`equal` stands alone", "leave out the other bounds")
                return nothing
            low = high = raw["equal"]
        return self._count_bounds(low or None, high, raw.get("recommended"), here)

    def _count_bounds(
        self, low: int | None, high: int | None, better: int | None, path: Path
    ) -> tuple[int | None, int | None, int | None, int | None]:
        if low is None and high is None:
            if better is None:
                self.wrong(path, "a count that asks nothing", "leave it out for one or more items")
            else:
                hint = "write minimum = 1 beside it"
                self.wrong(path, "`recommended` goes with exactly one of `minimum` and `maximum`", hint)
            return low, high, None, None
        if low is not None and high is not None and low > high:
            self.wrong(path, "the minimum is above the maximum", "no PC could meet both")
        if better is None:
            return low, high, None, None
        if low is not None and high is not None:
            hint = "leave one of them out"
            self.wrong(path, "`recommended` goes with exactly one of `minimum` and `maximum`", hint)
        elif (low is not None and better < low) or (high is not None and better > high):
            hint = "recommend what goes further, or leave it out"
            self.wrong(path, "what is recommended is looser than what is required", hint)
        return low, high, better if high is None else None, better if low is None else None

    # -- arrangements

    def arrangements(self, raw: Any, path: Path) -> list[WantedArrangement]:
        """What people must have ready."""
        if not isinstance(raw, list) or not raw or not all(isinstance(one, Mapping) for one in raw):
            self.wrong(path, "`arrangements` is a list of tables", "write [[arrangements]] for each")
            return []
        found: list[WantedArrangement] = []
        for index, table in enumerate(raw):
            here = (*path, index)
            one = self._arrangement(table, here)
            first = next((i for i, other in enumerate(found) if one.id and other.id == one.id), None)
            if first is not None:
                hint = f"the first is in line {self.line((*path, first, 'id'))}"
                self.wrong((*here, "id"), f"the id `{one.id}` is used twice in arrangements", hint)
            found.append(one)
        return found

    def _arrangement(self, table: Mapping[str, Any], path: Path) -> WantedArrangement:
        for key in table:
            if key not in _ARRANGEMENT_KEYS:
                self.wrong((*path, key), f"unknown key `{key}`", did_you_mean(key, _ARRANGEMENT_KEYS))
        meta = self.meta(table, path)
        kind = self.text(table, path, "kind")
        if "kind" not in table:
            self.wrong(path, "an arrangement has a `kind`", did_you_mean("", KINDS))
        elif kind and kind not in KINDS:  # what is no text was told already
            message = f"{kind!r:.60} is no kind of arrangement"
            self.wrong((*path, "kind"), message, did_you_mean(kind, KINDS))
        if "title" not in table:
            self.wrong(path, "an arrangement has a `title`", "say what must be ready")
        needed = self.text(table, path, "needed") or NEEDED[0]
        if needed not in NEEDED:
            self.wrong((*path, "needed"), f"{needed!r:.60} is no time", did_you_mean(needed, NEEDED))
        lead = self.text(table, path, "lead_time")
        if lead and not LEAD_TIME.fullmatch(lead):
            self.wrong((*path, "lead_time"), f"{lead!r:.60} is no lead time", 'write "10 working days"')
        name = self._id(table, path)
        return WantedArrangement(name, kind, needed, lead, meta, self._measured(table, path))

    def _measured(self, table: Mapping[str, Any], path: Path) -> Measured | None:
        if not any(key in table for key in MEASURED_KEYS):
            return None
        from pcaudit.core.compile_measured import read_measured  # most profiles have nothing measured

        return read_measured(self, table, path)

    # -- parameters and options

    def options(self, raw: Any) -> list[Option]:
        """What holds only where the lab chooses it."""
        path: Path = ("options",)
        if not isinstance(raw, Mapping):
            self.wrong(path, "`options` is a section", "write [options.NAME.memory.installed]")
            return []
        found = [self._option(name, table, (*path, name)) for name, table in raw.items()]
        for one in found:
            if not one.conditions and not one.arrangements and one.name not in self.limited_by:
                self._asks_nothing(one.name, (*path, one.name))
        return found

    def _asks_nothing(self, name: str, path: Path) -> None:
        # Where something in it is wrong, that is the mistake.
        inside = f"{dotted(path)}."
        if not any(f"{mistake.key}.".startswith(inside) for mistake in self.mistakes):
            hint = f"write [options.{name}.memory.installed], or name it in a `when` of this file"
            self.wrong(path, "an option that asks nothing", hint)

    def _option(self, name: str, table: Any, path: Path) -> Option:
        conditions: list[Condition] = []
        arrangements: list[WantedArrangement] = []
        if not isinstance(table, Mapping):
            self.wrong(path, "an option is a section", f"write [options.{name}.memory.installed]")
            table = {}
        if not _OPTION.fullmatch(name):
            self.wrong(path, f"{name!r:.60} cannot be the name of an option", "letters, digits, - and _")
        for key, value in table.items():
            here = (*path, key)
            if key in GROUPS:
                conditions += self.group(key, value, here)
            elif key == "arrangements":
                arrangements += self.arrangements(value, here)
            elif key != "title":
                self.wrong(
                    here, f"unknown section `{key}`", did_you_mean(key, [*GROUPS, "arrangements", "title"])
                )
        title = self.text(table, path, "title")
        return Option(name, title, tuple(conditions), tuple(arrangements), self.file, self.line(path))

    # -- the whole

    def head(self, data: Mapping[str, Any]) -> str:
        """Check format and title; the title."""
        form = data.get("format")
        if "format" not in data:
            self.wrong((), "a profile begins with its format", f"write format = {FORMAT} as its first line")
        elif not isinstance(form, int) or isinstance(form, bool) or form < 1:
            self.wrong(("format",), "the format is a number from 1 up", f"write format = {FORMAT}")
        elif form > FORMAT:
            hint = f"this version of pcaudit reads up to format {FORMAT}: use a newer one"
            self.wrong(("format",), f"profile format {form} is newer than this version", hint)
        if "title" not in data:
            self.wrong((), "a profile has a title", 'write title = "..." near its top')
        if not isinstance(data.get("issued", date.min), date):
            self.wrong(("issued",), "`issued` is a date", "write issued = 2026-10-01, without quotes")
        for key in ("publisher", "contact", "note"):
            self.text(data, (), key)
        return self.text(data, (), "title")


def _one_value(raw: Any) -> bool:
    """Whether a condition names one value and asks nothing else."""
    if isinstance(raw, Mapping):
        if set(raw) != {"equal"}:
            return False
        raw = raw["equal"]
    return not isinstance(raw, list) or len(raw) == 1


def _binds(condition: Scalar | Items) -> bool:
    return (
        bool(condition.requirement.required) if isinstance(condition, Scalar) else not condition.meta.advised
    )


def fingerprint(name: str, asked: Any) -> str:
    """A short digest of what is asked, without the words around it.

    It is the first 16 hexadecimal digits of a SHA-256; a concession quotes it.
    """
    from hashlib import sha256

    def bare(value: Any) -> Any:
        if isinstance(value, Mapping):
            return {k: bare(v) for k, v in value.items() if k not in WORDS}
        return [bare(v) for v in value] if isinstance(value, list) else value

    text = json.dumps([name, bare(asked)], sort_keys=True, default=str)
    return sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:16]


def _pinned(record: Reading, table: Mapping[str, Any]) -> dict[str, Any]:
    """What the same table says of readings without which this one means nothing."""
    return {name: table.get(name.partition(".")[2]) for name in needed(record, table)}


def _said(when: When) -> str:
    """What a table is limited to, for its fingerprint; empty where it is to nothing."""
    if when == ALWAYS:
        return ""
    tests = [(r.name, t.form.key, t.operand) for r in when.requirements for t in r.required]
    return repr((tests, when.options))


def compile_profile(
    data: Mapping[str, Any],
    *,
    path: str,
    place: Callable[[Path], Place],
    sha256: str = "",
    text: str = "",
    bases: Sequence[Profile] = (),
) -> Profile:
    """Make a profile of a parsed document.

    Args:
        data: The document as ``tomllib`` gives it.
        path: Its file name as the person gave it.
        place: Finds the place of a key in the file.
        sha256: Digest of the file.
        text: The file's text.
        bases: What it is based on, compiled, in the order it names them.

    Returns:
        The profile with everything it is based on, ready to evaluate.

    Raises:
        MistakesError: Every mistake of meaning in it, at once.
    """
    reader = _Reader(path, place, _names(data, bases))
    title = reader.head(data)
    parameters = reader.parameters(data.get("parameters", {}), bases)
    conditions: list[Condition] = []
    for key, table in data.items():
        if key in GROUPS:
            conditions += reader.group(key, table, (key,))
        elif key not in _HEAD:
            reader.wrong((key,), f"unknown section `{key}`", did_you_mean(key, [*GROUPS, *sorted(_HEAD)]))
    arrangements = (
        reader.arrangements(data["arrangements"], ("arrangements",)) if "arrangements" in data else []
    )
    options = reader.options(data["options"]) if "options" in data else []
    if not (conditions or bases or any(o.conditions for o in options) or reader.mistakes):
        reader.wrong((), "a profile without any condition", "add a section such as [memory.installed]")
    if reader.mistakes:
        raise MistakesError(path, sorted(reader.mistakes, key=_position))
    below = _distinct(bases)
    return Profile(
        title=title,
        path=path,
        sources=(*below.sources, ProfileSource(title, path, sha256, text)),
        conditions=(*below.conditions, *conditions),
        arrangements=_overlaid(below.arrangements, arrangements),
        options=(*below.options, *options),
        parameters={**below.parameters, **parameters},
    )


def _names(data: Mapping[str, Any], bases: Sequence[Profile]) -> Names:
    """Parameters and options that tables may refer to, before they are read closely."""
    own, options = data.get("parameters", {}), data.get("options", {})
    declared = (
        {name: read_parameter(name, raw, "", 0) for name, raw in own.items()}
        if isinstance(own, Mapping)
        else {}
    )
    known = {name: one for base in bases for name, one in base.parameters.items()}
    named = {option.name for base in bases for option in base.options}
    return Names(
        {**known, **declared}, frozenset(named | (set(options) if isinstance(options, Mapping) else set()))
    )


def _distinct(bases: Sequence[Profile]) -> Profile:
    """Several bases as one; what two of them share (a base of both) counts once."""
    sources = {source.path: source for base in bases for source in base.sources}
    return Profile(
        title="",
        path="",
        sources=tuple(sources.values()),
        conditions=tuple({(c.meta.profile, c.id): c for b in bases for c in b.conditions}.values()),
        arrangements=tuple({a.id: a for b in bases for a in b.arrangements}.values()),
        options=tuple({(o.profile, o.name): o for b in bases for o in b.options}.values()),
        parameters={name: one for b in bases for name, one in b.parameters.items()},
    )


def _overlaid(
    below: tuple[WantedArrangement, ...], own: Sequence[WantedArrangement]
) -> tuple[WantedArrangement, ...]:
    """Arrangements of a base and of what is built on it: the same id is the same thing, said last."""
    return tuple({one.id: one for one in (*below, *own)}.values())


def _position(mistake: Mistake) -> tuple[int, int]:
    return (mistake.place.line, mistake.place.column) if mistake.place else (0, 0)
