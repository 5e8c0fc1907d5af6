"""How long a whole ``pcaudit assess`` takes beside the floor.

Run it from the project's folder with the environment the README's first command made:

    .venv/bin/python tests/benchmarks/start.py

Machines are noisy, so the two commands run in turn and the ratio of each pair is what counts;
absolute times are shown for orientation only.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).parent
PROFILE = HERE.parent.parent / "requirements_profiles" / "acquisition-workstation.toml"
FLOOR = [sys.executable, str(HERE / "floor.py")]
COMMANDS = {
    "assess": [sys.executable, "-m", "pcaudit", "assess", str(PROFILE)],
    "probe": [sys.executable, "-m", "pcaudit", "probe"],
    "version": [sys.executable, "-m", "pcaudit", "--version"],
}


def seconds(command: list[str], environ: dict[str, str]) -> float:
    """Wall time of one run, its output thrown away."""
    begin = time.perf_counter()
    done = subprocess.run(command, env=environ, stdout=subprocess.DEVNULL, check=False)
    taken = time.perf_counter() - begin
    if done.returncode not in (0, 3, 4):
        raise SystemExit(f"{' '.join(command)} ended with {done.returncode}")
    return taken


def main() -> None:
    """Print the median ratio of paired runs for each command."""
    parser = argparse.ArgumentParser(description="Time commands beside the floor.")
    parser.add_argument("--pairs", type=int, default=15)
    parser.add_argument("--only", choices=COMMANDS)
    chosen = parser.parse_args()
    environ = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    print(f"{'command':10} {'ratio to floor':>14} {'median s':>9} {'floor s':>9}")
    for name in [chosen.only] if chosen.only else COMMANDS:
        seconds(COMMANDS[name], environ)
        seconds(FLOOR, environ)
        pairs = [(seconds(COMMANDS[name], environ), seconds(FLOOR, environ)) for _ in range(chosen.pairs)]
        ratio = statistics.median(ours / floor for ours, floor in pairs)
        ours, floor = (statistics.median(column) for column in zip(*pairs, strict=True))
        print(f"{name:10} {ratio:14.2f} {ours:9.3f} {floor:9.3f}")


if __name__ == "__main__":
    main()
