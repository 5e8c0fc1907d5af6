"""Reports, records and drifts for tests, from readings in short."""

from __future__ import annotations

import json
from datetime import date
from hashlib import sha256
from typing import Any, Final

from pcaudit.app import assess
from pcaudit.core.choose import ask
from pcaudit.core.derive import Readings
from pcaudit.core.drift import Drift, Held, make_drift
from pcaudit.core.kept_report import read_report
from pcaudit.core.profile import ProfileSource
from pcaudit.core.record import Entry, Input, Link, make_record
from pcaudit.core.report import Report, report_mapping
from pcaudit.core.snapshot import Snapshot
from pcaudit.recorded import profiles_of
from tests.core.builders import snapshot_of, value

DAY: Final = date(2026, 11, 25)
PROFILE: Final = (
    'format = 1\ntitle = "Bench control"\n\n[memory.installed]\nminimum = "16 GB"\n\n'
    '[storage.system_free]\nminimum = "100 GB"\nadvised = true\n'
)
ENTRY: Final = Entry("A. Example", "reviewed", "2026-11-25T09:30:00+01:00")


def source(text: str = PROFILE, path: str = "bench.toml", title: str = "Bench control") -> ProfileSource:
    """A profile as a report holds it."""
    return ProfileSource(title, path, sha256(text.encode()).hexdigest(), text)


def seen(readings: dict[str, Any]) -> Snapshot:
    """A snapshot from plain values, or from forms where they are tables."""
    return snapshot_of({k: v if isinstance(v, dict) else value(v) for k, v in readings.items()})


def judged(readings: dict[str, Any], text: str = PROFILE, on: date = DAY) -> Report:
    """The report on readings by one profile."""
    return assess(ask(profiles_of([source(text)])), seen(readings), on=on, as_of=DAY)


def report_of(readings: dict[str, Any], text: str = PROFILE) -> dict[str, Any]:
    """The same in JSON."""
    document: dict[str, Any] = json.loads(json.dumps(report_mapping(judged(readings, text))))
    return document


def record_of(report: dict[str, Any], previous: Link | None = None, **more: Any) -> dict[str, Any]:
    """A record of a report."""
    inputs = (Input("report", "r.json", "0" * 64), Input("profile", "bench.toml", "1" * 64))
    return make_record(report, ENTRY, tool_version="0.1.0", inputs=inputs, previous=previous, **more)


def drift_of(then: dict[str, Any], now: dict[str, Any], text: str = PROFILE, on: date = DAY) -> Drift:
    """What changed between readings, by one profile."""
    kept = read_report(report_of(then, text), "r.json")
    held = Held("sn_2026-11-25_00000000.record.json", "0" * 64, *ENTRY)
    readings = Readings(seen(then)), Readings(seen(now))
    return make_drift(held, kept, judged(then, text, on), judged(now, text, on), *readings)
