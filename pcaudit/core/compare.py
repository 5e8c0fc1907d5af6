"""Candidates side by side: their verdicts, what each would need to pass, and which to choose."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from math import inf
from typing import Any, Final, NamedTuple

from pcaudit.core.changes import Change, Means, Mending
from pcaudit.core.choose import Asked
from pcaudit.core.conditions import AMOUNTS, FORMS
from pcaudit.core.context import Context, resolve
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.judge_scalar import binds
from pcaudit.core.prices import show_price
from pcaudit.core.profile import ProfileSource, Scalar
from pcaudit.core.ranking import UNKNOWN, Ranking, Span, Standing, Tier, rank
from pcaudit.core.report import Finding, Report, Verdict
from pcaudit.core.snapshot import OLD_AFTER_DAYS, Form, Observation
from pcaudit.core.texts import fold
from pcaudit.core.units import NEVER
from pcaudit.core.wording import show_exact

FORMAT: Final = 1
"""Newest format of a comparison that this version writes."""

LETTERS: Final = "ABCDEFGH"
"""What candidates are called, in the order they are named."""

FEWEST: Final = 2
MOST: Final = len(LETTERS)
"""How many candidates can be compared."""

_YEAR: Final = 365.25
"""Days of a year."""

SUPPORT: Final = "years of support"


class Headroom(NamedTuple):
    """How far a reading exceeds a minimum that binds.

    Attributes:
        id: Of the finding.
        title: Of the finding.
        least: What there is, as a multiple of what is required, at least; 0 where it is not known.
        most: The same at most; infinite where there is no telling.
        required: The minimum, in words.
        found: What there is, in words.
    """

    id: str
    title: str
    least: float
    most: float
    required: str
    found: str

    @property
    def known(self) -> bool:
        """Whether the ratio itself is known."""
        return self.least == self.most


class Support(NamedTuple):
    """How long the maker gives the operating system free security updates.

    Attributes:
        ends: Last day; empty where it is not known.
        years: From the day judged for; negative where it has ended; None where it is not known.
        why: Why it is not known.
    """

    ends: str
    years: float | None
    why: str


class Candidate(NamedTuple):
    """One PC.

    Attributes:
        letter: What it is called in the comparison.
        file: Its snapshot, as named.
        report: What it was judged to be.
        mending: What it would need to pass.
        headroom: How far it exceeds each minimum that binds, the tightest first.
        support: How long its operating system is supported.
    """

    letter: str
    file: str
    report: Report
    mending: Mending
    headroom: tuple[Headroom, ...]
    support: Support

    @property
    def name(self) -> str:
        """Its host name, else its file."""
        return self.report.computer.get("host_name") or self.file

    @property
    def price(self) -> int | None:
        """Of all its parts, in hundredths; None where one has no price."""
        prices = [part.price for part in self.mending.of(Means.PART)]
        known = [price for price in prices if price is not None]
        return sum(known) if len(known) == len(prices) else None


class Cell(NamedTuple):
    """What a condition comes to on one candidate."""

    letter: str
    verdict: Verdict
    required: str
    found: str
    why: str


class Row(NamedTuple):
    """One condition on every candidate.

    Attributes:
        id: Of the finding.
        title, group: Of the finding.
        binding: Whether it decides the outcome.
        required: What is asked; of the first candidate, where it differs.
        cells: In the order of the candidates.
    """

    id: str
    title: str
    group: str
    binding: bool
    required: str
    cells: tuple[Cell, ...]

    @property
    def alike(self) -> bool:
        """Whether it comes to the same on every candidate."""
        return len({cell.verdict for cell in self.cells}) == 1


class Comparison(NamedTuple):
    """Everything one comparison says.

    Attributes:
        candidates: In the order they were named.
        rows: Every condition, in the order the profiles are written.
        ranking: Which candidate is the better choice.
        notes: What a reader must know of the candidates.
        currency: Of the prices; empty where no prices were given.
    """

    on: date
    as_of: date
    tool_version: str
    profiles: tuple[ProfileSource, ...]
    options: tuple[str, ...]
    parameters: dict[str, int | float]
    candidates: tuple[Candidate, ...]
    rows: tuple[Row, ...]
    ranking: Ranking
    notes: tuple[str, ...]
    currency: str

    def differing(self) -> list[Row]:
        """Rows that do not come to the same on every candidate."""
        return [row for row in self.rows if not row.alike]

    def alike(self) -> list[Row]:
        """Rows that do."""
        return [row for row in self.rows if row.alike]


class Entry(NamedTuple):
    """One PC to compare: its snapshot's name, what it was judged to be, and what it needs."""

    file: str
    report: Report
    mending: Mending


# -- headroom and support


def _span(seen: Observation, minimum: float, satisfied_by_absence: bool) -> Span:
    if seen.form is Form.ABSENT:
        return (inf, inf) if satisfied_by_absence else (0.0, 0.0)
    if seen.form is Form.UNKNOWN:
        return 0.0, inf
    ratio = inf if seen.value == NEVER else seen.value / minimum
    return (ratio, inf) if seen.form is Form.AT_LEAST else (ratio, ratio)


def _one(condition: Scalar, context: Context, finding: Finding) -> Headroom | None:
    requirement = resolve(condition.requirement, context)
    minimums = [
        test.operand
        for test in requirement.required
        if test.form is FORMS["minimum"] and isinstance(test.operand, int | float) and test.operand > 0
    ]
    if not minimums or requirement.spec.type not in AMOUNTS or not binds(condition):
        return None
    seen = context.get(condition.record.name)
    least, most = _span(seen, max(minimums), requirement.absent.value == "satisfies")
    if requirement.unsettled:
        least = 0.0
    return Headroom(
        finding.id, finding.title, least, most, show_exact(max(minimums), requirement.spec), finding.found
    )


def headroom(asked: Sequence[Asked], readings: Readings, findings: Sequence[Finding]) -> tuple[Headroom, ...]:
    """How far a PC exceeds each minimum that binds, the tightest first.

    Where several minimums are asked of one reading the highest counts.
    """
    by_id = {finding.id: finding for finding in findings}
    found: dict[str, Headroom] = {}
    for each in asked:
        context = Context(readings, each.parameters, each.options)
        for condition in each.conditions:
            finding = by_id.get(condition.id)
            if not isinstance(condition, Scalar) or finding is None:
                continue
            if finding.verdict is Verdict.NOT_APPLICABLE:
                continue
            one = _one(condition, context, finding)
            if one and (one.id not in found or one.most < found[one.id].most):
                found[one.id] = one
    return tuple(sorted(found.values(), key=lambda one: one.least))


def support(readings: Readings, on: date) -> Support:
    """How long a PC's operating system is supported, counted from the day judged for."""
    seen = readings.get("os.support_ends")
    if seen.form is not Form.KNOWN:
        return Support("", None, seen.why)
    ends = date.fromisoformat(seen.value[:10])
    return Support(ends.isoformat(), (ends - on).days / _YEAR, "")


# -- where each stands


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def price_words(changes: Sequence[Change], currency: str) -> str:
    """What parts cost together, those without a price counted: "60.00 EUR, and 1 part without a price"."""
    known = [part.price for part in changes if part.price is not None]
    blank = len(changes) - len(known)
    if not currency or not changes:
        return ""
    if not known:
        return "no price" if blank == 1 else f"{blank} parts without a price"
    text = show_price(sum(known), currency)
    return f"{text}, and {_counted(blank, 'part')} without a price" if blank else text


def needs_words(mending: Mending, currency: str) -> str:
    """The changes, counted: "6 settings and 2 parts (145.00 EUR)"."""
    settings, parts = mending.of(Means.SETTING), mending.of(Means.PART)
    texts = [_counted(len(settings), "setting")] if settings else []
    if parts:
        price = price_words(parts, currency)
        texts.append(_counted(len(parts), "part") + (f" ({price})" if price else ""))
    return " and ".join(texts)


def says(candidate: Candidate, currency: str) -> str:
    """How a candidate stands, in words that follow its letter: "passes after 2 settings"."""
    mending = candidate.mending
    needs = needs_words(mending, currency)
    if mending.left:
        titles = [one.title for one in mending.left]
        more = f" and {len(titles) - 2} more" if len(titles) > 2 else ""
        return f"cannot be mended here: {', '.join(titles[:2])}{more}"
    if mending.unread:
        unread = f"is not known to pass: {_counted(len(mending.unread), 'condition')} cannot be known"
        return f"{unread}, and it needs {needs}" if needs else unread
    return f"passes after {needs}" if needs else "is ready as it is"


def _best(mending: Mending) -> Tier:
    if mending.left:
        return Tier.NEVER
    if mending.of(Means.PART):
        return Tier.PARTS
    return Tier.SETTINGS if mending.changes else Tier.READY


def standing(candidate: Candidate) -> Standing:
    """Where a candidate stands in the ranking."""
    mending = candidate.mending
    best = _best(mending)
    years = candidate.support.years
    titles = [one.title for one in candidate.headroom]
    measures: dict[str, Span] = {
        one.title if titles.count(one.title) == 1 else f"{one.title} ({one.id})": (one.least, one.most)
        for one in candidate.headroom
    }
    measures[SUPPORT] = UNKNOWN if years is None else (years, years)
    return Standing(
        letter=candidate.letter,
        best=best,
        worst=Tier.NEVER if mending.unread else best,
        parts=len(mending.of(Means.PART)),
        price=candidate.price,
        measures=measures,
    )


# -- notes


def _same_pc(candidates: Sequence[Candidate]) -> list[str]:
    notes = []
    for index, first in enumerate(candidates):
        for second in candidates[index + 1 :]:
            mine, others = first.report.computer, second.report.computer
            pair = f"{first.letter} and {second.letter}"
            serials = [one.get("serial_number") for one in (mine, others)]
            hosts = [one.get("host_name") for one in (mine, others)]
            if serials[0] and serials[1]:
                if fold(serials[0]) == fold(serials[1]):
                    notes.append(f"{pair} are the same PC: serial number {serials[0]}")
            elif hosts[0] and hosts[1] and fold(hosts[0]) == fold(hosts[1]):
                notes.append(
                    f"{pair} may be the same PC: host name {hosts[0]}, and not both serial numbers are known"
                )
    return notes


def _taken(candidate: Candidate) -> date:
    return datetime.fromisoformat(candidate.report.snapshot.taken_at).date()


def _apart(candidates: Sequence[Candidate]) -> list[str]:
    notes = []
    versions = {one.letter: one.report.snapshot.tool_version or "of unknown version" for one in candidates}
    if len(set(versions.values())) > 1:
        texts = ", ".join(f"{letter} {version}" for letter, version in versions.items())
        notes.append(
            f"the readings were taken by different versions of pcaudit ({texts}): probe all with one"
        )
    days = {one.letter: _taken(one) for one in candidates}
    span = (max(days.values()) - min(days.values())).days
    if span > OLD_AFTER_DAYS:
        texts = ", ".join(f"{letter} {day.isoformat()}" for letter, day in days.items())
        notes.append(f"the readings were taken up to {span} days apart ({texts}): probe the older ones again")
    return notes


def _warned(candidates: Sequence[Candidate]) -> list[str]:
    grouped: dict[str, list[str]] = {}
    for candidate in candidates:
        for warning in candidate.report.warnings:
            grouped.setdefault(warning, []).append(candidate.letter)
    return [f"{', '.join(letters)}: {warning}" for warning, letters in grouped.items()]


def _virtual(candidates: Sequence[Candidate]) -> list[str]:
    letters = [
        one.letter
        for one in candidates
        if one.mending.of(Means.PART) and one.report.snapshot.get("computer.virtual").value is True
    ]
    if not letters:
        return []
    return [f"{', '.join(letters)}: a virtual machine: its host gives it parts, nothing is bought for it"]


def _unfinished(candidates: Sequence[Candidate]) -> list[str]:
    letters = [one.letter for one in candidates if not one.mending.searched]
    if not letters:
        return []
    return [
        f"{', '.join(letters)}: there are more ways to mend it than were tried, so a smaller set may exist"
    ]


# -- all together


def _rows(candidates: Sequence[Candidate]) -> tuple[Row, ...]:
    findings = [{one.id: one for one in candidate.report.findings} for candidate in candidates]
    rows = []
    for first in candidates[0].report.findings:
        cells = []
        for candidate, by_id in zip(candidates, findings, strict=True):
            one = by_id[first.id]
            cells.append(Cell(candidate.letter, one.verdict, one.required, one.found, one.why))
        binding = any(by_id[first.id].binding for by_id in findings)
        rows.append(Row(first.id, first.title, first.group, binding, first.required, tuple(cells)))
    return tuple(rows)


def compare(
    entries: Sequence[Entry], asked: Sequence[Asked], knowledge: Knowledge, currency: str = ""
) -> Comparison:
    """Set candidates side by side.

    Args:
        entries: From ``FEWEST`` to ``MOST`` PCs, all judged by the same profiles for the same days.
        asked: Those profiles, with what was chosen of each.
        knowledge: As they were judged with, that of operating systems too.
        currency: Of the prices; empty where there are none.

    Returns:
        The comparison. A candidate's part in it does not depend on the others, but for its letter.
    """
    assert FEWEST <= len(entries) <= MOST
    candidates = []
    for letter, (file, report, mending) in zip(LETTERS, entries, strict=False):
        readings = Readings(report.snapshot, knowledge)
        room = headroom(asked, readings, report.findings)
        candidates.append(Candidate(letter, file, report, mending, room, support(readings, report.on)))
    first = candidates[0].report
    standings = [standing(one) for one in candidates]
    notes = [note for make in (_same_pc, _apart, _warned, _virtual, _unfinished) for note in make(candidates)]
    return Comparison(
        on=first.on,
        as_of=first.as_of,
        tool_version=first.tool_version,
        profiles=first.profiles,
        options=first.options,
        parameters=first.parameters,
        candidates=tuple(candidates),
        rows=_rows(candidates),
        ranking=rank(standings, lambda price: show_price(price, currency)),
        notes=tuple(notes),
        currency=currency,
    )


# -- JSON


def _number(value: float) -> float | None:
    return None if value in (inf, -inf) else round(value, 3)


def _price(hundredths: int | None) -> float | None:
    return None if hundredths is None else hundredths / 100


def _change_mapping(change: Change) -> dict[str, Any]:
    out: dict[str, Any] = {
        "kind": change.kind.value,
        "what": change.what,
        "now": change.now,
        "to": change.to,
        "mends": list(change.mends),
        "caveat": change.caveat,
    }
    if change.kind is Means.PART:
        out |= {"part": change.part, "price": _price(change.price), "priced_as": change.priced_as}
    return out


def _candidate_mapping(candidate: Candidate, words: str) -> dict[str, Any]:
    report, mending, years = candidate.report, candidate.mending, candidate.support.years
    parts = mending.of(Means.PART)
    return {
        "letter": candidate.letter,
        "file": candidate.file,
        "computer": report.computer,
        "outcome": report.pc_outcome.value,
        "says": words,
        "taken_at": report.snapshot.taken_at,
        "tool": {"name": "pcaudit", "version": report.snapshot.tool_version},
        "not_asked": list(report.not_asked),
        "warnings": list(report.warnings),
        "changes": [_change_mapping(change) for change in mending.changes],
        "enough": mending.passes,
        "searched": mending.searched,
        "price": {
            "known": _price(sum(part.price or 0 for part in parts)),
            "parts": len(parts),
            "without_price": sum(part.price is None for part in parts),
        },
        "left": [one._asdict() for one in mending.left],
        "not_known": [one._asdict() for one in mending.unread],
        "headroom": [
            {**one._asdict(), "least": _number(one.least), "most": _number(one.most)}
            for one in candidate.headroom
        ],
        "support": {**candidate.support._asdict(), "years": None if years is None else round(years, 2)},
    }


def _row_mapping(row: Row) -> dict[str, Any]:
    out = row._asdict()
    out["cells"] = {
        cell.letter: {
            "verdict": cell.verdict.value,
            "required": cell.required,
            "found": cell.found,
            "why": cell.why,
        }
        for cell in row.cells
    }
    return {**out, "alike": row.alike}


def comparison_mapping(comparison: Comparison) -> dict[str, Any]:
    """The JSON form of a comparison, ready to write."""
    ranking = comparison.ranking
    return {
        "kind": "compare",
        "format": FORMAT,
        "on": comparison.on.isoformat(),
        "as_of": comparison.as_of.isoformat(),
        "tool": {"name": "pcaudit", "version": comparison.tool_version},
        "profiles": [profile._asdict() for profile in comparison.profiles],
        "options": list(comparison.options),
        "parameters": comparison.parameters,
        "currency": comparison.currency or None,
        "notes": list(comparison.notes),
        "candidates": [
            _candidate_mapping(one, says(one, comparison.currency)) for one in comparison.candidates
        ],
        "rows": [_row_mapping(row) for row in comparison.rows],
        "ranking": {
            "places": [one._asdict() for one in ranking.places],
            "orders": [one._asdict() for one in ranking.orders],
            "no_orders": [one._asdict() for one in ranking.no_orders],
        },
    }
