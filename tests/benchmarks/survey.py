"""How long a survey of thousands of snapshots takes, beside reading and parsing the same files.

Run it from the project's folder with the environment the README's first command made:

    .venv/bin/python tests/benchmarks/survey.py --pcs 2000

It makes snapshots of at least 40 KB from a seed, in a folder that it removes, and holds them against the
first 30 conditions of the example workstation. For comparison as many processes do nothing but read and
``json.loads`` the same files. Both start their processes anew. It ends with 1 where the survey takes more
than twice as long. What one change would do is looked for with ``--changes`` only.
``--make FOLDER`` only makes the snapshots.
"""

from __future__ import annotations

import argparse
import copy
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any, Final

TOP: Final = Path(__file__).parent.parent.parent
sys.path.insert(0, str(TOP))
PROFILE: Final = TOP / "requirements_profiles" / "acquisition-workstation.toml"
BASE: Final = TOP / "fixtures" / "snapshots" / "fit-workstation.json"
SEED: Final = 20_000
SIZE: Final = 41_000
"""Bytes of a snapshot at least."""
CONDITIONS: Final = 30
LIMIT: Final = 2.0
GB: Final = 1 << 30

BARE: Final = """
import json, sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

def work(paths):
    for path in paths:
        json.loads(Path(path).read_bytes())
    return len(paths)

if __name__ == "__main__":
    files = sorted(str(path) for path in Path(sys.argv[1]).iterdir())
    chunks = [files[at:at + 50] for at in range(0, len(files), 50)]
    with ProcessPoolExecutor(int(sys.argv[2]), get_context("spawn")) as pool:
        print(sum(pool.map(work, chunks)))
"""


def _value(of: Any, source: str = "invented") -> dict[str, Any]:
    return {"value": of, "source": source}


def _programs(chance: random.Random) -> list[dict[str, str]]:
    makers = [f"Maker {chr(65 + number)}" for number in range(20)]
    return [
        {
            "name": f"{chance.choice(['Workbench', 'Runtime', 'Driver', 'Viewer'])} component {number}",
            "publisher": chance.choice(makers),
            "version": f"{chance.randrange(1, 20)}.{chance.randrange(40)}.{chance.randrange(5000)}",
        }
        for number in range(chance.randrange(310, 340))
    ]


def snapshots(number: int, seed: int = SEED) -> Any:
    """Snapshots of invented PCs, most of them sound, each one other than the next.

    Args:
        number: Of PCs.
        seed: The same seed gives the same PCs.

    Yields:
        The parsed JSON of each.
    """
    chance = random.Random(seed)  # noqa: S311
    base = json.loads(BASE.read_text(encoding="utf-8"))
    for index in range(number):
        made = copy.deepcopy(base)
        readings = made["readings"]
        made["taken_at"] = f"2026-11-{chance.randrange(1, 26):02}T{chance.randrange(24):02}:00:00+00:00"
        readings["computer.host_name"] = _value(f"CDS-{index % 10_000:04}")
        readings["computer.serial_number"] = _value(f"INV-{index:06}")
        readings["storage.system_free"] = _value(chance.randrange(20 * 10**9, 900 * 10**9))
        for volume in readings["storage.volumes"]["value"]:
            volume["free"] = chance.randrange(10**9, max(volume.get("size") or 0, 10**10))
        for adapter in readings["network.adapters"]["value"]:
            # RFC 7042: the range for documentation.
            adapter["mac"] = f"00:00:5e:00:53:{chance.randrange(256):02x}"
        if chance.random() < 0.3:
            size = chance.choice([4, 8]) * GB
            readings["memory.installed"] = _value(size)
        if chance.random() < 0.2:
            readings["power.sleep_after"] = _value(chance.choice([600, 1800]))
        if chance.random() < 0.1:
            readings["cpu.cores"] = _value(2)
        if chance.random() < 0.1:
            readings["os.restart_pending"] = _value(True)
        if chance.random() < 0.05:
            readings["os.clock_synchronised"] = {"value": None, "why": "needs administrator rights"}
        readings["software.packages"]["value"] += _programs(chance)
        yield made


def make(folder: Path, number: int) -> int:
    """Write snapshots into a folder; the bytes of the smallest."""
    smallest = 1 << 40
    for index, made in enumerate(snapshots(number)):
        raw = json.dumps(made, sort_keys=True, indent=2).encode()
        smallest = min(smallest, len(raw))
        (folder / f"pc-{index:05}.json").write_bytes(raw)
    return smallest


def profile(folder: Path) -> Path:
    """The example workstation, cut after so many conditions."""
    text = PROFILE.read_text(encoding="utf-8")
    tables = text.split("\n[")
    for count in range(len(tables), 1, -1):
        path = folder / "thirty.toml"
        path.write_text("\n[".join(tables[:count]) + "\n", encoding="utf-8")
        if _conditions(path) <= CONDITIONS:
            break
    return path


def _conditions(path: Path) -> int:
    from pcaudit.errors import PcauditError
    from pcaudit.loading import load

    try:
        return len(load(str(path)).conditions)
    except PcauditError:
        return CONDITIONS + 1


def _timed(command: list[str]) -> tuple[float, float, int]:
    """Seconds by the clock and of processors, and the most memory in KiB one process took."""
    before, started = os.times(), time.perf_counter()
    process = subprocess.Popen(command, cwd=TOP, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, command
    clock, after = time.perf_counter() - started, os.times()
    spent = sum(after[2:4]) - sum(before[2:4])
    return clock, spent, usage.ru_maxrss


def main() -> int:
    """Measure, and say."""
    parser = argparse.ArgumentParser(description="Time a survey beside json.loads.")
    parser.add_argument("--pcs", type=int, default=2000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--jobs", type=int, default=len(os.sched_getaffinity(0)))
    parser.add_argument("--profile", help="another profile than the thirty conditions")
    parser.add_argument("--changes", action="store_true", help="look for what one change would do, too")
    parser.add_argument("--make", metavar="FOLDER", help="only make the snapshots")
    chosen = parser.parse_args()
    if chosen.make:
        Path(chosen.make).mkdir(parents=True, exist_ok=True)
        print(make(Path(chosen.make), chosen.pcs))
        return 0
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "pcs"
        folder.mkdir()
        smallest = make(folder, chosen.pcs)
        bare = Path(made) / "bare.py"
        bare.write_text(BARE, encoding="utf-8")
        rules = chosen.profile or str(profile(Path(made)))
        survey = [sys.executable, "-m", "pcaudit", "survey", rules, str(folder), "-q"]
        survey += ["--jobs", str(chosen.jobs), "--on", "2026-12-07", "--as-of", "2026-11-26"]
        survey += [] if chosen.changes else ["--no-changes"]
        loads = [sys.executable, str(bare), str(folder), str(chosen.jobs)]
        runs = [(_timed(loads), _timed(survey)) for _ in range(chosen.rounds)]
    clocks = [min(run[which][0] for run in runs) for which in (0, 1)]
    spent = [min(run[which][1] for run in runs) for which in (0, 1)]
    print(f"{chosen.pcs} snapshots of {smallest} bytes or more, {chosen.jobs} processes, best of runs")
    print(f"json.loads  {clocks[0]:6.2f} s by the clock, {spent[0]:6.2f} s of processors")
    print(f"survey      {clocks[1]:6.2f} s by the clock, {spent[1]:6.2f} s of processors")
    print(f"ratio       {clocks[1] / clocks[0]:6.2f} by the clock, {spent[1] / spent[0]:6.2f} of processors")
    print(f"memory of the survey's first process at most: {max(run[1][2] for run in runs) >> 10} MiB")
    return 0 if clocks[1] <= LIMIT * clocks[0] else 1


if __name__ == "__main__":
    sys.exit(main())
