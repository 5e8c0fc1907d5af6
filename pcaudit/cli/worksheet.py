"""``pcaudit worksheet``."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from pcaudit.cli.examples import epilog
from pcaudit.cli.options import Quiet, remark, write
from pcaudit.cli.worksheet_new import new


def validate(
    worksheet: Annotated[str, typer.Argument(metavar="FILE", help="Worksheet (TOML); - is standard input.")],
    quiet: Quiet = False,
) -> None:
    """Check a worksheet, and that it fits the profiles it names: every mistake with file, line and key."""
    from pcaudit import app as use
    from pcaudit.core.visible import visible

    sheet = use.load_worksheet(worksheet)
    told = use.checked(sheet)
    if not quiet:
        write("-", f"{visible(sheet.path)}: valid, {told}\n")
        day = sheet.installation.day
        if day is not None and day < date.today():
            where = f"{sheet.path}:{sheet.installation.line}"
            remark(
                False,
                f"{where}: installation.day: {day.isoformat()} is past: right for a later audit only",
            )


def register(app: typer.Typer) -> None:
    """Add the commands."""
    commands = typer.Typer(
        help="Write and check what only people know about an installation.",
        no_args_is_help=True,
        rich_markup_mode=None,
    )
    # Said here, for other groups have commands of these names.
    commands.command(epilog=epilog("worksheet new"))(new)
    commands.command(epilog=epilog("worksheet validate"))(validate)
    app.add_typer(commands, name="worksheet")
