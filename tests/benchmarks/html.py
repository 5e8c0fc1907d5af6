"""What the HTML report of 60 conditions costs beyond start-up: loading its library, rendering, size.

``python tests/benchmarks/html.py`` renders in a process of its own each time, as the command does,
and compares with the limits: 0.15 s and 200 kB.
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

_ONE_RUN: Final = """
import time
from pcaudit import app
from pcaudit.render.interface import renderer
from tests.render.large import large
report = large()
start = time.process_time(), time.perf_counter()
page = renderer("html")(report)
print(time.process_time() - start[0], time.perf_counter() - start[1], len(page.encode()))
"""


def main() -> None:
    """Measure and print."""
    runs = []
    for _ in range(RUNS):
        done = subprocess.run(
            [sys.executable, "-c", _ONE_RUN], cwd=TOP, capture_output=True, text=True, check=True
        )
        runs.append([float(number) for number in done.stdout.split()])
    worked, waited, size = (statistics.median(column) for column in zip(*runs, strict=True))
    print(f"processor {worked:.3f} s, clock {waited:.3f} s (limit {LIMIT} s)")
    print(f"{size:.0f} bytes (limit {SIZE})")
    sys.exit(worked > LIMIT or size > SIZE)


if __name__ == "__main__":
    main()
