"""Tests of decoding SMBIOS tables: structures, memory, texts, chassis codes and dates."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from pcaudit.probes.decode import dmi, memory_devices, smbios
from pcaudit.probes.decode.memory_devices import MainMemory
from tests.probes.smbios_tables import END, array, device, dump, structure

MIB = 1 << 20
GIB = 1 << 30


def memory_of(*structures: bytes) -> MainMemory:
    """The main memory that these structures describe."""
    found = memory_devices.main_memory(smbios.decode(b"".join(structures) + END))
    assert found is not None
    return found


def test_structures_keep_their_strings_in_order() -> None:
    """A structure's texts are found by the number that stands at an offset."""
    table = smbios.decode(structure(1, 7, bytes([2, 1, 0, 9]), "First", "Second") + END)
    (found,) = table.structures
    assert (found.type, found.handle, table.problem) == (1, 7, "")
    assert [found.text(offset) for offset in (4, 5, 6, 7, 40)] == ["Second", "First", "", "", ""]


def test_numbers_beyond_a_structure_are_none() -> None:
    """An offset that an older, shorter structure does not have gives no number."""
    (found,) = smbios.decode(structure(17, 1, b"\x34\x12") + END).structures
    assert (found.word(4), found.byte(5), found.word(5), found.double(4)) == (0x1234, 0x12, None, None)


def test_nothing_behind_the_end_mark_is_read() -> None:
    """What follows type 127 is no part of the table."""
    assert smbios.decode(END + array()).structures == ()


@pytest.mark.parametrize(
    ("table", "count", "problem"),
    [
        (array() + device(0x4000)[:-1], 1, "cut short"),
        (array() + device(0x4000)[:20], 1, "cut short"),
        (array() + b"\x11\x03\x00\x10\0\0" + END, 1, "less than any"),
        (array() + b"\x11\x00\x00\x10\0\0" + END, 1, "less than any"),
        (array(), 1, "no end mark"),
        (b"", 0, "no end mark"),
    ],
)
def test_damaged_tables_give_what_is_sound_and_say_so(table: bytes, count: int, problem: str) -> None:
    """The structures before the damage are kept and the problem is named."""
    found = smbios.decode(table)
    assert len(found.structures) == count
    assert problem in found.problem


@given(st.binary(max_size=400))
def test_any_bytes_are_decoded_or_named_as_damaged(table: bytes) -> None:
    """No bytes make the decoder fail, and what it gives is never more than the bytes hold."""
    found = smbios.decode(table)
    assert sum(len(each.body) + 2 for each in found.structures) <= len(table)
    memory_devices.main_memory(found)


@pytest.mark.parametrize("cut", range(len(array() + device(0x4000) + END) - 1))
def test_a_table_cut_anywhere_is_never_taken_as_whole(cut: int) -> None:
    """Wherever a table ends too early, the decoder says that something is missing."""
    assert smbios.decode((array() + device(0x4000) + END)[:cut]).problem


# DMTF DSP0134, Memory Device (type 17), Size and Extended Size.
@pytest.mark.parametrize(
    ("size", "extended", "length", "expected"),
    [
        (0x0100, 0, 0x29, 256 * MIB),
        (0x8100, 0, 0x29, 256 << 10),
        (0x4000, 0, 0x29, 16 * GIB),
        (0x7FFF, 0x0001_0000, 0x29, 64 * GIB),
        (0x7FFF, 0x8001_0000, 0x29, 64 * GIB),
        (0x7FFF, 0x0001_0000, 0x1C, None),
        (0xFFFF, 0, 0x29, None),
    ],
)
def test_module_size_follows_the_standard(
    size: int, extended: int, length: int, expected: int | None
) -> None:
    """The size is in MiB or KiB by its top bit, extended from 32 GiB, and FFFF is not known."""
    (module,) = memory_of(array(), device(size, extended=extended, length=length)).modules
    assert module.size == expected


def test_empty_slots_are_counted_apart() -> None:
    """A device of size 0 is a free slot and no module."""
    found = memory_of(array(), device(0x2000), device(0, kind=2), device(0x2000), device(0, kind=2))
    assert (found.size, found.slots, found.empty, len(found.modules)) == (16 * GIB, 4, 2, 2)


def test_soldered_memory_takes_no_slot() -> None:
    """Memory on the board counts as installed, not as a slot."""
    # DSP0134, Memory Device - Form Factor: 0Bh row of chips.
    found = memory_of(array(), device(0x2000, form=0x0B), device(0, kind=2))
    assert (found.size, found.slots, found.empty) == (8 * GIB, 1, 1)


def test_configured_speed_is_read_not_the_rated_one() -> None:
    """A module that could run faster than it is set to is as fast as it is set to."""
    (module,) = memory_of(array(), device(0x2000, speed=3200, configured=2400)).modules
    assert (module.speed, module.type) == (2400, "DDR4")


def test_unknown_speed_and_type_stay_unknown() -> None:
    """Speed 0, and a type no table names, are not known."""
    (module,) = memory_of(array(), device(0x2000, configured=0, kind=2)).modules
    assert (module.speed, module.type) == (None, None)


def test_an_older_structure_without_configured_speed_has_none() -> None:
    """A structure of SMBIOS 2.3 gives a size but no configured speed."""
    (module,) = memory_of(array(), device(0x0400, length=0x1B)).modules
    assert (module.size, module.speed) == (GIB, None)


def test_memory_that_is_not_main_memory_is_left_out() -> None:
    """Flash, cache and persistent modules are no installed memory."""
    found = memory_of(
        array(),
        array(handle=0x2000, use=5),
        device(0x2000),
        device(0x0010, array_handle=0x2000),
        device(0x0010, kind=0x09),
        device(0x4000, technology=7),
    )
    assert (found.size, len(found.modules), found.slots) == (8 * GIB, 1, 1)


# DSP0134, Memory Array - Error Correction Types.
@pytest.mark.parametrize(
    ("code", "total_width", "expected"),
    [
        (3, 64, False),
        (4, 72, False),
        (5, 72, True),
        (6, 72, True),
        (6, 0xFFFF, True),
        (6, 64, None),
        (7, 72, None),
        (2, 72, None),
    ],
)
def test_error_correction_needs_firmware_and_modules_to_agree(
    code: int, total_width: int, expected: bool | None
) -> None:
    """Correction is believed where the array says so and no module lacks the bits for it."""
    found = memory_of(array(correction=code), device(0x2000, total_width=total_width))
    assert found.corrects is expected
    assert found.corrects_why


def test_a_table_without_memory_devices_describes_no_memory() -> None:
    """An array alone does not say what is fitted."""
    assert memory_devices.main_memory(smbios.decode(array() + END)) is None


@pytest.mark.skipif(not shutil.which("dmidecode"), reason="dmidecode is not installed")
def test_memory_is_read_as_dmidecode_reads_it(tmp_path: Path) -> None:
    """On the same bytes an independent decoder finds the same sizes, speeds and correction."""
    table = b"".join(
        [
            array(correction=6, devices=5),
            device(0x4000, handle=0x1101, configured=2933, total_width=72),
            device(0x7FFF, handle=0x1102, extended=0x0001_0000, configured=4800, kind=0x22, total_width=72),
            device(0x8100, handle=0x1103, configured=0, kind=0x18, total_width=72),
            device(0, handle=0x1104, kind=2, total_width=0xFFFF, data_width=0xFFFF),
            device(0xFFFF, handle=0x1105, total_width=72),
        ]
    )
    (tmp_path / "dump.bin").write_bytes(dump(table + END))
    command = ["dmidecode", "--from-dump", str(tmp_path / "dump.bin"), "--type", "memory"]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=20).stdout

    def all_of(key: str) -> list[str]:
        return re.findall(rf"^\t{key}: (.*)$", told, re.MULTILINE)

    assert all_of("Size") == ["16 GB", "64 GB", "256 kB", "No Module Installed", "Unknown"]
    assert all_of("Error Correction Type") == ["Multi-bit ECC"]
    found = memory_of(table)
    assert [module.size for module in found.modules] == [16 * GIB, 64 * GIB, 256 << 10, None]
    assert [module.type for module in found.modules] == [word for word in all_of("Type") if word != "Unknown"]
    speeds = [f"{module.speed} MT/s" if module.speed else "Unknown" for module in found.modules]
    assert speeds == all_of("Configured Memory Speed")
    assert (found.empty, found.corrects) == (1, True)


@pytest.mark.parametrize(
    "text",
    [
        "To be filled by O.E.M.",
        "TO BE FILLED BY O.E.M.",
        " Default string ",
        "System  Serial Number",
        "0123456789",
        "Not Specified",
        "00000000",
        "....",
        "xxxx-xxxx",
        "FFFFFFFF",
        "none",
        "",
        "---",
    ],
)
def test_placeholder_texts_are_no_values(text: str) -> None:
    """What firmware makers leave in unfilled fields is a missing value in any spelling."""
    assert dmi.meaningful(text) == ""


@pytest.mark.parametrize(
    "text", ["Desk 400", "EX-0001", "A", "7", "1.20", "Default Works 3", "11223344", "1.1", "2.2.2", "11"]
)
def test_real_texts_are_kept(text: str) -> None:
    """Texts that say something are kept as they are."""
    assert dmi.meaningful(f" {text} ") == text


# DMTF DSP0134, System Enclosure or Chassis Types.
@pytest.mark.parametrize(
    ("code", "word"),
    [
        *((3, "desktop"), (7, "desktop"), (13, "desktop"), (35, "desktop"), (0x83, "desktop")),
        *((9, "laptop"), (10, "laptop"), (31, "laptop"), (17, "server"), (23, "server"), (1, "other")),
        *((30, "other"), (2, ""), (0, ""), (99, "")),
    ],
)
def test_chassis_codes_are_words(code: int, word: str) -> None:
    """A chassis code gives its form, with the lock bit left out, and 2 (unknown) gives none."""
    assert dmi.chassis(code) == word


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("03/15/2022", "2022-03-15"),
        ("02/29/2023", ""),
        ("15/03/2022", ""),
        ("03/15/22", ""),
        ("2022-03-15", ""),
    ],
)
def test_firmware_dates_are_month_day_year(text: str, iso: str) -> None:
    """A firmware date is MM/DD/YYYY and exists, or it is no date."""
    assert dmi.iso_date(text) == iso
