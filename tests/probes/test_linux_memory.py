"""Tests of memory: installed, usable, slots, modules, error correction."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Mapping

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.linux import memory
from pcaudit.probes.linux.host import live
from tests.probes.hosts import DENIED, Entry, Link, host
from tests.probes.smbios_tables import END, array, device

GIB = 1 << 30
TABLE = "/sys/firmware/dmi/tables/DMI"
MAP = "/sys/firmware/memmap"
TWO_OF_FOUR = array() + 2 * device(0x2000) + 2 * device(0, kind=2) + END
PC: dict[str, Entry] = {
    "/proc/self/ns/pid": Link("pid:[4026531836]"),
    "/proc/meminfo": "MemTotal:       16375516 kB\nMemFree:         9000000 kB\nSwapTotal:      8000000 kB\n",
    TABLE: TWO_OF_FOUR,
}
USABLE = 16375516 * 1024
CONTAINER: dict[str, Entry] = {**PC, "/proc/self/ns/pid": Link("pid:[4026532201]")}


def readings(files: Mapping[str, Entry]) -> Mapping[str, Observation]:
    """Group memory on a host with these files."""
    (probe,) = memory.probes(host(files))
    found = probe.take()
    assert set(found) == set(probe.reads)
    return found


def installed(files: Mapping[str, Entry]) -> tuple[Form, object]:
    """Form and value of the memory installed."""
    found = readings(files)["memory.installed"]
    return found.form, found.value


def ram(*ranges: tuple[int, int], kind: str = "System RAM") -> dict[str, Entry]:
    """Entries of the firmware's memory map, each from its first to its last address."""
    files: dict[str, Entry] = {}
    for number, (first, last) in enumerate(ranges):
        folder = f"{MAP}/{number}"
        files |= {f"{folder}/start": hex(first), f"{folder}/end": hex(last), f"{folder}/type": kind}
    return files


def test_a_pc_is_read_from_its_firmware() -> None:
    """Installed memory is the sum of the modules, not the memory that can be used."""
    found = readings(PC)
    assert installed(PC) == (Form.KNOWN, 16 * GIB)
    assert found["memory.usable"].value == USABLE
    assert (found["memory.slots"].value, found["memory.slots_free"].value) == (4, 2)
    assert found["memory.modules"].value == [{"size": 8 * GIB, "speed": 2933, "type": "DDR4"}] * 2
    assert found["memory.modules"].complete
    assert found["memory.ecc"].value is False


def test_without_rights_usable_memory_is_a_lower_bound() -> None:
    """The modules are unknown for want of rights, and installed memory is no less than what is used."""
    found = readings({**PC, TABLE: DENIED})
    assert installed({**PC, TABLE: DENIED}) == (Form.AT_LEAST, USABLE)
    assert found["memory.installed"].why.startswith("reading the memory modules needs administrator rights")
    for name in ("slots", "slots_free", "modules", "ecc"):
        assert found[f"memory.{name}"].form is Form.UNKNOWN
        assert "administrator" in found[f"memory.{name}"].why


def test_the_firmware_map_is_a_tighter_bound() -> None:
    """RAM that firmware or kernel reserve is in the map, and overlapping ranges count once."""
    ranges = ram((0, 0x9FFFF), (0x10_0000, 0x3_FFFF_FFFF), (0x3_0000_0000, 0x3_FFFF_FFFF))
    expected = 0xA0000 + (16 * GIB - 0x10_0000)
    assert installed({**PC, **ranges, TABLE: DENIED}) == (Form.AT_LEAST, expected)


@pytest.mark.parametrize(
    "entries", [ram((0, 0xF_FFFF_FFFF), kind="Reserved"), {**ram((0, 1)), f"{MAP}/0/start": "nowhere"}]
)
def test_an_unsound_map_gives_no_bound(entries: dict[str, Entry]) -> None:
    """Reserved ranges are no RAM, and a map that cannot be read is left alone."""
    assert installed({**PC, **entries, TABLE: DENIED}) == (Form.AT_LEAST, USABLE)


def test_a_module_of_unknown_size_makes_the_sum_a_bound() -> None:
    """What one module has is not guessed: the rest is the least that is installed."""
    files = {**PC, TABLE: array() + 2 * device(0x2000) + device(0xFFFF) + END}
    found = readings(files)
    assert installed(files) == (Form.AT_LEAST, 16 * GIB)
    assert not found["memory.modules"].complete
    assert found["memory.modules"].value[2]["size"] is None


def test_a_table_that_shows_too_little_is_not_believed() -> None:
    """Modules that add up to less than can be used are not all there are."""
    files = {**PC, TABLE: array() + device(0x2000) + END}
    assert installed(files) == (Form.AT_LEAST, USABLE)
    assert "add up to" in readings(files)["memory.installed"].why


def test_a_damaged_table_gives_bounds_and_an_incomplete_list() -> None:
    """Of a table that is cut short only what was seen is claimed, and never all of it."""
    files = {**PC, TABLE: array(correction=6) + 2 * device(0x2000, total_width=72) + device(0)[:-1]}
    found = readings(files)
    assert installed(files) == (Form.AT_LEAST, 16 * GIB)
    assert (found["memory.slots"].form, found["memory.slots"].value) == (Form.AT_LEAST, 2)
    assert not found["memory.modules"].complete
    assert "cut short" in found["memory.modules"].why
    assert found["memory.ecc"].form is Form.UNKNOWN


def test_without_smbios_the_modules_cannot_be_seen() -> None:
    """A machine without tables has a lower bound and no modules."""
    files = {path: entry for path, entry in PC.items() if path != TABLE}
    assert installed(files) == (Form.AT_LEAST, USABLE)
    assert readings(files)["memory.modules"].form is Form.UNKNOWN


def test_error_correction_that_the_modules_contradict_is_unknown() -> None:
    """An array that claims correction over modules without check bits is not believed."""
    files = {**PC, TABLE: array(correction=6) + 2 * device(0x2000, total_width=64) + END}
    assert readings(files)["memory.ecc"].form is Form.UNKNOWN
    corrected = {**PC, TABLE: array(correction=6) + 2 * device(0x2000, total_width=72) + END}
    assert readings(corrected)["memory.ecc"].value is True


def test_without_meminfo_nothing_is_known() -> None:
    """A host that shows nothing has no memory reading at all."""
    found = readings({})
    assert all(each.form is Form.UNKNOWN and each.why for each in found.values())


@pytest.mark.parametrize(
    ("files", "expected"),
    [
        ({}, USABLE),
        ({"/sys/fs/cgroup/memory.max": "max"}, USABLE),
        ({"/sys/fs/cgroup/memory.max": str(4 * GIB)}, 4 * GIB),
        ({"/sys/fs/cgroup/memory.max": str(64 * GIB)}, USABLE),
        ({"/sys/fs/cgroup/memory/memory.limit_in_bytes": str(2 * GIB)}, 2 * GIB),
        ({"/sys/fs/cgroup/memory/memory.limit_in_bytes": "9223372036854771712"}, USABLE),
        (
            {"/proc/self/cgroup": "0::/a/b", "/sys/fs/cgroup/a/memory.max": str(3 * GIB)},
            3 * GIB,
        ),
        (
            {
                "/proc/self/cgroup": "5:cpu:/x\n4:memory:/box",
                "/sys/fs/cgroup/memory/box/memory.limit_in_bytes": str(GIB),
            },
            GIB,
        ),
    ],
)
def test_a_container_may_use_the_lowest_limit(files: dict[str, Entry], expected: int) -> None:
    """Inside a container usable memory is what kernel and control groups leave of it."""
    assert readings({**CONTAINER, **files})["memory.usable"].value == expected


def test_a_container_knows_nothing_of_the_modules() -> None:
    """Installed memory and modules are the PC's, which a container does not see."""
    found = readings(CONTAINER)
    for name, each in found.items():
        if name != "memory.usable":
            assert each.form is Form.UNKNOWN, name
            assert "container" in each.why, name


def test_a_control_group_outside_a_container_is_no_limit_of_the_pc() -> None:
    """A limit on this process alone does not make the PC's memory less."""
    assert readings({**PC, "/sys/fs/cgroup/memory.max": str(GIB)})["memory.usable"].value == USABLE


def test_on_this_machine_usable_memory_is_what_free_shows() -> None:
    """Outside a container usable memory equals free(1), inside it is no more."""
    if not shutil.which("free"):
        pytest.skip("free is not installed")
    command = ["free", "-b"]
    told = subprocess.run(command, capture_output=True, text=True, check=True, env={"LC_ALL": "C"}).stdout
    total = int(told.splitlines()[1].split()[1])
    (probe,) = memory.probes(live())
    found = probe.take()
    if "container" in found["memory.installed"].why:
        assert found["memory.usable"].value <= total
    else:
        assert found["memory.usable"].value == total


def test_on_this_machine_installed_memory_is_no_less_than_usable() -> None:
    """Whether a sum or a bound, installed memory is at least what the kernel has."""
    (probe,) = memory.probes(live())
    found = probe.take()
    installed_here = found["memory.installed"]
    if installed_here.value is None:
        assert installed_here.why
    else:
        assert installed_here.value >= found["memory.usable"].value
