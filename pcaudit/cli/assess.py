"""``pcaudit assess``."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Annotated, NamedTuple

from pcaudit.cli import exits
from pcaudit.cli.declared import Argument
from pcaudit.cli.options import (
    Also,
    AsOf,
    Chosen,
    Concessions,
    Knowledge,
    On,
    Output,
    Quiet,
    Redact,
    RedactKey,
    ReportFormat,
    Settings,
    WorksheetFile,
    check_files,
    day,
    remark,
    screen,
    write,
)
from pcaudit.errors import UsageError

if TYPE_CHECKING:
    import typer

    from pcaudit.core.choose import Asked
    from pcaudit.core.plan.answered import Answered


class _Question(NamedTuple):
    """What is asked, and of what.

    Attributes:
        asked: Of profiles.
        snapshot: File of a saved one; None for this PC.
        concessions: Their file; None for none.
        on: Day judged for.
        answers: The worksheet, if there is one.
    """

    asked: tuple[Asked, ...]
    snapshot: str | None
    concessions: str | None
    on: date
    answers: Answered | None = None


def assess(
    profile: Annotated[
        str | None,
        Argument("PROFILE", "Requirements profile (TOML); - is standard input. A worksheet names its own."),
    ] = None,
    snapshot: Annotated[
        str | None, Argument("SNAPSHOT", "Saved snapshot; without it this PC is probed.")
    ] = None,
    also: Also = None,
    option: Chosen = None,
    setting: Settings = None,
    concessions: Concessions = None,
    worksheet: WorksheetFile = None,
    knowledge: Knowledge = "",
    on: On = None,
    as_of: AsOf = None,
    redact: Redact = False,
    redact_key: RedactKey = None,
    format: ReportFormat = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Hold this PC, or a saved snapshot, against a profile.

    Exit code: 0 ready, 3 not ready, 4 inconclusive, 2 wrong use.
    """
    from pcaudit import app as use
    from pcaudit.cli.progress import probing
    from pcaudit.render.interface import renderer

    render = renderer(format, screen(output))
    judged, counted = None if on is None else day(on, "--on"), day(as_of, "--as-of")
    check_files(output, [profile, *(also or []), snapshot, concessions, worksheet, redact_key])
    choice = (also or [], option or [], setting or [])
    if worksheet is None:
        question = _by_profile(profile, snapshot, choice, concessions, judged)
    else:
        named, days = (profile, snapshot), (judged, counted)
        question = _by_worksheet(worksheet, named, choice, concessions, days, knowledge)
        sources = [source.path for each in question.asked for source in each.profile.sources]
        check_files(output, [worksheet, question.snapshot, question.concessions, *dict.fromkeys(sources)])
    granted = use.Granted() if question.concessions is None else use.load_concessions(question.concessions)
    key = use.redaction_key(redact_key) if redact or redact_key is not None else b""
    if question.snapshot is None:
        with probing(quiet):
            seen = use.take_snapshot().snapshot
    else:
        seen = use.load_snapshot(question.snapshot)
    report = use.assess(
        question.asked,
        seen,
        on=question.on,
        as_of=counted,
        concessions=granted.concessions,
        knowledge=knowledge,
        answers=question.answers,
    )._replace(concessions=granted.source)
    if key:
        from pcaudit.core.redact import redact_report

        report = redact_report(report, key)
        if report.concessions is not None:
            # A path may name people, and what stands for the file is its digest.
            report = report._replace(concessions=report.concessions._replace(path="concessions"))
    write(output, render(report))
    if output != "-":
        from pcaudit.core.outcome_words import said

        remark(quiet, f"{said(report.outcome, report.findings)}: written to {output}")
    if not quiet:
        from pcaudit.cli.remarks import count_remarks

        count_remarks(each.profile for each in question.asked)
    sys.exit(exits.of(report.outcome))


_Choice = tuple[list[str], list[str], list[str]]
"""What ``--also``, ``--option`` and ``--set`` name."""


def _by_profile(
    profile: str | None, snapshot: str | None, choice: _Choice, concessions: str | None, judged: date | None
) -> _Question:
    """What is asked where profiles are named on the command line only."""
    from pcaudit import app as use

    if profile is None:
        raise UsageError(
            "nothing is named that the PC is held against",
            next_step="pcaudit assess PROFILE, or pcaudit assess --worksheet FILE",
        )
    also, options, settings = choice
    asked = use.load_asked([profile, *also], options, settings)
    return _Question(asked, snapshot, concessions, judged or date.today())


def _by_worksheet(
    file: str,
    named: tuple[str | None, str | None],
    choice: _Choice,
    concessions: str | None,
    days: tuple[date | None, date],
    knowledge: str,
) -> _Question:
    """What is asked by a worksheet, and what else the command line says."""
    from pcaudit import app as use

    (profile, snapshot), (judged, counted) = named, days
    if snapshot is None and profile is not None and _is_snapshot(profile):
        profile, snapshot = None, profile
    worksheet = use.load_worksheet(file)
    asked = use.asked_by(worksheet, use.choice([profile] if profile else [], *choice))
    return _Question(
        asked=asked,
        snapshot=snapshot,
        concessions=concessions or use.concessions_of(worksheet),
        on=judged or worksheet.installation.day or counted,
        answers=use.answered(worksheet, judged, counted, knowledge),
    )


def _is_snapshot(file: str) -> bool:
    """Whether the one file named beside a worksheet is a snapshot: files are told by content."""
    from pcaudit.files import is_json

    return file == "-" or is_json(file)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(assess)
