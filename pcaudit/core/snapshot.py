"""Snapshots: what was observed on one PC at one moment."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from enum import Enum
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, Property, Reading, Type
from pcaudit.core.units import NEVER
from pcaudit.errors import UsageError

FORMAT: Final = 1
"""Newest snapshot format this version reads and writes."""


class Form(Enum):
    """The four forms a reading takes."""

    KNOWN = "known"
    AT_LEAST = "at least"
    ABSENT = "absent"
    UNKNOWN = "unknown"


class Observation(NamedTuple):
    """What is known of one reading.

    Attributes:
        form: Known, only a lower bound, known not to exist, or unknown.
        value: The value, or the lower bound; None where there is neither.
        source: Where it was read.
        why: Why it is unknown, absent, incomplete or only a bound.
        complete: False for a list that may miss items.
    """

    form: Form
    value: Any = None
    source: str = ""
    why: str = ""
    complete: bool = True


def known(value: Any, source: str, *, missing: str = "") -> Observation:
    """A value that was read. ``missing`` says what a list may not show."""
    return Observation(Form.KNOWN, value, source, missing, not missing)


def at_least(value: int | str, source: str, why: str) -> Observation:
    """A number, or a level of a closed list, that is known only to be no lower than ``value``."""
    return Observation(Form.AT_LEAST, value, source, why)


def absent(why: str, source: str = "") -> Observation:
    """Something known not to exist."""
    return Observation(Form.ABSENT, None, source, why)


def unknown(why: str) -> Observation:
    """Something that could not be read, and why, so that a person can act on it."""
    return Observation(Form.UNKNOWN, None, "", why)


class Snapshot(NamedTuple):
    """All readings observed on one PC at one moment.

    Attributes:
        taken_at: When, RFC 3339 with an offset.
        tool_version: Version of pcaudit that took it.
        readings: By name; derived readings are never in here.
    """

    taken_at: str
    tool_version: str
    readings: dict[str, Observation]

    def get(self, name: str) -> Observation:
        """The observation of ``name``; unknown where the snapshot has none."""
        found = self.readings.get(name)
        if found is not None:
            return found
        return unknown(f"not read by {self.tool_version or 'the tool that took it'}: probe again")


_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?![0-9])")


def _shown(value: Any) -> str:
    """The beginning of a value, for a message."""
    # Python refuses to write out very long whole numbers.
    if isinstance(value, int) and value.bit_length() > 128:
        return f"a number of {value.bit_length()} bits"
    return f"{value!r:.60}"


def _range_problem(value: Any, spec: Property) -> str:
    low, high = spec.low, spec.high
    # Asked so that not-a-number, which compares as false with everything, is outside too.
    inside = (low is None or value >= low) and (high is None or value <= high) and value == value
    return "" if inside else f"{_shown(value)} is outside what is possible"


def _is_int(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _date_problem(value: str) -> str:
    # Dates are compared as text, so none but the form 2027-01-31 may pass: Python also reads
    # 20270131 and 2027-W04-7, which sort after every day of their year.
    try:
        if _DAY.match(value) and datetime.fromisoformat(value):
            return ""
    except ValueError:
        pass
    return f"{value[:60]!r} is not a date"


def _text_problem(value: Any, spec: Property) -> str:
    if not isinstance(value, str):
        return f"a text was expected, not {type(value).__name__}"
    if not value.strip():
        return "the text is empty"
    if spec.words and value not in spec.words:
        return f"{value[:60]!r} is none of: {', '.join(spec.words)}"
    return _date_problem(value) if spec.type is Type.DATE else ""


def _boolean_problem(value: Any, _spec: Property) -> str:
    return "" if isinstance(value, bool) else f"true or false was expected, not {_shown(value)}"


def _integer_problem(value: Any, spec: Property) -> str:
    return (
        _range_problem(value, spec) if _is_int(value) else f"a whole number was expected, not {_shown(value)}"
    )


def _amount_problem(value: Any, spec: Property) -> str:
    if spec.type is Type.DURATION and value == NEVER:
        return ""
    return _range_problem(value, spec) if _is_number(value) else f"a number was expected, not {_shown(value)}"


def _set_problem(value: Any, _spec: Property) -> str:
    good = isinstance(value, list) and all(isinstance(v, str) for v in value)
    return "" if good else "a list of texts was expected"


def _list_problem(value: Any, _spec: Property) -> str:
    good = isinstance(value, list) and all(isinstance(v, dict) for v in value)
    return "" if good else "a list of tables was expected"


_PROBLEMS: Final[dict[Type, Callable[[Any, Property], str]]] = {
    Type.TEXT: _text_problem,
    Type.WORD: _text_problem,
    Type.LEVEL: _text_problem,
    Type.VERSION: _text_problem,
    Type.DATE: _text_problem,
    Type.BOOLEAN: _boolean_problem,
    Type.INTEGER: _integer_problem,
    Type.NUMBER: _amount_problem,
    Type.QUANTITY: _amount_problem,
    Type.DURATION: _amount_problem,
    Type.SET: _set_problem,
    Type.LIST: _list_problem,
}


def value_problem(value: Any, spec: Property) -> str:
    """Say what is wrong with a value from outside, or return an empty text.

    A value that is wrong makes its own reading unknown, never the snapshot unreadable.
    """
    return _PROBLEMS[spec.type](value, spec)


def _clean_items(items: list[dict[str, Any]], record: Reading) -> list[dict[str, Any]]:
    """Items with every value of the wrong type made unknown (null)."""
    clean = []
    for item in items:
        copy = dict(item)
        for key, spec in record.items.items():
            value = copy.get(key)
            if value is not None and value_problem(value, spec):
                copy[key] = None
        clean.append(copy)
    return clean


_NO_REASON: Final = "the snapshot gives no reason"


def read_observation(raw: Any, record: Reading) -> Observation:
    """Make an observation of what a snapshot says of one reading.

    Args:
        raw: The parsed JSON.
        record: The reading.

    Returns:
        What is known; a value of the wrong type or range makes it unknown, with that reason.
    """
    if not isinstance(raw, dict):
        return unknown("the snapshot does not hold a table here")
    source = raw.get("source") if isinstance(raw.get("source"), str) else ""
    why = raw.get("why") if isinstance(raw.get("why"), str) else ""
    assert source is not None and why is not None
    if not isinstance(raw.get("absent", False), bool):
        return unknown("the snapshot does not say true or false of its absence")
    bounded = "at_least" in raw
    if (raw.get("absent") is True) + bounded + (raw.get("value") is not None) > 1:
        return unknown("the snapshot contradicts itself here: more than one of value, at_least and absent")
    if raw.get("absent") is True:
        return absent(why or _NO_REASON, source)
    value = raw["at_least"] if bounded else raw.get("value")
    if value is None:
        return unknown(why or "the snapshot gives neither a value nor a reason")
    spec = record.value
    if bounded and spec.type not in (Type.INTEGER, Type.NUMBER, Type.QUANTITY, Type.DURATION):
        return unknown("the snapshot gives a lower bound of something that is no number")
    problem = value_problem(value, spec)
    if problem or (bounded and value == NEVER):
        return unknown(f"the snapshot's value cannot be used: {problem or 'never is no bound'}")
    if bounded:
        return Observation(Form.AT_LEAST, value, source, why or _NO_REASON)
    if spec.type is Type.LIST:
        value = _clean_items(value, record)
    complete = raw.get("complete", True) is True
    return Observation(Form.KNOWN, value, source, why if complete else why or _NO_REASON, complete)


def from_mapping(raw: Any, file: str = "snapshot") -> Snapshot:
    """Make a snapshot from parsed JSON.

    Args:
        raw: The parsed document.
        file: Its name, for messages.

    Returns:
        The snapshot. A value of the wrong type or range makes only its own reading unknown.

    Raises:
        UsageError: Not a snapshot, or of a newer format.
    """
    if not isinstance(raw, dict) or raw.get("kind") != "snapshot":
        kind = raw.get("kind") if isinstance(raw, dict) else None
        what = f"it is a {kind}" if isinstance(kind, str) and kind else "it names no kind"
        raise UsageError(
            f"{file}: not a snapshot ({what:.80})", next_step="make one with: pcaudit probe --output FILE"
        )
    form = raw.get("format")
    if not isinstance(form, int) or isinstance(form, bool) or form < 1:
        raise UsageError(f"{file}: the snapshot's format is not a number from 1 up")
    if form > FORMAT:
        raise UsageError(
            f"{file}: snapshot format {form} is newer than this version of pcaudit reads ({FORMAT})",
            next_step="use a newer pcaudit, or probe again with this one",
        )
    readings = raw.get("readings")
    if not isinstance(readings, dict):
        raise UsageError(f"{file}: the snapshot has no table of readings")
    taken_at = raw.get("taken_at")
    if not isinstance(taken_at, str) or _date_problem(taken_at):
        raise UsageError(f"{file}: the snapshot does not say when it was taken (taken_at)")
    tool = raw.get("tool")
    version = tool.get("version") if isinstance(tool, dict) else None
    observed = {}
    for name, record in CATALOGUE.items():
        if name in readings and not record.derived:
            observed[name] = read_observation(readings[name], record)
    return Snapshot(taken_at, version if isinstance(version, str) else "", observed)


def form_of(observation: Observation) -> dict[str, Any]:
    """The JSON form of one observation."""
    form, value, source, why, complete = observation
    if form is Form.UNKNOWN:
        return {"value": None, "why": why}
    out: dict[str, Any]
    if form is Form.ABSENT:
        out = {"absent": True, "why": why}
        return {**out, "source": source} if source else out
    if form is Form.AT_LEAST:
        return {"at_least": value, "source": source, "why": why}
    out = {"value": value, "source": source}
    if not complete:
        out["complete"] = False
    if why:
        out["why"] = why
    return out


OLD_AFTER_DAYS: Final = 7
"""Age of a snapshot beyond which whoever reads of it is warned."""


def age_warnings(snapshot: Snapshot, as_of: date) -> tuple[str, ...]:
    """What must be said of when a snapshot was taken, seen from the day work counts from."""
    age = (as_of - datetime.fromisoformat(snapshot.taken_at).date()).days
    if age > OLD_AFTER_DAYS:
        return (f"the snapshot is {age} days old: probe again before relying on it",)
    if age < -1:  # one day: the PC and the reader may be in different time zones
        return (f"the snapshot was taken {-age} days after the day counted from",)
    return ()


def to_mapping(snapshot: Snapshot) -> dict[str, Any]:
    """The JSON form of a snapshot, ready to write."""
    return {
        "kind": "snapshot",
        "format": FORMAT,
        "taken_at": snapshot.taken_at,
        "tool": {"name": "pcaudit", "version": snapshot.tool_version},
        "readings": {name: form_of(o) for name, o in snapshot.readings.items()},
    }
