"""``pcaudit drift``."""

from __future__ import annotations

from typing import Annotated

import typer

from pcaudit.cli import exits
from pcaudit.cli.options import (
    AsOf,
    Format,
    Knowledge,
    Output,
    Quiet,
    day,
    keep_inputs,
    remark,
    screen,
    write,
)
from pcaudit.errors import UsageError


def drift(
    record: Annotated[str, typer.Argument(metavar="RECORD", help="File of a record.")],
    snapshot: Annotated[
        str | None, typer.Argument(metavar="SNAPSHOT", help="Saved snapshot; without it this PC is probed.")
    ] = None,
    knowledge: Knowledge = "",
    on: Annotated[
        str | None,
        typer.Option(metavar="DATE", help="Day judged for; the record's own unless given."),
    ] = None,
    as_of: AsOf = None,
    format: Format = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Say what changed on this PC, or in a saved snapshot, since a record was made.

    Exit code: 0 nothing that matters, 5 drifted, or the record does not match its digest.
    """
    from pcaudit import app as use
    from pcaudit.cli.streams import tell
    from pcaudit.core.record import FETCH
    from pcaudit.core.visible import visible

    if format not in ("text", "json"):
        raise UsageError(f"{format!r:.60} is not a format", next_step="formats: text, json")
    judged, counted = None if on is None else day(on, "--on"), day(as_of, "--as-of")
    keep_inputs(output, [record, snapshot])
    if record == "-":
        raise UsageError("a record is read from its file", next_step="name the file")
    kept = use.load_record(record)
    if kept.fault:
        tell(visible(f"{record}: does not verify: {kept.fault}", 600))
        tell(f"    {FETCH}")
        raise typer.Exit(exits.DRIFTED)
    seen = use.take_snapshot().snapshot if snapshot is None else use.load_snapshot(snapshot)
    found = use.drift(kept, seen, on=judged, as_of=counted, knowledge=knowledge)
    if untold := use.untold(kept):
        remark(quiet, untold)
    if format == "json":
        from pcaudit.files import to_json
        from pcaudit.render.drift_json import drift_mapping

        write(output, to_json(drift_mapping(found)))
    else:
        from pcaudit.render.drift_text import render

        write(output, render(found, screen(output)))
    if output != "-":
        remark(quiet, f"{'drifted' if found.drifted else 'no drift'}: written to {output}")
    raise typer.Exit(exits.DRIFTED if found.drifted else exits.DONE)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(drift)
