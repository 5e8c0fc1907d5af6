"""Concessions: applied where they fit, else reported with the reason."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given, strategies as st

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
    absent,
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
        ({"allows": "12 GB"}, "it accepts at least 12 GB, and this is 8 GB"),
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
    done = _held(MEMORY, {}, _concession(allows=None, found="not known", covers_unverified=covers))
    assert done.findings[0].verdict is (ACCEPTED if covers else UNVERIFIED)
    assert bool(done.notes) is not covers


@pytest.mark.parametrize(
    ("form", "more", "accepted", "said"),
    [
        (at_least(12 * GB), {"allows": "12 GB"}, True, ""),
        (at_least(8 * GB), {"allows": "12 GB"}, False, "known is only at least 8 GB"),
        (at_least(8 * GB), {"allows": "12 GB", "found": "at least 8 GB"}, True, ""),
        (at_least(6 * GB), {"allows": "12 GB", "found": "at least 8 GB"}, False, "accepts at least 12 GB"),
        (unknown(), {"allows": "12 GB"}, False, "a value that is not known: to accept that, copy `found`"),
        (unknown(), {"allows": "12 GB", "found": "not known"}, True, ""),
        (value(8 * GB), {"allows": "12 GB", "found": "8 GB"}, False, "and this is 8 GB"),
        (value(12 * GB), {"allows": "12 GB", "found": "8 GB"}, True, ""),
        (absent(), {"allows": "12 GB"}, False, "found is: none"),
    ],
)
def test_what_is_known_is_held_against_what_is_allowed(
    form: dict[str, Any], more: dict[str, Any], accepted: bool, said: str
) -> None:
    """Covering the unverified accepts what shows the value allowed, or what was found then, no less."""
    done = _held(MEMORY, {"memory.installed": form}, _concession(covers_unverified=True, **more))
    assert (done.findings[0].verdict is ACCEPTED) is accepted
    assert [said in note for note in done.notes] == [True] * (not accepted)


BOTH = 'memory.installed = { minimum = "64 GB", maximum = "128 GB" }'


@pytest.mark.parametrize(
    ("text", "form", "allows", "said"),
    [
        (
            'power.screen_off_after.maximum = "10 min"',
            value(3600),
            "30 min",
            "it accepts at most 30 min, and this is 1 h",
        ),
        (
            'power.screen_off_after.maximum = "10 min"',
            value("never"),
            "2 h",
            "it accepts at most 2 h, and this is never",
        ),
        (
            BOTH,
            value(256 * GB),
            "32 GB",
            "granted for falling short of the minimum, and this is above the maximum: 256 GB",
        ),
        (
            BOTH,
            value(32 * GB),
            "256 GB",
            "granted for exceeding the maximum, and this is below the minimum: 32 GB",
        ),
        (BOTH, value(16 * GB), "32 GB", "it accepts at least 32 GB, and this is 16 GB"),
        (BOTH, value(512 * GB), "256 GB", "it accepts at most 256 GB, and this is 512 GB"),
    ],
)
def test_what_is_not_allowed_is_told_by_the_bound_missed(
    text: str, form: dict[str, Any], allows: str, said: str
) -> None:
    """At least or at most, as the condition asks; a value past the other bound is told to be."""
    name = text.partition(" ")[0].removesuffix(".maximum")
    done = _held(text, {name: form}, _concession(name, allows=allows))
    assert done.findings[0].verdict is UNMET
    assert said in done.notes[0]


COUNTED = """[parameters]
instruments = { default = 1, minimum = 1, maximum = 40 }
"""
PER = 'minimum = "32 GB"\nper = { instruments = "4 GB" }\n'


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        (f"[memory.installed]\n{PER}", {"memory.installed": value(30 * GB)}),
        (
            f'[[memory.modules]]\nid = "m"\n[memory.modules.size]\n{PER}',
            {"memory.modules": value([])},
        ),
        (f"[[memory.any_of]]\n[memory.any_of.installed]\n{PER}", {"memory.installed": value(30 * GB)}),
    ],
)
def test_another_number_asks_something_else(text: str, readings: dict[str, Any]) -> None:
    """A concession lapses where the parameter that its amount is multiplied by has changed."""
    snapshot = snapshot_of({**HERE, **readings})

    def held(instruments: str, *concessions: Concession) -> Evaluation:
        asked = ask([profile_of(COUNTED + text)], values={"instruments": instruments})
        return evaluate_all(asked, snapshot, concessions=concessions, on=DAY)

    (found,) = held("1").findings
    granted = _concession(found.id, digest=found.digest, allows=None, found=found.found)
    assert held("1", granted).findings[0].verdict is ACCEPTED
    for other in ("2", "40"):
        done = held(other, granted)
        assert done.findings[0].verdict is UNMET
        assert "a number its amount is made of or" in done.notes[0]
        assert done.findings[0].digest in done.notes[0]


def test_another_reading_an_amount_counts_asks_something_else() -> None:
    """A concession lapses where more threads ask for more memory, or where their number is not known."""
    text = '[memory.installed]\nminimum = "8 GB"\nper = { "cpu.threads" = "1 GB" }\n'
    forms = value(8), value(16), at_least(8), unknown()
    readings = [{"memory.installed": value(4 * GB), "cpu.threads": form} for form in forms]
    digests = {_held(text, one).findings[0].digest for one in readings}
    assert len(digests) == len(forms)


@pytest.mark.parametrize(("allows", "accepted"), [("8 GB", True), ("12 GB", False)])
def test_what_is_allowed_counts_also_where_what_is_asked_is_not_known(allows: str, accepted: bool) -> None:
    """A value known to be allowed is accepted where only the amount asked for is not known."""
    text = '[memory.installed]\nminimum = "8 GB"\nper = { "cpu.threads" = "1 GB" }\n'
    done = _held(text, {"memory.installed": value(8 * GB)})
    assert done.findings[0].verdict is UNVERIFIED
    granted = _concession(digest=done.findings[0].digest, allows=allows, covers_unverified=True)
    done = _held(text, {"memory.installed": value(8 * GB)}, granted)
    assert (done.findings[0].verdict is ACCEPTED) is accepted


def test_an_amount_counted_in_tells_for_what_a_concession_was_granted() -> None:
    """Below a minimum that grows with the threads, a value was allowed for falling short."""
    text = '[memory.installed]\nminimum = "8 GB"\nmaximum = "64 GB"\nper = { "cpu.threads" = "2 GB" }\n'
    readings = {"memory.installed": value(100 * GB), "cpu.threads": value(8)}
    digest = _held(text, readings).findings[0].digest
    done = _held(text, readings, _concession(allows="16 GB", digest=digest))
    assert "granted for falling short of the minimum" in done.notes[0]


def _port(name: str, more: str = "") -> str:
    """A table that asks for wired adapters."""
    return f'[[network.adapters]]\nid = "{name}"\nmedium = "wired"\n{more}\n'


OWN = _port("a", "count = { minimum = 2 }")
OTHER = _port("b")
BY_ALTERNATIVE = '[[network.any_of]]\nadapters = [{ id = "b", medium = "wired" }]\n'


@pytest.mark.parametrize(
    ("then", "now", "accepted"),
    [
        ([OWN], [OTHER, OWN], False),
        ([OWN], [OWN + BY_ALTERNATIVE], False),
        ([OWN + OTHER], [OTHER + OWN], False),
        ([OWN + OTHER], [OWN], False),
        ([OWN], [OWN + _port("b", "own = false")], True),
        ([OWN], [OWN + _port("b", 'when = { "os.type" = "windows" }')], True),
        ([OWN], [OWN + '[[storage.drives]]\nid = "d"\n'], True),
    ],
)
def test_another_claim_on_such_items_asks_something_else(
    then: list[str], now: list[str], accepted: bool
) -> None:
    """One port granted for two is no longer granted where another condition may be served by it."""
    port = {"name": "A", "medium": "wired"}
    forms = {"network.adapters": value([port]), "os.type": value("linux"), "storage.drives": value([{}])}

    def held(texts: list[str], *concessions: Concession) -> Evaluation:
        asked = ask([profile_of(text) for text in texts])
        return evaluate_all(asked, snapshot_of({**HERE, **forms}), concessions=concessions, on=DAY)

    name = "network.adapters[a]"
    (found,) = (one for one in held(then).findings if one.id == name)
    granted = _concession(name, digest=found.digest, allows=None, found=found.found)
    (again,) = (one for one in held(now, granted).findings if one.id == name)
    assert (again.verdict is ACCEPTED) is accepted


SPACE = 'storage.system_free.minimum = "{} GB"'


def _summed(*concessions: Concession, free: int = 300, asked: tuple[int, int] = (250, 100)) -> Evaluation:
    both = ask([profile_of(SPACE.format(one)) for one in asked])
    snapshot = snapshot_of({**HERE, "storage.system_free": value(free * 10**9)})
    return evaluate_all(both, snapshot, concessions=concessions, on=DAY)


def test_a_sum_over_products_can_be_conceded() -> None:
    """What several products ask together has a digest of its own, and a concession covers it."""
    (found,) = _summed().findings
    assert (found.verdict, len(found.digest)) == (UNMET, 16)
    assert found.digest not in {part.digest for part in found.parts[1:]}
    granted = _concession(found.id, digest=found.digest, allows="290 GB")
    done = _summed(granted)
    assert (done.findings[0].verdict, done.notes) == (ACCEPTED, ())
    assert "it accepts at least 290 GB" in _summed(granted, free=280).notes[0]


def test_a_concession_for_a_sum_lapses_with_its_parts() -> None:
    """Another amount of one product is another sum, also where it comes to the same."""
    (found,) = _summed().findings
    granted = _concession(found.id, digest=found.digest, allows="290 GB")
    for other in ((250, 110), (240, 110)):
        done = _summed(granted, asked=other)
        assert done.findings[0].verdict is UNMET
        assert "has changed" in done.notes[0]


def test_a_concession_for_a_sum_lapses_where_another_product_joins_it() -> None:
    """The same profiles ask for more where one of them asks of laptops only, and this is one."""
    limited = '[storage.system_free]\nminimum = "50 GB"\nwhen = { "computer.chassis" = "laptop" }\n'
    three = ask([profile_of(text) for text in (SPACE.format(250), SPACE.format(100), limited)])

    def held(chassis: str, *concessions: Concession) -> Evaluation:
        readings = {"storage.system_free": value(300 * 10**9), "computer.chassis": value(chassis)}
        return evaluate_all(three, snapshot_of({**HERE, **readings}), concessions=concessions, on=DAY)

    (found,) = held("desktop").findings
    granted = _concession(found.id, digest=found.digest, allows="290 GB")
    assert held("desktop", granted).findings[0].verdict is ACCEPTED
    assert held("laptop", granted).findings[0].verdict is UNMET


def test_a_sum_that_may_be_asked_is_another_than_one_that_is() -> None:
    """A concession for a sum of which a part may not be asked lapses once it is known to be."""
    part = '[storage.system_free]\nminimum = "100 GB"\nwhen = { "computer.chassis" = "laptop" }\n'
    both = ask([profile_of(SPACE.format(250)), profile_of(part)])

    def held(chassis: dict[str, Any], *concessions: Concession) -> Evaluation:
        readings = {"storage.system_free": value(300 * 10**9), "computer.chassis": chassis}
        return evaluate_all(both, snapshot_of({**HERE, **readings}), concessions=concessions, on=DAY)

    (found,) = held(unknown()).findings
    assert found.verdict is UNVERIFIED
    granted = _concession(found.id, digest=found.digest, found=found.found, covers_unverified=True)
    granted = granted._replace(allows=None)
    assert held(unknown(), granted).findings[0].verdict is ACCEPTED
    assert held(value("laptop"), granted).findings[0].verdict is UNMET


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
