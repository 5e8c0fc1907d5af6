"""What was meant by a version range that is written in another notation.

Only looked at once a range could not be read: a person who writes ``12 - 14`` is better told how to
write it than that it is no version.
"""

from __future__ import annotations

import re
from typing import Final

_NUMBER: Final = r"[vV]?[0-9]+(?:\.[0-9]+)*"
_SIGN: Final = r"(?:>=|<=|==|!=|=>|=<|<|>|=)"
_BETWEEN: Final = rf"({_NUMBER})\s*(?:-|\u2013|to|until|\.\.+)\s*({_NUMBER})"
_BOTH: Final = rf"{_SIGN}\s*{_NUMBER}(?:\s*(?:\band\b|&&?|;|,|\s)\s*{_SIGN}\s*{_NUMBER})+"
_EITHER: Final = rf"({_SIGN}?\s*{_NUMBER})(?:\s*(?:\bor\b|\|\|?)\s*{_SIGN}?\s*{_NUMBER})+"
_UP: Final = rf"({_NUMBER})\s*(?:\+|(?:or|and)\s+(?:later|newer|higher|above|up))"
_DOWN: Final = rf"({_NUMBER})\s*(?:or|and)\s+(?:earlier|older|lower|below)"
_SAME_FIRST: Final = rf"\^\s*({_NUMBER})"
_ANY_LAST: Final = rf"({_NUMBER})\.[xX]"
_TURNED: Final = {"=>": ">=", "=<": "<=", "=": "=="}
_RELEASE: Final = r"[0-9]{2}[hH][12]"
_IN_BOUND: Final = rf"{_SIGN}\s*{_RELEASE}|\b{_RELEASE}\s*(?:\+|(?:or|and)\b|to\b|-|\u2013)"
_SIGNS: Final = {"\u2265": ">=", "\u2264": "<=", "\u2260": "!="}

RELEASE_HINT: Final = "no scheme orders the names of releases: compare builds, as >=10.0.22631 from 23H2 on"
"""What a release's name is told where a version belongs; the build by Microsoft's release information."""


def is_release(text: str) -> bool:
    """Whether a text is the name of a release, such as 23H2, and no version that can be ordered."""
    return bool(re.fullmatch(_RELEASE, text.strip()))


def behind_comma(parts: list[str]) -> str:
    """What was meant by bounds of which one behind a comma has no operator: mostly a decimal comma."""
    digits = [part.isdecimal() for part in parts[1:]]
    first = parts[0].lstrip("<>=!~ ")
    if all(digits) and re.fullmatch(_NUMBER, first):
        return f'write a point: "{".".join(parts)}"'
    if all(part[0] not in "<>=!~" for part in parts):
        ranges = ", ".join(f'"{part}"' for part in parts)
        return f"write a list, of which one must hold: [{ranges}]"
    bare = next(part for part in parts[1:] if part[0] not in "<>=!~")
    return f'write the operator before "{bare}" too, or a point where a decimal comma was meant'


def _parts(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in version.lstrip("vV").split("."))


def _bounds(text: str) -> list[str]:
    found = re.findall(rf"({_SIGN})?\s*({_NUMBER})", text)
    return [f"{_TURNED.get(sign, sign)}{version}" for sign, version in found]


def _between(text: str) -> str:
    match = re.fullmatch(_BETWEEN, text)
    if not match or _parts(match[1]) >= _parts(match[2]):
        return ""
    low, high = match[1], match[2]
    return f'write ">={low},<{high}", or ">={low},<={high}" with the last one'


def _one_bound(text: str) -> str:
    if match := re.fullmatch(_UP, text):
        return f'write ">={match[1]}"'
    if match := re.fullmatch(_DOWN, text):
        return f'write "<={match[1]}"'
    if match := re.fullmatch(_SAME_FIRST, text):
        return f'write ">={match[1]},<{_parts(match[1])[0] + 1}"'
    if match := re.fullmatch(_ANY_LAST, text):
        return f'write "{match[1]}": a bound is compared only as far as it is written'
    if re.fullmatch(rf"=[<>]\s*{_NUMBER}", text):
        return f'write "{_bounds(text)[0]}"'
    return ""


def meant(text: str) -> str:
    """How a range in another notation is written here.

    Args:
        text: What could not be read, at most a line of it.

    Returns:
        A hint; empty where nothing that is known comes near.
    """
    text = text.strip()
    if is_release(text):
        return f'that is the name of a release: write feature_release = "{text}" beside type and product'
    if re.search(_IN_BOUND, text):
        return RELEASE_HINT
    if any(sign in text for sign in _SIGNS):
        for sign, plain in _SIGNS.items():
            text = text.replace(sign, plain)
        return f'write the sign in two characters: "{text}"'
    if re.fullmatch(_BOTH, text):
        return f'put commas between bounds: "{",".join(_bounds(text))}"'
    if re.fullmatch(_EITHER, text):
        ranges = ", ".join(f'"{bound}"' for bound in _bounds(text))
        return f"write a list, of which one must hold: [{ranges}]"
    return _between(text) or _one_bound(text)
