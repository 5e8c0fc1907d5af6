"""Concessions: permission to use a PC that does not meet a condition.

The term is ISO 9000's. A concession names the condition by its id and digest, the PC, who
permits it, why and until when. One that does not fit is reported, never applied and never
silently dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final, NamedTuple

from pcaudit.core.conditions import judge
from pcaudit.core.derive import Readings
from pcaudit.core.found_state import same_state
from pcaudit.core.least_accepted import less_than_allowed
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
        covers_unverified: It holds also where the condition cannot be verified, as long as what
            is known is what was found then, or shows what it allows.
        digest: Of the condition as it was asked.
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
    """A condition and what it came to.

    Attributes:
        id: Of the finding.
        condition: With what is asked for each of something counted in where it is on one reading.
        digest: Of what is asked here, by which a concession knows it again.
        result: What it came to; what was found ends with ``state``.
        state: Digest of what was found, where words do not say all of it.
        meta: What is said around it.
        required: What is asked, in words.
        binding: Whether it decides the outcome.
        acceptance: The concession that covers it.
        number: Of the product that asks it.
    """

    id: str
    condition: Condition
    digest: str
    result: Result
    meta: Meta
    required: str
    binding: bool
    state: str = ""
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

_ALL_ASKED: Final = "the condition, a number its amount is made of or what else claims such items"


def _other_pc(concession: Concession, readings: Readings) -> str:
    """Why a concession is not for this PC; empty where it is."""
    for name in ("serial_number", "host_name"):
        seen = readings.get(f"computer.{name}")
        if seen.form is Form.KNOWN:
            same = fold(seen.value) == fold(concession.pc)
            return "" if same else f"it is for the PC {concession.pc}, and this is {seen.value}"
    return f"it is for the PC {concession.pc}, and this PC cannot be told: neither serial number nor name"


def _meaningless(condition: Scalar, readings: Readings) -> bool:
    """Whether the reading means something else on this PC than what is allowed."""
    return any(judge(guard, readings.get(guard.name)).truth is not Truth.TRUE for guard in condition.guards)


def _not_allowed(concession: Concession, judged: Judged, readings: Readings) -> str:
    """Why what was found is less than the concession allows; empty where it is not."""
    condition, result = judged.condition, judged.result
    if not isinstance(condition, Scalar):
        return "`allows` goes with a condition on one value: give `found` instead"
    if _meaningless(condition, readings):
        return f"it is about another system: {result.why}"
    seen = readings.get(condition.record.name)
    return less_than_allowed(condition.requirement, concession.allows, seen, result.found)


def _too_little(concession: Concession, judged: Judged, readings: Readings) -> str:
    """Why what was found is not what the concession accepts; empty where it is.

    What is unmet must be what it allows, else what was found then. What is unverified may be
    either: the words quoted then are what somebody agreed not to know better.
    """
    found = judged.result.found
    same = same_state(concession.found, found, judged.state)
    if same and (concession.allows is None or judged.result.verdict is Verdict.UNVERIFIED):
        return ""
    if concession.allows is not None:
        return _not_allowed(concession, judged, readings)
    return f"it accepts what was found then ({concession.found}), and now it is {found}"


def _changed(judged: Judged) -> str:
    what = "the condition" if judged.digest == judged.condition.digest else _ALL_ASKED
    return f"{what} has changed since it was granted (its digest is {judged.digest})"


def _objection(concession: Concession, judged: Judged, readings: Readings, on: date) -> str:
    """Why a concession is not applied to a condition; empty where it is."""
    if judged.digest != concession.digest:
        return _changed(judged)
    if other := _other_pc(concession, readings):
        return other
    if concession.until < on:
        return f"it ended on {concession.until}"
    verdict = judged.result.verdict
    if verdict is Verdict.UNVERIFIED and not concession.covers_unverified:
        return "the condition is unverified, which it does not cover"
    if verdict not in (Verdict.UNMET, Verdict.UNVERIFIED):
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
        same = [i for i in named if judged[i].digest == concession.digest] or named[:1]
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
