"""Holding profiles against snapshots: lists, guards, alternatives, and what must always be so."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from pcaudit.core.catalogue import CATALOGUE, LEVEL_FEATURES, Type
from pcaudit.core.conditions import AMOUNTS
from pcaudit.core.evaluate import evaluate
from pcaudit.core.profile import Profile
from pcaudit.core.report import Outcome, Verdict, outcome_of
from tests.core.builders import (
    GB,
    MARGINAL,
    MET,
    UNMET,
    UNVERIFIED,
    absent,
    at_least,
    finding_of,
    findings_of,
    profile_of,
    snapshot_of,
    unknown,
    value,
    verdict_of,
)

# -- lists, by the table of the design

DRIVE = '[[storage.drives]]\nid = "a"\nmedia = "ssd"\n'
SSD, HDD, OPEN = {"media": "ssd"}, {"media": "hdd"}, {"media": None}


@pytest.mark.parametrize(
    ("count", "items", "verdict"),
    [
        # T items meet, U may, H = T + U: minimum met T >= m, unmet H < m; maximum met H <= M, unmet T > M
        ("", [SSD], MET),
        ("", [OPEN], UNVERIFIED),
        ("", [{}], UNVERIFIED),
        ("", [HDD], UNMET),
        ("", [], UNMET),
        ("count = { minimum = 2 }", [SSD, SSD, HDD], MET),
        ("count = { minimum = 2 }", [SSD, OPEN], UNVERIFIED),
        ("count = { minimum = 2 }", [SSD, HDD], UNMET),
        ("count = { minimum = 2 }", [OPEN, HDD], UNMET),
        ("count = 0", [], MET),
        ("count = 0", [HDD], MET),
        ("count = 0", [HDD, OPEN], UNVERIFIED),
        ("count = 0", [SSD, OPEN], UNMET),
        ("count = { maximum = 1 }", [SSD, HDD], MET),
        ("count = { maximum = 1 }", [SSD, OPEN], UNVERIFIED),
        ("count = { maximum = 1 }", [SSD, SSD], UNMET),
        ("count = { equal = 1 }", [SSD], MET),
        ("count = { equal = 1 }", [SSD, OPEN], UNVERIFIED),
        ("count = { equal = 1 }", [SSD, SSD], UNMET),
        ("count = { equal = 1 }", [], UNMET),
        ("count = { minimum = 1, recommended = 2 }", [SSD], MARGINAL),
        ("count = { minimum = 1, recommended = 2 }", [SSD, OPEN], MARGINAL),
        ("count = { minimum = 1, recommended = 2 }", [SSD, SSD], MET),
        ("count = { maximum = 2, recommended = 1 }", [SSD, SSD], MARGINAL),
        ("count = { maximum = 2, recommended = 1 }", [SSD], MET),
        ("advised = true", [SSD], MET),
        ("advised = true", [HDD], MARGINAL),
        ("advised = true", [OPEN], UNVERIFIED),
        ("advised = true\ncount = 0", [SSD], MARGINAL),
        ("advised = true\ncount = 0", [], MET),
        ("advised = true\ncount = { maximum = 2, recommended = 0 }", [SSD], MARGINAL),
    ],
)
def test_counts_of_a_complete_list(count: str, items: list[Any], verdict: Verdict) -> None:
    """Items that meet every key, and those that may, decide as the design's table says."""
    assert verdict_of(DRIVE + count, {"storage.drives": value(items)}) is verdict


@pytest.mark.parametrize(
    ("count", "items", "verdict"),
    [
        ("", [SSD], MET),
        ("", [HDD], UNVERIFIED),
        ("", [], UNVERIFIED),
        ("count = 0", [SSD], UNMET),
        ("count = 0", [HDD], UNVERIFIED),
        ("count = 0", [], UNVERIFIED),
        ("count = { equal = 1 }", [SSD], UNVERIFIED),
        ("count = { equal = 1 }", [SSD, SSD], UNMET),
        ("advised = true", [HDD], UNVERIFIED),
        ("advised = true\ncount = 0", [SSD], MARGINAL),
        ("advised = true\ncount = 0", [HDD], UNVERIFIED),
    ],
)
def test_counts_of_an_incomplete_list(count: str, items: list[Any], verdict: Verdict) -> None:
    """What was not seen may be there: a list with gaps never proves that something is missing."""
    finding = finding_of(DRIVE + count, {"storage.drives": value(items, complete=False, why="one is locked")})
    assert finding.verdict is verdict
    if verdict is UNVERIFIED:
        assert finding.why == "one is locked"


@pytest.mark.parametrize(
    "count", ["", "count = 0", "count = { maximum = 9 }", "count = { minimum = 9 }", "advised = true"]
)
@pytest.mark.parametrize("form", [unknown("no rights"), {}, value("none"), at_least(4)])
def test_a_list_that_is_not_known_is_unverified_whatever_is_asked(count: str, form: Any) -> None:
    """T = 0 and H unbounded: an unknown list neither meets a minimum nor keeps a maximum."""
    finding = finding_of(DRIVE + count, {"storage.drives": form})
    assert finding.verdict is UNVERIFIED
    assert finding.why


@pytest.mark.parametrize(
    ("count", "verdict"), [("", UNMET), ("count = 0", MET), ("advised = true", MARGINAL)]
)
def test_a_list_known_to_be_absent_is_empty(count: str, verdict: Verdict) -> None:
    """No drives at all is a list without items, not an unknown one."""
    assert verdict_of(DRIVE + count, {"storage.drives": absent("no drive bay")}) is verdict


PORTS = """
[[network.adapters]]
id = "instrument"
medium = "wired"
capable_speed = { minimum = "1 Gbit/s" }
[[network.adapters]]
id = "site"
medium = "wired"
"""
FAST = {"name": "fast", "medium": "wired", "capable_speed": 10**9}
SLOW = {"name": "slow", "medium": "wired", "capable_speed": 10**8}


@pytest.mark.parametrize(
    ("adapters", "instrument", "site"),
    [
        ([FAST, SLOW], MET, MET),
        ([SLOW, FAST], MET, MET),
        ([FAST], MET, UNMET),
        ([SLOW], UNMET, MET),
        ([FAST, {"medium": "wireless"}], MET, UNMET),
        ([FAST, {"name": "odd"}], MET, UNVERIFIED),
        ([SLOW, {"medium": "wired"}], UNVERIFIED, MET),
        ([], UNMET, UNMET),
    ],
)
def test_one_port_serves_one_condition(adapters: list[Any], instrument: Verdict, site: Verdict) -> None:
    """Two conditions need two ports; which port is found first does not matter."""
    found = findings_of(PORTS, {"network.adapters": value(adapters)})
    assert found["network.adapters[instrument]"].verdict is instrument
    assert found["network.adapters[site]"].verdict is site


def test_a_port_that_another_condition_claims_is_said_so() -> None:
    """Where there is an item but it is taken, the finding does not say that there is none."""
    finding = findings_of(PORTS, {"network.adapters": value([FAST])})["network.adapters[site]"]
    assert finding.why.endswith(
        "claimed by network.adapters[instrument] (p.toml:4); where one item does for both, write own = false"
    )


def test_a_port_that_is_not_owned_serves_two() -> None:
    """The word own = false lets one port meet two conditions."""
    found = findings_of(PORTS + "own = false\n", {"network.adapters": value([FAST])})
    assert [finding.verdict for finding in found.values()] == [MET, MET]


def test_an_endpoint_that_was_not_asked_is_unverified_and_an_unreachable_one_unmet() -> None:
    """Endpoints are looked up by host and port; only an answer decides."""
    text = '[[network.endpoints]]\nid = "a"\nhost = "srv"\nport = { equal = 443 }\nreachable = true\n'
    asked = {"host": "SRV", "port": 443, "reachable": True}
    for items, verdict in (
        ([asked], MET),
        ([{**asked, "reachable": False}], UNMET),
        ([{**asked, "reachable": None}], UNVERIFIED),
        ([{**asked, "port": 80}], UNVERIFIED),
        ([], UNVERIFIED),
    ):
        assert verdict_of(text, {"network.endpoints": value(items)}) is verdict
    assert finding_of(text, {"network.endpoints": value([])}).why == "it was not asked"


def test_conditions_inside_an_items_key_may_be_recommended() -> None:
    """An item that meets what is required but not what is recommended makes the table marginal."""
    speed = '{ minimum = "1 Gbit/s", recommended = "10 Gbit/s" }'
    text = f'[[network.adapters]]\nid = "a"\ncapable_speed = {speed}\n'
    adapters = [{"capable_speed": 10**9}]
    assert verdict_of(text, {"network.adapters": value(adapters)}) is MARGINAL
    assert verdict_of(text, {"network.adapters": value([*adapters, {"capable_speed": 10**10}])}) is MET


def test_what_was_found_in_a_list_is_named() -> None:
    """Items that serve are named, those that may are said to, and of a few the reason each does not."""
    text = '[[software.packages]]\nid = "a"\nname = { matches = "Suite*" }\nversion = ">=2"\n'

    def found(*items: dict[str, Any]) -> str:
        return finding_of(text, {"software.packages": value(list(items))}).found

    assert found({"name": "Suite A", "version": "2.1"}) == "Suite A"
    assert found({"name": "Suite A"}).startswith("perhaps Suite A [state ")
    assert found({"name": "Suite A", "version": "1.9"}) == "none of 1 (Suite A: version 1.9)"
    assert found(*[{"name": f"Suite {i}", "version": "3"} for i in range(6)]) == (
        "Suite 0, Suite 1, Suite 2, Suite 3 and 2 more"
    )
    assert found(*[{"name": f"Other {i}"} for i in range(6)]).startswith("none of 6 [state ")
    assert found() == "none"
    assert found({"version": "1"}).startswith("none of 1 (item 1: version 1) [state ")


@pytest.mark.parametrize(
    ("text", "required"),
    [
        (DRIVE, "at least 1 with media ssd"),
        (DRIVE + "count = 0", "none with media ssd"),
        (DRIVE + "count = { equal = 2 }", "2 with media ssd"),
        (DRIVE + "count = { minimum = 1, maximum = 2 }", "1 to 2 with media ssd"),
        (DRIVE + "count = { maximum = 2 }", "at most 2 with media ssd"),
        (DRIVE + "count = { minimum = 1, recommended = 2 }", "at least 1 (2 recommended) with media ssd"),
        (DRIVE + "count = { maximum = 2, recommended = 0 }", "at most 2 (0 recommended) with media ssd"),
        (DRIVE + "advised = true", "at least 1 with media ssd (advised)"),
        ('[[software.antivirus]]\nid = "a"', "at least 1"),
    ],
)
def test_what_is_required_of_a_list_is_said_in_words(text: str, required: str) -> None:
    """Number and keys read like a sentence's end."""
    assert finding_of(text, {}).required == required


# -- readings that mean something only beside another

WINDOWS = '[os]\ntype = "windows"\nversion = ">=10.0.19045,<10.0.22000"\n'


@pytest.mark.parametrize(
    ("text", "os_type", "version", "verdict"),
    [
        (WINDOWS, "windows", "10.0.19045.5011", MET),
        (WINDOWS, "windows", "10.0.22631.1", UNMET),
        (WINDOWS, "windows", "22H2", UNVERIFIED),
        (WINDOWS, "linux", "10.0.19045", UNMET),
        (WINDOWS, None, "10.0.19045", UNVERIFIED),
        (WINDOWS, "windows", None, UNVERIFIED),
        (WINDOWS, "windows", "10.0", UNVERIFIED),
        (WINDOWS, "windows", "11", UNMET),
    ],
)
def test_a_version_counts_only_on_its_own_system(
    text: str, os_type: str | None, version: str | None, verdict: Verdict
) -> None:
    """On another type of system a version is unmet whatever its number, on an unknown one unverified."""
    readings = {"os.type": value(os_type), "os.version": value(version)}
    assert findings_of(text, readings)["os.version"].verdict is verdict


def test_a_version_on_linux_counts_only_with_its_product() -> None:
    """12 of one distribution is not 12 of another."""
    text = '[os]\ntype = "linux"\nproduct = "Debian GNU/Linux"\nversion = ">=12"\n'
    readings = {"os.type": value("linux"), "os.version": value("12")}
    for product, verdict in (("debian gnu/linux", MET), ("Other Linux", UNMET), (None, UNVERIFIED)):
        found = findings_of(text, {**readings, "os.product": value(product)})
        assert found["os.version"].verdict is verdict
    finding = findings_of(text, {**readings, "os.product": value("Other Linux")})["os.version"]
    assert finding.why == "asked of Debian GNU/Linux, and this is Other Linux"


@pytest.mark.parametrize(("os_type", "verdict"), [("linux", MARGINAL), (None, UNVERIFIED), ("windows", MET)])
def test_an_advised_version_on_another_system_does_not_bind(os_type: str | None, verdict: Verdict) -> None:
    """Advised conditions keep their guards and are never unmet."""
    text = (
        '[os]\ntype = { equal = "windows", advised = true }\nversion = { version = ">=10", advised = true }\n'
    )
    found = findings_of(text, {"os.type": value(os_type), "os.version": value("10.0.19045")})
    assert found["os.version"].verdict is verdict
    assert not found["os.version"].binding


def test_an_exclusion_of_editions_does_not_hold_elsewhere() -> None:
    """Not the home edition of one system says nothing good about a PC of another."""
    text = '[os]\ntype = "windows"\nedition = { none_of = "home" }\n'
    found = findings_of(text, {"os.type": value("linux"), "os.edition": absent("no editions")})
    assert found["os.edition"].verdict is UNMET


# -- alternatives

EITHER = """
[[cpu.any_of]]
title = "many cores"
cores = { minimum = 8 }
[[cpu.any_of]]
title = "fast cores"
cores = { minimum = 4, recommended = 6 }
base_clock = { minimum = "3 GHz" }
"""


@pytest.mark.parametrize(
    ("cores", "clock", "verdict", "why"),
    [
        (8, 2 * 10**9, MET, "meets many cores"),
        (4, 3 * 10**9, MARGINAL, "falls short of: cores at least 4 (6 recommended)"),
        (6, 3 * 10**9, MET, "meets fast cores"),
        (6, None, UNVERIFIED, "nearest is fast cores, which asks base clock at least 3 GHz (not looked)"),
        (None, 3 * 10**9, UNVERIFIED, "nearest is many cores, which asks cores at least 8 (not looked)"),
        (6, 2 * 10**9, UNMET, "nearest is many cores, which asks cores at least 8"),
        (2, 2 * 10**9, UNMET, "nearest is many cores, which asks cores at least 8"),
    ],
)
def test_one_alternative_is_enough(cores: int | None, clock: int | None, verdict: Verdict, why: str) -> None:
    """The best alternative counts, and the finding says which one was met or came nearest."""
    forms = {"cpu.cores": cores, "cpu.base_clock": clock}
    readings = {n: value(v) if v is not None else unknown("not looked") for n, v in forms.items()}
    finding = finding_of(EITHER, readings)
    assert finding.id == "cpu.any_of"
    assert finding.title == "Processor"
    assert finding.binding
    assert finding.verdict is verdict
    assert finding.why == why


def test_alternatives_without_titles_are_said_by_what_they_ask() -> None:
    """Each alternative reads as its conditions, lists too."""
    text = (
        '[[storage.any_of]]\nsystem_media = "ssd"\n'
        '[[storage.any_of]]\ndrives = [{ id = "a", media = "ssd" }]\n'
    )
    finding = finding_of(text, {"storage.system_media": value("hdd"), "storage.drives": value([])})
    assert finding.required == "system drive media ssd; or drives: at least 1 with media ssd"
    assert finding.verdict is UNMET
    assert finding.why == "the nearest alternative asks system drive media ssd"
    met = finding_of(text, {"storage.system_media": value("hdd"), "storage.drives": value([SSD])})
    assert (met.verdict, met.why) == (MET, "")


@pytest.mark.parametrize("clock", [unknown(), value(2 * 10**9)])
def test_an_advised_condition_never_sinks_an_alternative(clock: dict[str, Any]) -> None:
    """What is only advised makes an alternative marginal at worst, unknown or not."""
    text = '[[cpu.any_of]]\ncores = { minimum = 4 }\nbase_clock = { minimum = "3 GHz", advised = true }\n'
    assert verdict_of(text, {"cpu.cores": value(4), "cpu.base_clock": clock}) is MARGINAL
    assert verdict_of(text, {"cpu.cores": value(2), "cpu.base_clock": clock}) is UNMET


def test_an_exclusion_wins_over_an_alternative() -> None:
    """A PC that an alternative admits is not ready where a plain condition excludes it."""
    text = (
        '[os]\ntype = { none_of = "linux" }\n[[os.any_of]]\ntype = "windows"\n[[os.any_of]]\ntype = "linux"\n'
    )
    found = evaluate(profile_of(text), snapshot_of({"os.type": value("linux")}))
    assert [finding.verdict for finding in found] == [UNMET, MET]
    assert outcome_of(found) is Outcome.NOT_READY


def test_words_of_the_profile_stand_in_the_finding() -> None:
    """Title, reason, remedy, owner, profile and line are the profile's own."""
    text = '[cpu.cores]\nminimum = 4\ntitle = "T"\nbecause = "B"\nremedy = "R"\nowner = "lab"\n'
    finding = finding_of(text, {"cpu.cores": value(2)})
    assert (finding.title, finding.because, finding.remedy, finding.owner) == ("T", "B", "R", "lab")
    assert (finding.profile, finding.line) == ("p.toml", 3)
    assert len(finding.digest) == 16
    plain = finding_of("cpu.cores = { minimum = 4 }", {"cpu.cores": value(2)})
    assert (plain.title, plain.owner) == ("Cores", "purchasing")


def test_findings_come_in_the_order_of_the_profile_with_unique_ids() -> None:
    """One finding for each condition, as written."""
    text = PORTS + DRIVE + EITHER + '[memory.installed]\nminimum = "16 GB"\n'
    ids = list(findings_of(text, {}))
    assert ids == [
        "network.adapters[instrument]",
        "network.adapters[site]",
        "storage.drives[a]",
        "cpu.any_of",
        "memory.installed",
    ]


# -- what must always be so: a PC, and profiles about it

_PROFILES = [
    profile_of(text)
    for text in (
        'memory.installed = { minimum = "8 GB", recommended = "16 GB" }\ncpu.cores = { maximum = 8 }\n',
        'cpu.level = "x86-64-v2"\ncpu.features = { includes = "avx", excludes = "hypervisor" }\n',
        '[os]\ntype = "linux"\nproduct = "Debian GNU/Linux"\nversion = [">=12.5,<13", ">=13.1"]\n',
        '[computer]\nmodel = { none_of = "Bad" }\nvirtual = { equal = false, advised = true }\n',
        'power.sleep_after = "never"\npower.lid_action = "nothing"\ncomputer.tpm_version = ">=2"\n',
        PORTS + '[[network.adapters]]\nid = "more"\nadvised = true\nmedium = "wired"\nlink_up = true\n',
        PORTS + '[[network.adapters]]\nid = "none"\ncount = 0\nmedium = "wireless"\n',
        DRIVE + "count = { minimum = 1, recommended = 2 }\n"
        '[[storage.drives]]\nid = "b"\nsize = { minimum = "1 TB", recommended = "2 TB" }\n',
        (
            "network.wired_count = { minimum = 2 }\ndisplay.screen_count = { maximum = 2 }\n"
            '[[display.screens]]\nid = "a"\nppi = { minimum = 90 }\nwidth = { minimum = 1920 }\n'
        ),
        EITHER + '[[storage.any_of]]\nsystem_media = "ssd"\n'
        '[[storage.any_of]]\nsystem_free = { minimum = "100 GB" }\ndrives = [{ id = "a", media = "ssd" }]\n',
        (
            '[[software.packages]]\nid = "old"\ncount = 0\nname = { matches = "Suite*" }\nversion = "<2"\n'
            '[[software.packages]]\nid = "new"\nname = "Suite"\nversion = ">=2"\n'
        ),
        '[[software.services]]\nid = "s"\nname = "acquire"\nstate = "running"\ncount = { maximum = 1 }\n',
        '[[network.endpoints]]\nid = "a"\nhost = "srv"\nport = { equal = 443 }\nreachable = true\n',
        (
            "display.primary_logical_width = { minimum = 1500 }\n[[cpu.any_of]]\ncores = { minimum = 4 }\n"
            "threads = { minimum = 8, advised = true }\n"
        ),
    )
]
_PROFILE = st.sampled_from(_PROFILES)
_GHZ = 10**9
_FEATURES = [feature for features in LEVEL_FEATURES.values() for feature in features]


def _lists_of(**keys: list[Any]) -> st.SearchStrategy[list[dict[str, Any]]]:
    item = st.fixed_dictionaries({key: st.sampled_from(values) for key, values in keys.items()})
    return st.lists(item, max_size=4)


# Values at and around the bounds of the profiles above.
_VALUES: dict[str, st.SearchStrategy[Any]] = {
    "memory.installed": st.sampled_from([4 * GB, 8 * GB, 16 * GB]),
    "cpu.cores": st.sampled_from([2, 4, 6, 8, 16]),
    "cpu.threads": st.sampled_from([4, 8]),
    "cpu.base_clock": st.sampled_from([2 * _GHZ, 3 * _GHZ]),
    "cpu.features": st.sampled_from(
        [[], _FEATURES[:9], _FEATURES[:16], _FEATURES, [*_FEATURES, "hypervisor"]]
    ),
    "os.machine": st.just("x86_64"),
    "os.type": st.sampled_from(["linux", "windows"]),
    "os.product": st.sampled_from(["Debian GNU/Linux", "Other"]),
    "os.version": st.sampled_from(["12", "12.4", "12.5", "13", "13.1", "14", "trixie/sid"]),
    "computer.model": st.sampled_from(["Bad", "Good"]),
    "computer.virtual": st.booleans(),
    "computer.tpm_version": st.sampled_from(["1.2", "2.0", "x"]),
    "power.sleep_after": st.sampled_from([600, "never"]),
    "power.lid_action": st.sampled_from(["nothing", "sleep"]),
    "storage.system_media": st.sampled_from(["ssd", "hdd"]),
    "storage.system_free": st.sampled_from([10**10, 10**11]),
    "display.primary_width": st.sampled_from([1600, 1920]),
    "display.primary_scaling": st.sampled_from([100, 125]),
    "network.adapters": _lists_of(
        medium=["wired", "wired", "wireless", "virtual"],
        capable_speed=[10**8, 10**9],
        link_up=[True, False],
    ),
    "storage.drives": _lists_of(media=["ssd", "hdd"], size=[10**11, 10**12, 2 * 10**12]),
    "display.screens": _lists_of(width=[1600, 1920], height=[1080], diagonal=[19, 24, 40]),
    "software.packages": _lists_of(name=["Suite", "Suite Plus", "Other"], version=["1.9", "2.0", "x"]),
    "software.services": _lists_of(name=["acquire", "Acquire"], state=["running", "stopped"]),
    "network.endpoints": _lists_of(host=["srv"], port=[443, 80], reachable=[True, False]),
}


@st.composite
def _forms(draw: st.DrawFn, name: str) -> dict[str, Any]:
    """A reading in one of its four forms, known most of the time."""
    spec = CATALOGUE[name].value
    seen = draw(_VALUES[name])
    kinds = ["known"] * 6 + ["unknown", "absent"]
    kinds += ["bound"] * (spec.type in AMOUNTS) + ["incomplete"] * (spec.type in (Type.SET, Type.LIST))
    kind = draw(st.sampled_from(kinds))
    if kind == "bound" and seen != "never":
        return at_least(seen)
    if kind == "absent" and name != "os.machine":
        return absent()
    if kind == "incomplete":
        return value(seen, complete=False, why="some may be hidden")
    return unknown() if kind == "unknown" else value(seen)


_PCS = st.fixed_dictionaries({name: _forms(name) for name in _VALUES})


@st.composite
def _less_known(draw: st.DrawFn, readings: dict[str, Any]) -> dict[str, Any]:
    """The same PC, of which less is known."""
    poorer = dict(readings)
    for name in draw(st.lists(st.sampled_from(sorted(readings)), min_size=1, max_size=8, unique=True)):
        form, spec = poorer[name], CATALOGUE[name].value
        ways = ["unknown"]
        if "value" in form and form["value"] is not None:
            ways += ["bound"] * (spec.type in AMOUNTS and form["value"] != "never")
            ways += ["incomplete"] * (spec.type in (Type.SET, Type.LIST))
            ways += ["keys"] * 3 * (spec.type is Type.LIST and bool(form["value"]))
        ways += ["lower"] * ("at_least" in form)
        poorer[name] = draw(_worn(form, draw(st.sampled_from(ways))))
    return poorer


@st.composite
def _worn(draw: st.DrawFn, form: dict[str, Any], way: str) -> dict[str, Any]:
    if way == "bound":
        return at_least(draw(st.sampled_from([form["value"], max(1, form["value"] // 2)])))
    if way == "lower":
        return at_least(max(1, form["at_least"] // 2))
    if way == "incomplete":
        kept = [one for one in form["value"] if draw(st.booleans())] if draw(st.booleans()) else form["value"]
        return value(kept, complete=False, why="some may be hidden")
    if way == "keys":
        items = [{k: v for k, v in item.items() if draw(st.integers(0, 3))} for item in form["value"]]
        return {**form, "value": items}
    return unknown()


def _verdicts(profile: Profile, readings: dict[str, Any]) -> list[Verdict]:
    return [finding.verdict for finding in evaluate(profile, snapshot_of(readings))]


# What a verdict may turn into where less is known: only towards unverified, and a
# recommendation that can no longer be seen to be met may be said to be missed.
_WITH_LESS = {
    MET: {MET, MARGINAL, UNVERIFIED},
    MARGINAL: {MARGINAL, UNVERIFIED},
    UNMET: {UNMET, UNVERIFIED},
    UNVERIFIED: {UNVERIFIED},
}


@settings(max_examples=600)
@given(_PROFILE, _PCS, st.data())
def test_knowing_less_never_proves_more(
    profile: Profile, readings: dict[str, Any], data: st.DataObject
) -> None:
    """A reading, key or list that becomes less known moves verdicts towards unverified and nowhere else."""
    before = _verdicts(profile, readings)
    poorer: dict[str, Any] = data.draw(_less_known(readings))
    for old, new in zip(before, _verdicts(profile, poorer), strict=True):
        assert new in _WITH_LESS[old]


@settings(max_examples=200)
@given(_PROFILE, _PCS)
def test_evaluation_is_a_function_of_what_was_seen(profile: Profile, readings: dict[str, Any]) -> None:
    """The same findings twice, and in whatever order the readings stand."""
    snapshot = snapshot_of(readings)
    first = evaluate(profile, snapshot)
    assert evaluate(profile, snapshot) == first
    assert evaluate(profile, snapshot_of(dict(reversed(readings.items())))) == first


@settings(max_examples=200)
@given(_PROFILE, _PCS)
def test_every_open_finding_has_a_reason(profile: Profile, readings: dict[str, Any]) -> None:
    """What is unverified says why, what is unmet binds, and nobody is told an empty line."""
    for finding in evaluate(profile, snapshot_of(readings)):
        assert finding.found
        assert finding.required
        if finding.verdict is UNVERIFIED:
            assert finding.why
        if finding.verdict is UNMET:
            assert finding.binding


@given(_PROFILE)
def test_nothing_known_meets_nothing(profile: Profile) -> None:
    """An empty snapshot meets no condition and fails none."""
    assert set(_verdicts(profile, {})) == {UNVERIFIED}


_BETTER = {MET: 3, MARGINAL: 2, UNVERIFIED: 1, UNMET: 0}


@settings(max_examples=300)
@given(
    st.sampled_from(
        [
            ('memory.installed = { minimum = "8 GB", recommended = "16 GB" }', "memory.installed", GB),
            ("cpu.cores = { minimum = 4, recommended = 6 }", "cpu.cores", 1),
            (
                "[[cpu.any_of]]\ncores = { minimum = 4 }\n[[cpu.any_of]]\nthreads = { minimum = 99 }",
                "cpu.cores",
                1,
            ),
            ('power.sleep_after = { minimum = "1 h", recommended = "2 h" }', "power.sleep_after", 900),
            ('storage.system_free = { minimum = "8 B", advised = true }', "storage.system_free", 1),
        ]
    ),
    st.integers(1, 20),
    st.integers(0, 20),
    st.booleans(),
)
def test_more_is_never_worse(case: tuple[str, str, int], amount: int, more: int, bound: bool) -> None:
    """Raising a value under a minimum never lowers the verdict, known or as a lower bound."""
    text, name, unit = case
    form = at_least if bound else value
    less = finding_of(text, {name: form(amount * unit)}).verdict
    greater = finding_of(text, {name: form((amount + more) * unit)}).verdict
    assert _BETTER[greater] >= _BETTER[less]


_MINIMUMS = profile_of(
    PORTS + '[[network.adapters]]\nid = "spare"\ncount = { minimum = 1, recommended = 2 }\nlink_up = true\n'
)


@settings(max_examples=300)
@given(_VALUES["network.adapters"], _VALUES["network.adapters"])
def test_one_more_adapter_is_never_worse(adapters: list[Any], more: list[Any]) -> None:
    """Adding known items never lowers the verdict of tables with minimums."""
    less = _verdicts(_MINIMUMS, {"network.adapters": value(adapters)})
    greater = _verdicts(_MINIMUMS, {"network.adapters": value(adapters + more)})
    for few, many in zip(less, greater, strict=True):
        assert _BETTER[many] >= min(_BETTER[few], _BETTER[MARGINAL])
        assert (many is UNMET) <= (few is UNMET)


_ALTERNATIVES = [
    ("cores = { minimum = 4 }", "cpu.cores = { minimum = 4 }"),
    ('base_clock = { minimum = "3 GHz" }', 'cpu.base_clock = { minimum = "3 GHz" }'),
    ("threads = { minimum = 4, recommended = 8 }", "cpu.threads = { minimum = 4, recommended = 8 }"),
    ('features = { includes = "avx" }', 'cpu.features = { includes = "avx" }'),
]


@settings(max_examples=300)
@given(
    _PCS,
    st.lists(
        st.lists(st.sampled_from(_ALTERNATIVES), min_size=1, max_size=2, unique=True), min_size=1, max_size=3
    ),
)
def test_alternatives_are_the_best_of_the_worst(
    readings: dict[str, Any], alternatives: list[list[tuple[str, str]]]
) -> None:
    """any_of is met, else marginal, else unverified, else unmet; each alternative is all of its parts."""
    text = "".join("[[cpu.any_of]]\n" + "\n".join(inside for inside, _ in one) + "\n" for one in alternatives)
    alone = [[verdict_of(outside, readings) for _, outside in one] for one in alternatives]
    worst = [next(v for v in (UNMET, UNVERIFIED, MARGINAL, MET) if v in parts) for parts in alone]
    best = next(v for v in (MET, MARGINAL, UNVERIFIED, UNMET) if v in worst)
    assert verdict_of(text, readings) is best


def test_outcomes_are_the_worst_binding_verdict() -> None:
    """A profile's outcome over its findings ignores what is only advised."""
    text = 'cpu.cores = { minimum = 4 }\nmemory.installed = { minimum = "8 GB", advised = true }\n'
    for cores, outcome in ((4, Outcome.READY), (2, Outcome.NOT_READY), (None, Outcome.INCONCLUSIVE)):
        findings = evaluate(profile_of(text), snapshot_of({"cpu.cores": value(cores)}))
        assert outcome_of(findings) is outcome


_EXAMPLES = [
    profile_of(path.read_text(encoding="utf-8"), head="")
    for path in sorted((Path(__file__).resolve().parents[2] / "requirements_profiles").glob("*.toml"))
]
_ODD = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-5, 1 << 40)
    | st.floats()
    | st.text(max_size=5)
    | st.sampled_from(["never", "ssd", "2027-01-31", "10.0.26100", "windows", "linux", "wired", "desktop"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["name", "version", "size", "medium", "media", "mount", "host", "addresses", "width"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=8,
)
_ODD_FORMS = (
    st.builds(value, _ODD)
    | st.builds(value, _ODD, complete=st.booleans())
    | st.builds(at_least, _ODD)
    | st.just(absent())
)


@settings(max_examples=200)
@given(
    st.sampled_from([*_EXAMPLES, *_PROFILES]),
    st.dictionaries(st.sampled_from(sorted(CATALOGUE)), _ODD_FORMS, max_size=25),
)
def test_no_snapshot_breaks_evaluation(profile: Profile, readings: dict[str, Any]) -> None:
    """Whatever a snapshot holds, every condition gets one finding that can be shown."""
    found = evaluate(profile, snapshot_of(readings))
    assert len(found) == len(profile.conditions)
    assert all(finding.verdict in _BETTER and finding.found for finding in found)


@pytest.mark.parametrize(
    ("count", "names", "verdict"),
    [
        ("0", [], UNVERIFIED),
        ("0", ["Java 8"], UNMET),
        ("{ maximum = 1 }", ["Java 8"], UNVERIFIED),
        ("{ minimum = 1 }", ["Java 8"], MET),
        ("{ minimum = 1 }", [], UNMET),
    ],
)
def test_a_runtime_that_no_list_shows_is_not_excluded(count: str, names: list[str], verdict: Verdict) -> None:
    """A complete list proves that a runtime is there, never that none is: one may only be unpacked."""
    text = f'[[software.runtimes]]\nid = "java"\ncount = {count}\nname = {{ matches = "Java*" }}\n'
    runtimes = value([{"name": name, "version": "1"} for name in names])
    finding = finding_of(text, {"software.runtimes": runtimes})
    assert finding.verdict is verdict
    if verdict is UNVERIFIED:
        assert "unpacked" in finding.why


_BY_SYSTEM = """
[[memory.installed]]
minimum = "16 GB"
when = { "os.type" = "windows" }
[[memory.installed]]
minimum = "8 GB"
when = { "os.type" = "linux" }
[[memory.installed]]
minimum = "32 GB"
advised = true
"""


@pytest.mark.parametrize(
    ("system", "gigabytes", "verdict"),
    [
        ("windows", 32, MET),
        ("windows", 16, MARGINAL),
        ("windows", 8, UNMET),
        ("linux", 8, MARGINAL),
        ("linux", 4, UNMET),
        ("macos", 4, MARGINAL),
    ],
)
def test_one_reading_may_have_several_conditions(system: str, gigabytes: int, verdict: Verdict) -> None:
    """Each condition of a list on one reading has its own `when` and weight; the worst one counts."""
    readings = {"os.type": value(system), "memory.installed": value(gigabytes * GB)}
    finding = finding_of(_BY_SYSTEM, readings)
    assert finding.verdict is verdict
    assert sorted(part.line for part in finding.parts) == [4, 7, 10]


def test_several_conditions_are_unverified_where_the_system_is() -> None:
    """Where it is not known which of them hold, a PC that fails one of them is not called met."""
    readings = {"os.type": unknown(), "memory.installed": value(8 * GB)}
    assert finding_of(_BY_SYSTEM, readings).verdict is UNVERIFIED
