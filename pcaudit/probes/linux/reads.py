"""Small ways of reading a host's files that every group needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pcaudit.core.snapshot import Observation, unknown
from pcaudit.probes.linux.host import Tree

ADMINISTRATOR = "needs administrator rights"
"""Why a file that only root may read was not read."""
_MOST_PROCESSORS = 1 << 16  # far above any kernel's NR_CPUS


def text(tree: Tree, name: str) -> str:
    """The text of a file; empty where it is missing, denied or refused, all alike."""
    try:
        return tree.text(name)
    except OSError:
        return ""


def content(tree: Tree, name: str) -> str:
    """The text of a file; empty where it is missing, so that a refusal is not taken for that.

    Raises:
        OSError: It is there, but denied or refused.
    """
    try:
        return tree.text(name)
    except (FileNotFoundError, NotADirectoryError):
        return ""


def number(tree: Tree, name: str) -> int | None:
    """The whole decimal number in a file; None where there is none to read."""
    content = text(tree, name)
    try:
        return int(content)
    except ValueError:
        return None


def names(tree: Tree, name: str) -> list[str]:
    """The names in a folder, sorted; none where the folder is missing or denied."""
    try:
        return tree.names(name)
    except OSError:
        return []


def listed(tree: Tree, name: str) -> list[str]:
    """The names in a folder, sorted; none where it is missing, so that a refusal is not taken for that.

    Raises:
        OSError: It is there, but denied or refused.
    """
    try:
        return tree.names(name)
    except (FileNotFoundError, NotADirectoryError):
        return []


def refusal(name: str, error: OSError) -> str:
    """Why a file that is there was not read, for people."""
    if isinstance(error, PermissionError):
        return f"{name} cannot be read: {ADMINISTRATOR}"
    return f"{name} cannot be read: {error.strerror or error}"


def lines(content: str) -> Iterator[tuple[str, str]]:
    """Keys and values of ``key : value`` lines, as ``/proc`` writes them."""
    for line in content.splitlines():
        key, colon, value = line.partition(":")
        if colon:
            yield key.strip(), value.strip()


def all_unknown(readings: Iterable[str], why: str) -> dict[str, Observation]:
    """Every one of ``readings`` unknown for the same reason."""
    return dict.fromkeys(readings, unknown(why))


def processors(ranges: str) -> list[int]:
    """Processor numbers from the kernel's list format: ``0-3,8``; empty where it is malformed."""
    found: list[int] = []
    try:
        for part in filter(None, ranges.strip().split(",")):
            first, _, last = part.partition("-")
            if int(last or first) >= _MOST_PROCESSORS:
                return []
            found.extend(range(int(first), int(last or first) + 1))
    except ValueError:
        return []
    return found
