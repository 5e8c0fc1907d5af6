"""Scripts by which shells complete the command line.

Each script holds the commands and options itself, so that a shell need not start pcaudit at every
press of the key. File names are completed by the shell.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from pcaudit.errors import UsageError

Commands = Mapping[str, tuple[str, ...]]
"""Options by command; sub-commands stand as "profile new", and a group's options are those."""


def commands_of(command: Any, before: str = "") -> dict[str, tuple[str, ...]]:
    """Every command under a command group, with the options it takes.

    Args:
        command: As typer builds it: with ``commands`` where it is a group, and ``params``.
        before: Names of the groups it is in.
    """
    shown = [one for one in command.params if not getattr(one, "hidden", False)]
    options = tuple(o for p in shown for o in getattr(p, "opts", ()) if o.startswith("--"))
    found = {before: tuple(sorted({*options, "--help"}))}
    for name, one in getattr(command, "commands", {}).items():
        found |= commands_of(one, f"{before} {name}".strip())
    return found


def _below(commands: Commands, name: str) -> list[str]:
    """The commands directly under one."""
    before = f"{name} " if name else ""
    return [c[len(before) :] for c in commands if c and c.startswith(before) and " " not in c[len(before) :]]


def _bash(commands: Commands, formats: tuple[str, ...]) -> str:
    cases = []
    for name in sorted(commands, key=lambda one: -one.count(" ")):
        if name:
            words = [*_below(commands, name), *commands[name]]
            cases.append(f'        "{name} "*) words="{" ".join(words)}" ;;')
    top = " ".join([*_below(commands, ""), *commands[""]])
    inner = "\n".join(cases)
    groups = "".join(f' || "$line" == "{name} "' for name in commands if name and _below(commands, name))
    return f"""_pcaudit() {{
    local word="${{COMP_WORDS[COMP_CWORD]}}" before="${{COMP_WORDS[COMP_CWORD-1]}}"
    local line="${{COMP_WORDS[*]:1:COMP_CWORD-1}} " words="{top}"
    case "$line" in
{inner}
    esac
    case "$before" in
        --format|-f) words="{" ".join(formats)}" ;;
        *) [[ "$word" == -* || "$COMP_CWORD" == 1{groups} ]] || words="" ;;
    esac
    COMPREPLY=($(compgen -W "$words" -- "$word"))
}}
complete -o default -F _pcaudit pcaudit
"""


def _zsh(commands: Commands, formats: tuple[str, ...]) -> str:
    ready = "autoload -U +X compinit && compinit\nautoload -U +X bashcompinit && bashcompinit\n"
    return ready + _bash(commands, formats)


def _fish(commands: Commands, formats: tuple[str, ...]) -> str:
    lines = []
    for name, options in commands.items():
        *groups, last = name.split() or [""]
        conditions = [f"__fish_seen_subcommand_from {one}" for one in (*groups, last) if one]
        when = "; and ".join(conditions) or "__fish_use_subcommand"
        below = _below(commands, name)
        if below:
            none = f"; and not __fish_seen_subcommand_from {' '.join(below)}" if name else ""
            lines.append(f"complete -c pcaudit -f -n '{when}{none}' -a '{' '.join(below)}'")
        for option in options:
            given = f" -x -a '{' '.join(formats)}'" if option == "--format" else ""
            lines.append(f"complete -c pcaudit -n '{when}' -l {option[2:]}{given}")
    return "\n".join(lines) + "\n"


def _powershell(commands: Commands, formats: tuple[str, ...]) -> str:
    rows = []
    for name in commands:
        words = ", ".join(f"'{word}'" for word in (*_below(commands, name), *commands[name]))
        rows.append(f"        '{name}' = @({words})")
    table = "\n".join(rows)
    given = ", ".join(f"'{one}'" for one in formats)
    return f"""Register-ArgumentCompleter -Native -CommandName pcaudit -ScriptBlock {{
    param($word, $ast, $position)
    $known = @{{
{table}
    }}
    $before = @($ast.CommandElements | Select-Object -Skip 1 | ForEach-Object {{ "$_" }})
    if ($word -and $before.Count -gt 0) {{ $before = @($before | Select-Object -SkipLast 1) }}
    $name = ''
    foreach ($one in $before) {{
        $longer = "$name $one".Trim()
        if ($known.ContainsKey($longer)) {{ $name = $longer }}
    }}
    $words = $known[$name]
    if ($before.Count -gt 0 -and $before[-1] -in '--format', '-f') {{ $words = {given} }}
    $words | Where-Object {{ $_ -like "$word*" }} | ForEach-Object {{
        [System.Management.Automation.CompletionResult]::new($_, $_, 'ParameterValue', $_)
    }}
}}
"""


_SHELLS: Final[dict[str, Callable[[Commands, tuple[str, ...]], str]]] = {
    "bash": _bash,
    "zsh": _zsh,
    "fish": _fish,
    "powershell": _powershell,
}

SHELLS: Final = tuple(_SHELLS)
"""Shells there is a script for."""


def script(shell: str, commands: Commands) -> str:
    """The script for one shell.

    Args:
        shell: One of ``SHELLS``.
        commands: As ``commands_of`` gives them.

    Raises:
        UsageError: There is none for this shell.
    """
    from pcaudit.render.interface import FORMATS

    make = _SHELLS.get(shell)
    if make is None:
        raise UsageError(f"{shell!r:.60} is no shell known here", next_step=f"shells: {', '.join(SHELLS)}")
    return make(commands, FORMATS)
