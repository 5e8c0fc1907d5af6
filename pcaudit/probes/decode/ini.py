"""Configuration files of systemd, as systemd.syntax(7) describes them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

_FACTORS: Final = {
    **dict.fromkeys(("us", "usec", "μs", "µs"), 1e-6),
    **dict.fromkeys(("ms", "msec"), 1e-3),
    **dict.fromkeys(("", "s", "sec", "second", "seconds"), 1.0),
    **dict.fromkeys(("m", "min", "minute", "minutes"), 60.0),
    **dict.fromkeys(("h", "hr", "hour", "hours"), 3600.0),
    **dict.fromkeys(("d", "day", "days"), 86400.0),
    **dict.fromkeys(("w", "week", "weeks"), 604800.0),
    **dict.fromkeys(("M", "month", "months"), 2629800.0),
    **dict.fromkeys(("y", "year", "years"), 31557600.0),
}
"""Seconds of each unit of a time span, systemd.time(7)."""

_SPAN = re.compile(r"\s*(\d+(?:\.\d+)?)\s*([A-Za-zμµ]*)")


def settings(text: str) -> Iterator[tuple[str, str, str]]:
    """Section, key and value of each assignment, in order."""
    section = ""
    for line in re.sub(r"\\\n", " ", text).split("\n"):
        stripped = line.strip()
        if not stripped or stripped[0] in "#;":
            continue
        if stripped[0] == "[" and stripped[-1] == "]":
            section = stripped[1:-1]
        elif "=" in stripped:
            key, _, value = stripped.partition("=")
            yield section, key.strip(), value.strip()


def seconds(text: str) -> float | None:
    """The seconds of a time span such as ``30min`` or ``1h 20s``.

    Returns:
        Seconds; infinity for ``infinity``; None where the text is no time span.
    """
    if text.strip() == "infinity":
        return float("inf")
    total = 0.0
    position = 0
    text = text.strip()
    while position < len(text):
        match = _SPAN.match(text, position)
        if not match or match[2] not in _FACTORS:
            return None
        total += float(match[1]) * _FACTORS[match[2]]
        position = match.end()
    return total if text else None
