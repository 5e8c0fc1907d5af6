"""``pcaudit record``."""

from __future__ import annotations

from typing import Annotated

import typer

from pcaudit.cli.options import Knowledge, Quiet, check_files, remark, write
from pcaudit.errors import UsageError


def record(
    report: Annotated[
        str, typer.Argument(metavar="REPORT.json", help="Report in JSON; - is standard input.")
    ],
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who enters the record.")],
    meaning: Annotated[
        str, typer.Option("--meaning", metavar="MEANING", help="What that means: reviewed or approved.")
    ],
    store: Annotated[
        str, typer.Option("--store", metavar="DIR", help="Folder of records; made if it is missing.")
    ],
    concessions: Annotated[
        str | None,
        typer.Option("--concessions", metavar="FILE", help="Concessions the report was made with."),
    ] = None,
    replaces: Annotated[
        str | None, typer.Option("--replaces", metavar="RECORD", help="The record this one corrects.")
    ] = None,
    because: Annotated[
        str | None, typer.Option("--because", metavar="REASON", help="Why it is corrected.")
    ] = None,
    although_differing: Annotated[
        bool,
        typer.Option(
            "--although-differing",
            help="Keep a report of another version although this one judges it otherwise.",
        ),
    ] = False,
    knowledge: Knowledge = "",
    quiet: Quiet = False,
) -> None:
    """Keep a report for good: with who entered it, when, why, and a digest of all of it.

    It is not an electronic signature. No record is ever written over. Prints the new file's name.
    """
    from pcaudit import app as use

    for option, value in (("--replaces", replaces), ("--because", because)):
        if value is not None and not value.strip():
            raise UsageError(f"{option} is empty", next_step="--replaces RECORD --because REASON")
    check_files("-", [report, concessions])
    said = use.Entering(by, meaning, replaces or "", because or "", although_differing)
    entered = use.keep_report(report, said, store, concessions=concessions, knowledge=knowledge)
    write("-", f"{entered.path}\n")
    if entered.differs:
        remark(quiet, f"this version judges otherwise, and the record says so: {', '.join(entered.differs)}")
    for line in entered.untold.splitlines():
        remark(quiet, line)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(record)
