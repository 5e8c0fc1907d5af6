"""``pcaudit profile``."""

from __future__ import annotations

import typer

from pcaudit.cli.options import ProfileFile, Quiet


def validate(profile: ProfileFile, quiet: Quiet = False) -> None:
    """Check a profile: every mistake with its file, line and key."""
    from pcaudit import app as use
    from pcaudit.core.visible import visible

    compiled = use.load_profile(profile)
    if not quiet:
        typer.echo(
            f"{visible(profile)}: valid, {len(compiled.conditions)} conditions, "
            f"{len(compiled.arrangements)} arrangements"
        )


def register(app: typer.Typer) -> None:
    """Add the commands."""
    commands = typer.Typer(help="Write and understand profiles.", no_args_is_help=True, rich_markup_mode=None)
    commands.command()(validate)
    app.add_typer(commands, name="profile")
