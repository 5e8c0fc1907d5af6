"""``pcaudit profile``."""

from __future__ import annotations

import typer

from pcaudit.cli.options import ProfileFile, Quiet, remark, write
from pcaudit.cli.profile_explain import explain
from pcaudit.core.profile import Profile


def counted(number: int, what: str) -> str:
    """A number of things: "1 condition", "2 conditions"."""
    return f"{number} {what}{'s' * (number != 1)}"


def tell_remarks(profile: Profile) -> None:
    """Say on standard error what a valid profile could say better, each with its line."""
    from pcaudit.cli.diagnostics import SHOWN, block
    from pcaudit.cli.streams import tell
    from pcaudit.core.advice import advise, located
    from pcaudit.core.visible import visible
    from pcaudit.files import name

    found = located(advise(profile), profile)
    if not found:
        return
    for place, one in found[:SHOWN]:
        message = f"{visible(one.key, 120)}: {visible(one.noticed, 400)}"
        tell("\n".join(block(place, message, visible(one.better, 400))))
    shown = f", the first {SHOWN} shown" if len(found) > SHOWN else ""
    remark(False, f"{name(profile.path)}: {counted(len(found), 'remark')}, no mistake{shown}")


def validate(profile: ProfileFile, quiet: Quiet = False) -> None:
    """Check a profile: every mistake, and what could be said better, with its file, line and key."""
    from pcaudit import app as use
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
    commands.command()(validate)
    commands.command()(explain)
    app.add_typer(commands, name="profile")
