"""Reads a plain command line without typer, whose import takes longer than a whole probe.

Only what leaves no doubt is read here: options spelt out as declared, each followed by its value, none twice
unless it may be. Everything else is left to typer, so that it alone gives help and says what is wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, Final, NamedTuple, get_args, get_origin, get_type_hints

from pcaudit.cli.declared import Argument, Option

COMMANDS: Final = {"assess": "pcaudit.cli.assess", "probe": "pcaudit.cli.probe"}
"""Commands that can be read so, and their modules, each with a function of that name."""


class _Taken(NamedTuple):
    """What a command takes.

    Attributes:
        options: The parameter that stands for a spelling.
        arguments: Parameters told by their place, in order.
        kinds: The type of each parameter: ``bool``, ``str`` or ``list``.
    """

    options: dict[str, str]
    arguments: list[str]
    kinds: dict[str, type]


def _kind(hint: Any) -> type | None:
    """The type of a parameter, whether or not it may be None; None for one that typer must convert."""
    kinds = [one for one in (get_args(hint) or (hint,)) if one is not type(None)]
    kinds = [hint] if get_origin(hint) is list else kinds
    if len(kinds) == 1 and kinds[0] in (bool, str):
        found: type = kinds[0]
        return found
    return list if kinds == [list[str]] else None


def _takes(command: Callable[..., None]) -> _Taken | None:
    """What a command takes; None where it declares something that is not read here."""
    taken = _Taken({}, [], {})
    hints = get_type_hints(command, include_extras=True)
    hints.pop("return", None)
    for name, hint in hints.items():
        base, declared = get_args(hint) if hasattr(hint, "__metadata__") else (hint, None)
        kind = _kind(base)
        if kind is None:
            return None
        taken.kinds[name] = kind
        if isinstance(declared, Option):
            taken.options.update(dict.fromkeys(declared.names, name))
        elif isinstance(declared, Argument) and kind is str:
            taken.arguments.append(name)
        else:
            return None
    return taken


def _plain(value: str) -> bool:
    """Whether a word is a value, and can be nothing else."""
    return value == "-" or (value != "" and not value.startswith("-"))


def read(command: Callable[..., None], words: Sequence[str]) -> dict[str, Any] | None:
    """What a command is to be called with.

    Args:
        command: The function of a command.
        words: The command line behind the command's name.

    Returns:
        Its parameters by name, without those that were not given; None where typer must read the words.
    """
    taken = _takes(command)
    if taken is None:
        return None
    given: dict[str, Any] = {}
    arguments, rest = iter(taken.arguments), iter(words)
    for word in rest:
        name = next(arguments, "") if _plain(word) else taken.options.get(word, "")
        kind = taken.kinds.get(name)
        value = True if kind is bool else word if _plain(word) else next(rest, "")
        if kind is None or (kind is not bool and not _plain(str(value))):
            return None
        if kind is list:
            given.setdefault(name, []).append(value)
        elif name in given:
            return None
        else:
            given[name] = value
    required = list(taken.kinds)[: len(taken.kinds) - len(getattr(command, "__defaults__", None) or ())]
    return given if given.keys() >= set(required) else None


def call(words: Sequence[str]) -> bool:
    """Run a command line, where it can be read here.

    Args:
        words: The command line without the program's name.

    Returns:
        Whether it was run. Not even its command's module is loaded where its name is not known here.
    """
    name = words[0] if words else ""
    if [*words] == ["--version"]:
        from pcaudit import __version__

        print(f"pcaudit {__version__}")  # noqa: T201
        return True
    if name not in COMMANDS:
        return False
    command = getattr(import_module(COMMANDS[name]), name)
    given = read(command, words[1:])
    if given is None:
        return False
    command(**given)
    return True
