"""The command line: one short function for each command."""

from __future__ import annotations

import os
import sys
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from pcaudit.cli import exits
from pcaudit.errors import PcauditError, UsageError

if TYPE_CHECKING:
    from pcaudit.render.interface import Screen

app = typer.Typer(
    name="pcaudit",
    help="Tells whether a PC, and everything around it, is ready for a laboratory instrument.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
profile_app = typer.Typer(help="Write and understand profiles.", no_args_is_help=True, rich_markup_mode=None)
app.add_typer(profile_app, name="profile")

Output = Annotated[
    str, typer.Option("--output", "-o", metavar="FILE", help="Write here; - is standard output.")
]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="No remarks on standard error.")]
Day = Annotated[str, typer.Option(metavar="DATE", help="A day as 2026-11-25; today unless given.")]
ProfileFile = Annotated[
    str, typer.Argument(metavar="PROFILE", help="Requirements profile (TOML); - is standard input.")
]


def _version(wanted: bool) -> None:
    if wanted:
        from pcaudit import __version__

        typer.echo(f"pcaudit {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    """Tells whether a PC, and everything around it, is ready for a laboratory instrument."""


def _day(text: str, option: str) -> date:
    if not text:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"{option} {text!r:.40} is no day", next_step="write it as 2026-11-25") from None


def _screen(output: str) -> Screen:
    from pcaudit.render.interface import PLAIN
    from pcaudit.render.screen import screen_of

    return screen_of(sys.stdout, os.environ) if output == "-" else PLAIN


def _write(output: str, text: str) -> None:
    from pcaudit.files import write_text

    write_text(output, text)


def _remark(quiet: bool, text: str) -> None:
    if not quiet:
        typer.echo(text, err=True)


@app.command()
def assess(
    profile: ProfileFile,
    snapshot: Annotated[
        str, typer.Argument(metavar="[SNAPSHOT]", help="Saved snapshot; without it this PC is probed.")
    ] = "",
    on: Day = "",
    as_of: Day = "",
    format: Annotated[str, typer.Option("--format", "-f", help="text or json.")] = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,
) -> None:
    """Hold this PC, or a saved snapshot, against a profile.

    Exit code: 0 ready, 3 not ready, 4 inconclusive, 2 wrong use.
    """
    from pcaudit import app as use
    from pcaudit.render.interface import renderer

    render = renderer(format, _screen(output))
    judged, counted = _day(on, "--on"), _day(as_of, "--as-of")
    if profile == snapshot == "-":
        raise UsageError("standard input cannot be both profile and snapshot", next_step="name one of them")
    compiled = use.load_profile(profile)
    seen = use.load_snapshot(snapshot) if snapshot else use.take_snapshot().snapshot
    report = use.assess(compiled, seen, on=judged, as_of=counted)
    _write(output, render(report))
    if output != "-":
        _remark(quiet, f"{report.outcome.value}: written to {output}")
    raise typer.Exit(exits.OF_OUTCOME[report.outcome])


@app.command()
def probe(output: Output = "-", quiet: Quiet = False) -> None:
    """Take a snapshot of this PC: JSON into a pipe or file, a summary on a terminal."""
    from pcaudit import app as use
    from pcaudit.core.snapshot import to_mapping
    from pcaudit.files import to_json

    taken = use.take_snapshot()
    if output == "-" and sys.stdout.isatty():
        from pcaudit.render.snapshot_text import render

        _write("-", render(taken.snapshot, _screen("-")))
        _remark(quiet, "A summary. For the snapshot itself: pcaudit probe --output FILE")
        return
    _write(output, to_json(to_mapping(taken.snapshot)))
    if output != "-":
        _remark(quiet, f"snapshot written to {output}")


@app.command()
def readings(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="One reading, such as memory.installed.")
    ] = "",
    snapshot: Annotated[str, typer.Option("--snapshot", metavar="FILE", help="Show its values.")] = "",
    format: Annotated[str, typer.Option("--format", "-f", help="text or json.")] = "text",  # noqa: A002
    output: Output = "-",
    quiet: Quiet = False,  # noqa: ARG001
) -> None:
    """List the readings there are, or the values of a snapshot."""
    from pcaudit import app as use
    from pcaudit.core.catalogue import CATALOGUE
    from pcaudit.core.texts import did_you_mean

    if format not in ("text", "json"):
        raise UsageError(f"{format!r:.60} is not a format", next_step="formats: text, json")
    if name and name not in CATALOGUE:
        raise UsageError(f"no reading {name!r:.60}", next_step=did_you_mean(name, CATALOGUE))
    values = use.all_readings(use.load_snapshot(snapshot)) if snapshot else None
    if format == "json":
        from pcaudit.files import to_json
        from pcaudit.render.catalogue_json import readings_mapping

        _write(output, to_json(readings_mapping(values, name or None)))
        return
    from pcaudit.render.catalogue_text import render_list, render_one

    screen = _screen(output)
    if name:
        _write(output, render_one(CATALOGUE[name], values[name] if values else None, screen))
    else:
        _write(output, render_list(values, screen))


@profile_app.command()
def validate(profile: ProfileFile, quiet: Quiet = False) -> None:
    """Check a profile: every mistake with its file, line and key."""
    from pcaudit import app as use

    compiled = use.load_profile(profile)
    if not quiet:
        from pcaudit.core.visible import visible

        typer.echo(
            f"{visible(profile)}: valid, {len(compiled.conditions)} conditions, "
            f"{len(compiled.arrangements)} arrangements"
        )


def _ready_streams() -> None:
    """UTF-8 into pipes and files; on a terminal whatever it takes, the rest as escapes."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is None:
            continue
        if stream.isatty():
            reconfigure(errors="backslashreplace")
        else:
            reconfigure(encoding="utf-8", errors="backslashreplace")


def _fault(error: Exception) -> str:
    """One line for a fault of the tool itself."""
    from pcaudit import __version__
    from pcaudit.core.visible import visible

    where = ""
    trace = error.__traceback__
    while trace is not None:
        where = f"{os.path.basename(trace.tb_frame.f_code.co_filename)}:{trace.tb_lineno}"
        trace = trace.tb_next
    return (
        f"pcaudit {__version__} failed by a fault of its own, not of this PC "
        f"({type(error).__name__}: {visible(str(error), 200)}; {where}). "
        "Please report this line and what was run to whoever gave you pcaudit."
    )


def run(arguments: list[str]) -> int:
    """Run one command.

    Args:
        arguments: As on the command line, without the program's name.

    Returns:
        The exit code.
    """
    try:
        app(arguments, prog_name="pcaudit")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else exits.USAGE
    except PcauditError as error:
        from pcaudit.cli.diagnostics import describe

        print(describe(error), file=sys.stderr)  # noqa: T201
        return exits.USAGE
    except KeyboardInterrupt:
        return exits.INTERRUPTED
    except BrokenPipeError:
        # The reader went away; nothing more can be said to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return exits.DONE
    except Exception as error:
        print(_fault(error), file=sys.stderr)  # noqa: T201
        return exits.INTERNAL
    return exits.DONE


def main() -> None:
    """Entry point of the program."""
    _ready_streams()
    code = run(sys.argv[1:])
    sys.exit(code)
