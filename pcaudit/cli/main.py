"""Entry point: builds the command line, runs it, and turns errors into messages and exit codes."""

from __future__ import annotations

import errno
import os
import sys
from importlib import import_module
from typing import Annotated, Final

import typer

from pcaudit.cli import exits
from pcaudit.cli.streams import hush, ready, tell
from pcaudit.errors import PcauditError

_FULL: Final = (errno.ENOSPC, errno.EFBIG, errno.EIO)

COMMANDS: Final = {
    "assess": "pcaudit.cli.assess",
    "compare": "pcaudit.cli.compare",
    "plan": "pcaudit.cli.plan",
    "probe": "pcaudit.cli.probe",
    "record": "pcaudit.cli.record",
    "verify": "pcaudit.cli.verify",
    "drift": "pcaudit.cli.drift",
    "readings": "pcaudit.cli.readings",
    "profile": "pcaudit.cli.profile",
    "worksheet": "pcaudit.cli.worksheet",
}
"""Every command and the module that registers it, in the order help shows them."""


def _version(wanted: bool) -> None:
    if wanted:
        from pcaudit import __version__

        typer.echo(f"pcaudit {__version__}")
        raise typer.Exit


def _completion(context: typer.Context, shell: str | None) -> None:
    if shell is not None:
        from pcaudit.cli.completion import commands_of, script

        typer.echo(script(shell, commands_of(context.command)), nl=False)
        raise typer.Exit


def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
    completion: Annotated[
        str | None,
        typer.Option(
            "--show-completion",
            metavar="SHELL",
            callback=_completion,
            is_eager=True,
            help="Print the script by which a shell completes commands: bash, zsh, fish or powershell.",
        ),
    ] = None,
) -> None:
    """Tells whether a PC, and everything around it, is ready for a laboratory instrument."""


def build(wanted: str = "") -> typer.Typer:
    """The command line.

    Args:
        wanted: The one command that will run; with none, or one that is not known, all are there,
            for help and for hints. Building commands that will not run is what a start can do without.

    Returns:
        The application, ready to be called.
    """
    app = typer.Typer(
        name="pcaudit",
        add_completion=False,
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
    )
    app.callback()(_root)
    for name in [wanted] if wanted in COMMANDS else COMMANDS:
        import_module(COMMANDS[name]).register(app)
    _add_examples(app)
    return app


def _add_examples(app: typer.Typer) -> None:
    from pcaudit.cli.examples import epilog

    for command in app.registered_commands:
        name = str(command.name or getattr(command.callback, "__name__", ""))
        command.epilog = command.epilog or epilog(name)
    for group in app.registered_groups:
        group.epilog = epilog(str(group.name))
        if group.typer_instance is not None:
            _add_examples(group.typer_instance)


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
        code = _call(arguments)
        _flush()
    except PcauditError as error:
        from pcaudit.cli.diagnostics import describe

        tell(describe(error))
        _give_up()
        return exits.USAGE
    except KeyboardInterrupt:
        return exits.INTERRUPTED
    except Exception as error:
        if isinstance(error, OSError) and error.errno in _FULL and not error.filename:
            # Help and remarks are written by typer, not by pcaudit.files.
            tell(f"standard output cannot be written: {(error.strerror or '').lower()}")
            hush(sys.stdout)
            return exits.USAGE
        tell(_fault(error))
        return exits.INTERNAL
    return code


def _call(arguments: list[str]) -> int:
    try:
        build(arguments[0] if arguments else "")(arguments, prog_name="pcaudit")
    except SystemExit as end:
        return _code(end)
    return exits.DONE


def _flush() -> None:
    """Write out what is still held, while a full disk can be told of in one sentence."""
    if not sys.stdout:
        return
    try:
        sys.stdout.flush()
    except BrokenPipeError:  # the reader went away: the outcome stands
        hush(sys.stdout)
    except ValueError:  # closed
        pass


def _give_up() -> None:
    """Leave nothing for Python to write, and complain of, when it ends."""
    try:
        if sys.stdout:
            sys.stdout.flush()
    except (OSError, ValueError):
        hush(sys.stdout)


def _code(end: SystemExit) -> int:
    if end.code == 1:  # typer's, where the reader of its help went away; pcaudit ends with its own codes
        return exits.DONE
    return end.code if isinstance(end.code, int) else exits.USAGE


def main() -> None:
    """Entry point of the program."""
    ready()
    code = run(sys.argv[1:])
    sys.exit(code)
