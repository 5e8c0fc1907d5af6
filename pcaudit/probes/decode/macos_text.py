"""What the utilities of macOS print as text: pairs, amounts, dictionaries of scutil(8)."""

from __future__ import annotations

import re
from typing import Final

_AMOUNT: Final = re.compile(r"(\d{1,7}) (MB|GB|TB)", re.ASCII)
_UNITS: Final = {"MB": 1 << 20, "GB": 1 << 30, "TB": 1 << 40}


def pairs(content: str) -> dict[str, str]:
    """Keys and values of ``key: value`` lines, as sysctl(8) and sw_vers(1) write them.

    The first value of a key counts; lines of another form are passed over.
    """
    found: dict[str, str] = {}
    for line in content.splitlines():
        key, colon, value = line.partition(":")
        if colon and value.strip():
            found.setdefault(key.strip(), value.strip())
    return found


def whole(text: str | None) -> int | None:
    """A decimal number from 0 up, None where the text is none."""
    good = text is not None and text.isascii() and text.isdigit() and len(text) <= 20
    return int(text) if good and text is not None else None


def memory_size(text: str) -> int | None:
    """Bytes of a memory amount as system_profiler(8) writes it, ``16 GB``: powers of two."""
    match = _AMOUNT.fullmatch(text.strip())
    return int(match[1]) * _UNITS[match[2]] if match else None


def dictionary(content: str) -> dict[str, str] | None:
    """The plain values of a dictionary that scutil(8) prints.

    Args:
        content: ``<dictionary> {`` and lines ``  Key : value``; arrays inside are passed over.

    Returns:
        Values by key, or None where the text is not a whole dictionary.
    """
    lines = content.strip().splitlines()
    if len(lines) < 2 or lines[0].strip() != "<dictionary> {" or lines[-1].strip() != "}":
        return None
    found = {}
    depth = 0
    for line in lines[1:-1]:
        key, colon, value = line.strip().partition(" : ")
        if line.rstrip().endswith("{"):
            depth += 1
        elif line.strip() == "}":
            depth -= 1
        elif colon and not depth:
            found[key] = value.strip()
    return found
