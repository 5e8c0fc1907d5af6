"""``pcaudit assess``."""

from __future__ import annotations

from typing import Annotated

import typer

from pcaudit.cli import exits
from pcaudit.cli.options import (
    Also,
    AsOf,
    Chosen,
    Concessions,
    Knowledge,
    On,
    Output,
    ProfileFile,
    Quiet,
    Redact,
    RedactKey,
    ReportFormat,
    Settings,
    check_files,
    day,
    remark,
    screen,
    write,
)


def assess(
    profile: ProfileFile,
    snapshot: Annotated[
        str | None, typer.Argument(metavar="SNAPSHOT", help="Saved snapshot; without it this PC is probed.")
    ] = None,
    also: Also = None,
    option: Chosen = None,
    setting: Settings = None,
    concessions: Concessions = None,
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
    judged, counted = day(on, "--on"), day(as_of, "--as-of")
    files = [profile, *(also or []), snapshot, concessions, redact_key]
    check_files(output, files)
    asked = use.load_asked([profile, *(also or [])], option or [], setting or [])
    granted = () if concessions is None else use.load_concessions(concessions)
    key = use.redaction_key(redact_key) if redact or redact_key is not None else b""
    if snapshot is None:
        with probing(quiet):
            seen = use.take_snapshot().snapshot
    else:
        seen = use.load_snapshot(snapshot)
    report = use.assess(asked, seen, on=judged, as_of=counted, concessions=granted, knowledge=knowledge)
    if key:
        from pcaudit.core.redact import redact_report

        report = redact_report(report, key)
    write(output, render(report))
    if output != "-":
        from pcaudit.core.outcome_words import said

        remark(quiet, f"{said(report.outcome, report.findings)}: written to {output}")
    if not quiet:
        from pcaudit.cli.remarks import count_remarks

        count_remarks(each.profile for each in asked)
    raise typer.Exit(exits.of(report.outcome))


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(assess)
