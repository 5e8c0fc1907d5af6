"""How long the probing itself takes beside the OS's own utilities for the same readings.

Run it from the project's folder with the environment the README's first command made, on Linux:

    .venv/bin/python tests/benchmarks/probing.py

The probing is timed inside fresh processes, start and imports taken off; the utilities run one
after the other. Both run in turn, and the ratio of each pair is what counts.
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import subprocess
import sys
import time
from typing import Final

UTILITIES: Final = (
    ("lscpu",),
    ("lsblk", "-J", "-b"),
    ("df",),
    ("free", "-b"),
    ("ip", "-j", "address"),
    ("ip", "-j", "route"),
    ("dmidecode",),
    ("timedatectl", "show"),
    ("loginctl", "list-sessions"),
    ("systemd-detect-virt",),
    ("hostname",),
    ("dpkg-query", "-W"),
)
_PROBING: Final = """
import time
from pcaudit import app
from pcaudit.probes.linux.all import probes
import pcaudit.probes.runner
probes()
begin = time.perf_counter()
app.take_snapshot()
print(time.perf_counter() - begin)
"""


def probing() -> float:
    """Seconds the probes take in a process of their own."""
    done = subprocess.run([sys.executable, "-c", _PROBING], check=True, capture_output=True, text=True)
    return float(done.stdout)


def utilities(commands: list[list[str]]) -> float:
    """Seconds the utilities take one after the other; some end with a failure where a service is absent."""
    begin = time.perf_counter()
    for command in commands:
        subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - begin


def main() -> None:
    """Print the median ratio of paired runs."""
    parser = argparse.ArgumentParser(description="Time the probing beside the OS's own utilities.")
    parser.add_argument("--pairs", type=int, default=15)
    pairs = parser.parse_args().pairs
    commands = [[path, *rest] for name, *rest in UTILITIES if (path := shutil.which(name))]
    missing = [name for name, *_ in UTILITIES if not shutil.which(name)]
    probing()
    utilities(commands)
    taken = [(probing(), utilities(commands)) for _ in range(pairs)]
    ratio = statistics.median(ours / theirs for ours, theirs in taken)
    ours, theirs = (statistics.median(column) for column in zip(*taken, strict=True))
    print(f"probing {ours:.3f} s, {len(commands)} utilities {theirs:.3f} s, ratio {ratio:.2f}")
    if missing:
        print(f"not on this host: {', '.join(missing)}")


if __name__ == "__main__":
    main()
