"""Refusing secrets: what resembles a password, a key or a token has no place in a worksheet.

No detector finds all of them. This one looks at shapes, and prefers to miss a password of plain
words over refusing the words in which people say where a password is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final, NamedTuple

from pcaudit.core.places import Path, dotted
from pcaudit.core.worksheet.secret_labels import SECRET_KEY, has_label, is_labelled
from pcaudit.core.worksheet.secret_shapes import (
    PRIVATE_KEY,
    URL_PASSWORD,
    WEB_TOKEN,
    has_strong_word,
    is_prefixed,
    is_strong,
    key_in,
)
from pcaudit.errors import Mistake, Place

_KEY: Final = "a key"
_FILES: Final = (("use", "profiles"), ("use", "concessions"))
_DASHES: Final = dict.fromkeys((*range(0x2010, 0x2016), 0x2212), "-")


class Secret(NamedTuple):
    """What a text resembles; ``reference`` says whether it may be an order number all the same."""

    what: str
    reference: bool = False


def resembles(text: str) -> Secret | None:
    """What secret a text resembles; None where it resembles none."""
    if not text.isascii():
        from unicodedata import normalize

        # Letters of another width and other dashes are read as what they look like.
        text = normalize("NFKC", text).translate(_DASHES)
    if PRIVATE_KEY.search(text):
        return Secret("a private key")
    if WEB_TOKEN.search(text) or is_prefixed(text):
        return Secret("a token")
    if URL_PASSWORD.search(text):
        return Secret("an address with a password")
    if is_labelled(text) or has_strong_word(text):
        return Secret("a password")
    key = key_in(text)
    return Secret(_KEY, reference=key == "reference") if key else None


def may_hold_one(line: str) -> bool:
    """Whether a line of a text that cannot be parsed is better not shown to anybody."""
    words = line.translate(dict.fromkeys(map(ord, "\"'=,[]{}"), " ")).split()
    return has_label(line) or resembles(line) is not None or any(map(is_strong, words))


# -- in a worksheet

_HINT: Final = "write who holds it and where it is kept, never the secret itself"
_REFERENCE: Final = "; reference = true in the same table of [arrangements] marks an order number"


def secrets_in(data: Mapping[str, Any], text: str, place: Callable[[Path], Place]) -> list[Mistake]:
    """Every text of a worksheet that resembles a secret, comments too.

    Args:
        data: The parsed document.
        text: Its text.
        place: Finds the place of a key in it.

    Returns:
        Mistakes that name line and key and repeat nothing of the text.
    """
    found = list(_in_table(data, (), False, place))
    file = place(()).file
    before = ""
    for number, line in enumerate(text.split("\n"), 1):
        comment = _comment(line)
        secret = resembles(comment)
        # The name of a digest may stand at the end of the line above.
        if secret and not (secret.what == _KEY and resembles(f"{before} {comment.strip()}") is None):
            found.append(_mistake("a comment", secret, Place(file, number), ""))
        before = comment.strip()
    return found


def secrets_in_lines(text: str, file: str) -> list[Mistake]:
    """The same for a text that is no TOML: every line of it that resembles a secret."""
    return [
        _mistake("", secret, Place(file, number), "")
        for number, line in enumerate(text.split("\n"), 1)
        if (secret := resembles(line))
    ]


def _in_table(
    table: Mapping[str, Any], path: Path, reference: bool, place: Callable[[Path], Place]
) -> Iterator[Mistake]:
    reference = reference or (path[:1] == ("arrangements",) and table.get("reference") is True)
    for key, value in table.items():
        secret = resembles(key)
        if secret:  # the key itself: its name must not be repeated either
            yield _mistake(dotted(path), secret, _bare(place((*path, key))), "")
        elif SECRET_KEY.fullmatch(key) and value not in ("", [], {}) and not isinstance(value, Mapping):
            yield _mistake(dotted((*path, key)), Secret("a secret"), _bare(place((*path, key))), "")
        else:
            yield from _in_value(value, (*path, key), reference, place)


def _in_value(value: Any, path: Path, reference: bool, place: Callable[[Path], Place]) -> Iterator[Mistake]:
    if isinstance(value, Mapping):
        yield from _in_table(value, path, reference, place)
    elif isinstance(value, list):
        for index, one in enumerate(value):
            yield from _in_value(one, (*path, index), reference, place)
    elif isinstance(value, str):
        secret = _in_file_name(value) if path[:2] in _FILES else resembles(value)
        if secret and not (secret.reference and reference):
            arranged = path[:1] == ("arrangements",) and secret.reference
            yield _mistake(dotted(path), secret, _bare(place(path)), _REFERENCE if arranged else "")


def _in_file_name(text: str) -> Secret | None:
    """What secret the name of a file resembles, each folder of it by itself."""
    secret = resembles(text)
    if secret is None or secret.what != _KEY:
        return secret
    if secret.reference and text.endswith(".toml"):
        return None  # numbered folders and files
    return next((found for part in text.replace("\\", "/").split("/") if (found := resembles(part))), None)


def _bare(place: Place) -> Place:
    return place._replace(text="")


def _mistake(key: str, secret: Secret, place: Place, more: str) -> Mistake:
    return Mistake(key, f"this resembles {secret.what}, and a worksheet holds no secret", _HINT + more, place)


def _comment(line: str) -> str:
    """What stands behind the first ``#`` outside quotes."""
    quote = ""
    for at, character in enumerate(line):
        if quote:
            quote = "" if character == quote else quote
        elif character in "\"'":
            quote = character
        elif character == "#":
            return line[at + 1 :]
    return ""
