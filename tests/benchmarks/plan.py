"""What a plan costs beyond start-up: a retention of ten years over three destinations.

``python tests/benchmarks/plan.py`` runs the command on the example beside the same command on a
worksheet of nothing but format and title, in turn, and holds the median of the differences against
50 ms. It also times the plan by itself, in one process.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import Final

TOP: Final = Path(__file__).parents[2]
SHEET: Final = "fixtures/worksheets/lab4-worksheet.toml"
SNAPSHOT: Final = "fixtures/snapshots/fit-workstation.json"
AS_OF: Final = "2026-12-14"
LIMIT: Final = 0.05
"""Seconds."""
ROUNDS: Final = 50


def _sections(names: tuple[str, ...]) -> str:
    """The example without its profile, and with these sections alone."""
    parts = (TOP / SHEET).read_text(encoding="utf-8").split("\n\n")
    kept = ("format", *(f"[{name}" for name in names), *(f"[[{name}" for name in names))
    return "\n\n".join(part for part in parts if part.startswith(kept)) + "\n"


def _seconds(sheet: Path) -> float:
    command = [sys.executable, "-m", "pcaudit", "plan", str(sheet), SNAPSHOT, "--as-of", AS_OF]
    begin = time.perf_counter()
    subprocess.run(command, cwd=TOP, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begin


def _paired(sheet: Path, floor: Path, pairs: int) -> tuple[float, float, float]:
    """Medians: of the differences, of the command, of the floor."""
    _seconds(sheet), _seconds(floor)
    runs = [(_seconds(sheet), _seconds(floor)) for _ in range(pairs)]
    ours, least = zip(*runs, strict=True)
    return (
        statistics.median(one - other for one, other in runs),
        statistics.median(ours),
        statistics.median(least),
    )


def _in_process() -> dict[str, float]:
    """Medians of seconds of the processor: the plan, and what it takes to show it."""
    sys.path.insert(0, str(TOP))
    from pcaudit import app
    from pcaudit.core.plan.whole import make_plan
    from pcaudit.render.plan_interface import FORMATS, renderer

    sheet, seen = app.load_worksheet(str(TOP / SHEET)), app.load_snapshot(str(TOP / SNAPSHOT))
    held = app.answered(sheet, None, date.fromisoformat(AS_OF))
    asked = app.asked_by(sheet, app.choice([], [], [], []))
    day = sheet.installation.day
    assert day is not None
    planned = app.plan(sheet, seen, needed=None, as_of=date.fromisoformat(AS_OF))
    times = {"plan": _median(lambda: make_plan(held, asked, seen, on=day, tool_version="0"))}
    for name in FORMATS:
        render = renderer(name)
        render(planned.plan, planned.entries)
        times[name] = _median(partial(render, planned.plan, planned.entries))
    return times


def _median(run: Callable[[], object]) -> float:
    times = []
    for _ in range(ROUNDS):
        begin = time.process_time()
        run()
        times.append(time.process_time() - begin)
    return statistics.median(times)


def _ms(seconds: float) -> str:
    return f"{seconds * 1000:.1f} ms"


def main() -> None:
    """Measure and print; ends with 1 where the limit is not kept."""
    parser = argparse.ArgumentParser(description="Time plans beside a worksheet that says nothing.")
    parser.add_argument("--pairs", type=int, default=15)
    pairs = parser.parse_args().pairs
    with tempfile.TemporaryDirectory() as folder:
        floor, backup = Path(folder, "floor.toml"), Path(folder, "backup.toml")
        floor.write_text('format = 1\ntitle = "Nothing"\n', encoding="utf-8")
        backup.write_text(_sections(("installation", "data", "backup")), encoding="utf-8")
        more, _, least = _paired(backup, floor, pairs)
        print(f"backup and storage: {_ms(more)} beyond {_ms(least)} (limit {_ms(LIMIT)})")
        whole, all_of_it, _ = _paired(TOP / SHEET, floor, pairs)
        print(f"the whole example with its profile: {_ms(whole)} more, {_ms(all_of_it)} in all")
    for name, seconds in _in_process().items():
        print(f"in one process, {name}: {_ms(seconds)}")
    sys.exit(more > LIMIT)


if __name__ == "__main__":
    main()
