"""The real probe inside virtual PCs: every reading equals what was configured."""

from __future__ import annotations

import json
import shlex
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Final

import pytest

from tests.virtual_pcs.machine import NOBODY, Answer, make_ready, run
from tests.virtual_pcs.pcs import CASES, AtLeast, Between, Case, Unknown

_TOP: Final = Path(__file__).parents[2]
_PROFILE: Final = "tests/virtual_pcs/profile.toml"
_SCRIPT: Final = """
snapshot=$(mktemp)
"$@" -m pcaudit probe --quiet --output - >"$snapshot" || exit
cat "$snapshot"
printf '\\0'
"$@" -m pcaudit readings --snapshot "$snapshot" --format json || exit
printf '\\0'
"$@" -m pcaudit assess PROFILE "$snapshot" --on 2026-12-01 --as-of 2026-12-01 --format json --quiet
echo " $?" >&2
"""


class _Probed:
    """What the tool said inside one PC."""

    def __init__(self, answer: Answer) -> None:
        assert answer.code == 0, answer.stderr
        snapshot, readings, report = answer.stdout.split("\0")
        self.snapshot = json.loads(snapshot)
        self.readings: dict[str, dict[str, Any]] = json.loads(readings)["readings"]
        self.report = json.loads(report)
        self.code = int(answer.stderr.split()[-1])


def _command(case: Case) -> list[str]:
    script = _SCRIPT.replace("PROFILE", _PROFILE)
    asked = ["/bin/sh", "-c", script, "sh", sys.executable, "-B"]
    if case.as_root:
        return asked
    # Checkout and Python may lie below a folder of root's own; the guest opens its copy of it.
    python = Path(sys.executable)
    paths = (_TOP / "x", python, python.resolve())
    folders = sorted({str(parent) for path in paths for parent in path.parents})
    opened = (
        f"chmod o+rx {shlex.join(folders)}; exec setpriv --reuid={NOBODY} --regid={NOBODY} --clear-groups"
    )
    return ["/bin/sh", "-c", f'{opened} "$@"', "sh", *asked]


@pytest.fixture(scope="module")
def probed() -> dict[str, _Probed]:
    """What the tool said inside each PC, two booted at a time."""
    reason = make_ready()
    if reason:
        pytest.skip(reason)

    def probe(case: Case) -> _Probed:
        return _Probed(run(case.pc, _command(case), str(_TOP)))

    with ThreadPoolExecutor(2) as pool:
        return dict(zip([case.pc.name for case in CASES], pool.map(probe, CASES), strict=True))


def _fits(item: dict[str, Any], wanted: dict[str, Any]) -> bool:
    return all(item.get(key) == value for key, value in wanted.items())


def _list_fits(items: list[dict[str, Any]], wanted: list[dict[str, Any]]) -> bool:
    left = list(items)
    for each in wanted:
        found = next((item for item in left if _fits(item, each)), None)
        if found is None:
            return False
        left.remove(found)
    return True


def _agrees(form: dict[str, Any], wanted: Any) -> bool:
    if isinstance(wanted, Unknown):
        return form.get("value", 0) is None and wanted.words in form["why"]
    if isinstance(wanted, Between):
        return bool(wanted.low < form.get("value", 0) <= wanted.high)
    if isinstance(wanted, AtLeast):
        return "at_least" in form and wanted.most / 2 < form["at_least"] <= wanted.most
    if isinstance(wanted, list):
        return isinstance(form.get("value"), list) and _list_fits(form["value"], wanted)
    return bool("value" in form and form["value"] == wanted and type(form["value"]) is type(wanted))


READINGS: Final = [(case, name) for case in CASES for name in case.readings]


@pytest.mark.parametrize(
    ("case", "name"), READINGS, ids=[f"{case.pc.name}-{name}" for case, name in READINGS]
)
def test_reads_what_was_configured(case: Case, name: str, probed: dict[str, _Probed]) -> None:
    """A reading taken inside a virtual PC equals the hardware it was given."""
    form = probed[case.pc.name].readings[name]
    assert _agrees(form, case.readings[name]), form


@pytest.mark.parametrize("case", CASES, ids=[case.pc.name for case in CASES])
def test_gives_the_verdicts_written_down(case: Case, probed: dict[str, _Probed]) -> None:
    """Each virtual PC gets the verdicts its hardware deserves, and the exit code that goes with them."""
    seen = probed[case.pc.name]
    found = {finding["id"]: finding["verdict"] for finding in seen.report["findings"]}
    assert found == case.verdicts
    assert seen.code == case.exit_code
