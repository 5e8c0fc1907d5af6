"""What Windows says of its batteries and of the ways it can sleep.

Layouts: Microsoft Learn, "SYSTEM_POWER_STATUS structure (winbase.h)", 12 bytes, and
"SYSTEM_POWER_CAPABILITIES structure (winnt.h)", 76 bytes, the same on 32 and 64 bits.
"""

from __future__ import annotations

import struct
from typing import Final, NamedTuple

STATUS_SIZE: Final = 12
CAPABILITIES_SIZE: Final = 76

_NO_BATTERY: Final = 128
_UNKNOWN: Final = 255
# Offsets of winnt.h; those behind ProcessorMaxThrottle (0x10) in the form of Windows Vista and newer.
_LID: Final = 0x02
_STATES: Final = {0x03: "S1", 0x04: "S2", 0x05: "S3"}
_HIBERNATION: Final = 0x06  # SystemS4
_HIBERNATION_FILE: Final = 0x08
_MODERN_STANDBY: Final = 0x14  # AoAc
_BATTERIES: Final = 0x1E
_SHORT_TERM: Final = 0x1F


class Status(NamedTuple):
    """What a PC runs on.

    Attributes:
        mains: On mains now; None where Windows does not know.
        battery: Has a battery, the PC's own or an uninterruptible supply's; None likewise.
    """

    mains: bool | None
    battery: bool | None


class Capabilities(NamedTuple):
    """What a PC can do.

    Attributes:
        lid: Has a lid switch.
        states: Names of the sleep states it has, of S1 to S3.
        hibernation: The machine can hibernate.
        hibernation_file: The file for it is there: hibernation is switched on.
        modern_standby: Sleeps in Modern Standby (S0 low power idle).
        batteries: Has batteries.
        short_term: They are those of an uninterruptible power supply.
    """

    lid: bool
    states: tuple[str, ...]
    hibernation: bool
    hibernation_file: bool
    modern_standby: bool
    batteries: bool
    short_term: bool

    @property
    def hibernates(self) -> bool:
        """Whether the PC can hibernate now (Microsoft Learn, IsPwrHibernateAllowed)."""
        return self.hibernation and self.hibernation_file

    @property
    def sleeps(self) -> bool:
        """Whether the PC has any way to sleep."""
        return bool(self.states) or self.modern_standby


def status(data: bytes) -> Status:
    """What is in a SYSTEM_POWER_STATUS.

    Raises:
        ValueError: It is cut short.
    """
    if len(data) < STATUS_SIZE:
        raise ValueError(f"SYSTEM_POWER_STATUS of {len(data)} bytes")
    line, flag = struct.unpack_from("BB", data)
    battery = None if flag == _UNKNOWN else not flag & _NO_BATTERY
    return Status({0: False, 1: True}.get(line), battery)


def capabilities(data: bytes) -> Capabilities:
    """What is in a SYSTEM_POWER_CAPABILITIES.

    Raises:
        ValueError: It is cut short.
    """
    if len(data) < CAPABILITIES_SIZE:
        raise ValueError(f"SYSTEM_POWER_CAPABILITIES of {len(data)} bytes")
    return Capabilities(
        lid=bool(data[_LID]),
        states=tuple(name for offset, name in _STATES.items() if data[offset]),
        hibernation=bool(data[_HIBERNATION]),
        hibernation_file=bool(data[_HIBERNATION_FILE]),
        modern_standby=bool(data[_MODERN_STANDBY]),
        batteries=bool(data[_BATTERIES]),
        short_term=bool(data[_SHORT_TERM]),
    )
