"""Whatever breaks on a host, its snapshot is whole, has its reasons, and shows the PC no better.

A fault may make a reading unknown, a lower bound or a list incomplete; never another known value.
Where that cannot be held, ``_ALLOWED`` says why.
"""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from typing import Any, Final, NamedTuple

import pytest

from pcaudit.core.catalogue import CATALOGUE
from pcaudit.core.snapshot import Form, Observation, Snapshot
from pcaudit.probes.interface import Timing
from pcaudit.probes.linux.all import probes
from pcaudit.probes.linux.host import Host
from pcaudit.probes.runner import run
from tests.probes.faults import Fault, by_path, faults_of, no_better
from tests.probes.hosts import DENIED, MemoryTree, host
from tests.probes.recorded import NAMES, recorded

_EVERY: Final = pytest.mark.parametrize("name", NAMES)
_OBSERVED: Final = [name for name, record in CATALOGUE.items() if not record.derived]
_STRICT: Final = {"denied", "refused", "closed", "empty", "missing", "garbage", "digits"}
_RUBBISH: Final = {"garbage", "digits"}


class Allowed(NamedTuple):
    """Faults that change what is known, and why they may: patterns of kind, path and reading."""

    kinds: str
    path: str
    readings: str
    why: str


_NO_ERROR: Final = "missing|empty|garbage|digits"
_ALLOWED: Final = (
    Allowed(
        "missing", r"/sys/class/(net|drm|block)/.*|/sys/block/.*", ".*", "the kernel's list is the truth"
    ),
    Allowed("missing", r"/sys/(bus/\w+|class/\w+)(/devices(/.*)?)?", ".*", "a kernel without them has none"),
    Allowed("missing", r"/sys/devices/.*", ".*", "the kernel gives what the device has, and nothing else"),
    Allowed("missing", r"/sys/firmware/efi(/.*)?", r"computer\..*", "its absence is how BIOS mode shows"),
    Allowed("missing|empty", r"/sys/power/state", r"power\..*", "how a kernel says that it cannot sleep"),
    Allowed("missing|empty", r"/sys/(firmware/acpi|module)/.*", r"power\..*", "a PC without that feature"),
    Allowed("missing", r"/sys/fs/cgroup/.*", r"memory\.usable|software\.services", "no limit, no service"),
    Allowed("missing", r"/usr/.*|/opt.*|/home.*|/root|/var/lib/.*", ".*", "what is not installed"),
    Allowed("missing|empty", r"/etc/.*", ".*", "a setting that nobody made has its default"),
    Allowed(_NO_ERROR, r"/etc/.*", r"os\.(domain|update_restarts|time_zone)", "settings that say nothing"),
    Allowed("missing", r"/run/.*|/system-update|/boot.*", ".*", "marks whose absence is the message"),
    Allowed(_NO_ERROR, r"/proc/self/cgroup|/run/systemd/sessions/\d", r"session\..*", "not at the console"),
    Allowed(_NO_ERROR, r".*/scaling_driver", r"cpu\.max_clock", "another driver than acpi-cpufreq"),
    Allowed(
        ".*", r".*/(vendor|device|class)|.*/pci\.ids|/sys/bus/pci.*", r"display\.graphics", "a name less"
    ),
)


def _now() -> datetime:
    return datetime(2025, 11, 25, 10, tzinfo=UTC)


def _probe(seen: Host) -> tuple[Snapshot, tuple[Timing, ...]]:
    return run(probes(seen), "0.1.0", _now)


@cache
def _healthy(name: str) -> dict[str, Observation]:
    return _probe(recorded(name))[0].readings


class Broken(NamedTuple):
    """What the probes gave that ask for a broken path."""

    fault: Fault
    readings: dict[str, Observation]
    problems: list[str]
    seconds: float


@cache
def _broken(name: str) -> list[Broken]:
    return list(_take_all(name))


def _take_all(name: str) -> Iterator[Broken]:
    seen = recorded(name)
    assert isinstance(seen.tree, MemoryTree)
    for path, numbers in sorted(by_path(seen).items()):
        for fault in faults_of(seen.tree, path):
            every = probes(seen._replace(tree=fault.tree()))
            # Deadlines are tried elsewhere; here a busy machine is not to be taken for a loop.
            asked = [every[number]._replace(deadline=60.0) for number in numbers]
            began = time.monotonic()
            snapshot, timings = run(asked, "0.1.0", _now)
            promised = [reading for probe in asked for reading in probe.reads]
            readings = {reading: snapshot.readings[reading] for reading in promised}
            problems = [timing.problem for timing in timings if timing.problem]
            yield Broken(fault, readings, problems, time.monotonic() - began)


def _allowed(fault: Fault, reading: str) -> Allowed | None:
    for one in _ALLOWED:
        parts = ((one.kinds, fault.kind), (one.path, fault.path), (one.readings, reading))
        if all(re.fullmatch(pattern, text) for pattern, text in parts):
            return one
    return None


def _better(name: str) -> Iterator[tuple[Fault, str, Observation]]:
    for broken in _broken(name):
        if broken.fault.kind not in _STRICT:
            continue
        for reading, given in broken.readings.items():
            texts = broken.fault.kind not in _RUBBISH
            if not no_better(reading, given, _healthy(name)[reading], texts):
                yield broken.fault, reading, given


@_EVERY
def test_every_path_a_probe_asks_for_is_broken(name: str) -> None:
    """The faults reach dozens of files and folders of each host, in every kind."""
    faults = [broken.fault for broken in _broken(name)]
    assert len({fault.path for fault in faults}) > 20
    assert {fault.kind for fault in faults} >= _STRICT


@_EVERY
def test_no_fault_of_a_file_ends_a_probe(name: str) -> None:
    """No broken file makes a probe raise, leave a reading out or take long; what it costs has a reason."""
    for broken in _broken(name):
        where = f"{broken.fault.kind} {broken.fault.path}"
        assert broken.problems == [], where
        assert broken.seconds < 60, where  # a loop that runs on; speed is measured in benchmarks
        for reading, given in broken.readings.items():
            assert given.source if given.form is Form.KNOWN else given.why, f"{where}: {reading}"


@_EVERY
def test_no_fault_of_a_file_shows_the_pc_better(name: str) -> None:
    """A broken file never gives another known value than the healthy one, save where a reason is listed."""
    wrong = [
        f"{fault.kind} {fault.path}: {reading} becomes {given}"
        for fault, reading, given in _better(name)
        if _allowed(fault, reading) is None
    ]
    assert wrong == []


def test_every_exception_is_needed() -> None:
    """No exception stands in the list without a fault that it excuses."""
    used = {_allowed(fault, reading) for name in NAMES for fault, reading, _ in _better(name)}
    assert [one for one in _ALLOWED if one not in used] == []


def test_graphics_cards_without_a_name_leave_the_list_open() -> None:
    """A card whose name cannot be found is not taken for one of another name."""
    for name in NAMES:
        for fault, reading, given in _better(name):
            if reading == "display.graphics" and given.value:
                assert not given.complete or "drm" in fault.path, fault


@_EVERY
@pytest.mark.parametrize("gone", ["/sys", "/proc", "/etc", "/run", "/var", "/usr", "/dev"])
@pytest.mark.parametrize("kind", ["missing", "denied", "closed"])
def test_whole_branches_can_be_gone(name: str, gone: str, kind: str) -> None:
    """Without /sys, /proc or another branch the snapshot is complete, and claims nothing it cannot see."""
    seen = recorded(name)
    assert isinstance(seen.tree, MemoryTree)
    fault = next((fault for fault in faults_of(seen.tree, gone) if fault.kind == kind), None)
    snapshot, timings = _probe(seen._replace(tree=fault.tree()) if fault else seen)
    assert [timing.problem for timing in timings] == [""] * len(timings)
    assert list(snapshot.readings) == _OBSERVED
    if gone == "/sys" and kind != "denied":
        for reading in ("power.usb_suspend", "power.pcie_saving", "power.lid_action", "computer.tpm_version"):
            assert snapshot.readings[reading].form is Form.UNKNOWN, reading


def test_a_bare_host_claims_nothing_that_satisfies() -> None:
    """Where neither /sys nor /proc is there, no power setting is known or absent but what no Linux has."""
    snapshot, _ = _probe(host({}))
    power = {name: form for name, form in snapshot.readings.items() if name.startswith("power.")}
    said = {name for name, form in power.items() if form.form is not Form.UNKNOWN}
    assert said == {"power.fast_startup"}


def _raising(error: BaseException) -> Callable[..., Any]:
    def ask(*_: object) -> Any:
        raise error

    return ask


def _answering(answer: object) -> Callable[..., Any]:
    return lambda *_: answer


_REFUSING: Final = {
    "broken": _raising(OSError(5, "Input/output error")),
    "denied": _raising(PermissionError(13, "Permission denied")),
}
_RUBBISHING: Final = {
    "raises": _raising(ValueError("rubbish")),
    "exits": _raising(SystemExit(1)),
    "nothing": _answering(None),
    "bytes": _answering(b"\xff"),
    "mapping": _answering({}),
}
# The system's own statvfs gives its structure or an error, never anything else.
_ANSWERS: Final = [
    pytest.param(field, answer, id=f"{field}-{kind}")
    for field in ("statvfs", "addresses", "adjtimex", "separator", "run")
    for kind, answer in (_REFUSING if field == "statvfs" else {**_REFUSING, **_RUBBISHING}).items()
]


@pytest.mark.parametrize(("field", "answer"), _ANSWERS)
@pytest.mark.parametrize("name", ["debian-desktop", "rpm-server"])
def test_an_answer_that_is_rubbish_shows_the_pc_no_better(
    name: str, field: str, answer: Callable[..., Any]
) -> None:
    """A call that fails, or answers with something else, costs what it decides and nothing more."""
    changed: dict[str, Any] = {field: answer}
    snapshot, _ = _probe(recorded(name)._replace(**changed))
    assert list(snapshot.readings) == _OBSERVED
    for reading, given in snapshot.readings.items():
        assert no_better(reading, given, _healthy(name)[reading]), f"{reading}: {given}"
        assert given.source if given.form is Form.KNOWN else given.why, reading
    lost = sum(given != _healthy(name)[reading] for reading, given in snapshot.readings.items())
    assert lost <= 8


def _stuck(healthy: Callable[[str], Any], release: threading.Event, *points: str) -> Callable[[str], Any]:
    def ask(point: str) -> Any:
        if point in points:
            release.wait()
        return healthy(point)

    return ask


def test_a_dead_network_mount_costs_its_own_line() -> None:
    """A server that never answers leaves its volume without sizes; every other reading stands, in time."""
    release = threading.Event()
    seen = recorded("debian-desktop")
    began = time.monotonic()
    snapshot, timings = _probe(seen._replace(statvfs=_stuck(seen.statvfs, release, "/mnt/results")))
    took = time.monotonic() - began
    release.set()
    assert took < 4
    assert [timing.problem for timing in timings] == [""] * len(timings)
    volumes = {item["mount"]: item for item in snapshot.readings["storage.volumes"].value}
    assert volumes["/mnt/results"]["free"] is None
    different = [
        name for name, given in snapshot.readings.items() if given != _healthy("debian-desktop")[name]
    ]
    assert different == ["storage.volumes"]


def test_a_drive_that_hangs_costs_the_volumes_only() -> None:
    """A local file system that never answers ends at the deadline and leaves the drives known."""
    release = threading.Event()
    seen = recorded("debian-desktop")
    every = probes(seen._replace(statvfs=_stuck(seen.statvfs, release, "/")))
    hurried = [probe._replace(deadline=0.5) if probe.name == "volumes" else probe for probe in every]
    snapshot, _ = run(hurried, "0.1.0", _now)
    release.set()
    for name, given in snapshot.readings.items():
        if name.startswith("storage.") and name != "storage.drives":
            assert given.form is Form.UNKNOWN and "0.5 s" in given.why, name
        else:
            assert given == _healthy("debian-desktop")[name], name


def test_a_missing_tool_is_told() -> None:
    """An rpm system whose rpm is not there, or refuses, has unknown packages, with the reason."""
    seen = recorded("rpm-server")
    assert isinstance(seen.tree, MemoryTree)
    gone = next(fault for fault in faults_of(seen.tree, "/usr/bin/rpm") if fault.kind == "missing")
    for changed in (seen._replace(tree=gone.tree()), seen._replace(run=_raising(DENIED))):
        packages = _probe(changed)[0].readings["software.packages"]
        assert packages.form is Form.UNKNOWN and "rpm" in packages.why


@pytest.mark.parametrize("cut", range(0, 430, 7))
def test_a_firmware_table_cut_short_proves_no_more(cut: int) -> None:
    """However the SMBIOS table is cut, installed memory is a lower bound, and nothing more is known."""
    seen = recorded("debian-desktop")
    assert isinstance(seen.tree, MemoryTree)
    path = "/sys/firmware/dmi/tables/DMI"
    table = seen.tree.entries[path]
    assert isinstance(table, bytes)
    assert cut < len(table)
    tree = MemoryTree({**seen.tree.entries, path: table[:cut]}, seen.tree.times)
    snapshot = _probe(seen._replace(tree=tree))[0]
    for reading in (name for name in _OBSERVED if name.startswith("memory.")):
        given = snapshot.readings[reading]
        assert no_better(reading, given, _healthy("debian-desktop")[reading]), f"{reading}: {given}"
    assert snapshot.readings["memory.installed"].form is Form.AT_LEAST


def test_an_edid_with_a_wrong_checksum_is_not_believed() -> None:
    """A screen whose identification is damaged keeps its mode and loses name and diagonal."""
    seen = recorded("arm-board")
    assert isinstance(seen.tree, MemoryTree)
    path = "/sys/devices/platform/gpu/drm/card0/card0-HDMI-A-1/edid"
    entry = seen.tree.entries[path]
    assert isinstance(entry, bytes)
    tree = MemoryTree({**seen.tree.entries, path: entry[:-1] + bytes([entry[-1] ^ 1])}, seen.tree.times)
    (screen,) = _probe(seen._replace(tree=tree))[0].readings["display.screens"].value
    assert (screen["width"], screen["height"]) == (1280, 1024)
    assert screen["name"] is None and screen["diagonal"] is None
