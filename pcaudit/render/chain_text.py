"""What came of verifying a record, as text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pcaudit.core.finding import Outcome, Verdict
from pcaudit.core.outcome_words import with_concessions
from pcaudit.core.record import Chain, Kept
from pcaudit.core.visible import visible
from pcaudit.render.interface import PLAIN, Screen
from pcaudit.render.layout import Page
from pcaudit.render.paint import painter

_PROVES: Final = (
    "This shows that nobody changed these records without working out their digests again. "
    "It is no electronic signature, and does not show who entered them."
)

_WHAT_TO_DO: Final = (
    "Do not rely on it: fetch what is named here from the backup, and find out how it came about."
)

_LISTED: Final = 400
"""Most characters of a list of findings."""

# So narrow that the 64 digits of a digest stay on one line of 80 columns.
_LABEL: Final = 10


def _text(table: Any, *keys: str) -> str:
    """A text inside nested tables of a file, safe to print."""
    for key in keys:
        table = table.get(key) if isinstance(table, Mapping) else None
    return visible(str(table)) if table is not None else "not said"


def _outcome(report: Any) -> str:
    """The outcome of a report in a file, with its concessions; in its own words where that is none."""
    stated = _text(report, "outcome")
    findings = report.get("findings") if isinstance(report, Mapping) else None
    verdicts = [_text(one, "verdict") for one in findings] if isinstance(findings, list) else []
    try:
        return with_concessions(Outcome(stated), verdicts.count(Verdict.ACCEPTED.value))
    except ValueError:
        return stated


def _pc(report: Any) -> str:
    """Which PC a report is about, by all that names it."""
    computer = report.get("computer") if isinstance(report, Mapping) else None
    if not isinstance(computer, Mapping):
        return "not said"
    serial, host, model = (computer.get(key) for key in ("serial_number", "host_name", "model"))
    known = [f"serial number {serial}" if serial else "no serial number read", host, model]
    return visible(", ".join(str(one) for one in known if one), _LISTED)


def _profiles(report: Any) -> str:
    profiles = report.get("profiles") if isinstance(report, Mapping) else None
    titles = [_text(one, "title") for one in profiles] if isinstance(profiles, list) else []
    return " + ".join(titles) or "not said"


def _judged_otherwise(document: Mapping[str, Any]) -> str:
    """What judging the report again came to when it was entered, where that was something else."""
    again = document.get("judged_again")
    raw = again.get("differs") if isinstance(again, Mapping) else None
    differs = [visible(str(one)) for one in raw] if isinstance(raw, list) else []
    if not differs:
        return ""
    report = document.get("report")
    outcome = again.get("outcome") if isinstance(again, Mapping) else None
    came = f" and the whole {visible(str(outcome), 40)}" if outcome is not None else ""
    what = "1 thing" if len(differs) == 1 else f"{len(differs)} things"
    made, kept = _text(report, "tool", "version"), _text(again, "tool", "version")
    return (
        f"version {made} made the report; version {kept}, judging its readings again, found {what} "
        f"otherwise{came}: {visible(', '.join(differs), _LISTED)}"
    )


def _draw_record(page: Page, kept: Kept) -> None:
    document = kept.document
    entered = [_text(document, "entered", key) for key in ("by", "meaning", "at")]
    page.labelled("Entered", f"by {entered[0]} as {entered[1]}, {entered[2]}", _LABEL)
    report = document.get("report")
    page.labelled("PC", _pc(report), _LABEL)
    page.labelled("Profile", _profiles(report), _LABEL)
    page.labelled("Report", f"{_outcome(report)}, judged for {_text(report, 'on')}", _LABEL)
    if otherwise := _judged_otherwise(document):
        page.labelled("Differs", otherwise, _LABEL)
    replaces = document.get("replaces")
    if replaces:
        page.labelled("Replaces", f"{_text(replaces, 'record')}: {_text(replaces, 'because')}", _LABEL)
    page.labelled("Digest", _text(document, "digest"), _LABEL)


def render(chain: Chain, path: str, screen: Screen = PLAIN) -> str:
    """Lay out what came of verifying a record.

    Args:
        chain: What came of it.
        path: Of the record, as given.
        screen: What it is laid out for.

    Returns:
        Lines no wider than the screen, the last one ended too.
    """
    page = Page(screen, painter(screen.colours))
    records = chain.records
    name = path.replace("\\", "/").rpartition("/")[2]
    page.text(f"{'DOES NOT VERIFY' if chain.fault else 'VERIFIES'}: {visible(name)}", "strong")
    if chain.fault:
        page.text(visible(chain.fault, 600))
        page.text(_WHAT_TO_DO)
    if records:
        page.blank()
        _draw_record(page, records[0])
        before = records[1:]
        count = f"{len(before)} before it {'verify' if len(before) != 1 else 'verifies'} too"
        words = f"{count}, back to {visible(before[-1].name)}" if before else "the first record of its store"
        page.labelled("Chain", words if before or not chain.fault else "not whole", _LABEL)
    if not chain.fault:
        page.blank()
        page.text(_PROVES)
    return str(page)
