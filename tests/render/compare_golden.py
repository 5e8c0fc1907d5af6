"""Whole comparisons to compare with; ``python -m tests.render.compare_golden`` writes them anew."""

from __future__ import annotations

from typing import Final

from pcaudit.core.compare import Comparison
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


def golden_comparison() -> Comparison:
    """Eight candidates, one of them twice, with prices for some of their parts."""
    return compared(PROFILE, EIGHT, EURO)


def main() -> None:
    """Write every output anew."""
    for name, screen in SCREENS.items():
        path(name).write_text(render(golden_comparison(), screen), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
