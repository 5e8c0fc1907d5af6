"""What to do about a shortfall."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.remedies import NO_SYSTEM, fill, subject, wants_remedy
from pcaudit.core.report import Effort, Finding, Verdict
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


EFFORT = {
    "cpu.cores": {
        "any": "anywhere",
        "unverified": "make it readable",
        "unverified_windows": "look in Windows",
        "needs": {"any": ["another PC", "purchase", "magic"], "unverified_windows": ["administrator"]},
        "cost": {"any": "purchase", "linux": "parts"},
        "undo": {"any": False},
    },
    "any_of": {"any": "take one of them"},
}


@pytest.mark.parametrize(
    ("verdict", "os_type", "remedy", "effort"),
    [
        (UNMET, "linux", "anywhere", Effort(("purchase", "another PC"), "purchase", False)),
        (UNVERIFIED, "linux", "make it readable", Effort()),
        (UNVERIFIED, "windows", "look in Windows", Effort(("administrator",))),
    ],
)
def test_what_a_remedy_takes_is_that_of_its_own_text(
    verdict: Verdict, os_type: str, remedy: str, effort: Effort
) -> None:
    """Flags are looked up by the key of the text that is shown; words nobody knows are left out."""
    (filled,) = fill([_finding(verdict)], EFFORT, os_type)
    assert (filled.remedy, filled.effort) == (remedy, effort)


def test_nothing_is_said_of_what_the_profiles_own_remedy_takes() -> None:
    """The knowledge does not know what the profile's own words mean."""
    (filled,) = fill([_finding(UNMET, "the profile's")], EFFORT, "linux")
    assert filled.effort is None


@pytest.mark.parametrize(
    "flags", [{"needs": "administrator"}, {"needs": {"any": "all"}}, {"cost": {"any": 3}}]
)
def test_flags_of_another_kind_are_not_believed(flags: dict[str, Any]) -> None:
    """A knowledge file somebody wrote may hold anything: the text stands, the flags are left out."""
    (filled,) = fill([_finding(UNMET)], {"cpu.cores": {"any": "anywhere", **flags}}, "linux")
    assert (filled.remedy, filled.effort) == ("anywhere", Effort())


def test_a_lower_bound_that_may_be_better_asks_to_find_out() -> None:
    """Marginal by a lower bound is not known to fall short: the remedy is how to know, not to buy."""
    finding = _finding(MARGINAL, "the profile's")
    assert fill([finding], KNOWN, "linux", {"cpu.cores"})[0].remedy == "make it readable"
    assert fill([finding], KNOWN, "linux", {"cpu.threads"})[0].remedy == "the profile's"
    assert wants_remedy(finding, {"cpu.cores"}) and not wants_remedy(finding)
    assert not wants_remedy(_finding(UNMET, "the profile's"), {"cpu.cores"})


def test_two_products_that_use_one_id_find_the_same_remedy() -> None:
    """The profile's name before the reading's is no part of it."""
    assert subject(_finding(UNMET)._replace(id="other/storage.drives[a/b]")) == "storage.drives"
    (filled,) = fill([_finding(UNMET)._replace(id="other/cpu.cores")], KNOWN, "linux")
    assert filled.remedy == "on Linux"


def test_alternatives_of_any_group_share_a_remedy() -> None:
    """A group without a text of its own for its alternatives takes the common one."""
    (filled,) = fill([_finding(UNMET)._replace(id="cpu.any_of")], EFFORT, "linux")
    assert filled.remedy == "take one of them"


def test_an_unknown_system_is_said_where_it_decides() -> None:
    """Where there is one remedy for each system, and the system is not known, that is the remedy."""
    (filled,) = fill([_finding(UNMET)._replace(id="storage.drives")], KNOWN, "")
    assert filled.remedy == NO_SYSTEM
