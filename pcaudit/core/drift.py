"""Drift: what changed on a PC since its report was kept, reading by reading, and what that turned.

The word is the VIM's (JCGM 200:2012, 4.21, instrumental drift): a change over time that is due to
neither the thing measured nor an influence already known. Here the PC is the instrument.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from enum import Enum
from typing import Any, Final, NamedTuple

from pcaudit.core.catalogue import CATALOGUE, Reading, Type
from pcaudit.core.derive import Readings
from pcaudit.core.drift_days import run_out
from pcaudit.core.drift_items import Item, ItemChange, compare_items, same_value
from pcaudit.core.kept_report import KeptReport
from pcaudit.core.outcome_words import conceded
from pcaudit.core.pseudonyms import WHY, is_redacted
from pcaudit.core.report import Finding, Outcome, Report, Verdict
from pcaudit.core.snapshot import Form, Observation, Snapshot, unknown
from pcaudit.core.texts import fold

FORMAT: Final = 1
"""Newest format of a drift in JSON that this version writes."""

# A kernel keeps a little more or less for itself from start to start. Common practice, no source.
_JITTER: Final = {"memory.usable": 0.01}


_REDACTED: Final = "a pseudonym stands for it"


class SamePc(Enum):
    """Whether two snapshots are of one PC."""

    SAME = "same"
    ANOTHER = "another"
    NOT_KNOWN = "not known"


class Change(NamedTuple):
    """One difference between the readings.

    Attributes:
        record: The reading.
        then, now: The values; None where the thing, or the item, does not exist.
        item: The item of a list that it is about, as it is now, or was.
        key: What of the item changed; empty where the whole item is gone or new.
        volatile: It changes by itself, and is no drift.
        bounds: Whether ``then`` and ``now`` are only lower bounds.
    """

    record: Reading
    then: Any
    now: Any
    item: Item | None
    key: str
    volatile: bool
    bounds: tuple[bool, bool] = (False, False)

    @property
    def counts(self) -> bool:
        """Whether it is drift: not by itself, and not only because another reading changed."""
        return not self.volatile and not self.record.derived


class Open(NamedTuple):
    """A reading of which nobody can say whether it changed.

    Attributes:
        record: The reading.
        item, key: As in ``Change``.
        side: "then", "now" or "both": when it was not known.
        why: Why not.
        then, now: What is known of it.
    """

    record: Reading
    item: Item | None
    key: str
    side: str
    why: str
    then: Any = None
    now: Any = None


class Turned(NamedTuple):
    """A verdict that is another one now.

    ``by_readings`` says that the record's own readings still give the verdict it holds, so that
    only what changed on the PC can have turned it; else the day judged for, the knowledge or the
    version of pcaudit has a part in it. ``then`` or ``now`` is None where the condition is not
    judged on that side.
    """

    id: str
    title: str
    binding: bool
    required: str
    then: Verdict | None
    now: Verdict | None
    found_then: str
    found_now: str
    why: str
    remedy: str
    owner: str
    by_readings: bool


class Held(NamedTuple):
    """The record that a PC is held against: its file, digest, and who entered it and when."""

    name: str
    digest: str
    by: str
    meaning: str
    at: str


class Drift(NamedTuple):
    """What changed since a record.

    Attributes:
        held: The record.
        titles: Of the profiles it was judged by.
        then, now: The snapshots.
        on, as_of: Day judged for, day counted from.
        same_pc: Whether it is the same PC, and by what that is known.
        changes: What changed, volatile readings too.
        open: What cannot be compared.
        turned: Verdicts that turned.
        outcome_then, outcome_now: Of the PC.
        conceded: How many findings were accepted by a concession then, and are now.
        notes: What a reader must know besides.
    """

    held: Held
    titles: tuple[str, ...]
    then: Snapshot
    now: Snapshot
    on: date
    as_of: date
    same_pc: SamePc
    pc_words: str
    changes: tuple[Change, ...]
    open: tuple[Open, ...]
    turned: tuple[Turned, ...]
    outcome_then: Outcome
    outcome_now: Outcome
    notes: tuple[str, ...]
    conceded: tuple[int, int] = (0, 0)

    @property
    def drifted(self) -> bool:
        """A reading that is not volatile changed, or a verdict turned."""
        return bool(self.turned) or any(change.counts for change in self.changes)


# -- which PC


def _shown(snapshot: Snapshot, name: str) -> Observation:
    """A reading; unknown where a pseudonym stands for it."""
    seen = snapshot.get(name)
    return unknown(WHY) if is_redacted(seen.value) else seen


def which_pc(then: Snapshot, now: Snapshot) -> tuple[SamePc, str]:
    """Whether two snapshots are of one PC, and by what that is known, in words.

    Serial numbers tell; host names, which people change and reuse, only hint.
    """
    old, new = (_shown(one, "computer.serial_number") for one in (then, now))
    if old.form is new.form is Form.KNOWN:
        if fold(old.value) == fold(new.value):
            return SamePc.SAME, f"serial number {new.value}"
        return SamePc.ANOTHER, f"the record is of serial number {old.value}, and this is {new.value}"
    missing = (
        "neither shows"
        if old.form is not Form.KNOWN and new.form is not Form.KNOWN
        else ("the record does not show" if old.form is not Form.KNOWN else "these readings do not show")
    )
    names = [_shown(one, "computer.host_name") for one in (then, now)]
    if all(name.form is Form.KNOWN for name in names):
        first, second = names[0].value, names[1].value
        same = (
            f"the host name is {second} in both"
            if fold(first) == fold(second)
            else f"{first} is now {second}"
        )
        return SamePc.NOT_KNOWN, f"{missing} a serial number; {same}"
    return SamePc.NOT_KNOWN, f"{missing} a serial number, nor a host name to compare"


# -- readings


class _Comparison:
    """Gathers what differs between two sets of readings.

    Args:
        then, now: The readings.
        same_view: Whether both were taken by one account with the same rights, so that what one
            list does not show for want of them the other does not either.
    """

    def __init__(self, then: Readings, now: Readings, same_view: bool) -> None:
        self.then, self.now, self.same_view = then, now, same_view
        self.changes: list[Change] = []
        self.open: list[Open] = []

    def reading(self, record: Reading) -> None:
        old, new = self.then.get(record.name), self.now.get(record.name)
        if record.derived:
            self.derived(record, old, new)
        elif Form.UNKNOWN in (old.form, new.form):
            self.unknown(record, old, new)
        elif Form.AT_LEAST in (old.form, new.form):
            self.bound(record, old, new)
        elif old.form is not new.form:
            # An empty list and nothing that could be listed are the same.
            if old.value or new.value or record.value.type is not Type.LIST:
                self.changed(record, old, new)
        elif record.value.type is Type.LIST:
            self.items(record, old, new)
        elif old.form is Form.KNOWN:
            self.values(record, old, new)

    def derived(self, record: Reading, old: Observation, new: Observation) -> None:
        """What follows from other readings is said where that helps; what it follows from counts."""
        if old.form is new.form is Form.KNOWN and not same_value(old.value, new.value, record.value):
            self.changed(record, old, new)

    def unknown(self, record: Reading, old: Observation, new: Observation) -> None:
        if old.form is new.form:
            side, why = "both", new.why
        else:
            side, why = ("then", old.why) if old.form is Form.UNKNOWN else ("now", new.why)
        self.open.append(Open(record, None, "", side, why, old.value, new.value))

    def bound(self, record: Reading, old: Observation, new: Observation) -> None:
        """A lower bound disproves only a value below it."""
        low, other = (old, new) if old.form is Form.AT_LEAST else (new, old)
        exact = other.value if other.form is Form.KNOWN else 0 if other.form is Form.ABSENT else None
        if isinstance(exact, str):  # never: longer than any bound
            exact = float("inf")
        if exact is not None and exact < low.value:
            self.changed(record, old, new)
            return
        both = old.form is new.form
        side = "both" if both else "then" if low is old else "now"
        why = f"only a lower bound is known: {low.why}"
        self.open.append(Open(record, None, "", side, why, old.value, new.value))

    def changed(self, record: Reading, old: Observation, new: Observation, volatile: bool = False) -> None:
        bounds = (old.form is Form.AT_LEAST, new.form is Form.AT_LEAST)
        volatile = volatile or record.volatile
        self.changes.append(Change(record, old.value, new.value, None, "", volatile, bounds))

    def values(self, record: Reading, old: Observation, new: Observation) -> None:
        if same_value(old.value, new.value, record.value):
            return
        if is_redacted(old.value) or is_redacted(new.value):
            self.open.append(Open(record, None, "", "now", _REDACTED, old.value, new.value))
            return
        if record.value.type is Type.SET and not (old.complete and new.complete) and not self.alike(old, new):
            side = "then" if not old.complete else "now"
            why = (old if side == "then" else new).why
            self.open.append(Open(record, None, "", side, why, old.value, new.value))
            return
        limit = _JITTER.get(record.name, 0)
        small = limit > 0 and abs(new.value - old.value) <= limit * old.value
        self.changed(record, old, new, volatile=small)

    def alike(self, old: Observation, new: Observation) -> bool:
        """Whether two lists leave out the same things, so that what differs did change."""
        return self.same_view and not old.complete and not new.complete and old.why == new.why

    def items(self, record: Reading, old: Observation, new: Observation) -> None:
        for one in compare_items(old.value, new.value, record):
            if one.key:
                self.item_key(record, one, old, new)
            else:
                self.whole_item(record, one, new if one.now is None else old, self.alike(old, new))

    def item_key(self, record: Reading, one: ItemChange, old: Observation, new: Observation) -> None:
        then, now = (side.get(one.key) if side else None for side in (one.then, one.now))
        if one.unknown:
            side, item, seen = ("then", one.then, old) if then is None else ("now", one.now, new)
            why = (
                _REDACTED if then is not None and now is not None else _not_of_item(item or {}, one.key, seen)
            )
            self.open.append(Open(record, one.now, one.key, side, why, then, now))
        else:
            self.changes.append(Change(record, then, now, one.now, one.key, record.volatile or one.restless))

    def whole_item(self, record: Reading, one: ItemChange, without: Observation, alike: bool) -> None:
        """An item of one list only; ``without`` is the other list, which may not show all there is."""
        item, side = (one.then, "now") if one.now is None else (one.now, "then")
        if one.unknown:
            self.open.append(Open(record, item, "", side, _REDACTED, one.then, one.now))
        elif without.complete or alike:
            self.changes.append(Change(record, one.then, one.now, item, "", record.volatile))
        else:
            why = f"not in the list, which may not be complete: {without.why}"
            self.open.append(Open(record, item, "", side, why, one.then, one.now))


def _not_of_item(item: Item, key: str, seen: Observation) -> str:
    """Why a list gives no value for a key of an item that is in it."""
    if key == "speed" and item.get("link_up") is False:
        return "no link, and without one no speed"
    if key == "gateway" and item.get("link_up") is False:
        return "no link, and without one no gateway shows"
    # Snapshots give reasons for a whole list, not for a key of one of its items.
    lead = "those readings give no value for it of this item"
    return f"{lead}: {seen.why}" if seen.why else f"{lead}, and no reason"


def _same_view(then: Snapshot, now: Snapshot) -> bool:
    for name in ("session.user", "session.elevated"):
        old, new = then.get(name), now.get(name)
        if old.form is not Form.KNOWN or old[:2] != new[:2]:
            return False
    return True


def compare(then: Readings, now: Readings, same_view: bool) -> tuple[tuple[Change, ...], tuple[Open, ...]]:
    """Compare every reading of two snapshots, in the catalogue's order.

    Args:
        then: The readings before.
        now: The readings after; in both, what follows from others follows by the same knowledge.
        same_view: Whether one account with the same rights took both.

    Returns:
        What changed, and what cannot be compared.
    """
    comparison = _Comparison(then, now, same_view)
    for record in CATALOGUE.values():
        comparison.reading(record)
    return tuple(comparison.changes), tuple(comparison.open)


# -- verdicts


def turned(kept: KeptReport, again: Sequence[Finding], now: Sequence[Finding]) -> tuple[Turned, ...]:
    """Verdicts that are others than the record's.

    Args:
        kept: What the record says.
        again: Its own readings judged now.
        now: The new readings judged now.
    """
    repeated = {finding.id: finding.verdict for finding in again}
    out = []
    for finding in now:
        before = kept.findings.get(finding.id)
        then = before.verdict if before else None
        if then is finding.verdict:
            continue
        by_readings = then is not None and repeated.get(finding.id) is then
        out.append(
            Turned(
                finding.id,
                finding.title,
                finding.binding,
                finding.required,
                then,
                finding.verdict,
                before.found if before else "",
                finding.found,
                finding.why,
                finding.remedy,
                finding.owner,
                by_readings,
            )
        )
    judged = {finding.id for finding in now}
    gone = [said for said in kept.findings.values() if said.id not in judged]
    return (*out, *(_not_judged(said.id, said.title, said) for said in gone))


def _not_judged(name: str, title: str, said: Any) -> Turned:
    why = "this version finds no such condition in the profile"
    return Turned(
        name, title, said.binding, said.required, said.verdict, None, said.found, "", why, "", "", False
    )


def _notes(kept: KeptReport, report: Report, same_view: bool, support_ends: Observation) -> tuple[str, ...]:
    lines = list(report.warnings)
    if ended := run_out(report, support_ends):
        lines.append(ended)
    versions = [one.tool_version or "unknown" for one in (kept.snapshot, report.snapshot)]
    if versions[0] != versions[1]:
        then, now = versions
        lines.append(f"taken by different versions of pcaudit: {then} then, {now} now")
    if not same_view:
        lines.append(
            "not shown to be taken by the same account with the same rights: what belongs to an account "
            "(language, locale, its own programs) may differ for that reason alone"
        )
    return tuple(lines)


def _otherwise(kept: KeptReport, again: Report) -> tuple[str, ...]:
    """A warning where this version judges the record's own readings otherwise than the record says."""
    if again.on != kept.on:  # the day alone may turn a verdict, which is said beside it
        return ()
    verdicts = {finding.id: finding.verdict for finding in again.findings}
    said = {one.id: one.verdict for one in kept.findings.values()}
    differs = [name for name in {**said, **verdicts} if said.get(name) is not verdicts.get(name)]
    if not differs:
        return ()
    what = "1 finding" if len(differs) == 1 else f"{len(differs)} findings"
    line = (
        f"the record's own readings, judged again, come to {again.pc_outcome.value}, and the record says "
        f"{kept.pc_outcome.value}: version {again.tool_version} with this knowledge judges {what} "
        f"otherwise than version {kept.tool_version} did: {', '.join(differs)}"
    )
    return (line,)


def _moment(snapshot: Snapshot) -> datetime:
    taken = datetime.fromisoformat(snapshot.taken_at)
    return taken if taken.tzinfo else taken.replace(tzinfo=UTC)


def _stale(then: Snapshot, now: Snapshot) -> tuple[str, ...]:
    """A warning where the new readings are not newer than the record's; empty where they are."""
    if _moment(now) > _moment(then):
        return ()
    if now.readings == then.readings and _moment(now) == _moment(then):
        return ("these are the record's own readings, which say nothing of the PC since: probe it again",)
    return (
        "these readings were not taken after the record's, and say nothing of the PC since: probe it again",
    )


def make_drift(
    held: Held,
    kept: KeptReport,
    again: Report,
    now: Report,
    then_readings: Readings,
    now_readings: Readings,
) -> Drift:
    """Put together what changed.

    Args:
        held: The record.
        kept: Its report.
        again: Its own readings, judged now for the day asked.
        now: The new readings, judged the same.
        then_readings: Of the record's snapshot.
        now_readings: Of the new one.
    """
    same_view = _same_view(kept.snapshot, now.snapshot)
    same_pc, words = which_pc(kept.snapshot, now.snapshot)
    changes, unclear = compare(then_readings, now_readings, same_view)
    return Drift(
        held=held,
        titles=tuple(source.title for source in kept.profiles),
        then=kept.snapshot,
        now=now.snapshot,
        on=now.on,
        as_of=now.as_of,
        same_pc=same_pc,
        pc_words=words,
        changes=changes,
        open=unclear,
        turned=turned(kept, again.findings, now.findings),
        outcome_then=kept.pc_outcome,
        outcome_now=now.pc_outcome,
        notes=(
            *_stale(kept.snapshot, now.snapshot),
            *_otherwise(kept, again),
            *_notes(kept, now, same_view, now_readings.get("os.support_ends")),
        ),
        conceded=(
            conceded(said.verdict for said in kept.findings.values()),
            conceded(finding.verdict for finding in now.findings),
        ),
    )
