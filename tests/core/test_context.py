"""When and per: what conditions depend on."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.report import Finding, Outcome, Verdict, outcome_of
from tests.core.builders import (
    GB,
    MARGINAL,
    MET,
    UNMET,
    UNVERIFIED,
    absent,
    at_least,
    finding_of,
    mistakes_of,
    profile_of,
    snapshot_of,
    unknown,
    value,
    verdict_of,
)

NOT_APPLICABLE = Verdict.NOT_APPLICABLE
CORES = value(4)
WHEN = '[cpu.cores]\nminimum = {}\nwhen = {{ "os.type" = "windows" }}\n'


def _chosen(text: str, readings: dict[str, Any], *options: str, **values: str) -> Finding:
    asked = ask([profile_of(text)], options, values)
    (finding,) = evaluate_all(asked, snapshot_of(readings)).findings
    return finding


@pytest.mark.parametrize("minimum", [4, 8])
@pytest.mark.parametrize(
    ("of_os", "own"),
    [(value("windows"), {4: MET, 8: UNMET}), (value("linux"), {}), (unknown(), {4: MET, 8: UNVERIFIED})],
)
def test_when_limits_a_condition(minimum: int, of_os: dict[str, Any], own: dict[int, Verdict]) -> None:
    """Of other PCs it does not apply; where that is not known it is unverified unless met anyway."""
    finding = finding_of(WHEN.format(minimum), {"cpu.cores": CORES, "os.type": of_os})
    assert finding.verdict is own.get(minimum, NOT_APPLICABLE)


def test_a_reason_says_that_when_is_not_known() -> None:
    """A condition that may not be asked of this PC says what is not known."""
    finding = finding_of(WHEN.format(8), {"cpu.cores": CORES, "os.type": unknown("nobody looked")})
    assert "nobody looked" in finding.why


def test_what_does_not_apply_decides_nothing() -> None:
    """What does not apply neither fails a PC nor counts as met."""
    finding = finding_of(WHEN.format(8), {"cpu.cores": CORES, "os.type": value("linux")})
    assert outcome_of([finding]) is Outcome.READY
    assert finding.verdict is not MET


@pytest.mark.parametrize(("in_group", "verdict"), [("windows", UNMET), ("linux", NOT_APPLICABLE)])
def test_when_of_a_section_holds_for_all_in_it(in_group: str, verdict: Verdict) -> None:
    """A section's own when limits every condition in it."""
    text = '[cpu]\nwhen.os.type = "windows"\ncores = { minimum = 8 }\n'
    assert verdict_of(text, {"cpu.cores": CORES, "os.type": value(in_group)}) is verdict


@pytest.mark.parametrize(
    ("of_os", "verdict"), [("windows", UNMET), ("linux", NOT_APPLICABLE), (None, UNVERIFIED)]
)
def test_when_limits_a_table_of_a_list(of_os: str | None, verdict: Verdict) -> None:
    """A table on a list's items is limited like any other."""
    text = '[[display.screens]]\nid = "big"\nwidth = { minimum = 1920 }\nwhen = { "os.type" = "windows" }\n'
    seen = value(of_os) if of_os else unknown()
    assert verdict_of(text, {"display.screens": value([{"width": 800}]), "os.type": seen}) is verdict


@pytest.mark.parametrize(
    ("option", "count", "verdict"),
    [((), "1", NOT_APPLICABLE), (("camera",), "1", NOT_APPLICABLE), (("camera",), "2", UNMET)],
)
def test_when_asks_options_and_parameters(option: tuple[str, ...], count: str, verdict: Verdict) -> None:
    """An option chosen and a parameter's value limit a condition as readings do."""
    text = (
        "parameters.number = { default = 1 }\noptions.camera.memory.installed.minimum = '1 GB'\n"
        "[cpu.cores]\nminimum = 8\nwhen = { camera = true, number = { minimum = 2 } }\n"
    )
    asked = ask([profile_of(text)], option, {"number": count})
    found = evaluate_all(asked, snapshot_of({"cpu.cores": CORES})).findings
    assert {one.id: one.verdict for one in found}["cpu.cores"] is verdict


@pytest.mark.parametrize(
    ("of_os", "other", "verdict"),
    [
        ("windows", 8, MET),
        ("linux", 8, UNMET),
        (None, 8, UNVERIFIED),
        (None, 4, MET),
    ],
)
def test_an_alternative_that_may_not_apply_serves_nobody(
    of_os: str | None, other: int, verdict: Verdict
) -> None:
    """An alternative whose when is unmet or unknown never makes its section met."""
    text = (
        f'[[cpu.any_of]]\ncores = {{ minimum = 4 }}\nwhen = {{ "os.type" = "windows" }}\n'
        f"[[cpu.any_of]]\ncores = {{ minimum = {other} }}\n"
    )
    seen = value(of_os) if of_os else unknown()
    assert verdict_of(text, {"cpu.cores": CORES, "os.type": seen}) is verdict


@pytest.mark.parametrize(
    ("when", "said"),
    [
        ("{}", "is a table"),
        ('{ "os.tipe" = "linux" }', "is no reading"),
        ('{ "network.adapters" = 1 }', "is a list"),
        ('{ "os.version" = ">=12" }', "means nothing here"),
        ('{ "os.version" = ">=12", "os.type" = "linux" }', "means nothing here"),
        ('{ os.version = ">=12", os.type = "linux" }', "means nothing here"),
        ('{ "os.version" = ">=12", "os.type" = ["linux", "windows"] }', "means nothing here"),
        ('{ "os.version" = ">=12", "os.type" = { none_of = ["linux"] } }', "means nothing here"),
        ('{ "cpu.threads" = { minimum = 4, advised = true } }', "no place in `when`"),
        ('{ "cpu.threads" = { minimum = 4, recommended = 8 } }', "no place in `when`"),
        ('{ "cpu.threads" = { minimum = 4, per = { "cpu.sockets" = 1 } } }', "no place in `when`"),
        ('{ "os.type" = { equal = "linux", when = { "cpu.threads" = 1 } } }', "no place in `when`"),
        ("{ os = {} }", "nothing is asked here"),
        ("{ options = {} }", "nothing is asked here"),
        ('{ "options.os.type" = "linux" }', "is none of the options"),
        ('{ "parameters.os.type" = "linux" }', "is none of the parameters"),
        ("{ parameters = { instruments = { minimum = 2 } } }", "is none of the parameters"),
    ],
)
def test_a_wrong_when_is_a_mistake(when: str, said: str) -> None:
    """What cannot limit a table, or would be passed over in silence, is a mistake."""
    found = mistakes_of(f"[cpu.cores]\nminimum = 4\nwhen = {when}\n")
    assert any(said in one.message for one in found)


PER = """
parameters.instruments = { default = 1, maximum = 9 }
[memory.installed]
minimum = "16 GB"
recommended = "32 GB"
per = { instruments = "4 GB" }
"""


@pytest.mark.parametrize(
    ("count", "size", "verdict"),
    [
        *(("0", 16, MARGINAL), ("0", 32, MET), ("1", 19, UNMET), ("1", 20, MARGINAL), ("1", 36, MET)),
        *(("3", 27, UNMET), ("3", 28, MARGINAL), ("3", 43, MARGINAL), ("3", 44, MET)),
    ],
)
def test_per_adds_to_minimum_and_recommended(count: str, size: int, verdict: Verdict) -> None:
    """Every one from the first adds the amount, to what is required and to what is recommended."""
    readings = {"memory.installed": value(size * GB)}
    assert _chosen(PER, readings, instruments=count).verdict is verdict


def test_the_arithmetic_is_shown() -> None:
    """A scaled requirement shows its sum and what it is made of."""
    finding = _chosen(PER, {"memory.installed": value(GB)}, instruments="3")
    assert finding.required == "at least 28 GB = 16 GB + 3 x 4 GB (instruments) (44 GB recommended)"


@pytest.mark.parametrize(
    ("threads", "size", "verdict"),
    [
        *((value(4), 8, MET), (value(4), 7, UNMET), (unknown(), 99, UNVERIFIED)),
        *((at_least(4), 8, UNVERIFIED), (at_least(4), 7, UNMET), (absent(), 1, MET)),
    ],
)
def test_per_counts_readings_from_zero(threads: dict[str, Any], size: int, verdict: Verdict) -> None:
    """A number not known leaves a minimum that can fail but not hold."""
    text = '[memory.installed]\nper = { "cpu.threads" = "2 GB" }\n'
    assert verdict_of(text, {"memory.installed": value(size * GB), "cpu.threads": threads}) is verdict


@pytest.mark.parametrize(
    ("threads", "verdict"), [(value(4), UNMET), (unknown(), UNVERIFIED), (value(1), MET)]
)
def test_per_counts_in_the_keys_of_items(threads: dict[str, Any], verdict: Verdict) -> None:
    """An item's key may be asked per something, and is not met while that is unknown."""
    text = '[[storage.volumes]]\nid = "data"\nfree = { minimum = "1 GB", per = { "cpu.threads" = "1 GB" } }\n'
    volumes = value([{"mount": "/", "free": 3 * 10**9}])
    assert verdict_of(text, {"storage.volumes": volumes, "cpu.threads": threads}) is verdict


@pytest.mark.parametrize(
    ("parameter", "said"),
    [
        ("{ default = 5, maximum = 4 }", "outside the range"),
        ("{ default = 0, minimum = 1 }", "outside the range"),
        ("{ default = nan }", "not a number to compare with"),
        ("{ default = inf }", "not a number to compare with"),
        ("{ default = -1 }", "number from 0 up"),
        ("{ default = true }", "number from 0 up"),
        ("{ minimum = 1 }", "has a default"),
        ("{ default = 1, step = 1 }", "unknown key"),
    ],
)
def test_a_wrong_parameter_is_a_mistake(parameter: str, said: str) -> None:
    """A parameter has a default inside a range of finite numbers."""
    found = mistakes_of(f"parameters.n = {parameter}\ncpu.cores.minimum = 2\n")
    assert any(said in one.message for one in found)


@pytest.mark.parametrize(
    "reading",
    ["os.type", "os.version", "os.support_ends", "power.sleep_after", "cpu.level", "network.name_servers"],
)
def test_only_amounts_are_asked_per_something(reading: str) -> None:
    """What cannot be multiplied takes no `per`."""
    found = mistakes_of(f'parameters.n.default = 1\n{reading} = {{ minimum = 1, per = {{ n = "1 GB" }} }}\n')
    assert any("`per` cannot be asked of" in one.message for one in found)


def test_the_arithmetic_of_an_alternative_is_shown() -> None:
    """An alternative asked per something shows its sum too."""
    text = "parameters.n.default = 2\n[[cpu.any_of]]\ncores = { minimum = 2, per = { n = 1 } }\n"
    found = finding_of(text, {"cpu.cores": value(3)})
    assert found.verdict is UNMET
    assert found.required == "cores at least 4 = 2 + 2 x 1 (n)"
    assert "4 = 2 + 2 x 1 (n)" in found.why
