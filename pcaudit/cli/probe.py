"""``pcaudit probe``."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

from pcaudit.cli.declared import Option
from pcaudit.cli.options import Output, Quiet, Redact, RedactKey, keep_inputs, remark, screen, write

if TYPE_CHECKING:
    import typer

    from pcaudit.app import Taken


def _explain(taken: Taken) -> None:
    from pcaudit.render.probe_text import Took, render

    took: dict[str, Took] = {}
    for one in taken.timings:
        for name in one.reads:
            took.setdefault(name, Took(one.name, one.seconds * 1000, one.problem))
    write("-", render(taken.snapshot, took, screen("-")))


def _summary(taken: Taken, quiet: bool) -> None:
    from pcaudit.render.snapshot_text import render

    write("-", render(taken.snapshot, screen("-")))
    remark(quiet, "A summary. For the snapshot itself: pcaudit probe --output FILE")


def probe(
    explain: Annotated[
        bool,
        Option(
            ("--explain",), "Show each reading with its source and how long it took, and what is in the way."
        ),
    ] = False,
    redact: Redact = False,
    redact_key: RedactKey = None,
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Take a snapshot of this PC: JSON into a pipe or file, a summary on a terminal."""
    from pcaudit import app as use
    from pcaudit.cli.progress import probing
    from pcaudit.core.snapshot import to_mapping
    from pcaudit.files import to_json

    keep_inputs(output, [redact_key])
    key = use.redaction_key(redact_key) if redact or redact_key is not None else b""
    with probing(quiet):
        taken = use.take_snapshot()
    if key:
        taken = use.redacted(taken, key)
    if output != "-":
        write(output, to_json(to_mapping(taken.snapshot)))
        remark(quiet, f"snapshot written to {output}")
    if explain:
        _explain(taken)
    elif output == "-" and sys.stdout and sys.stdout.isatty():
        _summary(taken, quiet)
    elif output == "-":
        write("-", to_json(to_mapping(taken.snapshot)))


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(probe)
