"""Several profiles as one set of questions."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.choose import ask
from pcaudit.core.derive import Readings
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.report import Finding, Outcome, Verdict, all_of, outcome_of
from pcaudit.core.shared import shared_notes
from tests.core.builders import (
    MARGINAL,
    MET,
    UNMET,
    UNVERIFIED,
    at_least,
    profile_of,
    snapshot_of,
    unknown,
    value,
)

NOT_APPLICABLE = Verdict.NOT_APPLICABLE
G = 10**9
"""SI: the gigabyte that storage is sold in."""


def _findings(texts: list[str], readings: dict[str, Any], *options: str, **values: str) -> dict[str, Finding]:
    profiles = [
        profile_of(text)._replace(path=f"lab/{name}.toml") for text, name in zip(texts, "abc", strict=False)
    ]
    found = evaluate_all(ask(profiles, options, values), snapshot_of(readings)).findings
    return {one.id: one for one in found}


def test_an_option_adds_its_condition_with_its_own_place() -> None:
    """Base and option are conditions of one finding: the worst verdict, each part at its line."""
    text = "[cpu.cores]\nminimum = 2\n[options.camera.cpu.cores]\nminimum = 8\nbecause = 'video'\n"
    alone = _findings([text], {"cpu.cores": value(4)})["cpu.cores"]
    assert (alone.verdict, alone.parts) == (MET, ())
    both = _findings([text], {"cpu.cores": value(4)}, "camera")["cpu.cores"]
    assert both.verdict is UNMET
    assert both.because == "video"
    assert sorted((one.line, one.verdict) for one in both.parts) == [(3, MET), (5, UNMET)]


def test_the_tightest_of_equal_verdicts_is_shown() -> None:
    """Where conditions came to the same verdict, what is required most is shown."""
    found = _findings(["cpu.cores.minimum = 2", "cpu.cores.minimum = 4"], {"cpu.cores": value(8)})
    assert found["cpu.cores"].required == "at least 4"


SCREEN = '[[display.screens]]\nid = "big"\nwidth = {{ minimum = {} }}\n'
OPTION = '[[options.sharp.display.screens]]\nid = "big"\nheight = { minimum = 1080 }\n'
WIDE, TALL = {"width": 2560, "height": 800}, {"width": 800, "height": 1440}
BOTH = {"width": 1920, "height": 1080}


@pytest.mark.parametrize(
    ("screens", "verdict"), [([WIDE, TALL], UNMET), ([WIDE, BOTH], MET), ([{"width": 1920}], UNVERIFIED)]
)
def test_one_item_meets_the_keys_of_base_and_option(screens: list[dict[str, int]], verdict: Verdict) -> None:
    """The same id in base and option means the same item, not one item for each."""
    found = _findings([SCREEN.format(1920) + OPTION], {"display.screens": value(screens)}, "sharp")
    assert found["display.screens[big]"].verdict is verdict


@pytest.mark.parametrize("of_base", [True, False])
@pytest.mark.parametrize(("of_os", "verdict"), [("windows", UNMET), ("linux", UNMET), (None, UNMET)])
def test_a_table_is_asked_whatever_the_other_under_its_id_is_limited_to(
    of_base: bool, of_os: str | None, verdict: Verdict
) -> None:
    """A when on one table under an id does not set free the other one."""
    when = 'when = { "os.type" = "windows" }\n'
    text = SCREEN.format(1920) + (when if of_base else "") + OPTION + ("" if of_base else when)
    readings = {"display.screens": value([{"width": 800, "height": 600}])}
    readings["os.type"] = value(of_os) if of_os else unknown()
    found = _findings([text], readings, "sharp")["display.screens[big]"]
    assert found.verdict is verdict
    limited = found.parts[0 if of_base else 1]
    assert limited.verdict is {"windows": UNMET, "linux": NOT_APPLICABLE, None: UNVERIFIED}[of_os]


@pytest.mark.parametrize(("of_os", "verdict"), [("windows", UNMET), ("linux", MET), (None, UNVERIFIED)])
def test_keys_of_a_limited_option_count_only_where_it_applies(of_os: str | None, verdict: Verdict) -> None:
    """An option that does not apply leaves the base as it is; where that is unknown, so is the whole."""
    text = SCREEN.format(1920) + OPTION + 'when = { "os.type" = "windows" }\n'
    readings = {
        "display.screens": value([WIDE, TALL]),
        "os.type": value(of_os) if of_os else unknown(),
    }
    found = _findings([text], readings, "sharp")["display.screens[big]"]
    assert found.verdict is verdict
    assert found.parts[0].verdict is (UNMET if verdict is UNMET else MET)


def test_more_keys_do_not_loosen_a_maximum() -> None:
    """What a base forbids stays forbidden where an option under the same id says more."""
    base = '[[software.packages]]\nid = "old"\ncount = 0\nname = "Old Suite"\n'
    option = '[[options.x.software.packages]]\nid = "old"\ncount = 0\nname = "Old Tool"\n'
    packages = value([{"name": "Old Suite"}])
    found = _findings([base + option], {"software.packages": packages}, "x")["software.packages[old]"]
    assert [one.verdict for one in found.parts] == [UNMET, MET]


PORT = '[[network.adapters]]\nid = "port"\nmedium = "wired"\n'
WIRED = {"name": "e1", "medium": "wired"}


@pytest.mark.parametrize(("ports", "second"), [(1, UNMET), (2, MET)])
def test_each_product_needs_its_own_item(ports: int, second: Verdict) -> None:
    """Under several products one id means two items, told apart by the profile's name."""
    found = _findings([PORT, PORT], {"network.adapters": value([WIRED] * ports)})
    assert list(found) == ["a/network.adapters[port]", "b/network.adapters[port]"]
    assert [one.verdict for one in found.values()] == [MET, second]


def test_profiles_of_one_name_are_told_apart() -> None:
    """Two profiles of the same file name make different ids."""
    profiles = [profile_of(PORT), profile_of(PORT)]
    found = evaluate_all(ask(profiles), snapshot_of({})).findings
    assert [one.id for one in found] == ["p/network.adapters[port]", "p-2/network.adapters[port]"]


@pytest.mark.parametrize(("count", "verdict"), [("1", NOT_APPLICABLE), ("2", UNMET)])
def test_a_table_is_limited_by_its_own_products_parameters(count: str, verdict: Verdict) -> None:
    """A list's when asks the parameters of the product it belongs to, not those of another."""
    second = "parameters.n = { default = 1 }\n" + PORT.replace("port", "two") + "when.n.minimum = 2\n"
    found = _findings([PORT, second], {"network.adapters": value([WIRED])}, n=count)
    assert found["network.adapters[two]"].verdict is verdict


FREE = "storage.system_free = {{ minimum = '{} GB'{} }}\n"
WHEN = ', when = { "os.type" = "windows" }'


@pytest.mark.parametrize(("free", "verdict"), [(29, UNMET), (30, MET)])
def test_space_is_added_up_over_products(free: int, verdict: Verdict) -> None:
    """Free space is needed by each product: the sum is required, and shown."""
    found = _findings([FREE.format(10, ""), FREE.format(20, "")], {"storage.system_free": value(free * G)})
    finding = found["storage.system_free"]
    assert finding.verdict is verdict
    # The sum is the tightest, or the worst.
    assert [one.verdict for one in finding.parts] == [verdict, MET, MET]
    assert "10 GB" in finding.parts[0].required
    assert "30 GB" in finding.parts[0].required


@pytest.mark.parametrize(
    ("free", "of_os", "verdict"),
    [
        *((25, "windows", UNMET), (25, "linux", MET), (25, None, UNVERIFIED)),
        *((30, None, MET), (5, None, UNMET)),
    ],
)
def test_a_product_that_may_not_ask_is_not_left_out_of_the_sum(
    free: int, of_os: str | None, verdict: Verdict
) -> None:
    """Where it is not known whether a product asks for space, the sum is unverified unless met anyway."""
    readings = {"storage.system_free": value(free * G), "os.type": value(of_os) if of_os else unknown()}
    found = _findings([FREE.format(10, ""), FREE.format(20, WHEN)], readings)
    assert found["storage.system_free"].verdict is verdict


def test_a_sum_of_amounts_not_fully_known_is_not_met() -> None:
    """A product whose amount grows with an unknown number leaves the sum unverified."""
    first = FREE.format(10, ", per = { 'cpu.threads' = '1 GB' }")
    readings = {"storage.system_free": value(100 * G), "cpu.threads": at_least(4)}
    parts = _findings([first, FREE.format(20, "")], readings)["storage.system_free"].parts
    assert [one.verdict for one in parts] == [UNVERIFIED, UNVERIFIED, MET]


@pytest.mark.parametrize(("free", "verdict"), [(25, MET), (19, UNMET)])
def test_adds_may_be_switched_off(free: int, verdict: Verdict) -> None:
    """With ``adds = false`` products share the amount."""
    texts = [FREE.format(10, ", adds = false"), FREE.format(20, ", adds = false")]
    found = _findings(texts, {"storage.system_free": value(free * G)})
    assert found["storage.system_free"].verdict is verdict


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        (", adds = true", "", UNMET),
        ("", ", adds = true", UNMET),
        (", adds = true", ", adds = false", MET),
        ("", "", MET),
    ],
)
def test_one_product_that_needs_its_own_is_enough(first: str, second: str, verdict: Verdict) -> None:
    """With ``adds = true`` in one product its amount is needed beside those of the others."""
    ask_for = "memory.installed = {{ minimum = '20 GB'{} }}\n".format
    found = _findings([ask_for(first), ask_for(second)], {"memory.installed": value(32 << 30)})
    assert found["memory.installed"].verdict is verdict


@pytest.mark.parametrize(("of_os", "verdict"), [("windows", UNMET), ("linux", MET), (None, UNVERIFIED)])
def test_who_says_that_amounts_add_up_may_not_be_asked(of_os: str | None, verdict: Verdict) -> None:
    """Amounts add up only where the condition that says so is asked of this PC."""
    first = f"memory.installed = {{ minimum = '20 GB', adds = true{WHEN} }}\n"
    second, third = ["memory.installed = { minimum = '20 GB' }\n"] * 2
    readings = {"memory.installed": value(32 << 30), "os.type": value(of_os) if of_os else unknown()}
    assert _findings([first, second, third], readings)["memory.installed"].verdict is verdict


PORTS = "network.wired_count = {{ minimum = {}{} }}\n"


@pytest.mark.parametrize(
    ("first", "second", "noted"),
    [
        ("", "", True),
        (", adds = true", "", False),
        (", adds = false", ", adds = false", True),
        (", when = { 'os.type' = 'linux' }", "", False),
    ],
)
def test_ports_that_products_share_are_said_to_be_shared(first: str, second: str, noted: bool) -> None:
    """A count of ports does not say whether each product needs its own; the report says how it was taken."""
    profiles = [profile_of(PORTS.format(2, first)), profile_of(PORTS.format(3, second))]
    readings = Readings(snapshot_of({"os.type": value("windows")}))
    notes = shared_notes(ask(profiles), readings)
    assert bool(notes) is noted
    assert shared_notes(ask(profiles[:1]), readings) == ()
    if noted:
        assert "A profile asks 2, A profile asks 3: counted as shared" in notes[0]


# -- never looser

_WHENS = st.sampled_from(
    ["", 'when = { "os.type" = "windows" }\n', 'when = { "cpu.threads" = { minimum = 4 } }\n']
)


@st.composite
def _profiles(draw: st.DrawFn) -> str:
    parts = []
    number = st.integers(1, 4)
    if draw(st.booleans()):
        key = draw(st.sampled_from(["minimum", "maximum", "equal"]))
        parts.append(f"[cpu.cores]\n{key} = {draw(number)}\n{draw(_WHENS)}")
    if draw(st.booleans()):
        parts.append(f"[storage.system_free]\nminimum = '{draw(number)} GB'\n{draw(_WHENS)}")
    for name in draw(st.lists(st.sampled_from(["one", "two"]), unique=True)):
        count = draw(st.sampled_from(["0", "{ minimum = 1 }", "{ maximum = 1 }", "{ equal = 2 }"]))
        key = draw(st.sampled_from(['medium = "wired"\n', "link_up = true\n", ""]))
        parts.append(f'[[network.adapters]]\nid = "{name}"\ncount = {count}\n{key}{draw(_WHENS)}')
    return "".join(parts) or "cpu.sockets.minimum = 1\n"


_adapters = st.lists(
    st.fixed_dictionaries(
        {}, optional={"medium": st.sampled_from(["wired", "wireless"]), "link_up": st.booleans()}
    ),
    max_size=3,
)
_readings = st.fixed_dictionaries(
    {
        "network.adapters": st.one_of(_adapters.map(value), st.just(unknown())),
        "os.type": st.sampled_from([value("windows"), value("linux"), unknown()]),
        "cpu.threads": st.sampled_from([value(2), value(4), unknown(), at_least(3)]),
        "cpu.cores": st.one_of(st.integers(1, 4).map(value), st.just(unknown()), st.just(at_least(2))),
        "storage.system_free": st.integers(1, 8).map(lambda n: value(n * G)),
    }
)


def _outcome(texts: list[str], readings: dict[str, Any], *options: str) -> Outcome:
    return outcome_of(_findings(texts, readings, *options).values())


_ORDER = [Outcome.READY, Outcome.INCONCLUSIVE, Outcome.NOT_READY]


@given(_profiles(), _profiles(), _readings)
def test_a_union_of_products_is_never_looser(first: str, second: str, readings: dict[str, Any]) -> None:
    """A PC ready for two products together is ready for each of them, in either order."""
    alone = [_outcome([text], readings) for text in (first, second)]
    for pair in ([first, second], [second, first]):
        together = _outcome(pair, readings)
        if together is Outcome.READY:
            assert alone == [Outcome.READY, Outcome.READY]
        if Outcome.NOT_READY in alone:
            assert together is Outcome.NOT_READY


@given(_profiles(), _profiles(), _readings)
def test_an_option_never_loosens_its_base(base: str, option: str, readings: dict[str, Any]) -> None:
    """A PC ready with an option is ready for the base, and for what the option asks by itself."""
    moved = option.replace("[[", "[[options.x.").replace("\n[", "\n[").replace("[cpu", "[options.x.cpu")
    moved = moved.replace("[storage", "[options.x.storage").replace(
        "cpu.sockets.", "[options.x.cpu.sockets]\n"
    )
    together = _outcome([base + moved], readings, "x")
    if together is Outcome.READY:
        assert _outcome([base], readings) is Outcome.READY
        assert _outcome([option], readings) is Outcome.READY


@given(_profiles(), _profiles(), _readings)
def test_a_finding_is_the_worst_of_its_parts(first: str, second: str, readings: dict[str, Any]) -> None:
    """No condition of a finding is worse than what the finding says."""
    for finding in _findings([first, second], readings).values():
        if finding.parts:
            assert finding.verdict is all_of(one.verdict for one in finding.parts)


def test_a_recommendation_of_one_product_is_marginal_for_all() -> None:
    """Falling short of what one product recommends is marginal, not unmet."""
    texts = ["cpu.cores = { minimum = 2, recommended = 8 }", "cpu.cores.minimum = 4"]
    assert _findings(texts, {"cpu.cores": value(4)})["cpu.cores"].verdict is MARGINAL


def test_what_an_option_only_advises_does_not_make_the_base_marginal() -> None:
    """Under one id each row is marginal only where what it advises itself is missing."""
    option = '[[options.x.network.adapters]]\nid = "port"\nadvised = true\nmtu = { minimum = 9000 }\n'
    adapters = value([{**WIRED, "mtu": 1500}])
    found = _findings([PORT + option], {"network.adapters": adapters}, "x")["network.adapters[port]"]
    assert [one.verdict for one in found.parts] == [MET, MARGINAL]


def test_a_row_names_the_item_it_is_given() -> None:
    """Of two ports that would serve a row only the one is named that serves no other row."""
    ports = value([WIRED, {**WIRED, "name": "e2"}])
    found = _findings([PORT, PORT], {"network.adapters": ports})
    assert sorted(one.found for one in found.values()) == ["e1", "e2"]
