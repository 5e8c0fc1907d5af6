"""How a command declares its options and arguments, once: in the signature of its function.

``commands.py`` makes typer's declarations of them, ``quick.py`` reads plain command lines by them.
"""

from __future__ import annotations

from typing import NamedTuple


class Option(NamedTuple):
    """An option.

    Attributes:
        names: As they are written, the long one first: ``("--output", "-o")``.
        help: What it does.
        metavar: What help shows for its value; None where it takes none, or its type says it.
    """

    names: tuple[str, ...]
    help: str
    metavar: str | None = None


class Argument(NamedTuple):
    """What is told by its place alone.

    Attributes:
        metavar: What help shows for it.
        help: What it is.
    """

    metavar: str
    help: str
