"""``pcaudit worksheet new``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from pcaudit.cli import exits
from pcaudit.cli.asking import at_a_terminal, file_for, keep, prompt
from pcaudit.cli.options import Also, Chosen, ProfileFile, Quiet, Settings, remark, write
from pcaudit.cli.streams import tell

if TYPE_CHECKING:
    from pcaudit.core.choose import Asked
    from pcaudit.core.profile import WantedArrangement
    from pcaudit.core.worksheet.blank import Filled
    from pcaudit.core.worksheet.questions import Question


def new(
    profile: ProfileFile,
    also: Also = None,
    option: Chosen = None,
    setting: Settings = None,
    output: Annotated[
        str | None,
        typer.Option(
            "--output", "-o", metavar="FILE", help="Write here, never over a file; - is standard output."
        ),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Write a worksheet from what profiles ask of people; at a terminal after questions, else with blanks."""
    from pcaudit import app as use

    if output is not None:
        keep(output)
    paths = [profile, *(also or [])]
    asked = use.load_asked(paths, option or [], setting or [])
    filled = use.filled(paths, asked, option or [])
    if at_a_terminal():
        try:
            filled = _answered(asked, filled)
            output = file_for("worksheet", "worksheet") if output is None else output
        except (typer.Abort, KeyboardInterrupt):  # at a prompt, and between two
            tell("\nnothing was written")
            raise typer.Exit(exits.INTERRUPTED) from None
    target = "-" if output is None else output
    text = use.new_worksheet(asked, filled, target)
    keep(target)
    write(target, text)
    if target != "-":
        file = f'"{target}"' if " " in target else target
        remark(quiet, f"written to {target}: fill it in, then: pcaudit worksheet validate {file}")


def _answered(asked: tuple[Asked, ...], filled: Filled) -> Filled:
    """What is filled in by the answers of a person at the terminal.

    Raises:
        typer.Abort: The person gave up.
    """
    from pcaudit.core.worksheet.blank import to_answer
    from pcaudit.core.worksheet.questions import ABOUT

    tell("Questions about the installation. Enter leaves one blank; Ctrl-C writes nothing.")
    day, site, life = (_asked(question, None) for question in ABOUT)
    answers = {name: _arrangement(one) for name, one in to_answer(asked).items()}
    return filled._replace(day=day, site=site, service_life=life, answers=answers)


def _arrangement(one: WantedArrangement) -> dict[str, str]:
    """The answers to one arrangement, by key."""
    from pcaudit.core.visible import visible
    from pcaudit.core.worksheet.questions import STATE, questions, state_of

    lead = f", takes {one.lead_time}" if one.lead_time else ""
    tell(f"\n{visible(one.meta.title)} ({one.kind}; needed {one.needed}{lead})")
    state = state_of(prompt(STATE))
    while state is None:
        remark(False, "    write one of these, or its first letter; Enter leaves it blank")
        state = state_of(prompt(STATE))
    found = {question.key: _asked(question, one) for question in questions(one, state)}
    if "because" in found and not all(found.values()):
        remark(False, "    what is not needed says why and who says so: left blank")
        return {}
    return {key: text for key, text in {"state": state, **found}.items() if text}


def _asked(question: Question, one: WantedArrangement | None) -> str:
    from pcaudit.core.worksheet.questions import refusal

    while True:
        text = prompt(question.ask)
        wrong = refusal(question, text, one) if text else ""
        if not wrong:
            return "never" if question.never and text.casefold() == "never" else text
        remark(False, f"    {wrong}")
