"""Verdicts of many PCs are those that each PC would get alone."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from random import Random
from typing import Any, Final

import pytest
from hypothesis import Phase, given, settings, strategies as st

from pcaudit.core import survey_verdicts
from pcaudit.core.catalogue import CATALOGUE, Type
from pcaudit.core.choose import Asked, ask
from pcaudit.core.derive import Readings
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.profile import Profile
from pcaudit.core.report import Outcome, outcome_of
from pcaudit.core.snapshot import Snapshot, from_mapping
from pcaudit.core.survey_verdicts import CAME, Verdicts, outcome_of_codes
from pcaudit.loading import load, tables
from tests.core.builders import document, profile_of, value
from tests.core.generated_profiles import compiled, profiles
from tests.core.survey_fleet import Fleet

KNOWLEDGE: Final = tables(("os", "cpu"))
EXAMPLES: Final = sorted((Path(__file__).parents[2] / "requirements_profiles").glob("*.toml"))


def _differences(asked: tuple[Asked, ...], judge: Verdicts, readings: dict[str, Any]) -> list[Any]:
    """What a PC is judged to be among many where alone it is judged otherwise."""
    findings = evaluate_all(asked, from_mapping(document(readings)), knowledge=KNOWLEDGE).findings
    codes = judge.of(readings, "0.0.1")
    many = [(name, *CAME[code]) for name, code in zip(judge.ids, codes, strict=True)]
    alone = [(one.id, one.verdict, one.binding) for one in findings]
    outcomes = outcome_of_codes(codes), outcome_of(findings)
    different = [pair for pair in zip(many, alone, strict=True) if pair[0] != pair[1]]
    return different + [pair for pair in [outcomes] if pair[0] is not pair[1]]


def _compare(asked: tuple[Asked, ...], fleet: Fleet, pcs: int) -> None:
    judge = Verdicts(asked, KNOWLEDGE)
    seen = [fleet.readings() for _ in range(pcs)]
    for readings in (*seen, *seen):  # the second time everything was judged before
        assert _differences(asked, judge, readings) == []


@settings(max_examples=60, phases=[Phase.generate])
@given(profiles(), st.integers(0, 1 << 30))
def test_generated_profiles_and_pcs_give_the_verdicts_of_one_pc_alone(data: Any, seed: int) -> None:
    """Whatever a profile asks and a snapshot says, remembering changes no verdict and no outcome."""
    profile = compiled(data)
    options = {option.name for option in profile.options}
    _compare(ask([profile], options), Fleet(profile, seed), 20)


@settings(max_examples=25, phases=[Phase.generate])
@given(profiles(), profiles(), st.integers(0, 1 << 30))
def test_several_products_on_one_pc_are_judged_as_alone(first: Any, second: Any, seed: int) -> None:
    """What products share out among them, space above all, is shared out among many PCs alike."""
    one, other = compiled(first), compiled(second)
    _compare(ask([one, other]), Fleet(one, seed), 12)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_examples_give_the_verdicts_of_one_pc_alone(path: Path) -> None:
    """The example profiles judge four hundred PCs as they judge each of them alone."""
    profile = load(str(path))
    _compare(ask([profile]), Fleet(profile, 7), 200)


def test_numbers_that_python_takes_for_equal_are_told_apart() -> None:
    """True, 1 and 1.0 are three values: a PC whose value is of the wrong type is not met for one that is."""
    profile = profile_of("[os]\nrestart_pending = true\n[cpu.cores]\nminimum = 1\n")
    asked = ask([profile])
    judge = Verdicts(asked, KNOWLEDGE)
    for one in (True, 1, 1.0, "1", "true"):
        readings = {"os.restart_pending": value(one), "cpu.cores": value(one)}
        assert _differences(asked, judge, readings) == []


def test_items_nobody_asks_of_do_not_hide_those_that_count() -> None:
    """A program that must not be there is found among hundreds of others, whatever was seen before."""
    asked = ask([profile_of('[[software.packages]]\nid = "old"\ncount = 0\nname = { matches = "Old*" }\n')])
    judge = Verdicts(asked, KNOWLEDGE)
    others = [{"name": f"Program {number}", "version": "1"} for number in range(300)]
    codes = [
        judge.of({"software.packages": value(found)})
        for found in (others, [*others, {"name": "Old Suite 7"}], [{"name": None}], others[:1])
    ]
    assert codes == ["m", "u", "v", "m"]


def test_memory_does_not_grow_with_what_differs_on_every_pc(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many different values come by, few are remembered, and verdicts stay right."""
    monkeypatch.setattr(survey_verdicts, "_MOST", 4)
    monkeypatch.setattr(survey_verdicts, "_MOST_ITEMS", 4)
    profile = profile_of(
        '[computer.host_name]\nmatches = "LAB-*"\n'
        '[[software.packages]]\nid = "old"\ncount = 0\nname = { matches = "Old*" }\n'
    )
    asked, random = ask([profile]), Random(3)  # noqa: S311
    judge = Verdicts(asked, KNOWLEDGE)
    for number in range(60):
        packages = [{"name": f"{random.choice(['Old', 'New'])} {random.random()}"} for _ in range(3)]
        host = value(f"{random.choice(['LAB', 'PC'])}-{number}")
        readings = {"computer.host_name": host, "software.packages": value(packages)}
        assert _differences(asked, judge, readings) == []


def test_whatever_a_derived_reading_looks_at_is_told_by_its_whole_value() -> None:
    """No reading from which another is derived is told by comparisons only, so that none derives wrongly."""

    class Noting(dict[str, Any]):
        names: set[str] = set()

        def get(self, name: str, default: Any = None) -> Any:
            self.names.add(name)
            return super().get(name, default)

    amounts = {Type.INTEGER, Type.NUMBER, Type.QUANTITY, Type.DURATION, Type.LIST}
    looked = set()
    for path in sorted((Path(__file__).parents[2] / "fixtures" / "snapshots").glob("*.json")):
        import json

        taken = from_mapping(json.loads(path.read_text(encoding="utf-8")))
        noting = Noting(taken.readings)
        readings = Readings(Snapshot(taken.taken_at, "", noting), KNOWLEDGE)
        for name, record in CATALOGUE.items():
            if record.derived:
                readings.get(name)
        looked |= {name for name in Noting.names if CATALOGUE[name].value.type in amounts}
        assert not [name for name in Noting.names if name.startswith("computer.")]
    assert looked, "something is derived from amounts"
    assert looked <= survey_verdicts._READ_BY_DERIVATIONS


@pytest.mark.parametrize(
    ("codes", "outcome"),
    [
        ("mgu", Outcome.NOT_READY),
        ("vu", Outcome.NOT_READY),
        ("mv", Outcome.INCONCLUSIVE),
        ("mgUV-a", Outcome.READY),
        ("", Outcome.READY),
    ],
)
def test_letters_make_an_outcome(codes: str, outcome: Outcome) -> None:
    """What does not bind decides nothing; unmet comes before unverified."""
    assert outcome_of_codes(codes) is outcome


def test_a_profile_is_not_changed_by_judging() -> None:
    """The same profile judges the same after any number of PCs."""
    profile: Profile = load(str(EXAMPLES[0]))
    before = deepcopy(profile.conditions[:3])
    judge = Verdicts(ask([profile]), KNOWLEDGE)
    for _ in range(3):
        judge.of({})
    assert repr(profile.conditions[:3]) == repr(before)
