"""``pcaudit profile``."""

from __future__ import annotations

import typer

from pcaudit.cli.options import ProfileFile, Quiet, write
from pcaudit.cli.profile_explain import explain
from pcaudit.cli.profile_new import new
from pcaudit.cli.profile_schema import schema


def validate(profile: ProfileFile, quiet: Quiet = False) -> None:
    """Check a profile: every mistake, and what could be said better, with its file, line and key."""
    from pcaudit import app as use
    from pcaudit.cli.remarks import tell_remarks
    from pcaudit.core.profile_counts import counts_words
    from pcaudit.core.visible import visible
    from pcaudit.files import name

    compiled = use.load_profile(profile)
    if not quiet:
        write("-", f"{visible(name(profile))}: valid, {counts_words(compiled)}\n")
        tell_remarks(compiled)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    commands = typer.Typer(help="Write and understand profiles.", no_args_is_help=True, rich_markup_mode=None)
    commands.command()(new)
    commands.command()(validate)
    commands.command()(explain)
    commands.command()(schema)
    app.add_typer(commands, name="profile")
