"""APT configuration files, as apt.conf(5) describes them."""

from __future__ import annotations

import re

_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[{};]|//[^\n]*|/\*.*?\*/|#[^\n]*|[^\s{};"]+', re.DOTALL)


def _tokens(text: str) -> list[str]:
    found = (match[0] for match in _TOKEN.finditer(text))
    return [token for token in found if not token.startswith(("//", "/*", "#"))]


def decode(text: str) -> dict[str, str]:
    """Options that have a value.

    Args:
        text: Content of one file.

    Returns:
        Values by full option name in lower case, as APT compares names: ``apt::periodic::enable``.
        List members, which have no name of their own, are left out.
    """
    options: dict[str, str] = {}
    scope: list[str] = []
    words: list[str] = []
    for part in _tokens(text):
        if part == "{":
            scope.append(words[0] if words else "")
            words = []
        elif part == "}":
            scope = scope[:-1]
            words = []
        elif part == ";":
            if len(words) == 2:
                option = "::".join(name for name in (*scope, words[0]) if name)
                options[option.casefold()] = words[1]
            words = []
        else:
            words.append(part.strip('"'))
    return options
