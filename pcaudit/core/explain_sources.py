"""What the files of a profile say of themselves: who issued them, when, on what they are based."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.profile import ProfileSource

_HEAD: Final = {
    "title": "title",
    "issued": "issued",
    "publisher": "publisher",
    "contact": "contact",
    "note": "note",
    "based_on": "based on",
}


class Fact(NamedTuple):
    """One thing a file says of itself, and the line that says it."""

    label: str
    text: str
    line: int


class SourceFile(NamedTuple):
    """A file a profile is made of.

    Attributes:
        path: As given.
        sha256: Digest of its bytes, in hexadecimal; empty where it is not known.
        facts: What it says of itself, in a fixed order.
    """

    path: str
    sha256: str
    facts: tuple[Fact, ...]


def _text(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return str(value).strip()


def source_file(source: ProfileSource) -> SourceFile:
    """What a file says of itself; only its title where its text is not at hand."""
    if not source.text:
        return SourceFile(source.path, source.sha256, (Fact("title", source.title, 0),))
    from pcaudit.core.places import place_in
    from pcaudit.core.toml_text import parse_toml

    data, places = parse_toml(source.text, source.path)
    facts = [
        Fact(label, _text(data[key]), place_in(places, source.path, places.offset((key,))).line)
        for key, label in _HEAD.items()
        if key in data
    ]
    return SourceFile(source.path, source.sha256, tuple(facts))


def arrangements_before(
    sources: Sequence[ProfileSource],
) -> dict[str, dict[str, tuple[tuple[str, int], ...]]]:
    """Where arrangements were said before that a later file says again.

    Args:
        sources: What is based on first.

    Returns:
        By id and the file that says it again: each file and line before. An arrangement said
        once is not in it.
    """
    if len(sources) < 2:
        return {}
    from pcaudit.core.places import place_in
    from pcaudit.core.toml_text import parse_toml

    said: dict[str, list[tuple[str, int]]] = {}
    again: dict[str, dict[str, tuple[tuple[str, int], ...]]] = {}
    for source in sources:
        data, places = parse_toml(source.text, source.path)
        for index, table in enumerate(data.get("arrangements", ())):
            line = place_in(places, source.path, places.offset(("arrangements", index))).line
            if table["id"] in said:
                again.setdefault(table["id"], {})[source.path] = tuple(said[table["id"]])
            said.setdefault(table["id"], []).append((source.path, line))
    return again
