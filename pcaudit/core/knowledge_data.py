"""Checking the data of a knowledge file, so that a wrong file says where it is wrong.

``where`` is the dotted place of the table a key stands in, with its last point: ``windows.``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, Final


class KnowledgeError(ValueError):
    """Wrong data in a knowledge file.

    Args:
        key: Where it is wrong, as a dotted key.
        message: What is wrong with it.
    """

    def __init__(self, key: str, message: str) -> None:
        super().__init__(f"{key}: {message}")
        self.key = key
        self.message = message


_NAMES: Final = {
    str: "a text",
    int: "a whole number",
    list: "a list",
    dict: "a table",
    date: "a date without time",
}


def need(table: Mapping[str, Any], key: str, kind: type, where: str) -> Any:
    """The value of a key that must be there.

    Args:
        table: The table.
        key: The key.
        kind: Exact type of the value: str, int, list, dict or date.
        where: Place of the table.

    Raises:
        KnowledgeError: Missing, of another type, or an empty text.
    """
    if key not in table:
        raise KnowledgeError(f"{where}{key}", "missing")
    value = table[key]
    # Exactly the type: a date with a time is a date to isinstance, and true a whole number.
    if type(value) is not kind:
        raise KnowledgeError(f"{where}{key}", f"must be {_NAMES[kind]}, not {value!r:.60}")
    if isinstance(value, str) and not value.strip():
        raise KnowledgeError(f"{where}{key}", "the text is empty")
    return value


def optional_text(table: Mapping[str, Any], key: str, where: str) -> str:
    """The text of a key, empty where there is none.

    Raises:
        KnowledgeError: There, but no text or an empty one.
    """
    return str(need(table, key, str, where)) if key in table else ""


def only(table: Mapping[str, Any], allowed: tuple[str, ...], where: str) -> None:
    """Refuse keys that mean nothing here: a misspelt one must not be passed over.

    Raises:
        KnowledgeError: A key is none of ``allowed``.
    """
    for key in table:
        if key not in allowed:
            raise KnowledgeError(f"{where}{key}", f"unknown key; known here: {', '.join(allowed)}")


def texts(table: Mapping[str, Any], key: str, where: str) -> list[str]:
    """A list of at least one text.

    Raises:
        KnowledgeError: Missing, empty, or not only texts.
    """
    values = need(table, key, list, where)
    if not values or not all(isinstance(value, str) and value.strip() for value in values):
        raise KnowledgeError(f"{where}{key}", "must be a list of at least one text")
    return list(values)


def tables(table: Mapping[str, Any], key: str, where: str) -> list[tuple[dict[str, Any], str]]:
    """The tables of a list, each with its place.

    Raises:
        KnowledgeError: Missing, or not only tables.
    """
    values = need(table, key, list, where)
    for index, value in enumerate(values):
        if not isinstance(value, dict):
            raise KnowledgeError(f"{where}{key}[{index}]", "must be a table")
    return [(value, f"{where}{key}[{index}].") for index, value in enumerate(values)]


def word(table: Mapping[str, Any], key: str, words: Iterable[str], where: str) -> str:
    """A text that is one of a closed list.

    Raises:
        KnowledgeError: Missing, no text, or none of ``words``.
    """
    value = str(need(table, key, str, where))
    known = tuple(words)
    if value not in known:
        raise KnowledgeError(f"{where}{key}", f"{value!r:.60} is none of: {', '.join(known)}")
    return value
