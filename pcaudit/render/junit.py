"""A report as JUnit XML, for dashboards that show test results.

Dashboards know four states: passed, failed, error and skipped. What decides the outcome and is
unmet is a failure, what decides it and cannot be known an error, which they show in red too:
inconclusive must not be green. What does not decide is never red; where it falls short it is
skipped, which they show apart from what passed.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from pcaudit.core.actions import effort_words
from pcaudit.core.catalogue import GROUPS
from pcaudit.core.report import Arrangement, Finding, Outcome, Report, Verdict
from pcaudit.core.visible import visible
from pcaudit.render.sections.findings import acceptance_words, by_group
from pcaudit.render.sections.head import outcome_words

_LONGEST: Final = 4000
"""Characters of one text: more is refused by no reader and read by nobody."""

_READY_STATES: Final = ("in hand", "not needed")
"""States in which an arrangement needs nothing more."""


class _Case(NamedTuple):
    """One testcase: ``state`` is failure, error, skipped, or empty where it passed."""

    name: str
    state: str
    kind: str
    message: str
    body: str


def _quoted(text: str, *, newlines: bool = False) -> str:
    """Text as it may stand in XML 1.0: what the standard forbids is shown by its escape.

    Control characters, lone surrogates and noncharacters are not allowed even as references
    (Extensible Markup Language 1.0, fifth edition, production 2).
    """
    safe = visible(text, _LONGEST, newlines=newlines)
    return safe.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def _attributes(**values: str | int) -> str:
    return "".join(f' {name}="{_quoted(str(value))}"' for name, value in values.items())


_BINDING: Final = {Verdict.UNMET: "failure", Verdict.UNVERIFIED: "error"}
_ADVISED: Final = {Verdict.UNMET: "skipped", Verdict.UNVERIFIED: "skipped"}
_EITHER: Final = {Verdict.ACCEPTED: "skipped", Verdict.NOT_APPLICABLE: "skipped"}


def _state(finding: Finding) -> str:
    return (_BINDING if finding.binding else _ADVISED).get(finding.verdict) or _EITHER.get(
        finding.verdict, ""
    )


def _lines(finding: Finding) -> Iterable[str]:
    """Everything a finding says, one line each."""
    labelled = (
        ("condition", finding.title),
        ("verdict", finding.verdict.value + ("" if finding.binding else " (advised)")),
        ("required", finding.required),
        ("found", finding.found),
        ("because it is not known", finding.why if finding.verdict is Verdict.UNVERIFIED else ""),
        ("note", finding.why if finding.verdict is not Verdict.UNVERIFIED else ""),
        ("source", finding.source),
        ("do", finding.remedy),
        ("needs", effort_words(finding.effort)),
        ("why", finding.because),
        ("by", finding.owner),
        ("at", f"{finding.profile}:{finding.line}"),
        ("digest", finding.digest),
    )
    yield from (f"{label}: {visible(text, _LONGEST)}" for label, text in labelled if text)
    if finding.acceptance:
        yield f"concession: {acceptance_words(finding.acceptance)}"
    for part in finding.parts:
        place = f"{visible(part.profile)}:{part.line}"
        yield f"- {part.verdict.value}: {visible(part.required, _LONGEST)} ({place})"
        if part.acceptance:
            yield f"  concession: {acceptance_words(part.acceptance)}"


def _finding(finding: Finding) -> _Case:
    state = _state(finding)
    advised = "" if finding.binding else "advised, "
    message = f"{advised}{finding.verdict.value}: {finding.title}: found {finding.found or 'nothing'}"
    if finding.why:
        message += f" ({finding.why})"
    if finding.required:
        message += f"; required {finding.required}"
    return _Case(finding.id, state, finding.verdict.value, message, "\n".join(_lines(finding)))


def _arrangement(one: Arrangement) -> _Case:
    state = "" if one.state in _READY_STATES else "skipped"
    if one.verdict is not None:
        state = _BINDING.get(one.verdict) or _EITHER.get(one.verdict, "")
    lead = f", lead time {one.lead_time}" if one.lead_time else ""
    message = f"{one.state}: {one.title} (by {one.owner or 'nobody named'}{lead})"
    if one.why:
        message += f": {one.why}"
    return _Case(f"arrangement.{one.id}", state, one.state, message, message)


_OF_OUTCOME: Final = {Outcome.READY: "", Outcome.NOT_READY: "failure", Outcome.INCONCLUSIVE: "error"}


def _arrangements(report: Report) -> list[_Case]:
    cases = [_arrangement(one) for one in report.arrangements]
    outcome = report.arrangements_outcome
    if outcome is not None:
        text = f"the arrangements together: {outcome.value}"
        cases.append(_Case("arrangements", _OF_OUTCOME[outcome], outcome.value, text, text))
    return cases


def _case(one: _Case, group: str) -> list[str]:
    head = f"    <testcase{_attributes(classname=f'pcaudit.{group}', name=one.name, time='0')}"
    if one.state:
        opened = f"      <{one.state}{_attributes(type=one.kind, message=one.message)}>"
        return [f"{head}>", f"{opened}{_quoted(one.body, newlines=True)}</{one.state}>", "    </testcase>"]
    return [
        f"{head}>",
        f"      <system-out>{_quoted(one.body, newlines=True)}</system-out>",
        "    </testcase>",
    ]


def _count(cases: Iterable[_Case], state: str) -> int:
    return sum(case.state == state for case in cases)


def _properties(report: Report) -> list[tuple[str, str]]:
    return [
        ("outcome", outcome_words(report)),
        ("pc_outcome", report.pc_outcome.value),
        ("on", report.on.isoformat()),
        ("as_of", report.as_of.isoformat()),
        ("readings taken", report.snapshot.taken_at),
        ("pcaudit", report.tool_version),
        *((f"profile {source.path}", source.title) for source in report.profiles),
        *(("not asked", line) for line in report.not_asked),
        *(("warning", line) for line in report.warnings),
    ]


def _suite(report: Report, group: str, title: str, cases: list[_Case], with_properties: bool) -> list[str]:
    counts = _attributes(
        name=title,
        tests=len(cases),
        failures=_count(cases, "failure"),
        errors=_count(cases, "error"),
        skipped=_count(cases, "skipped"),
        time="0",
        timestamp=report.snapshot.taken_at,
        hostname=report.computer.get("host_name") or "unknown",
    )
    lines = [f"  <testsuite{counts}>"]
    if with_properties:
        lines.append("    <properties>")
        lines += [f"      <property{_attributes(name=n, value=v)}/>" for n, v in _properties(report)]
        lines.append("    </properties>")
    for case in cases:
        lines += _case(case, group)
    return [*lines, "  </testsuite>"]


def render(report: Report) -> str:
    """The report as JUnit XML: one suite for each group of readings, one for the arrangements.

    The name of a testcase is the id of its finding, so that dashboards follow it over time.

    Returns:
        A document of the form that the Jenkins xUnit plugin's junit-10.xsd describes.
    """
    groups = {
        group: (GROUPS.get(group, group), [_finding(one) for one in findings])
        for group, findings in by_group(report.findings).items()
    }
    for section in report.sections:
        if section.findings:
            groups[section.name] = (section.title, [_finding(one) for one in section.findings])
    arrangements = _arrangements(report)
    if arrangements:
        groups["arrangements"] = ("Arrangements", arrangements)
    every = [case for _, cases in groups.values() for case in cases]
    totals = _attributes(
        name=f"pcaudit: {' + '.join(source.title for source in report.profiles)}",
        tests=len(every),
        failures=_count(every, "failure"),
        errors=_count(every, "error"),
        time="0",
    )
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f"<testsuites{totals}>"]
    for number, (group, (title, cases)) in enumerate(groups.items()):
        lines += _suite(report, group, title, cases, with_properties=number == 0)
    return "\n".join([*lines, "</testsuites>"]) + "\n"
