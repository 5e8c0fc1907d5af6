"""Whole Macs: what the probe says of each, and that it says it without exception."""

from __future__ import annotations

import pytest

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.snapshot import Form, value_problem
from pcaudit.probes.macos.all import probes
from pcaudit.probes.runner import NOT_READ, run
from tests.macos import macs
from tests.macos.clock import NOW
from tests.macos.recorded import Mac, host, snapshot

MACS = {"desktop": macs.DESKTOP, "notebook": macs.NOTEBOOK, "guest": macs.GUEST, "hostile": macs.HOSTILE}
SILENT = Mac({}, {}, {}, "", {})


@pytest.mark.parametrize("mac", [*MACS.values(), SILENT], ids=[*MACS, "silent"])
def test_every_reading_has_a_value_or_a_reason(mac: Mac) -> None:
    """Each observed reading is promised by a probe, valid by the catalogue, and says whence or why."""
    taken, timings = run(probes(host(mac)), "0", lambda: NOW)
    assert not [timing for timing in timings if timing.problem]
    for name, seen in taken.readings.items():
        assert seen.source or seen.why, name
        assert seen.why != NOT_READ, name
        assert "cannot be used" not in seen.why, name
        if seen.form is Form.KNOWN:
            assert not value_problem(seen.value, CATALOGUE[name].value), name


@pytest.mark.parametrize("mac", MACS.values(), ids=MACS)
def test_each_utility_is_run_once(mac: Mac) -> None:
    """However many probes need its answer, no command is run twice for one snapshot."""
    asked: list[str] = []
    run(probes(host(mac, asked)), "0", lambda: NOW)
    assert len(asked) == len(set(asked)) > 10


def test_a_hostile_mac_gives_no_value_it_did_not_say() -> None:
    """Of garbled, localised and failing utilities nothing is believed but what needs none of them."""
    known = {name for name, seen in snapshot(macs.HOSTILE).readings.items() if seen.form is Form.KNOWN}
    assert known == {
        *("session.user", "session.remote", "session.elevated", "os.type"),
        *("storage.system_filesystem", "storage.volumes"),
        *("software.packages", "software.runtimes", "software.antivirus"),
    }


def test_a_silent_mac_proves_nothing_absent_that_it_would_have_to_read() -> None:
    """Where nothing answers, only what no Mac has is called absent."""
    absent = {name for name, seen in snapshot(SILENT).readings.items() if seen.form is Form.ABSENT}
    assert absent == {"os.edition_id", "os.edition", "computer.tpm_version", "power.fast_startup"}


def test_the_desktop_is_read_as_it_is() -> None:
    """The plain readings of an Apple silicon desktop with macOS 15."""
    taken = snapshot(macs.DESKTOP)
    expected = {
        "session.user": "alex",
        "session.remote": False,
        "session.elevated": False,
        "computer.host_name": "bench-mini",
        "computer.manufacturer": "Apple Inc.",
        "computer.model": "Mac16,10",
        "computer.serial_number": "H0BENCH0001",
        "computer.chassis": "desktop",
        "computer.firmware_version": "11881.121.1",
        "computer.virtual": False,
        "os.type": "macos",
        "os.product": "macOS",
        "os.version": "15.5",
        "os.machine": "arm64",
        "os.language": "en",
        "os.locale": "en_GB",
        "os.decimal_separator": ".",
        "os.time_zone": "Europe/London",
        "os.update_restarts": False,
        "cpu.model": "Apple M4",
        "cpu.vendor": "apple",
        "cpu.sockets": 1,
        "cpu.cores": 10,
        "cpu.threads": 10,
        "cpu.features": ["aes", "neon", "sha"],
        "memory.installed": 17179869184,
        "memory.usable": 16585523200,
        "memory.slots": 0,
        "storage.system_size": 994662584320,
        "storage.system_free": 402653184000,
        "storage.system_filesystem": "apfs",
        "storage.system_media": "ssd",
        "storage.system_encrypted": False,
        "display.primary_width": 2560,
        "display.primary_height": 1440,
        "display.primary_scaling": 100,
        "network.name_servers": ["192.0.2.53", "2001:db8::53"],
        "power.source": "mains",
        "power.plan": "Automatic",
        "power.sleep_after": "never",
        "power.hibernate_after": "never",
        "power.screen_off_after": 600,
        "power.disk_off_after": 600,
    }
    assert {name: taken.get(name).value for name in expected} == expected


def test_the_notebook_is_read_as_it_is() -> None:
    """The plain readings of an Intel notebook with macOS 13, on battery, with German formats."""
    taken = snapshot(macs.NOTEBOOK)
    expected = {
        "computer.host_name": "bench-book",
        "computer.model": "MacBookPro15,1",
        "computer.chassis": "laptop",
        "computer.firmware_mode": "uefi",
        "os.version": "13.7.6",
        "os.machine": "x86_64",
        "os.language": "de",
        "os.decimal_separator": ",",
        "os.update_restarts": True,
        "cpu.vendor": "intel",
        "cpu.cores": 6,
        "cpu.threads": 12,
        "cpu.base_clock": 2600000000,
        "memory.installed": 34359738368,
        "memory.slots": 0,
        "memory.ecc": False,
        "storage.system_media": "ssd",
        "storage.system_encrypted": True,
        "display.primary_width": 2880,
        "display.primary_height": 1800,
        "display.primary_scaling": 150,
        "power.source": "battery",
        "power.plan": "Low Power",
        "power.sleep_after": 1800,
        "power.sleep_after_battery": 60,
        "power.screen_off_after": "never",
        "power.disk_off_after": "never",
        "power.lid_action": "sleep",
    }
    assert {name: taken.get(name).value for name in expected} == expected


def test_the_guest_is_read_as_a_virtual_machine() -> None:
    """A virtual machine is called one; its drives do not tell what they are kept on."""
    taken = snapshot(macs.GUEST)
    assert taken.get("computer.virtual").value is True
    assert taken.get("computer.chassis").form is Form.UNKNOWN
    assert taken.get("storage.system_media").form is Form.UNKNOWN
    assert [drive["media"] for drive in taken.get("storage.drives").value] == [None, None]
    assert taken.get("memory.installed").value == 4 << 30


def test_the_level_is_that_of_the_processors_features() -> None:
    """The features of a Coffee Lake processor make up x86-64-v3, and Apple silicon has no level."""
    # x86-64 psABI, "Micro-architecture levels".
    assert Readings(snapshot(macs.NOTEBOOK), Knowledge()).get("cpu.level").value == "x86-64-v3"
    assert Readings(snapshot(macs.DESKTOP), Knowledge()).get("cpu.level").form is Form.ABSENT
