"""Boots every virtual PC once and keeps what was said inside each."""

from __future__ import annotations

import json
import shlex
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Final

import pytest

from tests.virtual_pcs.machine import NOBODY, Answer, make_ready, run
from tests.virtual_pcs.pcs import CASES, Case

_TOP: Final = Path(__file__).parents[2]
_UTILITIES: Final = {
    "lscpu": "lscpu -J",
    "lsblk": "lsblk -J -b -d -o NAME,SIZE,MODEL,ROTA,TRAN,TYPE",
    "lstopo": "lstopo-no-graphics --of xml",
    "ip": "ip -j link",
    "ethtool": 'for n in $(ls /sys/class/net); do echo "$n: $(ethtool $n 2>/dev/null | grep Speed)"; done',
    "dmidecode": "dmidecode -q -t 1,3,16,17",
}
_SCRIPT: Final = """
snapshot=$(mktemp)
"$@" -m pcaudit probe --quiet --output - >"$snapshot" || exit
cat "$snapshot"
printf '\\0'
"$@" -m pcaudit readings --snapshot "$snapshot" --format json || exit
printf '\\0'
"$@" -m pcaudit assess PROFILE "$snapshot" --on 2026-12-01 --as-of 2026-12-01 --format json --quiet
code=$?
export PATH=$PATH:/usr/sbin:/sbin
UTILITIES
printf '\\0%s' $code
"""


class Probed:
    """What was said inside one PC.

    Attributes:
        readings: Every reading in its JSON form, derived ones too.
        report: The report against profile.toml.
        code: Exit code of the assessment.
        utilities: What the OS's own utilities print there, by name.
    """

    def __init__(self, answer: Answer) -> None:
        assert answer.code == 0, answer.stderr
        _, readings, report, *utilities, code = answer.stdout.split("\0")
        self.readings: dict[str, dict[str, Any]] = json.loads(readings)["readings"]
        self.report: dict[str, Any] = json.loads(report)
        self.utilities = dict(zip(_UTILITIES, utilities, strict=True))
        self.code = int(code)


def _command(case: Case) -> list[str]:
    utilities = "".join(f"printf '\\0'\n{command} 2>/dev/null\n" for command in _UTILITIES.values())
    script = _SCRIPT.replace("PROFILE", "tests/virtual_pcs/profile.toml").replace("UTILITIES", utilities)
    asked = ["/bin/sh", "-c", script, "sh", sys.executable, "-B"]
    if case.as_root:
        return asked
    # Checkout and Python may lie below a folder of root's own; the guest opens its copy of it.
    python = Path(sys.executable)
    paths = (_TOP / "x", python, python.resolve())
    folders = shlex.join(sorted({str(parent) for path in paths for parent in path.parents}))
    become = f"exec setpriv --reuid={NOBODY} --regid={NOBODY} --clear-groups"
    return ["/bin/sh", "-c", f'chmod o+rx {folders}; {become} "$@"', "sh", *asked]


@pytest.fixture(scope="session")
def probed() -> dict[str, Probed]:
    """What was said inside each PC, by its name; two are booted at a time."""
    reason = make_ready()
    if reason:
        pytest.skip(reason)

    def probe(case: Case) -> Probed:
        # An emulated kernel with more processors than the machine has locks up now and then.
        for seconds in (150, 240):
            try:
                return Probed(run(case.pc, _command(case), str(_TOP), seconds))
            except RuntimeError:
                continue
        return Probed(run(case.pc, _command(case), str(_TOP), 400))

    with ThreadPoolExecutor(2) as pool:
        return dict(zip([case.pc.name for case in CASES], pool.map(probe, CASES), strict=True))
