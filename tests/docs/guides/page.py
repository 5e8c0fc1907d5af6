r"""A guide with what its commands print put in anew.

What is to be done stands in comments, each on a line of its own, before the block it is about:

* ``<!-- now: 2026-11-27T09:00:00+00:00 -->`` and ``<!-- pc: spare.json -->``: from here on.
* ``<!-- show: 1-6; lab:+3 -->``: of what the next command prints lines 1 to 6, and from the next
  line that begins with ``lab:`` on three. Nothing after the colon: nothing. Else all of it.
* ``<!-- terminal -->``: the next command sees a terminal.
* ``<!-- append: FILE -->``, ``<!-- write: FILE -->``, ``<!-- uncomment: FILE -->``,
  ``<!-- fill: FILE -->``: what the reader does with the next block.
* ``<!-- replace: FILE | OLD | NEW -->`` (``\n`` for a new line) and ``<!-- copy: FOLDER | FOLDER -->``:
  what the text around it tells the reader to do.

A line ``...`` stands for lines left out, ``[exit code 3]`` for an exit code that is not 0.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from tests.docs.guides.stage import Ran, Stage

_DIRECTIVE: Final = re.compile(r"<!-- ([a-z]+)(?::(.*))? -->")
_LEFT_OUT: Final = "..."


def _spans(lines: Sequence[str], wanted: str) -> Iterator[tuple[int, int]]:
    """The lines to show, from and up to."""
    at = 0
    for part in filter(None, (one.strip() for one in wanted.split(";"))):
        if found := re.fullmatch(r"(\d+)-(\d+)", part):
            start, end = int(found[1]) - 1, int(found[2])
        else:
            text, _, number = part.rpartition("+")
            start = next(
                (n for n, line in enumerate(lines) if n >= at and line.lstrip().startswith(text)), -1
            )
            if start < 0:
                raise ValueError(f"no line begins with {text!r} in:\n" + "\n".join(lines))
            end = start + int(number)
        yield start, end
        at = end


def _chosen(lines: Sequence[str], wanted: str | None) -> list[str]:
    """The lines to show, with marks where some are left out."""
    if wanted is None:
        return list(lines)
    shown: list[str] = []
    at = 0
    for start, end in _spans(lines, wanted):
        if start > at:
            shown.append(_LEFT_OUT)
        piece = list(lines[start:end])
        while piece and not piece[-1]:
            piece.pop()
        shown += piece
        at = end
    return [*shown, _LEFT_OUT] if shown and at < len(lines) else shown


def _commands(block: Sequence[str]) -> Iterator[list[str]]:
    """The lines of each command of a block."""
    lines = iter(block)
    for line in lines:
        if line.startswith("$ "):
            command = [line]
            while command[-1].endswith("\\"):
                command.append(next(lines))
            yield command


class _Writer:
    """Follows a guide, and writes it anew."""

    def __init__(self, stage: Stage) -> None:
        self.stage = stage
        self.done: list[tuple[str, Ran]] = []
        self._show: str | None = None
        self._terminal = False
        self._with_block = ""

    def directive(self, word: str, about: str) -> None:
        """Do, or keep in mind, what a comment says."""
        parts = about.split(" | ")
        if word == "now":
            self.stage.now = datetime.fromisoformat(about)
        elif word == "pc":
            self.stage.pc = about
        elif word == "show":
            self._show = about
        elif word == "terminal":
            self._terminal = True
        elif word == "replace":
            file, old, new = parts
            self.stage.replace(file, old, new.replace("\\n", "\n"))
        elif word == "copy":
            self.stage.copy(*parts)
        elif word in ("append", "write", "uncomment", "fill"):
            self._with_block = f"{word} {about}"
        else:
            raise ValueError(f"no such comment: {word}")

    def block(self, kind: str, lines: Sequence[str]) -> list[str]:
        """What stands in a block now."""
        if kind == "console":
            return self._console(lines)
        if self._with_block:
            word, _, file = self._with_block.partition(" ")
            getattr(self.stage, word)(file, "".join(f"{line}\n" for line in lines))
            self._with_block = ""
        return list(lines)

    def _console(self, lines: Sequence[str]) -> list[str]:
        written: list[str] = []
        for command in _commands(lines):
            whole = " ".join(line.rstrip("\\").strip() for line in command).removeprefix("$ ")
            ran = self.stage.run(whole, terminal=self._terminal)
            self.done.append((whole, ran))
            written += command
            written += _chosen([line.rstrip() for line in ran.text.splitlines()], self._show)
            written += [f"[exit code {ran.code}]"] if ran.code else []
            self._show, self._terminal = None, False
        return written


def followed(text: str, stage: Stage) -> tuple[str, list[tuple[str, Ran]]]:
    """Follow a guide.

    Args:
        text: The guide.
        stage: Where it is followed.

    Returns:
        The guide with what the commands print now, and each command with what came of it.

    Raises:
        ValueError: It asks for something that is not there.
    """
    writer = _Writer(stage)
    written: list[str] = []
    kind: str | None = None
    block: list[str] = []
    for line in text.splitlines():
        if kind is not None and line == "```":
            written += [*writer.block(kind, block), line]
            kind, block = None, []
        elif kind is not None:
            block.append(line)
        else:
            written.append(line)
            if found := _DIRECTIVE.fullmatch(line):
                writer.directive(found[1], (found[2] or "").strip())
            elif line.startswith("```"):
                kind = line.removeprefix("```")
    return "\n".join([*written, ""]), writer.done
