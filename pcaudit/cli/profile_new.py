"""``pcaudit profile new``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from pcaudit.cli import exits
from pcaudit.cli.asking import at_a_terminal, file_for, keep, prompt
from pcaudit.cli.options import Quiet, remark, write
from pcaudit.cli.streams import tell
from pcaudit.errors import UsageError

if TYPE_CHECKING:
    from pcaudit.core.starter import Answers, Question


def _flag(metavar: str, text: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(metavar=metavar, help=text)
    return option


def new(
    title: Annotated[str | None, _flag("TEXT", "What the profile is for.")] = None,
    os_type: Annotated[
        str | None, typer.Option("--os", metavar="TYPE", help="windows, linux or macos.")
    ] = None,
    os_product: Annotated[
        str | None, _flag("NAME", 'Its product, as "Debian GNU/Linux"; linux needs it for --os-version.')
    ] = None,
    os_edition: Annotated[str | None, _flag("NAMES", 'Editions of Windows, as "pro, enterprise".')] = None,
    os_version: Annotated[str | None, _flag("RANGE", 'Versions of it, as ">=10.0.22000".')] = None,
    memory: Annotated[str | None, _flag("SIZE", 'Memory fitted, at least: "16 GB".')] = None,
    memory_recommended: Annotated[str | None, _flag("SIZE", "Memory that is better.")] = None,
    cores: Annotated[str | None, _flag("NUMBER", "Processor cores, at least.")] = None,
    free_space: Annotated[
        str | None, _flag("SIZE", 'Free space on the system volume, at least: "200 GB".')
    ] = None,
    screen: Annotated[str | None, _flag("WIDTHxHEIGHT", "Pixels of the screen, at least.")] = None,
    ports: Annotated[str | None, _flag("NUMBER", "Wired network ports, at least.")] = None,
    output: Annotated[
        str | None,
        typer.Option(
            "--output", "-o", metavar="FILE", help="Write here, never over a file; - is standard output."
        ),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Write a commented profile to go on from; at a terminal, without --title, after some questions."""
    from pcaudit.core.starter import compiled, starter

    given = {
        "title": title,
        "os": os_type,
        "os_product": os_product,
        "os_edition": os_edition,
        "os_version": os_version,
        "memory": memory,
        "memory_recommended": memory_recommended,
        "cores": cores,
        "free_space": free_space,
        "screen": screen,
        "ports": ports,
    }
    if output is not None:
        keep(output)
    answers = _checked({name: text for name, text in given.items() if text is not None})
    if title is None and at_a_terminal():
        try:
            answers = _asked(answers)
            output = _file_for(answers) if output is None else output
        except (typer.Abort, KeyboardInterrupt):  # at a prompt, and between two
            tell("\nnothing was written")
            raise typer.Exit(exits.INTERRUPTED) from None
    target = "-" if output is None else output
    text = starter(answers)
    keep(target)
    write(target, text)
    if quiet:
        return
    if target != "-":
        file = f'"{target}"' if " " in target else target
        remark(False, f"written to {target}: edit it, then: pcaudit profile validate {file}")
    from pcaudit.cli.remarks import tell_remarks

    tell_remarks(compiled(text, "the new profile" if target == "-" else target))


def _checked(given: dict[str, str]) -> Answers:
    """The answers that flags give.

    Raises:
        UsageError: One is not right.
    """
    from pcaudit.core.starter import QUESTIONS, Answers, refusal

    answers = Answers()
    for question in QUESTIONS:
        if question.name not in given:
            continue
        answers = answers._replace(**{question.name: given[question.name]})
        message, hint = refusal(answers, question)
        if message:
            raise UsageError(f"--{question.name.replace('_', '-')}: {message}", next_step=hint)
    return answers


def _asked(answers: Answers) -> Answers:
    """The answers given at the terminal beside those of flags.

    Raises:
        typer.Abort: The person gave up.
    """
    from pcaudit.core.starter import QUESTIONS

    tell("Questions about the PC the software needs. Enter leaves one out; Ctrl-C leaves no file.")
    for question in QUESTIONS:
        if not getattr(answers, question.name) and _makes_sense(answers, question):
            answers = _answered(answers, question)
    return answers


def _makes_sense(answers: Answers, question: Question) -> bool:
    """Whether a question need be asked after the answers before it."""
    if question.name == "os_product":
        return answers.os.strip().lower() == "linux"
    if question.name == "os_edition":
        return answers.os.strip().lower() == "windows"
    if question.name == "os_version" and answers.os.strip().lower() == "linux":
        return bool(answers.os_product)
    return not question.needs or bool(getattr(answers, question.needs))


def _answered(answers: Answers, question: Question) -> Answers:
    from pcaudit.core.starter import noticed, refusal

    tell(f"\n{question.why} Example: {question.example}")
    kept = ""
    while True:
        text = prompt(question.ask, kept)
        if not text:
            return answers
        tried = answers._replace(**{question.name: text})
        message, hint = refusal(tried, question)
        if message:
            kept = ""
            remark(False, f"    {message}" + (f": {hint}" if hint else ""))
            continue
        told = noticed(tried, answers) if text != kept else ()
        if not told:
            return tried
        for seen, better in told:
            remark(False, f"    {seen}: {better}")
        tell("    Enter keeps it.")
        kept = text


def _file_for(answers: Answers) -> str:
    """The file a person names, asked again until it can be made."""
    import re

    stem = re.sub("[^a-z0-9]+", "-", answers.title.lower()).strip("-")[:60] or "profile"
    return file_for(stem, "profile")
