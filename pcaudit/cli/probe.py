"""``pcaudit probe``."""

from __future__ import annotations

import sys

import typer

from pcaudit.cli.options import Output, Quiet, remark, screen, write


def probe(output: Output = "-", quiet: Quiet = False) -> None:
    """Take a snapshot of this PC: JSON into a pipe or file, a summary on a terminal."""
    from pcaudit import app as use
    from pcaudit.core.snapshot import to_mapping
    from pcaudit.files import to_json

    taken = use.take_snapshot()
    if output == "-" and sys.stdout and sys.stdout.isatty():
        from pcaudit.render.snapshot_text import render

        write("-", render(taken.snapshot, screen("-")))
        remark(quiet, "A summary. For the snapshot itself: pcaudit probe --output FILE")
        return
    write(output, to_json(to_mapping(taken.snapshot)))
    if output != "-":
        remark(quiet, f"snapshot written to {output}")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(probe)
