"""``pcaudit survey``."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from typing import Annotated

import typer

from pcaudit.cli.options import (
    Also,
    AsOf,
    Chosen,
    Knowledge,
    On,
    Output,
    ProfileFile,
    Quiet,
    Settings,
    check_files,
    day,
    remark,
    screen,
    write,
)
from pcaudit.errors import UsageError

_OUTCOMES = ("ready", "not ready", "inconclusive")
_BAR = 30
_EVERY = 0.2


def _bar(quiet: bool) -> Callable[[int, int], None]:
    """Shows how far it is, on a terminal only, and takes the line back at the end."""
    import time

    stream = sys.stderr
    if quiet or not stream or not stream.isatty() or os.environ.get("TERM") == "dumb":
        return lambda _done, _of: None
    last = 0.0

    def show(done: int, of: int) -> None:
        nonlocal last
        now = time.monotonic()
        if done < of and now - last < _EVERY:
            return
        last = now
        full = _BAR * done // max(of, 1)
        line = f"\r{'#' * full}{'.' * (_BAR - full)} {done} of {of} snapshots"
        stream.write(line if done < of else f"\r{' ' * len(line)}\r")
        stream.flush()

    return show


def survey(
    profile: ProfileFile,
    snapshots: Annotated[
        str, typer.Argument(metavar="SNAPSHOTS", help="Folder of snapshots, or a file of JSON Lines.")
    ],
    against: Annotated[
        str,
        typer.Option("--against", metavar="PROFILE", help="Another edition: who will fail it, and why."),
    ] = "",
    only: Annotated[
        str,
        typer.Option("--only", metavar="OUTCOME", help="List only ready, not ready or inconclusive."),
    ] = "",
    what_if: Annotated[
        list[str] | None,
        typer.Option("--what-if", metavar="NAME=VALUE", help="Suppose a reading of every PC that has less."),
    ] = None,
    also: Also = None,
    option: Chosen = None,
    setting: Settings = None,
    knowledge: Knowledge = "",
    on: On = None,
    as_of: AsOf = None,
    jobs: Annotated[
        str,
        typer.Option("--jobs", metavar="NUMBER", help="Processes at most; else one for each core."),
    ] = "",
    no_changes: Annotated[
        bool, typer.Option("--no-changes", help="Do not look for what one change would do: faster.")
    ] = False,
    format: Annotated[str, typer.Option("--format", "-f", help="text, json, csv or html.")] = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Hold many snapshots against a profile: which PCs pass, which nearly, and what fails most often.

    Exit code: 0 the survey was made, whatever it says; 2 wrong use.
    """
    from pcaudit import app as use
    from pcaudit.render.survey_interface import renderer

    render = renderer(format, screen(output))
    days = day(on, "--on"), day(as_of, "--as-of")
    wanted = use.Surveyed(against, tuple(what_if or ()), _outcome(only), _number(jobs), not no_changes)
    check_files(output, [profile, *(also or []), snapshots, against])
    if snapshots == "-":
        raise UsageError("a survey is read from files", next_step="name a folder, or a file of JSON Lines")
    chosen = option or [], setting or []
    asked = use.load_asked([profile, *(also or [])], *chosen)
    found = use.survey(snapshots, asked, wanted, chosen, days=days, knowledge=knowledge, progress=_bar(quiet))
    write(output, render(found))
    if output != "-":
        remark(quiet, f"survey written to {output}")
    if not quiet:
        from pcaudit.cli.remarks import count_remarks

        count_remarks(each.profile for each in asked)


def _outcome(text: str) -> str:
    found = text.strip().lower().replace("-", " ")
    if found and found not in _OUTCOMES:
        raise UsageError(f"--only {text!r:.40} is no outcome", next_step=f"one of: {', '.join(_OUTCOMES)}")
    return found


def _number(text: str) -> int:
    if not text:
        return 0
    if not (text.isdecimal() and text.isascii() and 0 < int(text[:6]) <= 64):
        raise UsageError(f"--jobs {text!r:.40} is no number of processes", next_step="a number from 1 to 64")
    return int(text)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(survey)
