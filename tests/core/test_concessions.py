"""Concessions: applied where they fit, else reported with the reason."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pcaudit.core.choose import ask
from pcaudit.core.concessions import Concession, read_concessions
from pcaudit.core.evaluate import Evaluation, evaluate_all
from pcaudit.core.places import place_in
from pcaudit.core.report import Outcome, Verdict, outcome_of
from pcaudit.core.toml_text import parse_toml
from pcaudit.errors import MistakesError, Place
from tests.core.builders import (
    GB,
    UNMET,
    UNVERIFIED,
    at_least,
    profile_of,
    snapshot_of,
    unknown,
    value,
)

ACCEPTED = Verdict.ACCEPTED
DAY = date(2026, 11, 25)
MEMORY = 'memory.installed = { minimum = "16 GB" }'
HERE = {"computer.serial_number": value("SN-1"), "computer.host_name": value("pc-1")}


def _concession(name: str = "memory.installed", **more: Any) -> Concession:
    one = Concession(
        condition=name,
        pc="SN-1",
        because="on order",
        by="N. N.",
        until=DAY,
        allows="8 GB",
        covers_unverified=False,
        digest="",
        found="",
        file="c.toml",
        line=4,
    )
    return one._replace(**more)


def _held(text: str, readings: dict[str, Any], *concessions: Concession, products: int = 1) -> Evaluation:
    """Hold a profile with concessions whose empty digest stands for the right one."""
    asked = ask([profile_of(text)] * products)
    digest = asked[0].conditions[0].digest
    filled = [one._replace(digest=one.digest or digest) for one in concessions]
    return evaluate_all(asked, snapshot_of({**HERE, **readings}), concessions=filled, on=DAY)


def test_a_concession_that_fits_is_applied() -> None:
    """The verdict is accepted, the original one stays visible, and the PC is ready."""
    done = _held(MEMORY, {"memory.installed": value(8 * GB)}, _concession())
    (finding,) = done.findings
    assert (finding.verdict, done.notes) == (ACCEPTED, ())
    assert finding.acceptance is not None
    assert finding.acceptance.verdict is UNMET
    assert outcome_of(done.findings) is Outcome.READY


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"digest": "0" * 16}, "has changed"),
        ({"pc": "SN-2"}, "for the PC SN-2"),
        ({"pc": "pc-1"}, "for the PC pc-1"),
        ({"until": date(2026, 11, 24)}, "ended on 2026-11-24"),
        ({"allows": "12 GB"}, "12 GB at least"),
        ({"allows": None, "found": "12 GB"}, "found then (12 GB)"),
        ({"allows": "many"}, "cannot be read"),
        ({"allows": 8}, "cannot be read"),
        ({"condition": "memory.usable"}, "no condition of that id"),
    ],
)
def test_a_concession_that_does_not_fit_is_reported(change: dict[str, Any], said: str) -> None:
    """Whatever does not fit leaves the verdict and is told with its place."""
    done = _held(MEMORY, {"memory.installed": value(8 * GB)}, _concession(**change))
    assert done.findings[0].verdict is UNMET
    (note,) = done.notes
    assert said in note
    assert "c.toml:4" in note


def test_a_host_name_counts_only_without_a_serial_number() -> None:
    """A PC whose serial number cannot be read is told by its host name; without either by nothing."""
    readings = {"memory.installed": value(8 * GB), "computer.serial_number": unknown()}
    assert _held(MEMORY, readings, _concession(pc="PC-1")).findings[0].verdict is ACCEPTED
    readings["computer.host_name"] = unknown()
    done = _held(MEMORY, readings, _concession(pc="PC-1"))
    assert done.findings[0].verdict is UNMET
    assert "neither serial number nor name" in done.notes[0]


@pytest.mark.parametrize("covers", [True, False])
def test_what_is_unverified_is_covered_only_where_said(covers: bool) -> None:
    """An unverified condition is accepted only by a concession that says it covers that."""
    done = _held(MEMORY, {}, _concession(covers_unverified=covers))
    assert done.findings[0].verdict is (ACCEPTED if covers else UNVERIFIED)
    assert bool(done.notes) is not covers


def test_a_concession_that_is_not_needed_is_reported() -> None:
    """A condition that is met stays met, and the concession is told."""
    done = _held(MEMORY, {"memory.installed": value(16 * GB)}, _concession())
    assert done.findings[0].verdict is Verdict.MET
    assert "not needed" in done.notes[0]


def test_a_second_concession_for_the_same_is_reported() -> None:
    """Of two concessions that fit the first one counts and the second is told."""
    done = _held(MEMORY, {"memory.installed": value(8 * GB)}, _concession(), _concession(line=9))
    assert done.findings[0].verdict is ACCEPTED
    assert "c.toml:9" in done.notes[0]


def test_the_same_condition_of_two_products_is_conceded_once() -> None:
    """A concession covers the condition it names in every product that asks just that."""
    done = _held(MEMORY, {"memory.installed": value(8 * GB)}, _concession(), products=2)
    assert (done.findings[0].verdict, done.notes) == (ACCEPTED, ())


LINUX = '[os]\nversion = "{}"\ntype = "linux"\nproduct = "Debian GNU/Linux"\n'
DEBIAN = {"os.type": value("linux"), "os.product": value("Debian GNU/Linux")}


@pytest.mark.parametrize(
    ("text", "readings", "allows", "accepted"),
    [
        (LINUX.format(">=12"), {**DEBIAN, "os.version": value("11.3")}, "11", True),
        (LINUX.format(">=12"), {**DEBIAN, "os.version": value("10")}, "11", False),
        (LINUX.format("<12"), {**DEBIAN, "os.version": value("13.1")}, "13", True),
        (LINUX.format("<12"), {**DEBIAN, "os.version": value("14")}, "13", False),
        (LINUX.format(">=10,<12"), {**DEBIAN, "os.version": value("13.1")}, "13", True),
        (LINUX.format(">=10,<12"), {**DEBIAN, "os.version": value("14")}, "13", False),
        (LINUX.format(">=12"), {**DEBIAN, "os.version": value("11")}, ">=1", False),
        (
            LINUX.format(">=12"),
            {**DEBIAN, "os.product": value("Other"), "os.version": value("12")},
            "11",
            False,
        ),
        ("cpu.cores = { minimum = 4, maximum = 8 }", {"cpu.cores": value(2)}, 2, True),
        ("cpu.cores = { minimum = 4, maximum = 8 }", {"cpu.cores": value(16)}, 2, False),
        ("cpu.cores = { minimum = 4, maximum = 8 }", {"cpu.cores": value(16)}, 16, True),
        ("cpu.cores.maximum = 8", {"cpu.cores": at_least(16)}, 32, False),
        ("cpu.cores.equal = 8", {"cpu.cores": value(16)}, 16, True),
        ('computer.model = "A"', {"computer.model": value("b")}, "B", True),
        ('computer.model = "A"', {"computer.model": value("C")}, "B", False),
        (
            'network.name_servers.includes = ["a"]',
            {"network.name_servers": value(["b"])},
            "b",
            False,
        ),
    ],
)
def test_the_least_value_accepted_keeps_the_conditions_direction(
    text: str, readings: dict[str, Any], allows: Any, accepted: bool
) -> None:
    """What is allowed stands in for the bound that was missed, and for nothing else."""
    name = {"os": "os.version", "cp": "cpu.cores", "co": "computer.model", "ne": "network.name_servers"}
    condition = name[text.lstrip("[")[:2]]
    done = _held(text, readings, _concession(condition, allows=allows))
    found = {one.id: one.verdict for one in done.findings}
    assert (found[condition] is ACCEPTED) is accepted
    assert bool(done.notes) is not accepted


_anything = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(),
        st.text(max_size=8),
        st.dates(),
        st.just("1" * 5000),
    ),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=8), inner, max_size=2),
    max_leaves=4,
)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        (MEMORY, {"memory.installed": value(8 * GB)}),
        (LINUX.format(">=12"), {**DEBIAN, "os.version": value("11.3")}),
        ('computer.model = "A"', {"computer.model": value("B")}),
        ("os.clock_synchronised = true", {"os.clock_synchronised": value(False)}),
        ("os.support_ends = { minimum = 2030-01-01 }", {}),
        ('power.sleep_after = "never"', {"power.sleep_after": value(60)}),
        ('network.name_servers.includes = ["a"]', {"network.name_servers": value(["b"])}),
        ('[[network.adapters]]\nid = "p"\n', {"network.adapters": value([])}),
    ],
)
@given(allows=_anything)
def test_anything_allowed_is_read_or_reported(text: str, readings: dict[str, Any], allows: Any) -> None:
    """No value of `allows` does anything but accept or leave a note."""
    name = ask([profile_of(text)])[0].conditions[0].id
    done = _held(text, readings, _concession(name, allows=allows, found="x"))
    accepted = any(one.verdict is ACCEPTED for one in done.findings)
    assert accepted is not bool(done.notes)


GOOD = """format = 1
title = "Concessions"
[[concessions]]
condition = "memory.installed"
pc = "SN-1"
because = "on order"
by = "N. N."
until = 2027-06-30
allows = "8 GB"
digest = "0123456789abcdef"
"""


def _read(text: str) -> tuple[Concession, ...]:
    data, places = parse_toml(text, "c.toml")

    def place(path: tuple[str | int, ...]) -> Place:
        return place_in(places, "c.toml", places.offset(path))

    return read_concessions(data, path="c.toml", place=place)


def test_a_concessions_file_is_read() -> None:
    """Every field of a concession and its line are kept."""
    (one,) = _read(GOOD)
    assert (one.until, one.allows, one.line) == (date(2027, 6, 30), "8 GB", 3)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("format = 1", "format = 2", "newer than this version"),
        ("format = 1\n", "", "begins with its format"),
        ('title = "Concessions"\n', "", "has a title"),
        ('pc = "SN-1"\n', "", "says `pc`"),
        ('by = "N. N."', "by = 1", "`by` is a text"),
        ("until = 2027-06-30\n", "", "ends on a day"),
        ("2027-06-30", '"2027-06-30"', "ends on a day"),
        ('allows = "8 GB"\n', "", "says `found`"),
        ('digest = "0123456789abcdef"\n', "", "says `digest`"),
        ("by =", "bye =", "unknown key `bye`"),
        ('digest = "0123456789abcdef"', 'digest = "a"\ncovers_unverified = 1', "true or false"),
        ("[[concessions]]", "[concessions]", "list of tables"),
    ],
)
def test_a_wrong_concessions_file_is_refused(old: str, new: str, said: str) -> None:
    """A mistake in a concession is named, and nothing of the file is applied."""
    with pytest.raises(MistakesError) as caught:
        _read(GOOD.replace(old, new))
    assert any(said in one.message for one in caught.value.mistakes)
