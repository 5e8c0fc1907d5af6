"""``pcaudit readings``."""

from __future__ import annotations

from typing import Annotated

import typer

from pcaudit.cli.options import Format, Knowledge, Output, Quiet, screen, write
from pcaudit.errors import UsageError


def readings(
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="One reading, such as memory.installed.")
    ] = None,
    snapshot: Annotated[
        str | None, typer.Option("--snapshot", metavar="FILE", help="Show the values of a saved snapshot.")
    ] = None,
    knowledge: Knowledge = "",
    format: Format = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,  # noqa: ARG001
) -> None:
    """List the readings there are, or the values of a snapshot."""
    from pcaudit import app as use
    from pcaudit.core.catalogue import CATALOGUE
    from pcaudit.core.texts import did_you_mean

    if format not in ("text", "json"):
        raise UsageError(f"{format!r:.60} is not a format", next_step="formats: text, json")
    if name is not None and name not in CATALOGUE:
        hint = did_you_mean(name, CATALOGUE)
        few = "pcaudit readings lists them all" if len(hint) > 200 else hint
        raise UsageError(f"no reading {name!r:.60}", next_step=few)
    values = None if snapshot is None else use.all_readings(use.load_snapshot(snapshot), knowledge)
    if format == "json":
        from pcaudit.files import to_json
        from pcaudit.render.catalogue_json import readings_mapping

        write(output, to_json(readings_mapping(values, name)))
        return
    from pcaudit.render.catalogue_text import render_list, render_one

    shown = screen(output)
    if name:
        write(output, render_one(CATALOGUE[name], values[name] if values else None, shown))
    else:
        write(output, render_list(values, shown))


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(readings)
