"""What the templates of the HTML report ask of a report."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from typing import Any, Final, NamedTuple

from pcaudit.core.actions import blocks, by_owner, effort_words, kinds_words
from pcaudit.core.catalogue import CATALOGUE, GROUPS, Reading, Type
from pcaudit.core.remedies import FALLS_SHORT
from pcaudit.core.report import Finding, Outcome, Report, Verdict
from pcaudit.core.snapshot import Form, Observation
from pcaudit.render import gauge_svg
from pcaudit.render.levels import level_of, ratio_words
from pcaudit.render.sections import actions, arrangements, backup, findings, head
from pcaudit.render.snapshot_text import ITEMS, item_words, value_words

_HOLD: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.ACCEPTED)
_TO_SCALE: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.UNMET)

MEANINGS: Final = {
    Verdict.MET: "everything asked is there",
    Verdict.MARGINAL: "what is required is there, what is recommended or advised is not",
    Verdict.UNMET: "falls short of what is required",
    Verdict.UNVERIFIED: "cannot be known from these readings; the reason stands beside it",
    Verdict.ACCEPTED: "falls short, or is not known, and a concession covers it",
    Verdict.NOT_APPLICABLE: "not asked of this PC",
}
"""What each verdict says, for the legend."""

_OUTCOME_CLASSES: Final = {
    Outcome.READY: "met",
    Outcome.NOT_READY: "unmet",
    Outcome.INCONCLUSIVE: "unverified",
}
_COMPUTER: Final = {"host_name": "Host name", "model": "Model", "serial_number": "Serial number"}


def css_class(verdict: Verdict) -> str:
    """The class that gives an element a verdict's colour."""
    return verdict.name.lower().replace("_", "-")


def outcome_class(report: Report) -> str:
    """The class that gives an element the colour of the whole report."""
    return _OUTCOME_CLASSES[report.outcome]


def gauge(finding: Finding) -> str:
    """A finding's gauge: to scale where its amounts are known."""
    level = level_of(finding)
    return gauge_svg.sign(finding.verdict) if level is None else gauge_svg.scaled(finding.verdict, level)


def ratio(finding: Finding) -> str:
    """How the amount found compares with the minimum; empty where that is not known."""
    level = level_of(finding) if finding.verdict in _TO_SCALE else None
    return "" if level is None else ratio_words(level)


def _held_unknown_short(report: Report) -> tuple[int, int, int]:
    verdicts = Counter(finding.verdict for finding in report.findings if finding.binding)
    return sum(verdicts[one] for one in _HOLD), verdicts[Verdict.UNVERIFIED], verdicts[Verdict.UNMET]


def whole_gauge(report: Report) -> str:
    """The gauge of the outcome, by the binding conditions that apply."""
    return gauge_svg.outcome(*_held_unknown_short(report))


def whole_words(report: Report) -> str:
    """The same in words: "19 of 31 binding conditions hold; 3 cannot be known, 9 fall short"."""
    held, unknown, short = _held_unknown_short(report)
    count = held + unknown + short
    if not count:
        return "No binding condition applies to this PC"
    text = f"{held} of {count} binding condition{'s' if count > 1 else ''} hold{'s' if held == 1 else ''}"
    rest = [f"{unknown} cannot be known"] if unknown else []
    rest += [f"{short} fall{'s' if short == 1 else ''} short"] if short else []
    return f"{text}; {', '.join(rest)}" if rest else text


def to_do(finding: Finding) -> bool:
    """Whether a finding stands in the list of what to do."""
    return finding.verdict in FALLS_SHORT


def short_files(report: Report) -> dict[str, str]:
    """The file of each profile without its folder, where that still tells the files apart."""
    short = {one.path: re.split(r"[/\\]", one.path)[-1] for one in report.profiles}
    names = list(short.values())
    return {path: name for path, name in short.items() if names.count(name) == 1}


def computer(report: Report) -> list[tuple[str, str]]:
    """What the PC is called, with the reason for what is not known."""
    rows = []
    for key, label in _COMPUTER.items():
        value = report.computer.get(key)
        why = report.snapshot.get(f"computer.{key}").why
        rows.append((label, value or f"unknown{f': {why}' if why else ''}"))
    return rows


def choices(report: Report) -> str:
    """Options and parameters in force: "option mass-detector; instruments = 2"."""
    options = [f"option {name}" for name in report.options]
    return "; ".join(options + [f"{name} = {value}" for name, value in report.parameters.items()])


class Row(NamedTuple):
    """A reading on the page: its name, what is known, its items one by one, and where it was read."""

    name: str
    title: str
    words: str
    items: tuple[str, ...]
    source: str
    known: bool


def _items(record: Reading, seen: Observation) -> tuple[str, ...]:
    items = seen.value if record.value.type is Type.LIST and seen.form is Form.KNOWN else None
    return tuple(item_words(item, record) for item in items) if items and len(items) <= ITEMS else ()


def readings(report: Report) -> list[tuple[str, list[Row]]]:
    """Every reading of the snapshot, by group."""
    groups: dict[str, list[Row]] = {title: [] for title in GROUPS.values()}
    for name, record in CATALOGUE.items():
        seen = report.snapshot.readings.get(name)
        if seen is not None:
            words, known = value_words(seen, record), seen.form is not Form.UNKNOWN
            row = Row(name, record.value.title, words, _items(record, seen), seen.source, known)
            groups[GROUPS[record.group]].append(row)
    return [(title, rows) for title, rows in groups.items() if rows]


FUNCTIONS: Final[dict[str, Any]] = {
    "Verdict": Verdict,
    "GROUPS": GROUPS,
    "MEANINGS": MEANINGS,
    "NO_SECRETS": arrangements.NO_SECRETS,
    "SECRETS_TITLE": arrangements.SECRETS_TITLE,
    **{
        function.__name__: function
        for function in (
            actions.found_words,
            actions.place_words,
            actions.required_words,
            arrangements.days_words,
            arrangements.measured_words,
            arrangements.secrets_first,
            arrangements.state_words,
            backup.size_words,
            blocks,
            by_owner,
            choices,
            computer,
            css_class,
            effort_words,
            findings.acceptance_words,
            findings.by_group,
            findings.profile_names,
            head.arrangements_words,
            head.counts_words,
            head.outcome_words,
            head.pc_words,
            head.statement,
            kinds_words,
            outcome_class,
            ratio,
            readings,
            to_do,
            whole_words,
        )
    },
}
"""What the templates may call, by name."""

MARKUP: Final[dict[str, Callable[..., str]]] = {"gauge": gauge, "whole": whole_gauge}
"""The same for what gives markup."""
