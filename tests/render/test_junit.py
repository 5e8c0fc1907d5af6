"""Reports as JUnit XML: valid, read back by others, and red where the outcome is."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import xmlschema
from hypothesis import given, strategies as st
from junitparser import Error, Failure, JUnitXml, Skipped

from pcaudit.core import report as r
from pcaudit.core.report import Outcome, Report, Verdict
from pcaudit.core.visible import visible
from pcaudit.render.interface import renderer
from pcaudit.render.junit import render
from tests.render.hostile import HOSTILE, hostile_report
from tests.render.samples import ACCEPTANCE, finding, report

# See tests/render/published/README.md for its source and licence.
SCHEMA = xmlschema.XMLSchema(str(Path(__file__).with_name("published") / "junit-10.xsd"))

_RED = (Failure, Error)


def _cases(text: str) -> dict[str, Any]:
    """Testcases by name, as junitparser reads them."""
    suites = JUnitXml.fromstring(text.encode())
    return {case.name: case for suite in suites for case in suite}


def _states(text: str) -> dict[str, list[type]]:
    return {name: [type(one) for one in case.result] for name, case in _cases(text).items()}


def test_a_report_is_valid_by_the_published_schema() -> None:
    """The document is of the form that dashboards' own schema describes."""
    SCHEMA.validate(render(report()))


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_text_stays_text(text: str) -> None:
    """Nothing that a profile or a PC says ends an element, or makes the document unreadable."""
    xml = render(hostile_report(text))
    SCHEMA.validate(xml)
    tags = {element.tag for element in ElementTree.fromstring(xml).iter()}  # noqa: S314
    assert tags <= {
        *("testsuites", "testsuite", "properties", "property", "testcase"),
        *("failure", "error", "skipped", "system-out"),
    }
    case = _cases(xml)[visible(f"software.packages[{text}]", 4000)]
    assert isinstance(case.result[0], Failure)


@given(st.text(st.characters(codec=None, categories=None), max_size=80))
def test_any_text_gives_a_document_that_xml_parsers_read(text: str) -> None:
    """No character, lone surrogates included, makes the document one that a parser refuses."""
    root = ElementTree.fromstring(render(hostile_report(text)))  # noqa: S314
    assert root.find(".//property[@name='warning']") is not None


@pytest.mark.parametrize(
    ("verdict", "binding", "state"),
    [
        (Verdict.MET, True, []),
        (Verdict.MARGINAL, True, []),
        (Verdict.UNMET, True, [Failure]),
        (Verdict.UNVERIFIED, True, [Error]),
        (Verdict.ACCEPTED, True, [Skipped]),
        (Verdict.NOT_APPLICABLE, True, [Skipped]),
        (Verdict.MET, False, []),
        (Verdict.MARGINAL, False, []),
        (Verdict.UNMET, False, [Skipped]),
        (Verdict.UNVERIFIED, False, [Skipped]),
        (Verdict.ACCEPTED, False, [Skipped]),
        (Verdict.NOT_APPLICABLE, False, [Skipped]),
    ],
)
def test_each_verdict_has_one_state(verdict: Verdict, binding: bool, state: list[type]) -> None:
    """Unmet fails, unverified is an error, and what does not bind is skipped where it falls short."""
    one = finding(
        "cpu.cores",
        verdict,
        binding=binding,
        acceptance=ACCEPTANCE if verdict is Verdict.ACCEPTED else None,
    )
    assert _states(render(report((one,), arrangements=()))) == {"cpu.cores": state}


_VERDICTS = st.lists(st.tuples(st.sampled_from(list(Verdict)), st.booleans()), min_size=1, max_size=12)


def _reports(verdicts: list[tuple[Verdict, bool]], arrangements: Outcome | None) -> Report:
    findings = tuple(
        finding(
            f"cpu.cores[{number}]",
            verdict,
            binding=binding,
            acceptance=ACCEPTANCE if verdict is Verdict.ACCEPTED else None,
        )
        for number, (verdict, binding) in enumerate(verdicts)
    )
    return report(findings, arrangements_outcome=arrangements)


@given(_VERDICTS, st.sampled_from([None, *Outcome]))
def test_a_dashboard_is_red_exactly_where_the_outcome_is_not_ready_or_inconclusive(
    verdicts: list[tuple[Verdict, bool]], arrangements: Outcome | None
) -> None:
    """Not ready has a failure, inconclusive an error and no failure, ready neither."""
    made = _reports(verdicts, arrangements)
    xml = render(made)
    red = {one for states in _states(xml).values() for one in states if one in _RED}
    assert (Failure in red) == (made.outcome is Outcome.NOT_READY)
    assert bool(red) == (made.outcome is not Outcome.READY)


@given(_VERDICTS)
def test_the_counts_are_those_of_the_cases(verdicts: list[tuple[Verdict, bool]]) -> None:
    """Every suite counts its own cases, as junitparser counts them anew."""
    suites: Any = JUnitXml.fromstring(render(_reports(verdicts, None)).encode())
    said = [(s.tests, s.failures, s.errors, s.skipped) for s in suites]
    for suite in suites:
        suite.update_statistics()
    assert [(s.tests, s.failures, s.errors, s.skipped) for s in suites] == said


def test_a_failure_says_what_to_do() -> None:
    """Its message has what was found and asked, its text the remedy, the place and every part."""
    failure = _cases(render(report()))["memory.installed"].result[0]
    assert (
        failure.message == "unmet: Memory installed: found 8 GB; required at least 20 GB (36 GB recommended)"
    )
    for line in (
        "do: Add memory modules; two slots are free.",
        "by: purchasing",
        "at: workstation.toml:21",
        "digest: 0123456789abcdef",
        "- met: at least 4 GB (base.toml:12)",
    ):
        assert line in failure.text.splitlines()


def test_an_error_says_why_it_is_not_known() -> None:
    """The reason of an unverified finding stands in the message."""
    error = _cases(render(report()))["computer.tpm_version"].result[0]
    assert "(needs administrator rights)" in error.message


def test_a_concession_stays_visible() -> None:
    """An accepted finding and an accepted part name who accepted them, until when, and instead of what."""
    xml = render(report())
    assert "unmet without the concession by A. Example until 2027-06-30" in xml
    accepted = r.Part("at least 8", Verdict.ACCEPTED, True, "", "", "base.toml", 3, "ab", ACCEPTANCE)
    one = finding("cpu.cores", Verdict.ACCEPTED, parts=(accepted, accepted))
    assert render(report((one,))).count("concession: unmet without") == 2


def test_arrangements_without_a_worksheet_are_skipped() -> None:
    """What nobody was asked has not passed; what is in hand has."""
    states = _states(render(report()))
    assert states["arrangement.patched-port"] == [Skipped]
    assert states["arrangement.licence-certificate"] == []
    assert "arrangements" not in states


def test_the_first_suite_says_for_which_days_and_what_was_not_asked() -> None:
    """Properties hold the outcome, the days and the lines a reader must know."""
    root = ElementTree.fromstring(render(report(warnings=("old",))))  # noqa: S314
    properties = [(p.get("name"), p.get("value")) for p in root.iter("property")]
    assert ("outcome", "not ready") in properties
    assert ("on", date(2026, 12, 7).isoformat()) in properties
    assert ("warning", "old") in properties
    assert any(name == "not asked" for name, _ in properties)


def test_a_report_without_findings_is_valid() -> None:
    """Nothing asked gives a document without suites."""
    xml = render(report((), arrangements=()))
    SCHEMA.validate(xml)
    assert _cases(xml) == {}


def test_it_is_a_format_of_its_own() -> None:
    """The renderers' table knows it by name."""
    assert renderer("junit")(report()) == render(report())
