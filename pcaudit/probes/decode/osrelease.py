"""os-release files, as os-release(5) describes them."""

from __future__ import annotations

import re

_LINE = re.compile(r"\s*([A-Za-z][A-Za-z0-9_]*)=(.*)", re.ASCII)
_ESCAPE = re.compile(r'\\([\\$"`])')


def _unquoted(value: str) -> str:
    """The value without the shell's quotes; concatenation and expansion are not part of the format."""
    if len(value) >= 2 and value[0] == value[-1] == "'":
        return value[1:-1]
    if len(value) >= 2 and value[0] == value[-1] == '"':
        return _ESCAPE.sub(r"\1", value[1:-1])
    return _ESCAPE.sub(r"\1", value)


def decode(text: str) -> dict[str, str]:
    """Keys and values of an os-release file.

    Args:
        text: Content of the file.

    Returns:
        Every assignment, the last one of a key counting; comments and malformed lines are left out.
    """
    matches = (_LINE.match(line) for line in text.splitlines())
    return {match[1]: _unquoted(match[2].strip()) for match in matches if match}
