"""A concession for what was found covers that state of a PC and no other."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

import pytest
from hypothesis import given, reject, settings, strategies as st

from pcaudit.core import judge_items
from pcaudit.core.choose import ask
from pcaudit.core.concessions import Concession
from pcaudit.core.evaluate import Evaluation, evaluate_all
from pcaudit.core.report import Finding, Verdict
from pcaudit.errors import MistakesError
from tests.core.builders import GB, absent, at_least, profile_of, snapshot_of, unknown, value

ACCEPTED: Final = Verdict.ACCEPTED
DAY: Final = date(2026, 11, 25)
HERE: Final = {"computer.serial_number": value("SN-1")}

Readings = dict[str, Any]


def _evaluate(text: str, readings: Readings, *concessions: Concession) -> Evaluation:
    snapshot = snapshot_of({**HERE, **readings})
    return evaluate_all(ask([profile_of(text)]), snapshot, concessions=concessions, on=DAY)


def _finding(text: str, readings: Readings) -> Finding:
    """The last finding that a concession could cover."""
    findings = _evaluate(text, readings).findings
    return [f for f in findings if f.verdict in (Verdict.UNMET, Verdict.UNVERIFIED)][-1]


def _granted(finding: Finding) -> Concession:
    """A concession copied from a finding, for whatever was found."""
    return Concession(
        condition=finding.id,
        pc="SN-1",
        because="x",
        by="N. N.",
        until=DAY,
        allows=None,
        covers_unverified=True,
        digest=finding.digest,
        found=finding.found,
        file="c.toml",
        line=4,
    )


def _carries_over(text: str, then: Readings, now: Readings) -> bool:
    concession = _granted(_finding(text, then))
    assert _evaluate(text, then, concession).notes == ()
    done = _evaluate(text, now, concession)
    accepted = any(one.verdict is ACCEPTED for one in done.findings)
    assert accepted is not bool(done.notes)
    return accepted


MEMORY: Final = 'memory.installed = { minimum = "64 GB" }'
OLD: Final = '[[software.packages]]\nid = "old"\ncount = 0\nname = { matches = "Old*" }\n'
SUITE: Final = '[[software.packages]]\nid = "suite"\nname = { matches = "Suite*" }\nversion = ">=4"\n'
PORT: Final = '[[network.adapters]]\nid = "port"\nmedium = "wired"\nlink_up = true\n'
PORTS: Final = f"{PORT}count = {{ minimum = 2 }}\n"
OS: Final = (
    '[[os.any_of]]\ntype = "windows"\nedition = "home"\n\n[[os.any_of]]\ntype = "windows"\nversion = "6.1"\n'
)
DEBIAN: Final = 'os = { type = "linux", product = "Debian GNU/Linux", version = ">=12" }'
FEW: Final = f"{PORT}count = {{ maximum = 1 }}\n"
LIMITED: Final = 'memory.installed = { minimum = "64 GB", when = { "computer.chassis" = "laptop" } }'
EITHER: Final = (
    '[[memory.any_of]]\ninstalled = { minimum = "64 GB" }\n\n'
    '[[memory.any_of]]\nwhen = { "computer.chassis" = "laptop" }\n'
    'usable = { minimum = "32 GB" }\n'
)
LISTED: Final = (
    '[[network.any_of]]\nproxy = "none"\n\n'
    '[[network.any_of]]\nproxy = "local"\nadapters = [{ id = "port", medium = "wired" }]\n'
)
HOST: Final = '[[network.endpoints]]\nid = "h"\nhost = "h.example"\nport = { equal = 1 }\nreachable = true\n'
FEATURES: Final = 'cpu.features.includes = ["avx2"]'


def _packages(*items: str, **more: Any) -> Readings:
    """Packages written as "name version"; a name alone has no known version."""
    tables = [dict(zip(("name", "version"), item.rsplit(" ", 1), strict=False)) for item in items]
    return {"software.packages": value(tables, **more)}


def _adapters(*items: Readings) -> Readings:
    return {"network.adapters": value(list(items))}


def _windows(version: str) -> Readings:
    return {"os.type": value("windows"), "os.edition": value("pro"), "os.version": value(version)}


def _memory(form: Readings) -> Readings:
    return {"memory.installed": form}


def _features(*names: str, **more: Any) -> Readings:
    return {"cpu.features": value(list(names), **more)}


def _chassis(form: Readings) -> Readings:
    forms = {"memory.installed": 8 * GB, "memory.usable": 7 * GB}
    return {**{name: value(size) for name, size in forms.items()}, "computer.chassis": form}


def _hosts(*names: str) -> Readings:
    items = [{"host": f"{name}.example", "port": 1, "reachable": False} for name in names]
    return {"network.endpoints": value(items)}


def _proxy(*adapters: Readings) -> Readings:
    return {"network.proxy": value("other"), **_adapters(*adapters)}


def _debian(product: Readings) -> Readings:
    return {"os.type": value("linux"), "os.product": product, "os.version": value("11")}


INCOMPLETE: Final[Readings] = {"complete": False, "why": "one hive was not readable"}
WIRED: Final = {"name": "A", "medium": "wired", "link_up": True}
DOWN: Final = {"name": "B", "medium": "wired", "link_up": False}
AIR: Final = {"name": "B", "medium": "wireless", "link_up": False}
FIVE: Final = ("Old A 1", "Old B 1", "Old C 1", "Old D 1")


@pytest.mark.parametrize(
    ("text", "then", "now"),
    [
        (MEMORY, _memory(at_least(60 * GB)), _memory(at_least(2 * GB))),
        (MEMORY, _memory(at_least(60 * GB)), _memory(at_least(62 * GB))),
        (MEMORY, _memory(at_least(60 * GB)), _memory(value(60 * GB))),
        (MEMORY, _memory(at_least(60 * GB)), _memory(unknown())),
        (MEMORY, _memory(unknown()), _memory(at_least(2 * GB))),
        (MEMORY, _memory(unknown()), _memory(absent())),
        (OLD, _packages(*FIVE, "Old E 1"), _packages(*FIVE, "Old F 1")),
        (OLD, _packages(*FIVE, "Old E 1"), _packages(*FIVE, "Old E 1", "Old F 1")),
        (OLD, _packages("Old A 1"), _packages("Old A 1", "Old B 1")),
        (OLD, _packages("Old A 1"), {"software.packages": unknown()}),
        (OLD, _packages("Suite 3", **INCOMPLETE), _packages("Suite 3", "Old A 1")),
        (SUITE, _packages("Suite 3.1"), _packages("Suite 2.0")),
        (SUITE, _packages("Suite 3.1"), _packages("Other 2.0")),
        (SUITE, _packages("Suite A"), _packages("Suite 2024x")),
        (SUITE, _packages("Suite A"), _packages("Other 2.0", **INCOMPLETE)),
        (SUITE, _packages("Other 1", **INCOMPLETE), _packages("Other 1")),
        (PORT, _adapters(DOWN, *[AIR] * 4), _adapters(*[AIR] * 5)),
        (PORT, _adapters(DOWN), _adapters(AIR)),
        (PORT, _adapters({**AIR, "link_up": True}), _adapters(AIR)),
        (PORTS, _adapters(WIRED, DOWN), _adapters(WIRED)),
        (PORTS, _adapters(WIRED, DOWN), _adapters({**WIRED, "name": "C"}, DOWN)),
        (OS, _windows("10.0.26100"), _windows("10.0.10240")),
        (DEBIAN, _debian(unknown()), _debian(value("Other"))),
        (FEATURES, _features("avx", **INCOMPLETE), _features("avx")),
        (LIMITED, _chassis(unknown()), _chassis(value("laptop"))),
        (EITHER, _chassis(unknown()), _chassis(value("laptop"))),
        (EITHER, _chassis(value("desktop")), _chassis(value("laptop"))),
        (LISTED, _proxy(WIRED), _proxy(AIR)),
        (LISTED, _proxy(WIRED), _proxy({**WIRED, "name": "C"})),
        (FEW, _adapters(WIRED, {**WIRED, "name": "B"}), _adapters(WIRED, {**WIRED, "name": "C"})),
        (FEW, _adapters(*[WIRED] * 5), _adapters(*[WIRED] * 6)),
    ],
)
def test_another_state_is_not_covered(text: str, then: Readings, now: Readings) -> None:
    """Where anything that decides has changed, the concession is not applied but reported."""
    assert not _carries_over(text, then, now)


@pytest.mark.parametrize(
    ("text", "then", "now"),
    [
        (MEMORY, _memory(unknown()), _memory(unknown("access was refused"))),
        (OLD, _packages(*FIVE, "Old E 1"), _packages("Old E 2", *FIVE, "Suite 1")),
        (SUITE, _packages("Other 1"), _packages("Other 2", "More 1")),
        (SUITE, _packages("Suite 3.1", *["Other 1"] * 4), _packages("Suite 3.1", *["Other 2"] * 5)),
        (PORTS, _adapters(WIRED, DOWN), _adapters({**WIRED, "mtu": 9000}, {**DOWN, "mtu": 9000})),
        (FEW, _adapters(*[WIRED] * 5, AIR), _adapters(*[WIRED] * 5, DOWN, DOWN)),
        (HOST, _hosts("h", "a"), _hosts("h", "b", "c")),
        (OS, _windows("10.0.26100"), {**_windows("10.0.26100"), "os.machine": value("arm64")}),
    ],
)
def test_what_does_not_decide_may_change(text: str, then: Readings, now: Readings) -> None:
    """Another program, its version where none is asked, or another reason does not end a concession."""
    assert _carries_over(text, then, now)


@pytest.mark.parametrize(
    ("text", "readings", "found"),
    [
        (MEMORY, _memory(value(8 * GB)), "8 GB"),
        (MEMORY, _memory(unknown()), "not known"),
        (OLD, _packages("Old A 1", "Old B 1"), "Old A, Old B"),
        (SUITE, _packages("Suite 3.1"), "none of 1 (Suite: version 3.1)"),
        (SUITE, _packages(), "none"),
        (SUITE, {"software.packages": unknown()}, "not known"),
    ],
)
def test_words_that_say_everything_stand_alone(text: str, readings: Readings, found: str) -> None:
    """No digest follows what a finding names in full."""
    assert _finding(text, readings).found == found


def test_spaces_around_what_was_found_do_not_count() -> None:
    """A reading with a space behind it is quoted without, as a concessions file is read."""
    then = {"computer.model": value("B ")}
    text = 'computer.model = "A"'
    granted = _granted(_finding(text, then))._replace(found="B")
    assert _evaluate(text, then, granted).findings[0].verdict is ACCEPTED


@pytest.mark.parametrize("found", [",", '","'])
def test_what_a_finding_quotes_may_be_given_bare(found: str) -> None:
    """A decimal comma is shown in quotation marks; a concession may quote it with or without them."""
    then = {"os.decimal_separator": value(",")}
    text = 'os.decimal_separator = "."'
    assert _finding(text, then).found == '","'
    granted = _granted(_finding(text, then))._replace(found=found)
    assert _evaluate(text, then, granted).findings[0].verdict is ACCEPTED
    other = {"os.decimal_separator": value("'")}
    assert _evaluate(text, other, granted).findings[0].verdict is Verdict.UNMET


def test_a_digest_follows_what_is_not_named_in_full() -> None:
    """Eight hexadecimal digits stand for what the words leave out."""
    found = _finding(OLD, _packages(*FIVE, "Old E 1")).found
    lead, _, digest = found.partition(" [state ")
    assert lead == "Old A, Old B, Old C, Old D and 1 more"
    assert len(bytes.fromhex(digest.removesuffix("]"))) == 4


def test_what_is_met_is_found_as_it_is() -> None:
    """No digest stands behind what needs no concession."""
    found = _evaluate(PORT, _adapters(*[WIRED] * 5)).findings[0].found
    assert "state" not in found


def test_another_claim_on_the_same_item_is_another_state() -> None:
    """An item that serves is found both times; that another condition may or does take it differs."""
    text = f'{PORT}\n[[network.adapters]]\nid = "b"\nmedium = "wired"\nlink_up = true\n'
    one = _evaluate(text, _adapters(WIRED)).findings
    taken = [finding for finding in one if finding.verdict is Verdict.UNMET]
    assert taken
    assert all("[state " in finding.found for finding in taken)


_NAMES: Final = ("Suite 5", "Suite 6", "Runner", "driver")
_TABLE: Final = st.fixed_dictionaries(
    {
        "name": st.sampled_from(["", "Suite 5", "Suite*"]),
        "version": st.sampled_from(["", ">=2", "==1"]),
        "publisher": st.sampled_from(["", "Maker"]),
        "count": st.sampled_from(["", "", "count = 0", "count = { maximum = 1 }", "count = { minimum = 2 }"]),
        "advised": st.sampled_from([False, False, True]),
    }
)
_PROGRAMS: Final = st.lists(
    st.fixed_dictionaries(
        {
            "name": st.none() | st.sampled_from(_NAMES),
            "version": st.none() | st.sampled_from(["1", "2", "odd version"]),
            "publisher": st.none() | st.sampled_from(["Maker", "Other"]),
        }
    ),
    max_size=6,
)


def _table(place: str, name: str, table: dict[str, Any]) -> str:
    lines = [f"[[{place}software.packages]]", f'id = "{name}"', 'title = "x"', table["count"]]
    lines += [f'name = {{ matches = "{table["name"]}" }}'] if table["name"] else []
    lines += [f'version = "{table["version"]}"'] if table["version"] else []
    lines += ['publisher = "Maker"'] if table["publisher"] or not table["name"] else []
    return "\n".join([*lines, f"advised = {str(table['advised']).lower()}"])


@settings(max_examples=300)
@given(own=_TABLE, chosen=_TABLE, other=_TABLE, programs=_PROGRAMS, complete=st.booleans())
def test_what_is_left_out_of_a_long_list_changes_no_digest(
    own: dict[str, Any],
    chosen: dict[str, Any],
    other: dict[str, Any],
    programs: list[dict[str, Any]],
    complete: bool,
) -> None:
    """Every finding is what it is where each item is looked at again, whoever else asks of the list."""
    # One id in the profile and in the option means the same items, which are judged by both.
    tables = [("", "one", own), ("", "two", other), ("options.more.", "one", chosen)]
    text = "\n".join(_table(*table) for table in tables)
    try:
        asked = ask([profile_of(text)], ["more"])
    except MistakesError:  # counts that contradict each other
        reject()
    unseen = {} if complete else {"complete": False, "why": "not all are seen"}
    seen = value(programs, **unseen)
    snapshot = snapshot_of({**HERE, "software.packages": seen})
    short = evaluate_all(asked, snapshot, on=DAY)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(judge_items, "_others", lambda _table, _found: frozenset())
        assert evaluate_all(asked, snapshot, on=DAY) == short
