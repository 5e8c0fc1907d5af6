"""``pcaudit profile``."""

from __future__ import annotations

import typer

from pcaudit.cli.options import ProfileFile, Quiet, write
from pcaudit.cli.profile_explain import explain
from pcaudit.cli.profile_new import new
from pcaudit.cli.profile_schema import schema


def counted(number: int, what: str) -> str:
    """A number of things: "1 condition", "2 conditions"."""
    return f"{number} {what}{'s' * (number != 1)}"


def validate(profile: ProfileFile, quiet: Quiet = False) -> None:
    """Check a profile: every mistake, and what could be said better, with its file, line and key."""
    from pcaudit import app as use
    from pcaudit.cli.remarks import tell_remarks
    from pcaudit.core.visible import visible
    from pcaudit.files import name

    compiled = use.load_profile(profile)
    if not quiet:
        conditions = counted(len(compiled.conditions), "condition")
        arrangements = counted(len(compiled.arrangements), "arrangement")
        write("-", f"{visible(name(profile))}: valid, {conditions}, {arrangements}\n")
        tell_remarks(compiled)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    commands = typer.Typer(help="Write and understand profiles.", no_args_is_help=True, rich_markup_mode=None)
    commands.command()(new)
    commands.command()(validate)
    commands.command()(explain)
    commands.command()(schema)
    app.add_typer(commands, name="profile")
