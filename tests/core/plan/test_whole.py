"""The plan as a whole: every part of any worksheet, and what they come to together."""

from __future__ import annotations

import json
import tomllib
from copy import deepcopy
from datetime import date, timedelta
from functools import cache
from typing import Any, Final, NamedTuple

import pytest
from hypothesis import given, reject, settings, strategies as st
from jsonschema import Draft202012Validator

from pcaudit.app import load_asked, load_snapshot
from pcaudit.core.choose import Asked, ask
from pcaudit.core.finding import Outcome, Verdict
from pcaudit.core.plan.answered import Answered
from pcaudit.core.plan.arrangements import Days
from pcaudit.core.plan.calendar import working_days
from pcaudit.core.plan.document import Plan
from pcaudit.core.plan.electrical_rules import ElectricalKnowledge
from pcaudit.core.plan.whole import make_plan
from pcaudit.core.snapshot import Snapshot
from pcaudit.core.worksheet.sheet import Worksheet, read_worksheet
from pcaudit.errors import MistakesError, Place
from pcaudit.loading import electrical
from pcaudit.render import plan_json, plan_text
from tests.cli.program import FIT, TOP, WORKSTATION
from tests.core.worksheet.sheets import EARLY, MONDAY, profile, sheet, wanting
from tests.render.schemas import read

FOLDER: Final = TOP / "fixtures" / "worksheets"
PARTS: Final = (
    *("backup", "storage", "place.power", "place.supply", "place.heat", "place.bench", "place.ports"),
    *("network", "calendar", "run-sheet"),
)


@cache
def _rules() -> ElectricalKnowledge:
    return electrical("")


@cache
def _asked() -> tuple[Asked, ...]:
    return load_asked([WORKSTATION])


@cache
def _seen() -> Snapshot:
    return load_snapshot(FIT)


def planned(
    worksheet: Worksheet,
    asked: tuple[Asked, ...] = (),
    snapshot: Snapshot | None = None,
    *,
    as_of: date = EARLY,
    needed: date | None = None,
) -> Plan:
    """The plan of a worksheet; its own day unless another is judged for."""
    day = needed or worksheet.installation.day
    held = Answered(worksheet, Days(day, as_of, working_days(worksheet.calendar)), _rules())
    return make_plan(held, asked, snapshot, on=day or as_of, tool_version="0")[0]


def _document(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / name).read_text(encoding="utf-8"))


def _read(document: dict[str, Any]) -> Worksheet:
    return read_worksheet(document, "w.toml", lambda path: Place("w.toml", 1, 1, ""), sha256="0" * 64)


# -- what parts come to together


def test_the_parts_stand_in_their_order() -> None:
    """Whatever the worksheet fills in, parts are read in the same order, and each has a name of its own."""
    names = [one.name for one in planned(_read(_document("lab4-worksheet.toml"))).sections]
    assert names == [name for name in PARTS if name in names]
    assert len(names) == len(set(names)) >= 8


def test_findings_have_names_of_their_own() -> None:
    """No two findings of a plan have the same id, nor do two figures: links and comparisons rest on it."""
    made = planned(_read(_document("lab4-worksheet.toml")), _asked(), _seen())
    ids = [one.id for one in made.every]
    assert len(ids) == len(set(ids)) > 60
    figures = [one.id for section in made.sections for one in section.figures]
    assert len(figures) == len(set(figures)) > 30


def test_nothing_asked_is_not_ready() -> None:
    """A worksheet that says nothing but its day is inconclusive: nobody looked at anything."""
    assert planned(sheet()).outcome is Outcome.INCONCLUSIVE


@pytest.mark.parametrize("use", ["", "[use]\nprofiles = []\n"])
def test_answers_that_no_profile_asks_are_never_ready(use: str) -> None:
    """Answers of a worksheet that names no profile are counted in a warning, and are held against nothing."""
    own = '[arrangements.stick]\nkind = "medium"\ntitle = "Stick"\nstate = "in hand"\n'
    answers = '[arrangements.a]\nstate = "missing"\n[arrangements.b]\nstate = "missing"\n'
    made = planned(sheet(use + own + answers))
    assert made.outcome is Outcome.INCONCLUSIVE
    assert made.warnings[0].startswith("no profile is named: 2 answers are not held against anything")
    assert (planned(sheet(use + own)).outcome, planned(sheet(use + own)).warnings) == (Outcome.READY, ())


def test_a_blank_service_life_is_named_where_something_expires() -> None:
    """Whether what expires must be renewed hangs on how long the instrument is used."""
    asked = ask([profile(wanting())], [], {})

    def blanks(expires: str, more: str = "") -> tuple[str, ...]:
        text = f'[installation]\nday = 2027-03-15\n{more}\n[arrangements.it]\nstate = "in hand"\n'
        sections = planned(sheet(f"{text}expires = {expires}\n"), asked).sections
        return next(one.not_asked for one in sections if one.name == "calendar")

    line = "whether what expires must be renewed: write `service_life` into [installation]"
    assert line in blanks("2030-01-01")
    assert line not in blanks('"never"')
    assert line not in blanks("2030-01-01", 'service_life = "10 years"')


def test_nothing_is_ready_without_a_day() -> None:
    """Where nobody said the day, whether all is there in time cannot be known, however much is in hand."""
    answer = '[arrangements.it]\nkind = "medium"\ntitle = "Stick"\nstate = "in hand"\n'
    with_day = planned(sheet(answer))
    without = planned(sheet(answer, day=None))
    assert (with_day.outcome, with_day.day_known) == (Outcome.READY, True)
    assert (without.outcome, without.day_known) == (Outcome.INCONCLUSIVE, False)
    assert without.on == EARLY
    assert any("no installation day" in text for text in without.warnings)
    judged = planned(sheet(answer, day=None), needed=MONDAY)
    assert (judged.outcome, judged.day_known) == (Outcome.READY, True)


@pytest.mark.parametrize(
    ("answer", "outcome"),
    [
        ('state = "in hand"\nexpires = "never"', Outcome.READY),
        ('state = "in hand"\nexpires = 2027-03-14', Outcome.NOT_READY),
        ('state = "in hand"\nexpires = 2027-03-15', Outcome.READY),
        ('state = "missing"', Outcome.INCONCLUSIVE),
        ('state = ""', Outcome.INCONCLUSIVE),
        ('state = "not needed"\nbecause = "it is free"\nby = "lab"', Outcome.READY),
    ],
)
def test_one_arrangement_decides(answer: str, outcome: Outcome) -> None:
    """The outcome is that of the worst arrangement: expired is not ready, open or blank inconclusive."""
    asked = ask([profile(wanting())], [], {})
    assert planned(sheet(f"[arrangements.it]\n{answer}\n"), asked).outcome is outcome


def test_a_part_decides_as_an_arrangement_does() -> None:
    """A strip that is overloaded makes the plan not ready, though everything else is in hand."""
    text = """
[arrangements.it]
kind = "medium"
title = "Stick"
state = "in hand"
[place]
country = "GB"
[[place.circuits]]
id = "c"
voltage = "230 V"
rating = "32 A"
protection = "breaker"
other_load = "0 W"
[[place.outlets]]
id = "o"
circuit = "c"
rating = "13 A"
sockets = 1
[[place.things]]
id = "oven"
kind = "other"
plugged_into = "o"
power = "4 kW"
power_factor = 1.0
continuous = true
"""
    made = planned(sheet(text))
    assert made.outcome is Outcome.NOT_READY
    short = [one.id for one in made.every if one.verdict is Verdict.UNMET]
    assert short and all(name.startswith("place.power") for name in short)


def test_the_pc_is_named_as_far_as_it_is_known() -> None:
    """With a snapshot its names stand in the plan, without one none do."""
    assert planned(sheet(), snapshot=_seen()).computer["host_name"] == "CDS-0007"
    assert planned(sheet(), snapshot=_seen()).taken_at == _seen().taken_at
    assert (planned(sheet()).computer, planned(sheet()).taken_at) == ({}, "")


def test_an_old_snapshot_is_said() -> None:
    """What a plan rests on may have changed since: above a week the warning says how old it is."""
    taken = date.fromisoformat(_seen().taken_at[:10])
    week, more = (planned(sheet(), snapshot=_seen(), as_of=taken + timedelta(days=n)) for n in (7, 8))
    assert not any("days old" in text for text in week.warnings)
    assert any("the snapshot is 8 days old" in text for text in more.warnings)


def test_a_day_in_the_past_is_said() -> None:
    """The warning names the day; so does that of a day judged for which is not the worksheet's."""
    past = planned(sheet(), as_of=date(2027, 3, 16))
    assert any("2027-03-15, is past" in text for text in past.warnings)
    other = planned(sheet(), needed=date(2027, 4, 1))
    assert any("2027-04-01" in text and "2027-03-15" in text for text in other.warnings)


# -- any worksheet


_OVERLOADED: Final = {
    ("place", "things", 3, "power"): "9 kW",
    ("place", "benches", 0, "width"): "500 mm",
    ("place", "benches", 0, "load"): "20 kg",
    ("place", "room", "cooling"): "300 W",
    ("backup", "rpo"): "1 h",
    ("backup", "rto"): "1 min",
    ("backup", "destinations", 0, "capacity"): "1 GB",
    ("backup", "window"): {"from": "02:00", "to": "02:05"},
    ("data", "per_run"): "900 GB",
    ("network", "hosts", 0, "address"): "10.20.31.1",
    ("network", "openings", 0, "state"): "missing",
    ("arrangements", "licence-certificate", "expires"): date(2027, 1, 1),
    ("arrangements", "administrator", "expected"): date(2027, 4, 1),
    ("people", "operator", "away"): [{"from": date(2027, 3, 1), "to": date(2027, 3, 31)}],
}
"""What makes the example fall short in every part."""


def _overloaded() -> dict[str, Any]:
    document = _document("lab4-worksheet.toml")
    for path, value in _OVERLOADED.items():
        _parent(document, path)[path[-1]] = value
    return document


def _parent(document: Any, path: tuple[str | int, ...]) -> Any:
    for key in path[:-1]:
        document = document[key]
    return document


@cache
def _base(name: str) -> dict[str, Any]:
    return _overloaded() if name == "overloaded" else _document(name)


@cache
def _full(name: str) -> Plan:
    return planned(_read(deepcopy(_base(name))), _asked(), _seen(), as_of=date(2026, 12, 14))


# Left out, these say something all the same: nobody is away, nothing waits, there is one of it, the link
# is plain, a network needs no port, nothing was promised. Leaving them out is an answer, not a blank.
# Of what is plugged nowhere a finding of its own says that it is missing in every sum.
_SPEAK_BY_ABSENCE: Final = frozenset(
    {
        *("format", "title", "id", "use", "profiles", "day", "site", "working_days", "holidays"),
        *("away", "after", "before", "count", "stack", "lan", "wall_ports", "mtu", "vlan", "holds"),
        *(
            "archive",
            "expected",
            "requested",
            "needed",
            "lead_time",
            "kind",
            "done",
            "begun",
            "on_the_day",
            "takes",
        ),
        *("because", "by", "battery", "from", "to", "what"),
    }
)


def _leaves(node: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Paths of everything that can be left blank."""
    if isinstance(node, dict):
        pairs: list[tuple[str | int, Any]] = [(k, v) for k, v in node.items() if k not in _SPEAK_BY_ABSENCE]
    elif isinstance(node, list) and all(isinstance(one, dict) for one in node):
        pairs = list(enumerate(node))
    else:
        return [path]
    return [leaf for key, value in pairs for leaf in _leaves(value, (*path, key))]


_BASES: Final = ("lab4-worksheet.toml", "lab4-worksheet-late.toml", "overloaded")


class _Blanks(NamedTuple):
    """Some answers of a worksheet that are blank (True) or left out (False)."""

    name: str
    at: dict[tuple[str | int, ...], bool]

    def worksheet(self) -> Worksheet:
        """The worksheet with these blanks."""
        document = deepcopy(_base(self.name))
        for path, blank in self.at.items():
            parent = _parent(document, path)
            if blank and isinstance(parent[path[-1]], str):
                parent[path[-1]] = ""
            else:
                del parent[path[-1]]
        try:
            return _read(document)
        except MistakesError:  # a blank that other answers cannot do without
            reject()


@st.composite
def _blanks(draw: st.DrawFn) -> _Blanks:
    name = draw(st.sampled_from(_BASES))
    leaves = st.sampled_from(_leaves(_base(name)))
    return _Blanks(name, draw(st.dictionaries(leaves, st.booleans(), min_size=1, max_size=12)))


@cache
def _check() -> Draft202012Validator:
    return Draft202012Validator(read("plan"))


_HOLDS: Final = (Verdict.MET, Verdict.MARGINAL, Verdict.ACCEPTED)
_OPEN: Final = (Verdict.UNMET, Verdict.UNVERIFIED)


@settings(max_examples=80)
@given(_blanks(), st.booleans())
def test_blanks_never_make_anything_better(blanks: _Blanks, seen: bool) -> None:
    """What falls short or is not known does not hold because something is blank; nor is the whole ready."""
    made = planned(blanks.worksheet(), _asked(), _seen() if seen else None, as_of=date(2026, 12, 14))
    assert made.outcome is not Outcome.READY
    before = {one.id: one.verdict for one in _full(blanks.name).every}
    better = [
        one.id for one in made.every if before.get(one.id, Verdict.MET) in _OPEN and one.verdict in _HOLDS
    ]
    assert better == []


@settings(max_examples=40)
@given(_blanks(), st.booleans(), st.booleans())
def test_any_worksheet_has_a_plan(blanks: _Blanks, seen: bool, later: bool) -> None:
    """However many answers are blank, there is a plan: valid JSON, and text that keeps its width."""
    as_of = date(2027, 6, 1) if later else date(2026, 12, 14)
    made = planned(blanks.worksheet(), _asked(), _seen() if seen else None, as_of=as_of)
    _check().validate(json.loads(plan_json.render(made)))
    assert all(len(line) <= 80 for line in plan_text.render(made).splitlines())


def test_an_outlet_of_unknown_circuit_may_be_on_any() -> None:
    """What hangs on it counts for every circuit at most: 9 kW that nobody can place stay in the sum."""
    document = _overloaded()
    document["place"]["outlets"][1]["circuit"] = ""
    found = {one.id: one for one in planned(_read(document)).every}
    load = found["place.power.circuit[ring-4].load"]
    assert load.verdict is Verdict.UNVERIFIED
    assert "enter `circuit` of outlet wall-right" in load.why
    assert _full("overloaded").outcome is Outcome.NOT_READY


@pytest.mark.parametrize("name", ["installation", "calendar", "arrangements", "data", "backup", "place"])
def test_a_part_left_out_is_said(name: str) -> None:
    """Without a whole section there is a plan, and it is never ready for that."""
    document = _document("lab4-worksheet.toml")
    del document[name]
    if name == "arrangements":
        del document["tasks"]  # which name some of them
    made = planned(_read(document), _asked(), _seen(), as_of=date(2026, 12, 14))
    assert made.outcome is not Outcome.READY
    if name in ("data", "backup", "place", "installation"):
        assert any(section.not_asked for section in made.sections)
