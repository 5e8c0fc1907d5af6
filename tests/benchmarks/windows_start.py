"""How long pcaudit takes on a real Windows Python under Wine, beside that Python doing nothing.

    .venv/bin/python -m tests.benchmarks.windows_start [--folder PORTABLE_FOLDER] [--check]

Commands run in turn and the ratio of each pair is what counts. With ``--folder`` the portable folder is
measured, else this checkout in the tests' lab. ``--check`` fails where ``probe`` takes more than LIMIT times
a bare start.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Final

from tests.windows.lab.setup import folder, set_up
from tests.windows.lab.wine import Machine, machine, windows_path

LIMIT: Final = 4.0
"""What ``probe`` may take, in bare starts."""

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


def seconds(pc: Machine, portable: Path | None, arguments: list[str]) -> float:
    """Wall time of one run."""
    begin = time.perf_counter()
    if portable:
        done = pc.run(str(portable / "python" / "python.exe"), "-I", "-B", "-X", "utf8", *arguments)
    else:
        done = pc.python(*arguments)
    taken = time.perf_counter() - begin
    if done.code not in (0, 3, 4):
        raise SystemExit(f"{' '.join(arguments)} ended with {done.code}: {done.err}")
    return taken


def main() -> None:
    """Print the median ratio of paired runs for each command."""
    parser = argparse.ArgumentParser(description="Time commands on Windows beside a bare Python.")
    parser.add_argument("--pairs", type=int, default=15)
    parser.add_argument("--folder", type=Path, help="a portable folder, without python/_wmi.pyd")
    parser.add_argument("--check", action="store_true")
    chosen = parser.parse_args()
    lab = set_up(folder())
    ratios = {}
    with tempfile.TemporaryDirectory() as place, machine(Path(place) / "pc", lab) as pc:
        print(f"{'command':10} {'ratio to bare':>13} {'median s':>9} {'bare s':>9}")
        for name, arguments in COMMANDS.items():
            seconds(pc, chosen.folder, arguments)
            seconds(pc, chosen.folder, BARE)
            pairs = [
                (seconds(pc, chosen.folder, arguments), seconds(pc, chosen.folder, BARE))
                for _ in range(chosen.pairs)
            ]
            ratios[name] = statistics.median(ours / bare for ours, bare in pairs)
            ours, bare = (statistics.median(column) for column in zip(*pairs, strict=True))
            print(f"{name:10} {ratios[name]:13.2f} {ours:9.3f} {bare:9.3f}", flush=True)
    if chosen.check and ratios["probe"] > LIMIT:
        sys.exit(f"probe takes {ratios['probe']:.1f} bare starts, more than {LIMIT:g}")


if __name__ == "__main__":
    main()
