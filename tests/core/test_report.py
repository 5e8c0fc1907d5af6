"""Verdicts together, outcomes, and the JSON form of a report."""

from __future__ import annotations

from datetime import date
from itertools import combinations_with_replacement, permutations

import pytest

from pcaudit.core.assess import make_report
from pcaudit.core.choose import ask
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.report import (
    Finding,
    Outcome,
    Part,
    Report,
    Verdict,
    all_of,
    any_of,
    outcome_of,
    report_mapping,
    worse,
)
from tests.core.builders import GB, profile_of, snapshot_of, value

V = Verdict
# The design: all of: unmet, else unverified, else marginal, else accepted, else met.
ALL = [V.UNMET, V.UNVERIFIED, V.MARGINAL, V.ACCEPTED, V.MET, V.NOT_APPLICABLE]
# any_of: met, else accepted, else marginal, else unverified, else unmet.
ANY = [V.MET, V.ACCEPTED, V.MARGINAL, V.UNVERIFIED, V.UNMET, V.NOT_APPLICABLE]


@pytest.mark.parametrize("verdicts", list(combinations_with_replacement(list(Verdict), 3)))
def test_verdicts_combine_by_the_first_that_occurs(verdicts: tuple[Verdict, ...]) -> None:
    """All of is the worst and any of the best of several verdicts, in whatever order they come."""
    for ordered in permutations(verdicts):
        assert all_of(ordered) is min(ordered, key=ALL.index)
        assert any_of(ordered) is min(ordered, key=ANY.index)


def test_nothing_that_applies_does_not_apply() -> None:
    """Nothing to combine is never met."""
    assert all_of(()) is V.NOT_APPLICABLE
    assert any_of(()) is V.NOT_APPLICABLE


def _finding(verdict: Verdict, binding: bool = True) -> Finding:
    return Finding(
        *("cpu.cores", "Cores", "cpu", verdict, binding, "at least 4", "4", 4, "a test"),
        *("", "", "", "IT", "p.toml", 3, "0"),
    )


@pytest.mark.parametrize(
    ("verdicts", "outcome"),
    [
        ([], Outcome.READY),
        ([V.MET, V.MARGINAL, V.ACCEPTED, V.NOT_APPLICABLE], Outcome.READY),
        ([V.MET, V.UNVERIFIED], Outcome.INCONCLUSIVE),
        ([V.UNVERIFIED, V.UNMET], Outcome.NOT_READY),
        ([V.UNMET], Outcome.NOT_READY),
        ([V.NOT_APPLICABLE], Outcome.READY),
    ],
)
def test_binding_findings_decide_the_outcome(verdicts: list[Verdict], outcome: Outcome) -> None:
    """One unmet makes not ready, else one unverified inconclusive; what does not bind decides nothing."""
    findings = [_finding(verdict) for verdict in verdicts]
    assert outcome_of(findings) is outcome
    advised = [_finding(verdict, binding=False) for verdict in Verdict]
    assert outcome_of([*findings, *advised]) is outcome


@pytest.mark.parametrize("one", Outcome)
@pytest.mark.parametrize("other", Outcome)
def test_the_worse_of_two_outcomes_counts(one: Outcome, other: Outcome) -> None:
    """Not ready is worse than inconclusive, which is worse than ready; not asked does not count."""
    order = [Outcome.NOT_READY, Outcome.INCONCLUSIVE, Outcome.READY]
    assert worse(one, other) is min(one, other, key=order.index)
    assert worse(one, None) is one


def _report() -> Report:
    asked = ask(
        [
            profile_of(
                '[memory.installed]\nminimum = "16 GB"\n'
                '[[arrangements]]\nid = "licence"\nkind = "licence"\ntitle = "A licence"\n'
            )
        ]
    )
    snapshot = snapshot_of({"memory.installed": value(8 * GB), "computer.host_name": value("pc-1")})
    day = date(2026, 11, 25)
    evaluation = evaluate_all(asked, snapshot)
    return make_report(asked, snapshot, evaluation, on=day, as_of=day, tool_version="0.1.0")


def test_a_report_says_in_json_what_the_design_promises() -> None:
    """Outcome, days, tool, profiles, computer, findings, arrangements and snapshot stand in the JSON."""
    out = report_mapping(_report())
    assert (out["kind"], out["format"]) == ("report", 1)
    assert (out["outcome"], out["pc_outcome"], out["arrangements_outcome"]) == (
        "not ready",
        "not ready",
        None,
    )
    assert (out["on"], out["as_of"]) == ("2026-11-25", "2026-11-25")
    assert out["computer"] == {"host_name": "pc-1", "model": None, "serial_number": None}
    (finding,) = out["findings"]
    assert finding["id"] == "memory.installed"
    assert finding["verdict"] == "unmet"
    assert finding["required"] == "at least 16 GB"
    assert (finding["found"], finding["value"]) == ("8 GB", 8 * GB)
    assert "conditions" not in finding
    (arrangement,) = out["arrangements"]
    assert (arrangement["id"], arrangement["state"]) == ("licence", "not asked")
    assert out["snapshot"]["readings"]["memory.installed"]["value"] == 8 * GB
    assert out["backup"]["items"]


def test_the_conditions_of_a_finding_stand_in_the_json() -> None:
    """A finding of several conditions lists each with its verdict."""
    part = Part("at least 4", V.MET, True, "why", "IT", "p.toml", 3, "0")
    report = _report()._replace(
        findings=(_finding(V.MET)._replace(parts=(part,)),), arrangements_outcome=Outcome.INCONCLUSIVE
    )
    out = report_mapping(report)
    assert out["findings"][0]["conditions"] == [
        {key: said for key, said in part._asdict().items() if key != "acceptance"} | {"verdict": "met"}
    ]
    assert out["arrangements_outcome"] == "inconclusive"
    assert "parts" not in out["findings"][0]
