"""The commands, as typer is to read them."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from types import FunctionType
from typing import Annotated, Any, Final, get_args, get_type_hints

import typer

from pcaudit.cli.declared import Argument, Option

COMMANDS: Final = {
    "assess": "pcaudit.cli.assess",
    "compare": "pcaudit.cli.compare",
    "survey": "pcaudit.cli.survey",
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
    _finish(app)
    return app


def _of_typer(declared: Any) -> Any:
    """Typer's declaration of one of ours; any other as it is."""
    if isinstance(declared, Option):
        return typer.Option(*declared.names, metavar=declared.metavar, help=declared.help)
    if isinstance(declared, Argument):
        return typer.Argument(metavar=declared.metavar, help=declared.help)
    return declared


def _for_typer(command: Callable[..., Any]) -> Callable[..., Any]:
    """A command with typer's declarations in its signature; the one that is given is left as it is."""
    assert isinstance(command, FunctionType)
    same = FunctionType(command.__code__, command.__globals__, command.__name__, command.__defaults__)
    same.__doc__ = command.__doc__
    for name, hint in get_type_hints(command, include_extras=True).items():
        if hasattr(hint, "__metadata__"):
            base, *declared = get_args(hint)
            hint = Annotated[(base, *map(_of_typer, declared))]
        same.__annotations__[name] = hint
    return same


def _finish(app: typer.Typer) -> None:
    """Give every command typer's declarations and its examples."""
    from pcaudit.cli.examples import epilog

    for command in app.registered_commands:
        assert command.callback is not None
        command.callback = _for_typer(command.callback)
        name = str(command.name or getattr(command.callback, "__name__", ""))
        command.epilog = command.epilog or epilog(name)
    for group in app.registered_groups:
        group.epilog = epilog(str(group.name))
        if group.typer_instance is not None:
            _finish(group.typer_instance)
