"""Arguments and options that several commands share, and what they mean."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, Annotated

from pcaudit.cli.declared import Argument, Option
from pcaudit.cli.streams import hush, tell
from pcaudit.errors import UsageError

if TYPE_CHECKING:
    from pcaudit.render.interface import Screen

Output = Annotated[str, Option(("--output", "-o"), "Write here; - is standard output.", "FILE")]
Quiet = Annotated[bool, Option(("--quiet", "-q"), "No remarks on standard error.")]
Format = Annotated[str, Option(("--format", "-f"), "text or json.")]
ReportFormat = Annotated[str, Option(("--format", "-f"), "text, json, html, junit (XML), csv or markdown.")]
Redact = Annotated[bool, Option(("--redact",), "Pseudonyms for names, addresses and serial numbers.")]
RedactKey = Annotated[
    str | None,
    Option(("--redact-key",), "Redact with the secret in this file: the same pseudonyms every time.", "FILE"),
]
On = Annotated[
    str | None,
    Option(
        ("--on",),
        "Day judged for, as 2026-11-25; unless given a worksheet's installation day, else today.",
        "DATE",
    ),
]
AsOf = Annotated[
    str | None, Option(("--as-of",), "Day work counts from, as 2026-11-25; today unless given.", "DATE")
]
Knowledge = Annotated[str, Option(("--knowledge",), "Folder of newer knowledge files.", "DIR")]
Also = Annotated[list[str] | None, Option(("--also",), "Another product on the same PC.", "PROFILE")]
Chosen = Annotated[list[str] | None, Option(("--option",), "An option the lab chose.", "NAME")]
Settings = Annotated[list[str] | None, Option(("--set",), "Value of a parameter.", "NAME=VALUE")]
Concessions = Annotated[str | None, Option(("--concessions",), "Concessions granted (TOML).", "FILE")]
WorksheetFile = Annotated[
    str | None,
    Option(
        ("--worksheet",), "The lab's answers (TOML); it names profiles, options and parameters too.", "FILE"
    ),
]
ProfileFile = Annotated[str, Argument("PROFILE", "Requirements profile (TOML); - is standard input.")]


def day(text: str | None, option: str) -> date:
    """The day an option names; today where it was not given.

    Raises:
        UsageError: The text is no day.
    """
    if text is None:
        return date.today()
    try:
        # Python reads 20261125 and 2026-W48-3 too, which people mistype and misread.
        if len(text) == 10 and "W" not in text:
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise UsageError(f"{option} {text!r:.40} is no day", next_step="write it as 2026-11-25")


def screen(output: str) -> Screen:
    """What a result is laid out for: the terminal, or plain text for a file."""
    from pcaudit.render.interface import PLAIN

    if output != "-" or not sys.stdout:
        return PLAIN
    from pcaudit.render.screen import screen_of

    return screen_of(sys.stdout, os.environ)


def write(output: str, text: str) -> None:
    """Write a result, whole or not at all.

    A reader that has seen enough is no fault: the command ends as if all had been read.
    """
    from pcaudit.files import write_text

    try:
        write_text(output, text)
    except BrokenPipeError:
        hush(sys.stdout)


def remark(quiet: bool, text: str) -> None:
    """Say something beside the result, on standard error."""
    if not quiet:
        from pcaudit.core.visible import visible

        tell(visible(text, 400))


def check_files(output: str, inputs: Iterable[str | None]) -> None:
    """Refuse to read standard input twice, and to write a result over a file it is made from.

    Raises:
        UsageError: Several inputs are standard input, or the output is one of the inputs.
    """
    paths = [path for path in inputs if path]
    if paths.count("-") > 1:
        raise UsageError(
            "standard input cannot be several files at once", next_step="name all but one of them"
        )
    keep_inputs(output, paths)


def keep_inputs(output: str, inputs: Iterable[str | None]) -> None:
    """Refuse to write a result over a file it is made from, or over a record.

    Raises:
        UsageError: The output is one of the inputs, or a record.
    """
    if output == "-":
        return
    for path in inputs:
        if path and path != "-" and os.path.realpath(path) == os.path.realpath(output):
            raise UsageError(
                f"--output {output:.200} is also an input, and would be lost", next_step="name another file"
            )
    if os.path.exists(output):
        from pcaudit.files import keep_record

        keep_record(output)
