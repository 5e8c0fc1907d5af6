"""Tests of memory on Windows: installed, usable, slots, modules, error correction."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.windows import memory
from tests.probes.smbios_tables import END, array, device
from tests.windows.pc import (
    CONTROL,
    FIRMWARE,
    GIB,
    MODULES,
    NO_ANSWER,
    memory_info,
    pc,
    raw_smbios,
    readings as read,
)

USABLE = 16 * GIB - (200 << 20)
MODULE_READINGS = ("slots", "slots_free", "modules", "ecc")


def readings(**answers: Any) -> dict[str, Observation]:
    """Group memory of a PC that answers so."""
    return read(memory, pc(**answers))


def installed(**answers: Any) -> tuple[Form, object]:
    """Form and value of the memory installed."""
    found = readings(**answers)["memory.installed"]
    return found.form, found.value


def test_a_pc_is_read_from_its_firmware() -> None:
    """Trap M1: installed memory is the sum of the modules, not what Windows can use of it."""
    found = readings()
    assert found["memory.installed"].value == 16 * GIB
    assert found["memory.installed"].source == "GetSystemFirmwareTable RSMB, SMBIOS type 17"
    assert found["memory.usable"].value == USABLE
    assert (found["memory.slots"].value, found["memory.slots_free"].value) == (4, 2)
    # Trap M5: the speed is the configured one, not the one the module is sold by.
    assert found["memory.modules"].value == [{"size": 8 * GIB, "speed": 2933, "type": "DDR4"}] * 2
    assert found["memory.ecc"].value is False


def test_where_windows_says_another_sum_both_are_named() -> None:
    """The firmware's modules count, and what GetPhysicallyInstalledSystemMemory says stands beside."""
    found = readings(installed_memory=32 << 20)["memory.installed"]
    assert found.value == 16 * GIB
    assert f"GetPhysicallyInstalledSystemMemory says {32 * GIB} bytes" in found.source


def test_without_the_firmware_table_windows_own_sum_counts() -> None:
    """GetPhysicallyInstalledSystemMemory, in KiB by its documentation, stands in for the table."""
    assert installed(smbios=NO_ANSWER) == (Form.KNOWN, 16 * GIB)
    found = readings(smbios=NO_ANSWER)
    assert found["memory.installed"].source == f"GetPhysicallyInstalledSystemMemory; {NO_ANSWER}"
    for name in MODULE_READINGS:
        assert found[f"memory.{name}"].form is Form.UNKNOWN
        assert found[f"memory.{name}"].why == str(NO_ANSWER)


def test_without_either_usable_memory_is_a_lower_bound() -> None:
    """Trap M1: an error of the firmware's sum is never filled with what can be used."""
    answers = {"smbios": NO_ANSWER, "installed_memory": NO_ANSWER}
    assert installed(**answers) == (Form.AT_LEAST, USABLE)
    assert "keep some memory" in readings(**answers)["memory.installed"].why


@pytest.mark.parametrize("stated", [0, 8 << 20])
def test_a_sum_below_what_is_used_is_not_believed(stated: int) -> None:
    """Windows cannot use more than there is, so such a sum is wrong, zero included."""
    answers = {"smbios": NO_ANSWER, "installed_memory": stated}
    assert installed(**answers) == (Form.AT_LEAST, USABLE)
    said = f"says {stated << 10} bytes, less than can be used" if stated else "says nothing is installed"
    assert f"GetPhysicallyInstalledSystemMemory {said}" in readings(**answers)["memory.installed"].why


def test_modules_that_add_up_to_less_than_is_used_are_not_all() -> None:
    """A table that shows too little gives a bound, the largest there is."""
    few = raw_smbios(FIRMWARE, array(), device(0x2000), END)
    assert installed(smbios=few, installed_memory=8 << 20) == (Form.AT_LEAST, USABLE)


def test_a_module_of_unknown_size_makes_the_sum_a_bound() -> None:
    """Trap M4: what one module has is not guessed, and the list says that it is not whole."""
    answers = {"smbios": raw_smbios(array(), 2 * device(0x2000), device(0xFFFF), END)}
    assert installed(**answers) == (Form.AT_LEAST, 16 * GIB)
    found = readings(**answers)["memory.modules"]
    assert found.value[2]["size"] is None
    assert not found.complete


def test_a_virtual_machine_without_modules_has_none_invented() -> None:
    """Trap M4: a table without type 17 tells of no slots, and Windows's sum has nothing to stand on."""
    answers = {"smbios": raw_smbios(FIRMWARE, END)}
    found = readings(**answers)
    for name in MODULE_READINGS:
        assert found[f"memory.{name}"].form is Form.UNKNOWN
        assert found[f"memory.{name}"].why == "the firmware describes no memory modules"
    assert installed(**answers) == (Form.AT_LEAST, 16 * GIB)


def test_a_damaged_table_gives_bounds_and_an_incomplete_list() -> None:
    """Of a table that is cut short only what was seen is claimed."""
    cut = raw_smbios(array(correction=6), 2 * device(0x2000, total_width=72))
    found = readings(smbios=cut)
    assert installed(smbios=cut) == (Form.AT_LEAST, 16 * GIB)
    assert (found["memory.slots"].form, found["memory.slots"].value) == (Form.AT_LEAST, 2)
    assert not found["memory.modules"].complete
    assert found["memory.ecc"].form is Form.UNKNOWN


def test_memory_that_corrects_errors_is_seen() -> None:
    """What array and modules agree on is known, and what they do not is not."""
    for width, corrects in ((72, True), (64, None)):
        table = raw_smbios(array(correction=6), 2 * device(0x2000, total_width=width), END)
        assert readings(smbios=table)["memory.ecc"].value is corrects


def test_a_buffer_shorter_than_it_says_is_no_table() -> None:
    """RawSMBIOSData that was cut off is refused, and the reason says so."""
    found = readings(smbios=raw_smbios(MODULES, END)[:-40])
    assert "but speaks of" in found["memory.slots"].why
    assert readings(smbios=b"\0\3\3")["memory.slots"].form is Form.UNKNOWN


@pytest.mark.parametrize("status", [memory_info(0), b"\x40" + bytes(31), NO_ANSWER])
def test_memory_that_windows_does_not_tell_is_unknown(status: Any) -> None:
    """Neither zero nor half a structure is an amount of memory."""
    assert readings(memory_status=status)["memory.usable"].form is Form.UNKNOWN
    assert installed(memory_status=status) == (Form.KNOWN, 16 * GIB)


def test_nothing_at_all_is_unknown() -> None:
    """A PC that answers nothing has no memory reading."""
    found = readings(smbios=NO_ANSWER, installed_memory=NO_ANSWER, memory_status=NO_ANSWER)
    assert {each.form for each in found.values()} == {Form.UNKNOWN}
    assert all(each.why for each in found.values())


def test_a_container_knows_only_what_it_may_use() -> None:
    """Trap C3: inside a Windows container the modules are another machine's."""
    found = read(memory, pc({CONTROL: {"ContainerType": 2}}))
    assert found["memory.usable"].value == USABLE
    for name in ("installed", *MODULE_READINGS):
        assert "container" in found[f"memory.{name}"].why
