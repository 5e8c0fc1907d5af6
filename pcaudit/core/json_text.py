"""JSON text to data and back, without what Python's reader takes and JSON does not have."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any, Final, NoReturn

from pcaudit.core.visible import hidden, visible
from pcaudit.errors import Place, UsageError

DEPTH: Final = 64
"""Deepest nesting of a JSON file; pcaudit's own have ten."""

_RIGHT: Final = "give a file that pcaudit wrote, whole and unchanged"
_PIECE: Final = r'"(?:[^"\\]++|\\.)*+"|[\[\]{}:,]|[^\s\[\]{}:,"]++'
_LONE: Final = r"[\ud800-\udfff]"


class _FaultError(Exception):
    """Something the reader would take and JSON does not have."""


def _no_constant(_name: str) -> NoReturn:
    raise _FaultError


def _float(text: str) -> float:
    value = float(text)
    if value - value != 0:
        raise _FaultError
    return value


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data = dict(pairs)
    if len(data) != len(pairs):
        raise _FaultError
    return data


def _place(text: str, file: str, offset: int) -> Place:
    from pcaudit.core.places import line_text  # only a fault needs it

    start = text.rfind("\n", 0, offset) + 1
    column = offset - start + 1
    end = text.find("\n", start)
    line = text[start : len(text) if end < 0 else end].rstrip("\r")
    return Place(file, text.count("\n", 0, offset) + 1, column, line_text(line, column))


# -- finding the fault, when there is one


def _number_fault(piece: str) -> str:
    digits = piece.lstrip("-")
    if digits in ("NaN", "Infinity"):
        return f"{piece} is not a number in JSON"
    if digits.isdigit():
        # Python's limit, sys.int_info.default_max_str_digits.
        return "a number has thousands of digits" if len(digits) > 4300 else ""
    if re.fullmatch(r"[0-9.]++(?:[eE][+-]?[0-9]++)?", digits) and float(digits) == float("inf"):
        return f"the number {visible(piece, 60)} is too large"
    return ""


def _faults(text: str) -> Iterator[tuple[int, str]]:
    """Offset and message of each thing that Python's reader takes and JSON does not have."""
    seen: list[set[str]] = []
    text_at: tuple[int, str] = (0, "")
    for match in re.finditer(_PIECE, text, re.DOTALL):
        piece = match[0]
        if piece[0] == '"':
            text_at = match.start(), piece
        elif piece == ":" and seen:
            key = json.loads(text_at[1], strict=False)
            if key in seen[-1]:
                yield text_at[0], f'"{visible(key, 80)}" is given twice in the same braces'
            seen[-1].add(key)
        elif piece in "{[":
            seen.append(set())
        elif piece in "}]":
            del seen[-1:]
        elif fault := _number_fault(piece):
            yield match.start(), fault


def _fault(text: str, file: str) -> UsageError:
    for offset, message in _faults(text):
        return UsageError(message, _place(text, file, offset), _RIGHT)
    return UsageError("this is not JSON", Place(file), _RIGHT)


# -- depth and lone surrogates


def _deep(text: str, file: str) -> UsageError:
    depth = 0
    for match in re.finditer(_PIECE, text, re.DOTALL):
        depth += (match[0] in "{[") - (match[0] in "}]")
        if depth > DEPTH:
            break
    where = _place(text, file, match.start())
    return UsageError(f"brackets are nested more than {DEPTH} deep", where, _RIGHT)


def _too_deep(data: Any) -> bool:
    level = [data]
    for _ in range(DEPTH):
        level = [
            child
            for node in level
            for child in (node.values() if isinstance(node, dict) else node)
            if isinstance(child, dict | list)
        ]
        if not level:
            return False
    return True


def _mended(value: Any) -> Any:
    if isinstance(value, str):
        return re.sub(_LONE, lambda match: f"\\u{ord(match[0]):04x}", value)
    if isinstance(value, list):
        return [_mended(item) for item in value]
    if isinstance(value, dict):
        return {_mended(key): _mended(item) for key, item in value.items()}
    return value


# -- in and out


def parse_json(text: str, file: str) -> Any:
    r"""Read a text as JSON.

    A lone surrogate, which no text can carry, becomes its escape (``\ud800``, six characters).

    Args:
        text: Without a byte-order mark.
        file: Its name, for messages.

    Raises:
        UsageError: It is not JSON (RFC 8259), gives a name twice in one object, has a number
            that is not finite or has thousands of digits, or is nested beyond ``DEPTH``.
    """
    try:
        data = json.loads(text, object_pairs_hook=_object, parse_constant=_no_constant, parse_float=_float)
    except json.JSONDecodeError as error:
        # Some of Python's messages go on with a position, which stands in the place.
        what = error.msg.removesuffix(" at").removesuffix(" starting")
        message = f"not JSON: {what[:1].lower()}{what[1:]}"
        raise UsageError(message, _place(text, file, error.pos), _RIGHT) from None
    except RecursionError:
        raise _deep(text, file) from None
    except (_FaultError, ValueError):
        raise _fault(text, file) from None
    if isinstance(data, dict | list) and _too_deep(data):
        raise _deep(text, file)
    # Only an escape can bring one in: decoded text has none.
    return _mended(data) if re.search(r"\\u[dD][89a-fA-F]", text) else data


def _escaped(match: re.Match[str]) -> str:
    code = ord(match[0])
    if code < 0x10000:
        return f"\\u{code:04x}"
    code -= 0x10000
    return f"\\u{0xD800 + (code >> 10):04x}\\u{0xDC00 + (code & 0x3FF):04x}"


def dump_json(data: Any) -> str:
    """Write data as JSON: sorted keys, two spaces of indent, a newline at the end.

    Lone surrogates, and characters that steer a terminal or show nothing, are written as JSON's
    escapes, so that the text can be printed; it reads back as the same data.

    Raises:
        ValueError: A number in it is not finite.
    """
    text = json.dumps(data, sort_keys=True, indent=2, allow_nan=False, ensure_ascii=False)
    # JSON has characters like these only inside its strings.
    return (text if text.isascii() and "\x7f" not in text else hidden().sub(_escaped, text)) + "\n"
