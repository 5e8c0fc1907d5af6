"""What HTML pages cost beyond start-up: loading their library, rendering, size.

``python tests/benchmarks/html.py`` renders in a process of its own each time, as the command does. A
report of 60 conditions is held against the limits: 0.15 s and 200 kB. A comparison of 4 candidates
by 50 conditions has none.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
from pathlib import Path
from typing import Final

TOP: Final = Path(__file__).parents[2]
RUNS: Final = 15
LIMIT: Final = 0.15
"""Seconds."""
SIZE: Final = 200_000
"""Bytes."""

_TIMED: Final = """
import time
start = time.process_time(), time.perf_counter()
page = renderer("html")(made)
print(time.process_time() - start[0], time.perf_counter() - start[1], len(page.encode()))
"""
_REPORT: Final = """
from pcaudit import app
from pcaudit.render.interface import renderer
from tests.render.large import large
made = large()
"""
_COMPARISON: Final = """
from datetime import date
from pcaudit import app
from pcaudit.render.compare_interface import renderer
from tests.cli.program import BLIND, FIT, LINUX, TIRED, WORKSTATION
seen = [(path, app.load_snapshot(path)) for path in (FIT, TIRED, BLIND, LINUX)]
days = {"on": date(2026, 12, 7), "as_of": date(2026, 11, 26)}
made = app.compare(app.load_asked([WORKSTATION]), seen, **days)
"""


def _measured(made: str) -> list[float]:
    """Seconds of the processor, seconds of the clock, bytes: each the median of several runs."""
    runs = []
    for _ in range(RUNS):
        done = subprocess.run(
            [sys.executable, "-c", made + _TIMED], cwd=TOP, capture_output=True, text=True, check=True
        )
        runs.append([float(number) for number in done.stdout.split()])
    return [statistics.median(column) for column in zip(*runs, strict=True)]


def main() -> None:
    """Measure and print."""
    worked, waited, size = _measured(_REPORT)
    print(f"report: processor {worked:.3f} s, clock {waited:.3f} s (limit {LIMIT} s)")
    print(f"report: {size:.0f} bytes (limit {SIZE})")
    of_four = _measured(_COMPARISON)
    print(f"comparison: processor {of_four[0]:.3f} s, clock {of_four[1]:.3f} s, {of_four[2]:.0f} bytes")
    sys.exit(worked > LIMIT or size > SIZE)


if __name__ == "__main__":
    main()
