"""What to do about a shortfall."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.remedies import fill, wants_remedy
from pcaudit.core.report import Finding, Verdict
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED, finding_of, unknown, value

KNOWN = {
    "cpu.cores": {"linux": "on Linux", "any": "anywhere", "unverified": "make it readable"},
    "storage.drives": {"windows": "on Windows"},
}


def _finding(verdict: Verdict, remedy: str = "") -> Finding:
    return finding_of("cpu.cores = { minimum = 4 }", {})._replace(verdict=verdict, remedy=remedy)


@pytest.mark.parametrize(
    ("verdict", "own", "os_type", "remedy"),
    [
        (UNMET, "", "linux", "on Linux"),
        (UNMET, "", "windows", "anywhere"),
        (UNMET, "", "", "anywhere"),
        (MARGINAL, "", "linux", "on Linux"),
        (UNMET, "the profile's", "linux", "the profile's"),
        (UNVERIFIED, "", "linux", "make it readable"),
        (UNVERIFIED, "the profile's", "linux", "make it readable"),
        (MET, "", "linux", ""),
        (MET, "the profile's", "linux", "the profile's"),
        (Verdict.NOT_APPLICABLE, "", "linux", ""),
        (Verdict.ACCEPTED, "", "linux", ""),
    ],
)
def test_the_profiles_remedy_comes_first_but_for_what_is_unknown(
    verdict: Verdict, own: str, os_type: str, remedy: str
) -> None:
    """The profile's words stand, else those for the OS, else for any; unknown asks to make it known."""
    (filled,) = fill([_finding(verdict, own)], KNOWN, os_type)
    assert filled.remedy == remedy


def test_what_has_no_known_remedy_keeps_its_own() -> None:
    """A reading without an entry, or without one for this OS, keeps what it had."""
    (kept,) = fill([_finding(UNVERIFIED, "the profile's")], {}, "linux")
    assert kept.remedy == "the profile's"
    (bare,) = fill([_finding(UNMET)], {}, "linux")
    assert bare.remedy == ""


def test_a_list_is_looked_up_by_its_reading() -> None:
    """The id in brackets is the profile's own and no part of the reading's name."""
    text = '[[storage.drives]]\nid = "spare"\nmedia = "ssd"\n'
    readings: dict[str, Any] = {"storage.drives": value([])}
    (filled,) = fill([finding_of(text, readings)], KNOWN, "windows")
    assert filled.remedy == "on Windows"


def test_only_shortfalls_want_a_remedy() -> None:
    """Met findings, and those with a remedy of their own, want none; unknown ones always do."""
    wanting = {v for v in Verdict if wants_remedy(_finding(v))}
    assert wanting == {UNMET, MARGINAL, UNVERIFIED}
    assert {v for v in Verdict if wants_remedy(_finding(v, "mine"))} == {UNVERIFIED}
    assert not wants_remedy(finding_of("cpu.cores = { minimum = 4 }", {"cpu.cores": value(4)}))
    assert wants_remedy(finding_of("cpu.cores = { minimum = 4 }", {"cpu.cores": unknown()}))
