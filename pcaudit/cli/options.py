"""Arguments and options that several commands share, and what they mean."""

from __future__ import annotations

import os
import sys
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from pcaudit.errors import UsageError

if TYPE_CHECKING:
    from pcaudit.render.interface import Screen

Output = Annotated[
    str, typer.Option("--output", "-o", metavar="FILE", help="Write here; - is standard output.")
]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="No remarks on standard error.")]
Format = Annotated[str, typer.Option("--format", "-f", help="text or json.")]
Day = Annotated[str, typer.Option(metavar="DATE", help="A day as 2026-11-25; today unless given.")]
ProfileFile = Annotated[
    str, typer.Argument(metavar="PROFILE", help="Requirements profile (TOML); - is standard input.")
]


def day(text: str, option: str) -> date:
    """The day an option names; today where it was not given.

    Raises:
        UsageError: The text is no day.
    """
    if not text:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"{option} {text!r:.40} is no day", next_step="write it as 2026-11-25") from None


def screen(output: str) -> Screen:
    """What a result is laid out for: the terminal, or plain text for a file."""
    from pcaudit.render.interface import PLAIN
    from pcaudit.render.screen import screen_of

    return screen_of(sys.stdout, os.environ) if output == "-" else PLAIN


def write(output: str, text: str) -> None:
    """Write a result, whole or not at all."""
    from pcaudit.files import write_text

    write_text(output, text)


def remark(quiet: bool, text: str) -> None:
    """Say something beside the result, on standard error."""
    if not quiet:
        typer.echo(text, err=True)
