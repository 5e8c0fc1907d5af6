"""docs/command-line.md names every command, every option and every format there is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import typer.main

from pcaudit.cli.commands import build
from pcaudit.render import compare_interface, interface, plan_interface, survey_interface
from tests.docs import tables

PAGE: Final = (Path(__file__).parents[2] / "docs" / "command-line.md").read_text(encoding="utf-8")
_OPTION: Final = re.compile(r"`(--?[a-z-]+)")


def _commands(
    group: typer.core.TyperGroup, before: str = ""
) -> Iterator[tuple[str, typer.core.TyperCommand]]:
    for name, command in group.commands.items():
        if isinstance(command, typer.core.TyperGroup):
            yield from _commands(command, f"{before}{name} ")
        else:
            assert isinstance(command, typer.core.TyperCommand)
            yield f"{before}{name}", command


def _root() -> typer.core.TyperGroup:
    root = typer.main.get_command(build())
    assert isinstance(root, typer.core.TyperGroup)
    return root


def _long(command: typer.core.TyperCommand | typer.core.TyperGroup) -> set[str]:
    shown = [one for one in command.params if not getattr(one, "hidden", False)]
    names = {name for one in shown for name in one.opts if name.startswith("--")}
    return names - {"--help"}


def _named(cell: str) -> set[str]:
    return set(_OPTION.findall(cell))


def _taken() -> dict[str, set[str]]:
    """By command the options its row names, with those of the section the row leads to."""
    taken = {}
    for command, cell in tables.rows(PAGE, "command", "takes"):
        sections = [tables.section(PAGE, anchor) for anchor in re.findall(r"\]\(#([a-z-]+)\)", cell)]
        flags = [_named(flag) for section in sections for flag, *_ in tables.rows(section, "flag", "becomes")]
        taken[command.strip("`")] = _named(cell).union(*flags)
    return taken


def test_every_command_takes_what_the_page_says() -> None:
    """The page lists each command with exactly its options, in the order help shows them."""
    assert _taken() == {name: _long(command) for name, command in _commands(_root())}
    assert list(_taken()) == [name for name, _ in _commands(_root())]


def _synopsis(name: str, command: typer.core.TyperCommand) -> str:
    arguments = [one for one in command.params if isinstance(one, typer.core.TyperArgument)]
    words = [f"{one.metavar}" if one.required else f"[{one.metavar}]" for one in arguments]
    return " ".join(["pcaudit", name, *words])


def test_every_command_is_said_to_do_something() -> None:
    """The first table of the page has each command with its arguments, in the order help shows them."""
    told = [cell for cell, _ in tables.rows(PAGE, "command", "does")]
    assert told == [f"`{_synopsis(name, command)}`" for name, command in _commands(_root())]


def test_every_option_is_explained() -> None:
    """Each option of any command, and of pcaudit itself, has a row that says what it means."""
    explained = {name for cell, _ in tables.rows(PAGE, "option", "means") for name in _named(cell)}
    section = tables.section(PAGE, "a-first-profile")
    explained |= {name for cell, _ in tables.rows(section, "flag", "becomes") for name in _named(cell)}
    options = [one for _, command in _commands(_root()) for one in command.params]
    named = {name for one in [*options, *_root().params] for name in one.opts if name.startswith("-")}
    assert explained == named - {"--help", "--version"}
    assert "`--version` prints" in PAGE and "`--help` stands after every command" in PAGE


def test_every_format_is_named() -> None:
    """For each command with formats the page has exactly those it takes."""
    told = {
        command.strip("`"): set(re.findall(r"\b[a-z]+\b", re.sub(r"\(\[.*?\)\)", "", cell)))
        for commands, cell in tables.rows(PAGE, "`--format` of", "is")
        for command in commands.split(", ")
    }
    readings = {"text", "json"}
    assert told == {
        "assess": set(interface.FORMATS),
        "compare": set(compare_interface.FORMATS),
        "survey": set(survey_interface.FORMATS),
        "plan": set(plan_interface.FORMATS),
        "drift": readings,
        "readings": readings,
    }
    assert set(told) == {name for name, command in _commands(_root()) if "--format" in _long(command)}
