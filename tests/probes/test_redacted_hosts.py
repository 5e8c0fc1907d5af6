"""Redacting what real probes say of recorded hosts: no name of theirs is left."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from typing import Any

import pytest

from pcaudit.core.redact import redact_snapshot
from pcaudit.core.snapshot import Form, Snapshot, to_mapping
from pcaudit.probes.linux.all import probes
from pcaudit.probes.runner import run
from tests.probes.recorded import NAMES, recorded

_NAMED = ("session.user", "computer.host_name", "computer.serial_number", "os.domain", "network.proxy")
# Accounts that every system has are no secret where a path or a reason names them.
_COMMON = {"root", "user", "admin"}


def _snapshot(name: str) -> Snapshot:
    return run(probes(recorded(name)), "0.1.0", lambda: datetime(2025, 11, 25, 10, tzinfo=UTC))[0]


def _originals(snapshot: Snapshot) -> set[str]:
    """Every name and address in the readings that hold them."""
    found = {
        str(seen.value)
        for name in _NAMED
        if (seen := snapshot.get(name)).form is Form.KNOWN and seen.value not in _COMMON
    }
    found |= set(snapshot.get("network.name_servers").value or ())
    adapters: list[dict[str, Any]] = snapshot.get("network.adapters").value or []
    for item in adapters:
        found |= {one.partition("/")[0] for one in item.get("addresses") or ()}
        found |= {one for one in (item.get("mac"), item.get("gateway")) if one}
    return {one for one in found if not one.startswith("127.") and one not in ("", "::1")}


@pytest.mark.parametrize("name", NAMES)
def test_no_name_of_a_recorded_host_is_left(name: str) -> None:
    """Every name and address that a probe gave is gone from the whole document, reasons included."""
    snapshot = _snapshot(name)
    text = json.dumps(to_mapping(redact_snapshot(snapshot, b"k" * 32)), ensure_ascii=False).casefold()
    originals = _originals(snapshot)
    assert originals
    for one in originals:
        assert not re.search(rf"(?<![\w.:-]){re.escape(one.casefold())}(?![\w:-])", text), one
    for mac in (
        one.replace(":", "") for one in originals if re.fullmatch("(?:[0-9a-f]{2}:){5}[0-9a-f]{2}", one)
    ):
        assert mac not in text


@pytest.mark.parametrize("name", NAMES)
def test_what_a_host_is_made_of_stays(name: str) -> None:
    """Redacting changes no reading but those that hold names, and no list's length."""
    snapshot = _snapshot(name)
    hidden = redact_snapshot(snapshot, b"k" * 32)
    held = {*_NAMED, "network.adapters", "network.name_servers", "network.endpoints"}
    held |= {"storage.volumes", "software.packages", "software.services"}
    for reading, seen in snapshot.readings.items():
        after = hidden.readings[reading]
        assert (after.form, after.complete) == (seen.form, seen.complete)
        if reading not in held:
            assert after.value == seen.value
        elif isinstance(seen.value, list):
            assert len(after.value) == len(seen.value)
