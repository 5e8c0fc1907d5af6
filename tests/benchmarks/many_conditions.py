"""How long 300 conditions take, beyond starting the program: compiled, and one snapshot judged.

Run it from the project's folder with the environment the README's first command made:

    .venv/bin/python tests/benchmarks/many_conditions.py

Fresh processes of ``assess`` on a profile of 300 conditions and on one of a single condition run in turn;
the median of their differences is the time beyond start-up, the report's text included. The parts are timed
in this process too. Processor time counts, which other programs on the machine hardly change; where there is
none (Windows), the clock does. It ends with 1 where compiling and judging take 50 ms or more.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

TOP: Final = Path(__file__).parent.parent.parent
SNAPSHOT: Final = TOP / "fixtures" / "snapshots" / "fit-workstation.json"
SEED: Final = 300
CONDITIONS: Final = 300
LIMIT: Final = 0.050
"""Seconds that 300 conditions may take beyond start-up."""

HEAD: Final = 'format = 1\ntitle = "A profile of many conditions"\n'
TRIVIAL: Final = HEAD + "[cpu.cores]\nminimum = 1\n"

# One condition for each form and type, by reading; {n} is a number drawn for it.
SCALARS: Final = (
    "session.elevated = {{ equal = false, advised = true }}",
    'computer.host_name = {{ matches = ["LAB-[0-9]*", "CDS-{n}*", "CDS-*"] }}',
    'computer.model = {{ none_of = ["Model {n}", "Model X"] }}',
    'computer.chassis = ["desktop", "server"]',
    'computer.firmware_version = ">=1.{n},<9999"',
    "computer.firmware_date = {{ minimum = 2020-01-01 }}",
    'computer.tpm_version = ">=2.0"',
    "computer.virtual = false",
    'os.language = ["en", "de", "fr"]',
    'os.time_zone = {{ none_of = ["UTC"] }}',
    "os.support_ends = {{ minimum = 2026-12-31 }}",
    "os.restart_pending = false",
    'os.machine = "x86_64"',
    "cpu.cores = {{ minimum = 2, recommended = {n} }}",
    'cpu.base_clock = {{ minimum = "1.{n} GHz" }}',
    'cpu.max_clock = {{ maximum = "9.{n} GHz" }}',
    'cpu.level = {{ minimum = "x86-64-v2" }}',
    'cpu.features = {{ includes = ["aes", "avx2"], excludes = ["sve"] }}',
    'memory.installed = {{ minimum = "{n} GB", recommended = "64 GB", per = {{ instruments = "1 GB" }} }}',
    'memory.usable = {{ minimum = "{n} GB", per = {{ "cpu.threads" = "16 MB" }} }}',
    'storage.system_free = {{ minimum = "{n} GB", recommended = "500 GB" }}',
    'storage.system_media = "ssd"',
    'storage.system_filesystem = {{ one_of = ["NTFS", "ReFS"] }}',
    "display.primary_width = {{ minimum = 1{n} }}",
    'display.primary_scaling = {{ equal = "100 %" }}',
    "display.screen_count = {{ minimum = 1, maximum = 1{n} }}",
    "network.wired_count = {{ minimum = 1 }}",
    'network.name_servers = {{ includes_any = ["192.0.2.{n}", "192.0.2.53"] }}',
    'power.sleep_after = "never"',
    'power.screen_off_after = {{ minimum = "{n} min" }}',
    'power.usb_suspend = {{ equal = false, when = {{ "computer.chassis" = "desktop" }} }}',
    'power.lid_action = {{ equal = "nothing", when = {{ "computer.chassis" = "laptop" }} }}',
)
LISTS: Final = (
    (
        '[[{at}network.adapters]]\nid = "port-{n}"\nmedium = "wired"\nown = false\n'
        'capable_speed = {{ minimum = "1 Gbit/s" }}\n'
    ),
    '[[{at}display.screens]]\nid = "screen-{n}"\nown = false\nwidth = {{ minimum = 1280 }}\n',
    '[[{at}storage.volumes]]\nid = "volume-{n}"\nkind = "fixed"\nfree = {{ minimum = "{n} GB" }}\n',
    '[[{at}software.packages]]\nid = "old-{n}"\ncount = 0\nname = {{ matches = "Old Suite {n}*" }}\n',
    (
        '[[{at}software.packages]]\nid = "new-{n}"\nname = "Suite {n}"\nadvised = true\n'
        'version = {{ version = [">=1.{n},<2", ">=3.{n}"], scheme = "debian" }}\n'
    ),
    '[[{at}software.packages]]\nid = "l{n}"\ncount = {{ maximum = 1 }}\nname = {{ matches = "*lib{n}" }}\n',
    '[[{at}software.runtimes]]\nid = "runtime-{n}"\nname = ".NET Framework"\nversion = ">=4.{n}"\n',
    '[[{at}software.services]]\nid = "service-{n}"\nname = "Service{n}"\ncount = {{ equal = 0 }}\n',
)
ALTERNATIVES: Final = (
    (
        '[[{at}os.any_of]]\ntype = "windows"\nedition = ["pro", "enterprise"]\n'
        'version = [">=10.0.19045,<10.0.22000", ">=10.0.26100"]\n'
        '[[{at}os.any_of]]\ntype = "linux"\nproduct = "Debian GNU/Linux"\nversion = ">=12,<14"\n'
    ),
    (
        '[[{at}cpu.any_of]]\nseries = "core i5"\ngeneration = {{ minimum = 8 }}\n'
        "[[{at}cpu.any_of]]\ncores = {{ minimum = {n} }}\n"
    ),
)
WORDS: Final = 'because = "reason {n} of the laboratory"\nremedy = "do {n}"\nowner = "IT"\n'


def _scalar(line: str, at: str, number: int) -> str:
    """A scalar condition as a section of its own, with words around it."""
    name, _, asked = line.format(n=number).partition(" = ")
    if asked.startswith("{"):
        return f"[{at}{name}]\n{_unfolded(asked)}{WORDS.format(n=number)}\n"
    return f"[{at}{name.partition('.')[0]}]\n{name.partition('.')[2]} = {asked}\n"


def _unfolded(inline: str) -> str:
    """The keys of an inline table, a line for each."""
    out, depth, start = "", 0, 1
    for place, sign in enumerate(inline):
        depth += (sign in "{[") - (sign in "}]")
        if (sign == "," and depth == 1) or (sign == "}" and depth == 0):
            out += f"{inline[start:place].strip()}\n"
            start = place + 1
    return out


def _part(draw: random.Random, at: str) -> list[str]:
    """The conditions of the profile itself or of one option: each reading at most once."""
    written_out = [line for line in SCALARS if line.partition(" = ")[2].startswith("{")]
    bare: dict[str, list[str]] = {}
    for line in SCALARS:
        if line not in written_out:
            name, _, asked = line.format(n=draw.randint(2, 9)).partition(" = ")
            bare.setdefault(name.partition(".")[0], []).append(f"{name.partition('.')[2]} = {asked}\n")
    parts = [f"[{at}{group}]\n{''.join(lines)}" for group, lines in bare.items()]
    parts += [_scalar(line, at, draw.randint(2, 9)) for line in written_out]
    return parts + [text.format(at=at, n=draw.randint(2, 9)) for text in ALTERNATIVES]


def text(conditions: int = CONDITIONS, seed: int = SEED) -> tuple[str, list[str]]:
    """A profile of so many conditions, always the same for a seed, and its options.

    Every form, type and kind of list stands in it, alternatives, ``when``, ``per`` and options too.
    """
    draw = random.Random(seed)  # noqa: S311
    each = len(SCALARS) + len(ALTERNATIVES)
    options = [f"option-{number}" for number in range(3)]
    parts = ["[parameters]\ninstruments = { default = 2, minimum = 1, maximum = 4 }\n", *_part(draw, "")]
    for option in options:
        parts += _part(draw, f"options.{option}.")
    for number in range(conditions - each * (1 + len(options))):
        at = draw.choice(["", *(f"options.{option}." for option in options)])
        parts.append(draw.choice(LISTS).format(at=at, n=number) + WORDS.format(n=number))
    return HEAD + "\n".join(parts), options


def _of_children() -> float:
    """Seconds of processor time that ended child processes have had, or the clock's."""
    if sys.platform == "win32":
        return time.perf_counter()
    import resource

    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _seconds(command: list[str]) -> float:
    begin = _of_children()
    done = subprocess.run(command, cwd=TOP, stdout=subprocess.DEVNULL, check=False)
    taken = _of_children() - begin
    if done.returncode not in (0, 3, 4):
        raise SystemExit(f"{' '.join(command)} ended with {done.returncode}")
    return taken


def _median(work: Callable[[], object], times: int) -> float:
    taken = []
    for _ in range(times):
        begin = time.process_time()
        work()
        taken.append(time.process_time() - begin)
    return statistics.median(taken)


def _processes(folder: Path, options: list[str], runs: int) -> None:
    """Whole commands: many conditions against one."""
    chosen = [word for option in options for word in ("--option", option)]
    assess = [sys.executable, "-m", "pcaudit", "assess"]
    many = [*assess, str(folder / "many.toml"), str(SNAPSHOT), *chosen, "--quiet"]
    one = [*assess, str(folder / "one.toml"), str(SNAPSHOT), "--quiet"]
    _seconds(many)
    _seconds(one)
    pairs = [(_seconds(many), _seconds(one)) for _ in range(runs)]
    ratio = statistics.median(ours / floor for ours, floor in pairs)
    beyond = statistics.median(ours - floor for ours, floor in pairs)
    floor = statistics.median(single for _, single in pairs)
    print(f"{'whole command':22} {beyond * 1000:7.1f} ms beyond one condition's {floor * 1000:.0f} ms")
    print(f"{'ratio of the two':22} {ratio:7.2f}")


def _parts(folder: Path, options: list[str], runs: int) -> float:
    """Each step in this process; the seconds of compiling and judging together."""
    from datetime import date

    from pcaudit import app
    from pcaudit.core.choose import ask
    from pcaudit.core.compile import compile_profile
    from pcaudit.core.contradictions import contradictions
    from pcaudit.core.evaluate import evaluate_all
    from pcaudit.files import read_toml
    from pcaudit.loading import needed_by, tables
    from pcaudit.render.interface import renderer

    path = str(folder / "many.toml")
    document = read_toml(path)
    profile = app.load_profile(path)
    asked = ask([profile], options)
    snapshot = app.load_snapshot(str(SNAPSHOT))
    knowledge = tables(needed_by(asked))
    day = date(2026, 11, 26)
    report = app.assess(asked, snapshot, on=day, as_of=day)
    count = sum(len(each.conditions) for each in asked)
    print(f"{count} conditions, {len(report.findings)} findings, {len(document.text)} characters")
    steps: dict[str, Callable[[], object]] = {
        "read TOML and places": lambda: read_toml(path),
        "compile": lambda: compile_profile(document.data, path=path, place=document.place),
        "contradictions": lambda: contradictions(asked),
        "read knowledge": lambda: tables(needed_by(asked)),
        "judge": lambda: evaluate_all(asked, snapshot, knowledge=knowledge, on=day),
        "report as text": lambda: renderer("text")(report),
    }
    times = {name: _median(work, runs) for name, work in steps.items()}
    for name, seconds in times.items():
        print(f"{name:22} {seconds * 1000:7.1f} ms")
    return times["compile"] + times["judge"]


def main() -> int:
    """Print the figures; 1 where compiling and judging take too long."""
    parser = argparse.ArgumentParser(description="Time many conditions.")
    parser.add_argument("--runs", type=int, default=15)
    parser.add_argument("--keep", metavar="FILE", help="write the profile here")
    chosen = parser.parse_args()
    many, options = text()
    if chosen.keep:
        Path(chosen.keep).write_text(many, encoding="utf-8")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "many.toml").write_text(many, encoding="utf-8")
        (folder / "one.toml").write_text(TRIVIAL, encoding="utf-8")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        taken = _parts(folder, options, chosen.runs)
        _processes(folder, options, chosen.runs)
    print(f"compiled and judged in {taken * 1000:.1f} ms of {LIMIT * 1000:.0f} ms")
    return int(taken >= LIMIT)


if __name__ == "__main__":
    sys.exit(main())
