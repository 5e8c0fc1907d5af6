"""Asking at a terminal, and keeping files that are there already."""

from __future__ import annotations

import os
import sys

import typer

from pcaudit.cli.options import remark
from pcaudit.cli.streams import tell
from pcaudit.errors import UsageError


def at_a_terminal() -> bool:
    """Whether somebody sits at a terminal on all three streams."""
    return all(stream and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def keep(output: str) -> None:
    """Refuse a file that is there, and one that cannot be made, before anybody answers questions.

    Raises:
        UsageError: A file or folder of that name is there, or its folder is not.
    """
    if output == "-":
        return
    if not output.strip():
        raise UsageError("the file name is empty", next_step="name a file")
    if os.path.isfile(output):
        raise UsageError(f"{output:.200} is there already", next_step="name a file that is not there yet")
    if os.path.isdir(output):
        raise UsageError(f"{output:.200} is a folder", next_step="name a file in it")
    folder = os.path.dirname(output) or "."
    if not os.path.isdir(folder):
        raise UsageError(
            f"there is no folder {folder:.200}", next_step="make the folder first, or choose another"
        )


def prompt(ask: str, default: str = "") -> str:
    """One answer; Enter gives the default.

    Raises:
        typer.Abort: The person gave up.
    """
    answer: str = typer.prompt(ask, default=default, show_default=bool(default), err=True)
    return answer.strip()


def file_for(stem: str, what: str) -> str:
    """The file a person names, asked again until it can be made.

    Args:
        stem: Of the name that is proposed.
        what: What is written into it: "profile".

    Raises:
        typer.Abort: The person gave up.
    """
    tell(f"\nWhere the {what} is written. A file that is there is left alone.")
    while True:
        file = prompt("File", f"{stem}.toml")
        try:
            keep(file)
        except UsageError as error:
            remark(False, f"    {error.message}: {error.next_step}")
        else:
            return file
