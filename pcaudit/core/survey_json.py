"""Reading snapshots fast: JSON without what a second look at every object costs.

``core/json_text`` watches for keys that stand twice in one object while it reads, which takes longer
than reading. Here a text is read without, and counted afterwards: where it holds no more keys than were
kept, none stood twice. Wherever that, or anything else, is in doubt the text is left to ``json_text``.
"""

from __future__ import annotations

import json
import re
from typing import Any, Final, NoReturn

from pcaudit.core.catalogue import CATALOGUE, Type
from pcaudit.core.json_text import DEPTH

_OBJECTS: Final = 5
"""Levels of objects that are counted here: document, readings, reading, items, and one to spare."""

# What stands between a key's closing quotation mark and its colon is white space, if anything, so leaving
# these out takes no key's ``":`` away. Vowels, capitals and some digits stay, so that few texts in which a
# colon stands look like keys.
_LEFT_OUT: Final = b" \t\r\n,.{}()/_-3456789bcdfghjklmnpqrstvwxyz"

_LISTS: Final = tuple(name for name, record in CATALOGUE.items() if record.value.type is Type.LIST)

_SURROGATE: Final = re.compile(rb"\\u[dD][89a-fA-F]")


class _DoubtError(Exception):
    """Something only ``json_text`` can tell of."""


def _no_constant(_name: str) -> NoReturn:
    raise _DoubtError


def _float(text: str) -> float:
    value = float(text)
    if value - value != 0:
        raise _DoubtError
    return value


_READER: Final = json.JSONDecoder(parse_constant=_no_constant, parse_float=_float)


def _keys(data: dict[str, Any]) -> int:
    """How many keys a snapshot has where a snapshot has keys; never more than there are."""
    keys = len(data)
    tool, readings = data.get("tool"), data.get("readings")
    if tool.__class__ is dict:
        keys += len(tool)
    if readings.__class__ is dict:
        keys += len(readings)
        keys += sum(map(dict.__len__, readings.values()))
        for name in _LISTS:
            one = readings.get(name)
            value = one.get("value") if one else None
            if value.__class__ is list and value and value[0].__class__ is dict:
                keys += sum(map(dict.__len__, value))
    return keys


def quick_json(raw: bytes) -> dict[str, Any] | None:
    """Read the bytes of a snapshot.

    Args:
        raw: UTF-8 without a byte-order mark.

    Returns:
        The data, as ``parse_json`` gives it; None where that has to be asked.
    """
    bare = raw.translate(None, _LEFT_OUT)
    if bare.count(b"[") > DEPTH - _OBJECTS:
        return None
    if b"\\u" in bare and _SURROGATE.search(raw):
        return None
    try:
        data = _READER.decode(raw.decode())
        if data.__class__ is not dict or _keys(data) != bare.count(b'":'):
            return None
    except (_DoubtError, ValueError, RecursionError, TypeError):
        return None
    found: dict[str, Any] = data
    return found
