"""How long pcaudit takes on a real Windows Python under Wine, beside that Python doing nothing.

    .venv/bin/python -m tests.benchmarks.windows_start [--folder PORTABLE_FOLDER] [--check]

Commands run in turn and the ratio of each pair is what counts: of wall time, and of the processor time of the
Windows process, which a busy machine changes less. With ``--folder`` the portable folder is measured, else
this checkout in the tests' lab. ``--check`` fails where ``probe`` takes more than LIMIT bare starts by one.
Runs that are not counted leave behind what Python and ``pcaudit/bundle.py`` keep of modules.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Final, NamedTuple

from tests.windows.lab.setup import folder, set_up
from tests.windows.lab.wine import WINE, Machine, machine, windows_path

LIMIT: Final = 4.0
"""Most that ``probe`` should take, in bare starts."""

PROFILE: Final = (
    Path(__file__).parent.parent.parent / "requirements_profiles" / "acquisition-workstation.toml"
)
COMMANDS: Final = {
    "probe": ["-m", "pcaudit", "probe"],
    "assess": ["-m", "pcaudit", "assess", windows_path(PROFILE)],
    "version": ["-m", "pcaudit", "--version"],
    "typer": ["-c", "import typer"],
}
BARE: Final = ["-c", "pass"]


class Taken(NamedTuple):
    """Seconds of one run, or ratios of two runs' seconds."""

    wall: float
    processor: float


def run(pc: Machine, portable: Path | None, arguments: list[str]) -> Taken:
    """Run the Windows Python once, its output thrown away."""
    python = (portable or pc.lab) / "python" / "python.exe"
    isolated = ["-I", "-B", "-X", "utf8"] if portable else []
    begin = time.perf_counter()
    with subprocess.Popen(
        [WINE, str(python), *isolated, *arguments],
        env=pc.environ(pc.checkout()),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 3, 4):
        raise SystemExit(f"{' '.join(arguments)} ended with {process.returncode}")
    return Taken(time.perf_counter() - begin, used.ru_utime + used.ru_stime)


def _middle(several: list[Taken]) -> Taken:
    walls, processors = zip(*several, strict=True)
    return Taken(statistics.median(walls), statistics.median(processors))


def measure(pc: Machine, portable: Path | None, arguments: list[str], pairs: int) -> tuple[Taken, Taken]:
    """Median ratio to a bare start, and median seconds, after runs that are not counted."""
    for uncounted in (arguments, arguments, BARE):
        run(pc, portable, uncounted)
    ratios, seconds = [], []
    for _ in range(pairs):
        ours, bare = run(pc, portable, arguments), run(pc, portable, BARE)
        ratios.append(Taken(ours.wall / bare.wall, ours.processor / bare.processor))
        seconds.append(ours)
    return _middle(ratios), _middle(seconds)


def main() -> None:
    """Print ratios and seconds for each command."""
    parser = argparse.ArgumentParser(description="Time commands on Windows beside a bare Python.")
    parser.add_argument("--pairs", type=int, default=15)
    parser.add_argument("--folder", type=Path, help="a portable folder, without python/_wmi.pyd")
    parser.add_argument("--check", action="store_true")
    chosen = parser.parse_args()
    lab = set_up(folder())
    probe = 0.0
    with tempfile.TemporaryDirectory() as place, machine(Path(place) / "pc", lab) as pc:
        print(f"{'':8} {'to a bare start':>20} {'seconds':>20}")
        print(f"{'':8} {'wall':>10}{'processor':>10} {'wall':>10}{'processor':>10}")
        for name, arguments in COMMANDS.items():
            ratio, took = measure(pc, chosen.folder, arguments, chosen.pairs)
            probe = max(ratio) if name == "probe" else probe
            shown = f"{ratio.wall:10.2f}{ratio.processor:10.2f} {took.wall:10.3f}{took.processor:10.3f}"
            print(f"{name:8} {shown}", flush=True)
    if chosen.check and probe > LIMIT:
        sys.exit(f"probe takes {probe:.1f} bare starts, more than {LIMIT:g}")


if __name__ == "__main__":
    main()
