"""The firmware's own table of the PC, and Windows's copy of a part of it in the registry."""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import dmi, smbios, windows_firmware
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.ask import ask
from pcaudit.probes.windows.host import Host

REGISTRY: Final = r"HKLM\HARDWARE\DESCRIPTION\System\BIOS"
"""Where Windows copies the firmware's words to."""


class Field(NamedTuple):
    """A text of the firmware: by DMTF DSP0134, and by Windows's name of its copy.

    Attributes:
        type: SMBIOS structure type.
        offset: Of the text's number in the structure.
        copy: Name of the registry value; empty where Windows keeps none.
    """

    type: int
    offset: int
    copy: str


MAKER: Final = Field(1, 0x04, "SystemManufacturer")
MODEL: Final = Field(1, 0x05, "SystemProductName")
SERIAL: Final = Field(1, 0x07, "")
BOARD_MAKER: Final = Field(2, 0x04, "BaseBoardManufacturer")
BOARD: Final = Field(2, 0x05, "BaseBoardProduct")
VENDOR: Final = Field(0, 0x04, "BIOSVendor")
VERSION: Final = Field(0, 0x05, "BIOSVersion")
DATE: Final = Field(0, 0x08, "BIOSReleaseDate")


class Firmware(NamedTuple):
    """What the firmware says.

    Attributes:
        table: Its SMBIOS table; None where Windows does not give it, or gives an empty one.
        why: Why there is none, or what is wrong with it.
        damaged: Whether something may be missing from it.
    """

    table: smbios.Table | None
    why: str = ""
    damaged: bool = False


def read(host: Host) -> Firmware:
    """The firmware's SMBIOS table."""
    answer = ask(lambda: smbios.decode(windows_firmware.table(host.system.smbios())))
    if answer.value is None:
        return Firmware(None, answer.why)
    damage = f"the SMBIOS table is damaged: {answer.value.problem}" if answer.value.problem else ""
    if not answer.value.structures:
        return Firmware(None, damage or "this PC's firmware offers no SMBIOS tables", bool(damage))
    return Firmware(answer.value, damage, bool(damage))


def raw(firmware: Firmware, field: Field) -> str:
    """The text as the firmware has it, placeholders included; empty where it has none."""
    found = firmware.table.of_type(field.type) if firmware.table else []
    return found[0].text(field.offset) if found else ""


def copied(host: Host, field: Field) -> str:
    """The text as the registry has it; empty where it has none or only a placeholder."""
    return dmi.meaningful(reads.text(host.registry, REGISTRY, field.copy)) if field.copy else ""


def text(host: Host, firmware: Firmware, field: Field) -> Observation:
    """A text of the firmware, with the registry's word beside it where that differs."""
    said = raw(firmware, field)
    meant, copy = dmi.meaningful(said), copied(host, field)
    where = f"{REGISTRY}\\{field.copy}"
    if meant:
        other = f"; but registry {where} says {copy}" if copy and copy.split() != meant.split() else ""
        return known(meant, f"GetSystemFirmwareTable RSMB, SMBIOS type {field.type}{other}")
    if copy:
        return known(copy, f"registry {where}")
    if said:
        return unknown(f"the firmware has only a placeholder here: {said!r}")
    return unknown(firmware.why or "the firmware leaves it empty")
