"""``pcaudit verify``."""

from __future__ import annotations

from typing import Annotated

import typer

from pcaudit.cli import exits
from pcaudit.cli.options import Output, Quiet, keep_inputs, remark, screen, write
from pcaudit.errors import UsageError


def verify(
    record: Annotated[str, typer.Argument(metavar="RECORD", help="File of a record, in its store.")],
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Say whether a record still matches its digest, and the records before it theirs.

    Exit code: 0 it does, 5 it does not, 2 it cannot be read.
    """
    from pcaudit import app as use
    from pcaudit.render.chain_text import render

    keep_inputs(output, [record])
    if record == "-":
        raise UsageError("a record is read from its file", next_step="name the file")
    chain = use.verify_record(record)
    write(output, render(chain, record, screen(output)))
    if output != "-":
        remark(quiet, f"written to {output}")
    raise typer.Exit(exits.DRIFTED if chain.fault else exits.DONE)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(verify)
