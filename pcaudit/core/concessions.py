"""Concessions: permission to use a PC that does not meet a condition.

The term is ISO 9000's. A concession names the condition by its id and digest, the PC, who
permits it, why and until when. One that does not fit is reported, never applied and never
silently dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final, NamedTuple

from pcaudit.core import versions
from pcaudit.core.catalogue import Type
from pcaudit.core.conditions import FORMS, Test, WrongValueError, judge, judge_value, read_ordered
from pcaudit.core.derive import Readings
from pcaudit.core.places import Path, dotted
from pcaudit.core.profile import Condition, Meta, Scalar
from pcaudit.core.report import Acceptance, Verdict
from pcaudit.core.results import Result
from pcaudit.core.snapshot import Form
from pcaudit.core.texts import did_you_mean, fold
from pcaudit.core.truth import Truth
from pcaudit.errors import Mistake, MistakesError, Place

FORMAT: Final = 1
"""Newest format of a concessions file that this version reads."""

_TEXTS: Final = ("condition", "pc", "because", "by")
_KEYS: Final = (*_TEXTS, "until", "allows", "covers_unverified", "digest", "found")


class Concession(NamedTuple):
    """One concession.

    Attributes:
        condition: Id of the finding.
        pc: Serial number of the PC; its host name where no serial number can be read.
        because, by: Why, and who permits it.
        until: Last day it holds.
        allows: The least value accepted, as written; None for the value found when granted.
        covers_unverified: It holds also where the condition cannot be verified.
        digest: Of the condition as it was.
        found: What was found when it was granted, as the report printed it.
        file, line: Where it is written.
    """

    condition: str
    pc: str
    because: str
    by: str
    until: date
    allows: Any
    covers_unverified: bool
    digest: str
    found: str
    file: str
    line: int


class Judged(NamedTuple):
    """A condition and what it came to; ``number`` is that of the product that asks it."""

    id: str
    condition: Condition
    result: Result
    meta: Meta
    required: str
    binding: bool
    acceptance: Acceptance | None = None
    number: int = 0


class _Reader:
    def __init__(self, file: str, place: Callable[[Path], Place]) -> None:
        self.file = file
        self.place = place
        self.mistakes: list[Mistake] = []

    def wrong(self, path: Path, message: str, hint: str = "") -> None:
        self.mistakes.append(Mistake(dotted(path), message, hint, self.place(path)))

    def text(self, table: Mapping[str, Any], path: Path, key: str, needed: bool) -> str:
        value = table.get(key)
        if isinstance(value, str) and value.strip():
            return value.strip()
        if key in table:
            self.wrong((*path, key), f"`{key}` is a text", f'write {key} = "..."')
        elif needed:
            self.wrong(path, f"a concession says `{key}`", f'add {key} = "..."')
        return ""

    def one(self, table: Mapping[str, Any], path: Path) -> Concession:
        for key in table:
            if key not in _KEYS:
                self.wrong((*path, key), f"unknown key `{key}`", did_you_mean(key, _KEYS))
        texts = {key: self.text(table, path, key, needed=True) for key in (*_TEXTS, "digest")}
        found = self.text(table, path, "found", needed="allows" not in table)
        until = table.get("until")
        if not isinstance(until, date):
            where = (*path, "until") if "until" in table else path
            self.wrong(where, "a concession ends on a day", "write until = 2027-06-30, without quotes")
            until = date.min
        if isinstance(until, datetime):
            until = until.date()
        covers = table.get("covers_unverified", False)
        if not isinstance(covers, bool):
            self.wrong((*path, "covers_unverified"), "`covers_unverified` is true or false")
        return Concession(
            **texts,
            until=until,
            allows=table.get("allows"),
            covers_unverified=covers is True,
            found=found,
            file=self.file,
            line=self.place(path).line,
        )


def read_concessions(
    data: Mapping[str, Any], *, path: str, place: Callable[[Path], Place]
) -> tuple[Concession, ...]:
    """Read a parsed concessions file.

    Args:
        data: The document as ``tomllib`` gives it.
        path: Its file name as the person gave it.
        place: Finds the place of a key in the file.

    Raises:
        MistakesError: Every mistake of meaning in it, at once.
    """
    reader = _Reader(path, place)
    form = data.get("format")
    if form != FORMAT or isinstance(form, bool):
        newer = isinstance(form, int) and form > FORMAT
        message = f"format {form} is newer than this version" if newer else "the file begins with its format"
        reader.wrong(("format",), message, f"this version reads format = {FORMAT}")
    reader.text(data, (), "title", needed="title" in data)
    if "title" not in data:
        reader.wrong((), "the file has a title", 'write title = "..." near its top')
    for key in data:
        if key not in ("format", "title", "concessions"):
            reader.wrong((key,), f"unknown key `{key}`", did_you_mean(key, ("concessions", "title")))
    tables = data.get("concessions")
    if not isinstance(tables, list) or not tables or not all(isinstance(one, Mapping) for one in tables):
        reader.wrong(("concessions",), "concessions are a list of tables", "write [[concessions]] for each")
        tables = []
    found = tuple(reader.one(table, ("concessions", index)) for index, table in enumerate(tables))
    if reader.mistakes:
        raise MistakesError(path, reader.mistakes)
    return found


# -- applying


def _other_pc(concession: Concession, readings: Readings) -> str:
    """Why a concession is not for this PC; empty where it is."""
    for name in ("serial_number", "host_name"):
        seen = readings.get(f"computer.{name}")
        if seen.form is Form.KNOWN:
            same = fold(seen.value) == fold(concession.pc)
            return "" if same else f"it is for the PC {concession.pc}, and this is {seen.value}"
    return f"it is for the PC {concession.pc}, and this PC cannot be told: neither serial number nor name"


def _version_test(condition: Scalar, allows: Any) -> Test:
    """Only what is said where a range has both ends, else on from there as the condition asks."""
    ranges = [one for test in condition.requirement.required for one in test.operand]
    ends = {clause.operator[0] for one in ranges for clause in one.clauses}
    lead = {frozenset(">"): ">=", frozenset("<"): "<="}.get(frozenset(ends), "==")
    scheme = ranges[0].scheme if ranges else "dotted"
    if not isinstance(allows, str) or not allows[:1].isalnum() or "," in allows:
        raise WrongValueError('a version, such as allows = "14.2"')
    return Test(FORMS["version"], (versions.read_range(f"{lead}{allows}", scheme),))


def _as_tests(condition: Scalar, allows: Any, value: Any) -> tuple[Test, ...]:
    """What the least value accepted asks: in place of the bound missed, beside all else."""
    requirement = condition.requirement
    spec = requirement.spec
    if spec.type is Type.VERSION:
        return (_version_test(condition, allows),)
    if spec.type is Type.SET:
        raise WrongValueError("a set has no least value: give `found` instead")
    tests = (*requirement.required, *requirement.advised)
    keys = [test.form.key for test in tests] + ["minimum"] * bool(requirement.scales)
    for key in ("minimum", "maximum"):
        other = [t for t in requirement.required if t.form.key != key]
        rest = requirement._replace(required=tuple(other), advised=(), scales=(), unsettled="")
        if key in keys and judge_value(rest, value).truth is Truth.TRUE:
            return (*other, Test(FORMS[key], read_ordered(allows, spec)))
    if {"minimum", "maximum"} & set(keys):
        raise WrongValueError("it falls short of more than one bound: give `found` instead")
    return (Test(FORMS["equal"], FORMS["equal"].read(allows, spec)),)


def _meaningless(condition: Scalar, readings: Readings) -> bool:
    """Whether the reading means something else on this PC than what is allowed."""
    return any(judge(guard, readings.get(guard.name)).truth is not Truth.TRUE for guard in condition.guards)


def _too_little(concession: Concession, judged: Judged, readings: Readings) -> str:
    """Why what was found is less than the concession accepts; empty where it is not."""
    condition, result = judged.condition, judged.result
    if concession.allows is None:
        if result.found == concession.found:
            return ""
        return f"it accepts what was found then ({concession.found}), and now it is {result.found}"
    if not isinstance(condition, Scalar):
        return "`allows` goes with a condition on one value: give `found` instead"
    if result.value is None or readings.get(condition.record.name).form is not Form.KNOWN:
        return f"the value is not known: {result.found}"
    if _meaningless(condition, readings):
        return f"it is about another system: {result.why}"
    try:
        tests = _as_tests(condition, concession.allows, result.value)
    except (WrongValueError, versions.RangeError) as error:
        return f"what it allows cannot be read: {error}"
    asked = condition.requirement._replace(required=tests, advised=(), scales=(), unsettled="")
    if judge_value(asked, result.value).truth is Truth.TRUE:
        return ""
    return f"it accepts {concession.allows} at least, and this is {result.found}"


def _objection(concession: Concession, judged: Judged, readings: Readings, on: date) -> str:
    """Why a concession is not applied to a condition; empty where it is."""
    if judged.condition.digest != concession.digest:
        return f"the condition has changed since it was granted (its digest is {judged.condition.digest})"
    if other := _other_pc(concession, readings):
        return other
    if concession.until < on:
        return f"it ended on {concession.until}"
    verdict = judged.result.verdict
    if verdict is Verdict.UNVERIFIED:
        return "" if concession.covers_unverified else "the condition is unverified, which it does not cover"
    if verdict is not Verdict.UNMET:
        return f"it is not needed: the condition is {verdict.value}"
    return _too_little(concession, judged, readings)


def concede(
    judged: Sequence[Judged], concessions: Sequence[Concession], readings: Readings, on: date
) -> tuple[list[Judged], tuple[str, ...]]:
    """Apply concessions.

    Args:
        judged: Every condition and what it came to.
        concessions: In written order; where several fit, the first one counts. One covers the
            same condition of every product that asks it.
        readings: Tell which PC this is.
        on: Day judged for.

    Returns:
        The conditions, those covered now accepted; and for each concession not applied why.
    """
    out = list(judged)
    notes = []
    for concession in concessions:
        lead = f"concession for {concession.condition} ({concession.file}:{concession.line}) not applied: "
        named = [i for i, one in enumerate(judged) if one.id == concession.condition]
        same = [i for i in named if judged[i].condition.digest == concession.digest] or named[:1]
        objections = {} if same else {"no condition of that id is asked": None}
        for index in same:
            objection = _objection(concession, out[index], readings, on)
            if out[index].acceptance is not None:
                objection = "an earlier concession covers it already"
            if objection:
                objections[objection] = None
            else:
                out[index] = _accepted(out[index], concession)
        notes += [lead + objection for objection in objections]
    return out, tuple(notes)


def _accepted(judged: Judged, concession: Concession) -> Judged:
    result = judged.result
    acceptance = Acceptance(result.verdict, concession.because, concession.by, concession.until)
    return judged._replace(result=result._replace(verdict=Verdict.ACCEPTED), acceptance=acceptance)
