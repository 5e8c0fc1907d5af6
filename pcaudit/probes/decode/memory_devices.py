"""Memory arrays and modules in an SMBIOS table (DMTF DSP0134, types 16 and 17)."""

from __future__ import annotations

from typing import NamedTuple

from pcaudit.probes.decode.smbios import Structure, Table

_ARRAY, _DEVICE = 16, 17
_SYSTEM_MEMORY = 3  # Memory Array - Use
_NONE, _PARITY, _SINGLE_BIT, _MULTI_BIT = 3, 4, 5, 6  # Memory Array - Error Correction Types
_SOLDERED = {0x0B, 0x10}  # Memory Device - Form Factor: row of chips, die
_NOT_MAIN_MEMORY = {0x04, 0x05, 0x06, 0x08, 0x09, 0x0A, 0x0B, 0x0C}  # EDRAM, VRAM, SRAM, ROM, flash, ...
_NON_VOLATILE = {4, 5, 6, 7}  # Memory Device - Technology: NVDIMM-N, -F, -P, persistent memory
# Memory Device - Type.
_TYPES = {
    0x03: "DRAM",
    0x0F: "SDRAM",
    0x11: "RDRAM",
    0x12: "DDR",
    0x13: "DDR2",
    0x14: "DDR2 FB-DIMM",
    0x18: "DDR3",
    0x1A: "DDR4",
    0x1B: "LPDDR",
    0x1C: "LPDDR2",
    0x1D: "LPDDR3",
    0x1E: "LPDDR4",
    0x20: "HBM",
    0x21: "HBM2",
    0x22: "DDR5",
    0x23: "LPDDR5",
    0x24: "HBM3",
}


class Module(NamedTuple):
    """One memory module.

    Attributes:
        size: In bytes; None where the firmware does not know.
        speed: Configured speed in MT/s; None where it is not given.
        type: ``DDR4`` and the like; None where it is not given.
        soldered: Whether it sits on the board instead of in a slot.
        check_bits: Whether it is wider than its data; None where the firmware does not say.
    """

    size: int | None
    speed: int | None
    type: str | None
    soldered: bool
    check_bits: bool | None


class MainMemory(NamedTuple):
    """The main memory as the firmware describes it.

    Attributes:
        modules: Those fitted.
        empty: Slots with nothing in them.
        corrects: Whether errors are corrected; None where it cannot be told.
        corrects_why: How that is known, or why not.
    """

    modules: tuple[Module, ...]
    empty: int
    corrects: bool | None
    corrects_why: str

    @property
    def slots(self) -> int:
        """Slots, filled and empty; modules soldered to the board have none."""
        return self.empty + sum(not module.soldered for module in self.modules)

    @property
    def size(self) -> int:
        """Sum in bytes of the modules whose size is given."""
        return sum(module.size or 0 for module in self.modules)

    @property
    def unsized(self) -> int:
        """How many modules are there whose size the firmware does not know."""
        return sum(module.size is None for module in self.modules)


def _size(device: Structure) -> int | None:
    """Size in bytes, 0 for an empty slot, None where it is not known."""
    size = device.word(0x0C)
    if size is None or size == 0xFFFF:
        return None
    if size == 0x7FFF:
        extended = device.double(0x1C)
        return None if extended is None else (extended & 0x7FFF_FFFF) << 20
    return (size & 0x7FFF) << (10 if size & 0x8000 else 20)


def _speed(device: Structure) -> int | None:
    speed = device.word(0x20)
    if speed == 0xFFFF:
        speed = device.double(0x58)
    return speed or None


def _check_bits(device: Structure) -> bool | None:
    total, data = device.word(0x08), device.word(0x0A)
    if not total or not data or 0xFFFF in (total, data):
        return None
    return total > data


def _module(device: Structure, size: int | None) -> Module:
    return Module(
        size=size,
        speed=_speed(device),
        type=_TYPES.get(device.byte(0x12) or 0),
        soldered=device.byte(0x0E) in _SOLDERED,
        check_bits=_check_bits(device),
    )


def _is_main(device: Structure, other_arrays: set[int]) -> bool:
    return (
        device.word(0x04) not in other_arrays
        and device.byte(0x12) not in _NOT_MAIN_MEMORY
        and device.byte(0x28) not in _NON_VOLATILE
    )


def _correction(arrays: list[Structure], modules: list[Module]) -> tuple[bool | None, str]:
    codes = {array.byte(0x06) for array in arrays}
    if not codes:
        return None, "the firmware describes no memory array (SMBIOS type 16)"
    if codes <= {_NONE, _PARITY}:
        return False, "SMBIOS type 16: no error correction"
    if not codes <= {_SINGLE_BIT, _MULTI_BIT}:
        return None, "the firmware does not say clearly whether the memory corrects errors (SMBIOS type 16)"
    # DSP0134 on Total Width: equal to the data width where there are no error-correction bits.
    if any(module.check_bits is False for module in modules):
        return None, "SMBIOS type 16 says errors are corrected, but type 17 shows modules without check bits"
    return True, "SMBIOS type 16: errors are corrected"


def main_memory(table: Table) -> MainMemory | None:
    """Main memory from a table.

    Args:
        table: A decoded table; where it has a problem, modules may be missing.

    Returns:
        What the table says, or None where it describes no memory device at all. Memory that is
        not main memory (video, flash, caches, persistent modules) is left out.
    """
    arrays = table.of_type(_ARRAY)
    others = {array.handle for array in arrays if array.byte(0x05) != _SYSTEM_MEMORY}
    devices = [device for device in table.of_type(_DEVICE) if _is_main(device, others)]
    if not devices:
        return None
    sizes = [(device, _size(device)) for device in devices]
    modules = [_module(device, size) for device, size in sizes if size != 0]
    empty = sum(size == 0 for _, size in sizes)
    main = [array for array in arrays if array.handle not in others]
    corrects, why = _correction(main, modules)
    return MainMemory(tuple(modules), empty, corrects, why)
