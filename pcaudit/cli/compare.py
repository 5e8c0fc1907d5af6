"""``pcaudit compare``."""

from __future__ import annotations

from typing import Annotated

import typer

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
    Settings,
    check_files,
    day,
    remark,
    screen,
    write,
)


def compare(
    profile: ProfileFile,
    snapshots: Annotated[
        list[str], typer.Argument(metavar="SNAPSHOT SNAPSHOT...", help="Saved snapshots, from 2 to 8.")
    ],
    also: Also = None,
    option: Chosen = None,
    setting: Settings = None,
    concessions: Concessions = None,
    prices: Annotated[
        str | None, typer.Option("--prices", metavar="FILE", help="What parts cost (TOML).")
    ] = None,
    knowledge: Knowledge = "",
    on: On = None,
    as_of: AsOf = None,
    format: Annotated[str, typer.Option("--format", "-f", help="text, json or html.")] = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Set saved snapshots side by side: what each would need to pass, and which to choose.

    Exit code: 0 the comparison was made, whatever it says; 2 wrong use.
    """
    from pcaudit import app as use
    from pcaudit.render.compare_interface import renderer

    render = renderer(format, screen(output))
    judged, counted = day(on, "--on"), day(as_of, "--as-of")
    files = [profile, *(also or []), *snapshots, concessions, prices]
    check_files(output, files)
    asked = use.load_asked([profile, *(also or [])], option or [], setting or [])
    granted = () if concessions is None else use.load_concessions(concessions).concessions
    priced = None if prices is None else use.load_prices(prices)
    seen = [(path, use.load_snapshot(path)) for path in snapshots]
    comparison = use.compare(
        asked, seen, on=judged, as_of=counted, concessions=granted, knowledge=knowledge, prices=priced
    )
    write(output, render(comparison))
    if output != "-":
        remark(quiet, f"comparison written to {output}")
    if not quiet:
        from pcaudit.cli.remarks import count_remarks

        count_remarks(each.profile for each in asked)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(compare)
