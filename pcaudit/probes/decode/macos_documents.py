"""Property lists and the JSON of system_profiler(8), read so that nothing malformed passes.

plist(5), Apple: XML or binary. ``system_profiler -json`` prints one table with one list for each data
type; the shape is that of recorded outputs in public test suites.
"""

from __future__ import annotations

from typing import Any

_DEEPEST = 64


def _check_depth(value: Any, depth: int = 0) -> None:
    if depth > _DEEPEST:
        raise ValueError("nested too deeply")
    if isinstance(value, dict):
        for part in value.values():
            _check_depth(part, depth + 1)
    elif isinstance(value, list):
        for part in value:
            _check_depth(part, depth + 1)


def any_plist(data: bytes, source: str) -> Any:
    """The content of a property list.

    Args:
        data: XML or binary.
        source: What gave it, for the message.

    Raises:
        ValueError: It is no property list.
    """
    import plistlib

    try:
        value = plistlib.loads(data)
        _check_depth(value)
    except Exception as error:  # the parsers under plistlib raise what they please on rubbish
        raise ValueError(f"{source} gave what is no property list") from error
    return value


def table(data: bytes, source: str) -> dict[str, Any]:
    """The content of a property list that is a table.

    Raises:
        ValueError: It is no property list, or not a table.
    """
    value = any_plist(data, source)
    if not isinstance(value, dict):
        raise ValueError(f"{source} gave a property list of another shape")
    return value


def profile(data: bytes, kind: str) -> list[dict[str, Any]]:
    """The entries of one data type.

    Args:
        data: What ``system_profiler -json KIND`` printed.
        kind: The data type.

    Raises:
        ValueError: It is not JSON, or not of that shape.
    """
    import json

    try:
        value = json.loads(data)
        _check_depth(value)
    except (ValueError, RecursionError) as error:
        raise ValueError(f"system_profiler {kind} gave what is no JSON") from error
    entries = value.get(kind) if isinstance(value, dict) else None
    if not isinstance(entries, list):
        raise ValueError(f"system_profiler gave nothing for {kind}")
    return [entry for entry in entries if isinstance(entry, dict)]


def word(entry: dict[str, Any], key: str) -> str:
    """A text of an entry without outer white space; empty where there is none."""
    value = entry.get(key)
    return value.strip() if isinstance(value, str) else ""


def whole(entry: dict[str, Any], key: str) -> int | None:
    """A number of an entry above zero; None where there is none."""
    value = entry.get(key)
    good = isinstance(value, int) and not isinstance(value, bool) and value > 0
    return value if good else None


def truth(entry: dict[str, Any], key: str) -> bool | None:
    """True or false of an entry; None where it says neither."""
    value = entry.get(key)
    return value if isinstance(value, bool) else None


def entries(entry: dict[str, Any], key: str) -> list[dict[str, Any]]:
    """A list of tables of an entry; none where it is missing."""
    value = entry.get(key)
    return [part for part in value if isinstance(part, dict)] if isinstance(value, list) else []
