"""Text from profiles and hosts, made safe to show on any terminal.

A title, a model name or a file name may hold characters that move the cursor, recolour the
screen, turn the reading direction or show nothing at all. They are shown as escapes.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Final

# By code point, not by str.isprintable, whose answer changes with Python's Unicode version.
# Classes: Unicode Character Database, general categories Cc, Cf, Cs, Zl, Zp and
# Default_Ignorable_Code_Point, without the emoji variation selectors; Unicode Standard 23.7
# (noncharacters).
_HIDDEN: Final = (
    "\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f"
    "\u200b-\u200f\u2028-\u202e\u2060-\u206f\u3164\ud800-\udfff\ufdd0-\ufdef\ufeff\uffa0"
    "\ufff0-\ufffb\ufffe\uffff\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff"
    + "".join(f"{chr((plane << 16) + 0xFFFE)}{chr((plane << 16) + 0xFFFF)}" for plane in range(1, 17))
)
_SHORT: Final = {"\t": "\\t", "\n": "\\n", "\r": "\\r"}


# Compiled when first needed: it costs a millisecond, and most text is plain ASCII.
@cache
def hidden(besides: str = "") -> re.Pattern[str]:
    """Matches one character that shows nothing, or not where it stands.

    Args:
        besides: More characters to match, as in a regular expression's ``[...]``; the C0
            controls are not among the hidden ones.
    """
    return re.compile(f"[{besides}{_HIDDEN}]")


def escape(character: str) -> str:
    r"""The escape of one character, as Python and TOML write it: ``\t``, ``\x1b``, ``\u202e``."""
    short = _SHORT.get(character)
    if short:
        return short
    code = ord(character)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


# What keyboards and word processors put in, by the names people look for.
_KNOWN_AS: Final = {
    "\u00a0": "a non-breaking space",
    "\u202f": "a narrow non-breaking space",
    "\u200b": "a zero-width space",
    "\ufeff": "a byte-order mark",
    "\xad": "a soft hyphen",
}


def named(character: str) -> str:
    """A character in words, with its code point: "a non-breaking space (U+00A0)"."""
    from unicodedata import name

    words = _KNOWN_AS.get(character) or f"the character {name(character, 'without a name').lower()}"
    return f"{words} (U+{ord(character):04X})"


def _rest(left_out: int) -> str:
    # ASCII, since not every terminal has an ellipsis.
    return f"... ({left_out} more characters)"


def _cut(text: str, limit: int, unsafe: re.Pattern[str]) -> str:
    # No character is shown by less than one, so nothing after the limit can be needed.
    shown = [escape(character) if unsafe.match(character) else character for character in text[:limit]]
    size = sum(map(len, shown))
    while shown and size + len(_rest(len(text) - len(shown))) > limit:
        size -= len(shown.pop())
    return "".join(shown) + _rest(len(text) - len(shown))


def visible(text: str, limit: int = 300, *, newlines: bool = False) -> str:
    """Text with nothing in it that a terminal would obey or hide.

    Applying it twice gives what applying it once gives, for limits of 40 or more.

    Args:
        text: Any text, lone surrogates included.
        limit: Most characters to give back; longer text is cut and ends with the number of
            characters left out.
        newlines: Keep line feeds (and take CR LF for one) instead of escaping them.

    Returns:
        The text, control, direction and invisible characters replaced by their escapes.
    """
    if len(text) <= limit and text.isascii() and text.isprintable():
        return text
    if newlines:
        text = text.replace("\r\n", "\n")
    unsafe = hidden("\x00-\x09\x0b-\x1f" if newlines else "\x00-\x1f")
    if len(text) <= limit:
        whole = unsafe.sub(lambda match: escape(match[0]), text)
        if len(whole) <= limit:
            return whole
    return _cut(text, limit, unsafe)
