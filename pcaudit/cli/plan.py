"""``pcaudit plan``."""

from __future__ import annotations

from typing import Annotated

import typer

from pcaudit.cli.options import (
    AsOf,
    Knowledge,
    On,
    Output,
    Quiet,
    check_files,
    day,
    keep_inputs,
    remark,
    screen,
    write,
)
from pcaudit.errors import UsageError

# Typed from the habit of other commands; typer's own hint would be --on.
_Elsewhere = Annotated[
    list[str] | None, typer.Option("--option", "--set", "--also", "--concessions", hidden=True)
]


def plan(
    worksheet: Annotated[
        str, typer.Argument(metavar="WORKSHEET", help="Worksheet (TOML); - is standard input.")
    ],
    snapshot: Annotated[
        str | None,
        typer.Argument(
            metavar="SNAPSHOT", help="Saved snapshot; without it what depends on the PC stays open."
        ),
    ] = None,
    knowledge: Knowledge = "",
    on: On = None,
    as_of: AsOf = None,
    format: Annotated[  # noqa: A002
        str, typer.Option("--format", "-f", help="text, json, html or ics (a calendar file).")
    ] = "text",
    output: Output = "-",
    quiet: Quiet = False,
    elsewhere: _Elsewhere = None,
) -> None:
    """Plan everything around the PC: backup, storage, place and power, network, calendar.

    Exit code: 0 the plan was made, whatever it says; 2 wrong use.
    """
    from pcaudit import app as use
    from pcaudit.render.plan_interface import renderer

    if elsewhere:
        raise UsageError(
            "a plan takes profiles, options, parameters and concessions from its worksheet",
            next_step='write them into [use] of the worksheet: options = ["mass-detector"]',
        )
    render = renderer(format, screen(output))
    judged, counted = None if on is None else day(on, "--on"), day(as_of, "--as-of")
    check_files(output, [worksheet, snapshot])
    sheet = use.load_worksheet(worksheet)
    seen = None if snapshot is None else use.load_snapshot(snapshot)
    made = use.plan(sheet, seen, needed=judged, as_of=counted, knowledge=knowledge)
    keep_inputs(output, made.files)
    write(output, render(made.plan, made.entries))
    if output != "-":
        remark(quiet, f"plan written to {output}")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(plan)
