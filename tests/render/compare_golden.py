"""Whole comparisons to compare with; ``python -m tests.render.compare_golden`` writes them anew."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from pcaudit.core.compare import Comparison
from pcaudit.core.snapshot import Snapshot
from pcaudit.render.compare_text import render
from pcaudit.render.interface import TRUE_COLOUR, Screen
from tests.core.builders import value
from tests.core.candidates import EURO, FOUR, GOOD, PROFILE, compared, pc
from tests.render.golden import path

SCREENS: Final = {
    "compared-80": Screen(80),
    "compared-40": Screen(40),
    "compared-120-drawn": Screen(120, TRUE_COLOUR, unicode=True),
}

EIGHT: Final = {
    **FOUR,
    "e.json": pc(**GOOD, computer__serial_number=value("S-E")),
    "f.json": pc(**GOOD, computer__serial_number=value("S-F"), os__version=value("13")),
    "again.json": FOUR["c.json"],
    "h.json": pc(computer__host_name=value("bench-8"), computer__serial_number=value("S-H")),
}


@cache
def golden_comparison() -> Comparison:
    """Eight candidates, one of them twice, with prices for some of their parts."""
    return compared(PROFILE, EIGHT, EURO)


def _with(value_: Any, text: str) -> Any:
    """The same record with ``text`` in every field that holds a text, letters and days left alone."""
    if isinstance(value_, Snapshot):
        return value_._replace(tool_version=text)
    if isinstance(value_, str):
        return text if len(value_) > 1 else value_
    if isinstance(value_, tuple) and hasattr(value_, "_fields"):
        return type(value_)(*(_with(one, text) for one in value_))
    if isinstance(value_, tuple):
        return tuple(_with(one, text) for one in value_)
    if isinstance(value_, dict):
        return {key: _with(one, text) for key, one in value_.items()}
    return value_


def overgrown(text: str) -> Comparison:
    """The sample with ``text`` wherever a profile, a PC or a person can say something."""
    said: Comparison = _with(golden_comparison(), text)
    return said._replace(options=(text,), parameters={text: 2})


def main() -> None:
    """Write every output anew."""
    for name, screen in SCREENS.items():
        path(name).write_text(render(golden_comparison(), screen), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
