"""``pcaudit assess``."""

from __future__ import annotations

from typing import Annotated

import typer

from pcaudit.cli import exits
from pcaudit.cli.options import (
    AsOf,
    Format,
    On,
    Output,
    ProfileFile,
    Quiet,
    day,
    keep_inputs,
    remark,
    screen,
    write,
)
from pcaudit.errors import UsageError


def assess(
    profile: ProfileFile,
    snapshot: Annotated[
        str | None, typer.Argument(metavar="SNAPSHOT", help="Saved snapshot; without it this PC is probed.")
    ] = None,
    on: On = None,
    as_of: AsOf = None,
    format: Format = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Hold this PC, or a saved snapshot, against a profile.

    Exit code: 0 ready, 3 not ready, 4 inconclusive, 2 wrong use.
    """
    from pcaudit import app as use
    from pcaudit.render.interface import renderer

    render = renderer(format, screen(output))
    judged, counted = day(on, "--on"), day(as_of, "--as-of")
    if profile == snapshot == "-":
        raise UsageError("standard input cannot be both profile and snapshot", next_step="name one of them")
    keep_inputs(output, (profile, snapshot))
    compiled = use.load_profile(profile)
    seen = use.take_snapshot().snapshot if snapshot is None else use.load_snapshot(snapshot)
    report = use.assess(compiled, seen, on=judged, as_of=counted)
    write(output, render(report))
    if output != "-":
        remark(quiet, f"{report.outcome.value}: written to {output}")
    raise typer.Exit(exits.OF_OUTCOME[report.outcome])


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(assess)
