"""The real probe inside virtual PCs: every reading equals what was configured."""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.virtual_pcs.conftest import Probed
from tests.virtual_pcs.pcs import CASES, AtLeast, Between, Case, Unknown


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
def test_reads_what_was_configured(case: Case, name: str, probed: dict[str, Probed]) -> None:
    """A reading taken inside a virtual PC equals the hardware it was given."""
    form = probed[case.pc.name].readings[name]
    assert _agrees(form, case.readings[name]), form


@pytest.mark.parametrize("case", CASES, ids=[case.pc.name for case in CASES])
def test_gives_the_verdicts_written_down(case: Case, probed: dict[str, Probed]) -> None:
    """Each virtual PC gets the verdicts its hardware deserves, and the exit code that goes with them."""
    seen = probed[case.pc.name]
    found = {finding["id"]: finding["verdict"] for finding in seen.report["findings"]}
    assert found == case.verdicts
    assert seen.code == case.exit_code
