"""The shipped remedies: there is one for everything, and its flags say what its text says."""

from __future__ import annotations

import re
from typing import Any, Final

import pytest

from pcaudit.core.catalogue import CATALOGUE, GROUPS, OS_TYPES
from pcaudit.core.remedies import COSTS, NEEDS, entries, fill
from pcaudit.core.report import Verdict
from pcaudit.loading import remedies
from tests.render.samples import finding

KNOWN: Final = remedies()
TABLES: Final = ("needs", "cost", "undo")
TEXTS: Final = {
    (name, key): text for name, entry in KNOWN.items() for key, text in entry.items() if key not in TABLES
}
_IDS: Final = [f"{name}-{key}" for name, key in TEXTS]


def _flag(table: str, name: str, key: str) -> Any:
    return KNOWN[name].get(table, {}).get(key)


@pytest.mark.parametrize("name", [*CATALOGUE, *(f"{group}.any_of" for group in GROUPS)])
@pytest.mark.parametrize("verdict", [Verdict.UNMET, Verdict.MARGINAL, Verdict.UNVERIFIED])
@pytest.mark.parametrize("os_type", [*OS_TYPES, ""])
def test_every_shortfall_has_a_remedy(name: str, verdict: Verdict, os_type: str) -> None:
    """Whatever falls short on whatever system, the report says what to do."""
    (filled,) = fill([finding(name, verdict)], KNOWN, os_type)
    assert filled.remedy


def test_flags_stand_beside_texts_and_use_known_words() -> None:
    """Each flag is of a text that is there; needs, costs and undo have no other words."""
    for name, entry in KNOWN.items():
        for table in TABLES:
            for key, flag in entry.get(table, {}).items():
                assert (name, key) in TEXTS, f"{name} {table}.{key}"
                if table == "needs":
                    assert flag and set(flag) <= set(NEEDS) and flag == [n for n in NEEDS if n in flag]
                elif table == "cost":
                    assert flag in COSTS[1:]
                else:
                    assert isinstance(flag, bool)


# How a text speaks of each need.
_SAYS: Final = {
    "administrator": r"administrator",
    "restart": r"\brestart",
    "purchase": r"purchase|bought|buy|costs?\b",
    "licence": r"licence",
    "another PC": r"another pc",
}


@pytest.mark.parametrize(("name", "key"), TEXTS, ids=_IDS)
def test_a_need_is_said_by_the_text(name: str, key: str) -> None:
    """No flag claims what the text beside it does not say."""
    text = TEXTS[name, key].casefold()
    for need in _flag("needs", name, key) or []:
        assert re.search(_SAYS[need], text), need


# How a text says outright what its first way takes.
_OUTRIGHT: Final = (
    ("administrator", r"^As administrator|^Probe as administrator|^Group Policy"),
    ("purchase", r"^Another PC.* Purchase\.|(?<=\. )Purchase[.;]"),
    ("another PC", r"^Another PC"),
    ("restart", r"^[^.]*\(administrator, restart"),
    ("administrator", r"^[^.]*\(administrator, restart"),
)


@pytest.mark.parametrize(("name", "key"), TEXTS, ids=_IDS)
def test_what_a_text_says_outright_is_flagged(name: str, key: str) -> None:
    """A text that begins "As administrator" or says "Purchase." has the flag, so lists show it."""
    needs = _flag("needs", name, key) or []
    for need, pattern in _OUTRIGHT:
        if re.search(pattern, TEXTS[name, key]):
            assert need in needs, need


@pytest.mark.parametrize(("name", "key"), TEXTS, ids=_IDS)
def test_cost_follows_from_needs(name: str, key: str) -> None:
    """Another PC and a licence are purchases; what is bought otherwise is parts; the rest is free."""
    needs = set(_flag("needs", name, key) or [])
    dear = needs & {"another PC", "licence"}
    wanted = "purchase" if dear else "parts" if "purchase" in needs else None
    assert _flag("cost", name, key) == wanted


@pytest.mark.parametrize(("name", "key"), TEXTS, ids=_IDS)
def test_undo_is_what_the_text_says(name: str, key: str) -> None:
    """True only where the text says how, false only where it says that nothing brings it back."""
    undo, text = _flag("undo", name, key), TEXTS[name, key]
    if undo is True:
        assert re.search(r"\b[Uu]ndo\b", text)
        assert not re.search(r"no undo|No undo", text)
    elif undo is False:
        assert re.search(
            r"[Nn]o undo|[Rr]arely to be undone|only from the backup|cannot be (un|rest)o|destroys",
            text,
        )
    else:
        assert not re.search(r"\bUndo:", text)


def test_updates_name_both_policies_of_windows() -> None:
    """The policy against restarts has no documented effect without Configure Automatic Updates = 4."""
    # Text of WindowsUpdate.admx, NoAutoRebootWithLoggedOnUsers: "applies only when Automatic Updates is
    # configured to perform scheduled installations of updates"; AutoUpdateCfg: 4 schedules them.
    text = TEXTS["os.update_restarts", "windows"]
    for words in (
        '"Configure Automatic Updates" = Enabled with 4',
        '"No auto-restart with logged on users for scheduled automatic updates installations" = Enabled',
        "NoAutoUpdate",
        "Turn off",
    ):
        assert words in text


@pytest.mark.parametrize(
    "name", [n for n, r in CATALOGUE.items() if n.startswith("power.") and r.windows.startswith("as power.")]
)
def test_timers_of_windows_are_looked_up_by_its_own_means(name: str) -> None:
    """On Windows an unknown power setting leads to Group Policy and powercfg, not to a desktop's session."""
    (filled,) = fill([finding(name, Verdict.UNVERIFIED)], KNOWN, "windows")
    assert "powercfg /qh" in filled.remedy
    assert "desktop" not in filled.remedy


def test_an_unwanted_feature_update_is_undone_first() -> None:
    """Where Windows is none of the systems asked, the way back from an update is said before all else."""
    # Microsoft Support, "Recovery options in Windows": Go back is offered for 10 days after a
    # feature update; from memory.
    (filled,) = fill([finding("os.any_of", Verdict.UNMET)], KNOWN, "windows")
    way_back = filled.remedy.find("Settings > System > Recovery > Go back")
    assert 0 <= way_back < filled.remedy.find("Otherwise take one of the systems named")
    assert "within 10 days" in filled.remedy
    (other,) = fill([finding("os.any_of", Verdict.UNMET)], KNOWN, "linux")
    assert "Go back" not in other.remedy


def test_memory_known_as_a_lower_bound_asks_for_a_look_not_for_modules() -> None:
    """Where only usable memory is seen, what is recommended may be fitted: nobody buys before probing."""
    one = finding("memory.installed", Verdict.MARGINAL, found="at least 15.6 GB", remedy="Add modules.")
    (filled,) = fill([one], KNOWN, "windows", {"memory.installed"})
    assert "Probe as administrator" in filled.remedy
    assert filled.effort is not None and filled.effort.needs == ("administrator",)
    (sure,) = fill([one], KNOWN, "windows")
    assert sure.remedy == "Add modules."


@pytest.mark.parametrize("os_type", [*OS_TYPES, ""])
def test_the_part_that_is_read_says_what_the_whole_says(os_type: str) -> None:
    """Whatever falls short, the remedies read for it alone give it what all of them do."""
    names = [*CATALOGUE, *(f"{group}.any_of" for group in GROUPS)]
    for verdict in (Verdict.UNMET, Verdict.MARGINAL, Verdict.UNVERIFIED):
        several = [finding(name, verdict) for name in names]
        assert fill(several, remedies("", entries(several), os_type), os_type) == fill(
            several, KNOWN, os_type
        )
        for one in several[::7]:
            part = remedies("", entries([one]), os_type)
            assert len(part) == 1
            assert fill([one], part, os_type) == fill([one], KNOWN, os_type)


def test_every_line_of_the_file_is_one_that_is_read_alone() -> None:
    """Each text and each table of flags stands on its own line, so that lines can be left out."""
    for os_type in (*OS_TYPES, ""):
        part = remedies("", list(KNOWN), os_type)
        others = {one for one in OS_TYPES if one != os_type}
        for name, entry in KNOWN.items():
            own = {
                key: value for key, value in entry.items() if key.removeprefix("unverified_") not in others
            }
            assert part[name] == (own or entry)
