"""All Linux probes together."""

from __future__ import annotations

import json
from datetime import UTC, datetime

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.snapshot import Form, from_mapping, to_mapping
from pcaudit.probes.linux.all import probes
from pcaudit.probes.runner import run
from tests.probes.hosts import host


def _now() -> datetime:
    return datetime.now(UTC)


def test_every_observed_reading_has_one_probe() -> None:
    """Each reading that is not derived is promised once, and nothing else is."""
    promised = [name for probe in probes(host({})) for name in probe.reads]
    assert sorted(promised) == sorted(name for name, record in CATALOGUE.items() if not record.derived)


def test_this_host_gives_a_snapshot_that_can_be_kept() -> None:
    """On this host no probe fails, every gap has its reason, and the snapshot survives being written."""
    snapshot, timings = run(probes(), "0.1.0", _now)
    assert [timing.problem for timing in timings] == [""] * len(timings)
    for name, given in snapshot.readings.items():
        assert given.source if given.form is Form.KNOWN else given.why, name
    assert from_mapping(json.loads(json.dumps(to_mapping(snapshot), allow_nan=False))) == snapshot


def test_host_without_any_file_is_all_reasons() -> None:
    """A host that answers nothing gives a whole snapshot of reasons, and claims nothing of its hardware."""
    snapshot, _ = run(probes(host({})), "0.1.0", _now)
    assert all(given.why for given in snapshot.readings.values() if given.form is not Form.KNOWN)
    claimed = {name for name, given in snapshot.readings.items() if given.form is Form.KNOWN}
    assert not {
        name for name in claimed if CATALOGUE[name].group in {"storage", "display", "power", "software"}
    }
