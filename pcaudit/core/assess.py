"""Putting a report together from a profile, a snapshot and its findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Final

from pcaudit.core.backup import outline
from pcaudit.core.choose import Asked
from pcaudit.core.context import Context, applies
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.evaluate import Evaluation
from pcaudit.core.finding import DOES_NOT_APPLY, NOT_ANSWERED, NOT_ASKED
from pcaudit.core.headroom import parameter_notes
from pcaudit.core.obstacles import CONSOLE_WORDS, ELEVATION_WORDS, needs
from pcaudit.core.profile import WantedArrangement
from pcaudit.core.report import Arrangement, Finding, Report, Verdict, WorksheetSource, outcome_of
from pcaudit.core.shared import shared_notes
from pcaudit.core.snapshot import Form, Snapshot, age_warnings
from pcaudit.core.truth import Truth

if TYPE_CHECKING:
    from pcaudit.core.plan.answered import Answered

_COMPUTER: Final = ("host_name", "model", "serial_number")


def _computer(snapshot: Snapshot) -> dict[str, str | None]:
    seen = {key: snapshot.get(f"computer.{key}") for key in _COMPUTER}
    return {key: one.value if one.form is Form.KNOWN else None for key, one in seen.items()}


def _state(one: WantedArrangement, context: Context) -> str:
    if applies(one.meta.when, context).truth is Truth.FALSE:
        return DOES_NOT_APPLY
    return NOT_ASKED


def _arrangements(asked: Sequence[Asked], readings: Readings) -> tuple[Arrangement, ...]:
    found = []
    for each in asked:
        context = Context(readings, each.parameters, each.options)
        for one in each.arrangements:
            meta = one.meta
            found.append(
                Arrangement(
                    id=one.id,
                    kind=one.kind,
                    title=meta.title,
                    because=meta.because,
                    remedy=meta.remedy,
                    owner=meta.owner or "lab",
                    needed=one.needed,
                    lead_time=one.lead_time,
                    profile=meta.profile,
                    line=meta.line,
                    state=_state(one, context),
                )
            )
    return tuple(found)


def _needing(findings: Iterable[Finding], words: tuple[str, ...]) -> list[str]:
    """Titles of binding findings that are open for a reason with one of these words in it."""
    return [
        f.title for f in findings if f.binding and f.verdict is Verdict.UNVERIFIED and needs(f.why, words)
    ]


def _counted(number: int, what: str) -> str:
    return f"1 {what}" if number == 1 else f"{number} {what}s"


def _left_out(asked: Sequence[Asked]) -> list[str]:
    """Options not chosen and parameters left at their default."""
    options: dict[str, int] = {}
    defaults: dict[str, str] = {}
    for each in asked:
        for option in each.left_out:
            options[option.name] = options.get(option.name, 0) + len(option.conditions)
        for name, value in each.parameters.items():
            if name not in each.given:
                unit = each.profile.parameters[name].unit
                defaults[name] = f"{value.value:g}{f' {unit}' if unit else ''}"
    what = "condition"
    lines = [
        f"option {name} not chosen{f' ({_counted(number, what)})' if number else ''}: --option {name}"
        for name, number in options.items()
    ]
    return lines + [
        f"parameter {name} left at its default {value}: --set {name}=NUMBER"
        for name, value in defaults.items()
    ]


def _not_asked(
    asked: Sequence[Asked], findings: tuple[Finding, ...], arrangements: tuple[Arrangement, ...]
) -> tuple[str, ...]:
    lines = _left_out(asked)
    count = sum(one.state == NOT_ASKED for one in arrangements)
    if count:
        lines.append(f"{_counted(count, 'arrangement')} not asked: no worksheet was given")
    blank = sum(one.state == NOT_ANSWERED and one.verdict is Verdict.UNVERIFIED for one in arrangements)
    if blank:
        lines.append(f"{_counted(blank, 'arrangement')} not answered in the worksheet")
    elevated = _needing(findings, ELEVATION_WORDS)
    if elevated:
        lines.append(f"not read without administrator rights, and decides: {', '.join(elevated)}")
    console = _needing(findings, CONSOLE_WORDS)
    if console:
        lines.append(f"only readable at the console, and decides: {', '.join(console)}")
    return tuple(lines)


def make_report(
    asked: Sequence[Asked],
    snapshot: Snapshot,
    evaluation: Evaluation,
    *,
    on: date,
    as_of: date,
    tool_version: str,
    knowledge: Knowledge | None = None,
    answered: Answered | None = None,
) -> Report:
    """Put a report together.

    Args:
        asked: What was asked.
        snapshot: What was seen.
        evaluation: The one held against the other.
        on: Day judged for.
        as_of: Day work counts from.
        tool_version: Version of pcaudit.
        knowledge: As it was evaluated with.
        answered: The worksheet, if there is one.

    Returns:
        The report.
    """
    findings = evaluation.findings
    readings = Readings(snapshot, knowledge)
    if answered is None:
        arrangements = _arrangements(asked, readings)
    else:
        from pcaudit.core.plan.arrangements import judge_arrangements

        arrangements = judge_arrangements(asked, readings, answered.worksheet, answered.days)
    notes = parameter_notes(asked, readings)
    profiles = {s.path: s for each in asked for s in each.profile.sources}
    place = {path: number for number, path in enumerate(profiles)}
    report = Report(
        pc_outcome=outcome_of(findings),
        arrangements_outcome=None,
        on=on,
        as_of=as_of,
        tool_version=tool_version,
        profiles=tuple(profiles.values()),
        computer=_computer(snapshot),
        findings=findings,
        arrangements=arrangements,
        backup=outline(readings),
        not_asked=(*_not_asked(asked, findings, arrangements), *notes, *shared_notes(asked, readings)),
        warnings=(*age_warnings(snapshot, as_of), *evaluation.notes),
        snapshot=snapshot,
        options=tuple(sorted({name for each in asked for name in each.options})),
        parameters={name: value.value for each in asked for name, value in each.parameters.items()},
        asked=tuple(place[each.profile.path] for each in asked),
        given=tuple(sorted({name for each in asked for name in each.given})),
    )
    return report if answered is None else _with_worksheet(report, asked, answered, readings)


def _with_worksheet(report: Report, asked: Sequence[Asked], answered: Answered, readings: Readings) -> Report:
    """The report with what only a worksheet adds: an outcome of its own, the parts of a plan, warnings."""
    from pcaudit.core.plan.answered import days_apart
    from pcaudit.core.plan.outcome import arrangements_outcome
    from pcaudit.core.plan.whole import sections_of
    from pcaudit.core.worksheet.against import differences

    sheet, day = answered.worksheet, answered.days.needed
    source = WorksheetSource(
        sheet.title, sheet.path, sheet.sha256, sheet.text, None if day is None else day.isoformat()
    )
    sections = sections_of(answered, asked, report.arrangements, readings, report.on)
    left_out = [f"the worksheet says nothing of: {one.title}" for one in sections if not one.asked]
    return report._replace(
        not_asked=(*report.not_asked, *left_out),
        arrangements_outcome=arrangements_outcome(report.arrangements, sections),
        sections=sections,
        worksheet=source,
        warnings=(*days_apart(answered), *differences(sheet, asked), *report.warnings),
    )
