"""Values in words: what a person reads in place of a bare value."""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core import units
from pcaudit.core.catalogue import Property, Type

_QUANTITIES = (Type.QUANTITY, Type.DURATION)


def _count(number: int, what: str) -> str:
    return f"no {what}s" if number == 0 else f"{number} {what}{'s' if number != 1 else ''}"


def _number(value: float, other: Any) -> str:
    for digits in range(1, 7):
        text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
        if not isinstance(other, int | float) or value == other:
            return text
        if text != f"{other:.{digits}f}".rstrip("0").rstrip("."):
            return text
    return repr(value)


def _amount(value: int | float | str, spec: Property, other: Any) -> str:
    kind = spec.kind
    if kind is None or isinstance(value, str):
        return str(value)
    if isinstance(other, int | float) and not isinstance(other, bool):
        return units.show_apart(value, other, kind)
    return units.show(value, kind)


def show_value(value: Any, spec: Property, other: Any = None) -> str:
    """Write a value for a person.

    Args:
        value: A value of ``spec``'s type, quantities in their base unit; None where unknown.
        spec: What the value is.
        other: A value it must not look equal to unless it is: the bound it is held against.

    Returns:
        For example ``"16 GB"``, ``"never"``, ``"yes"``, ``"sse4.2, avx2"``, ``"3 items"``;
        ``"unknown"`` for None. Text stands as it is: whoever prints it makes it safe to show.
    """
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if spec.type in _QUANTITIES:
        return _amount(value, spec, other)
    if spec.type is Type.NUMBER and isinstance(value, float):
        return _number(value, other)
    if spec.type is Type.SET:
        return ", ".join(str(text) for text in value) or "none"
    if spec.type is Type.LIST:
        return _count(len(value), "item")
    return str(value)


def quoted(text: str) -> str:
    """A text between quotation marks; its own ones are marked."""
    return '"' + text.replace('"', '\\"') + '"'


_LEADING: Final = "\"',;:!?"
_TRAILING: Final = "\"',;:!?."


def told(text: str) -> str:
    """A text somebody chose, as it stands inside a sentence.

    Returns:
        The text; in quotation marks where it would be read as part of the sentence: a single
        character, one that begins or ends with a mark of punctuation or a space, or none at all.
        A lone slash, the root of a file system, is read as what it is.
    """
    single = len(text) == 1 and text != "/"
    if not text or single or text[0] in _LEADING or text[-1] in _TRAILING or text != text.strip():
        return quoted(text)
    return text


def untold(words: str) -> str:
    """The text that ``told`` wrote so."""
    if len(words) > 1 and words[0] == words[-1] == '"':
        return words[1:-1].replace('\\"', '"')
    return words


def say_value(value: Any, spec: Property, other: Any = None) -> str:
    """A value as ``show_value`` writes it, texts as they stand inside a sentence (``told``).

    Args:
        value: As for ``show_value``.
        spec: As for ``show_value``.
        other: As for ``show_value``.
    """
    if spec.type is Type.TEXT and isinstance(value, str):
        return told(value)
    if spec.type is Type.SET and isinstance(value, list):
        return ", ".join(told(str(text)) for text in value) or "none"
    return show_value(value, spec, other)


def show_bound(value: int | float, spec: Property) -> str:
    """Write a lower bound: "at least 23.9 GB", never rounded up to what is not known."""
    text = show_value(value, spec) if spec.kind is None else units.show(value, spec.kind, down=True)
    return f"at least {text}"


_DIGITS = 3
_LONGEST = 10**15  # beyond, a float no longer holds every whole number and a few decimals


def show_number(value: int | float) -> str:
    """A bare number as it was written, nothing rounded off."""
    return str(value) if isinstance(value, int) else repr(value).removesuffix(".0")


def _same(first: int | float | str, second: int | float) -> bool:
    if isinstance(first, int) and isinstance(second, int):
        return first == second
    # Amounts that are no whole number of base units come from sums of floats.
    return not isinstance(first, str) and abs(first - second) <= 1e-13 * second


def _written(value: int | float, unit: str, kind: units.Kind) -> str:
    """A quantity in one unit, with as few decimals as give it back exactly; else empty."""
    amount = value / kind.factor(unit)
    for digits in range(_DIGITS + 1):
        text = f"{float(amount):.{digits}f} {unit}"
        if 1 <= amount < _LONGEST and _same(units.parse(text, kind), value):
            return text
    return ""


def _exact_quantity(value: int | float, kind: units.Kind) -> str:
    ladders = (*kind.shown, *kind.also), tuple(kind.units)
    for ladder in ladders:
        texts = [text for unit in ladder if (text := _written(value, unit, kind))]
        if texts:
            return min(texts, key=lambda text: len(text.partition(" ")[0]))
    return f"{show_number(value)} {kind.base}"


def _otherwise(value: int | float, exact: str, kind: units.Kind) -> str:
    """The same in the other way of counting, where there are two: "238.4 GiB"."""
    unit = exact.rpartition(" ")[2]
    if not kind.also or not value or (unit in kind.shown and unit in kind.also):
        return ""
    ladder = kind.also if unit not in kind.also else kind.shown
    return units.show(value, kind._replace(shown=ladder, also=()))


def show_exact(value: Any, spec: Property) -> str:
    """Write what a profile asks so that nothing is rounded off, for pages held against paper.

    Args:
        value: A number, an amount in its base unit, or ``"never"``.
        spec: What the value is.

    Returns:
        For example ``"1.25 GB"``, ``"100 min"``, ``"256 GB (238.4 GiB)"``: the first amount is
        exact, the one in brackets the same to one decimal in the other way of counting.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        return show_value(value, spec)
    if spec.kind is None:
        return show_number(value)
    exact = _exact_quantity(value, spec.kind)
    other = _otherwise(value, exact, spec.kind)
    return f"{exact} ({other})" if other and other != exact else exact
