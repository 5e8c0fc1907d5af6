"""What mends a shortfall of each reading: a setting, a part, or nothing on this PC.

A setting costs nothing but work, a part is bought. What neither mends asks for a licence or
another PC. Where it is not certain that a setting would do, the reading counts as not mendable.
"""

from __future__ import annotations

from enum import Enum
from typing import Final, NamedTuple


class Means(Enum):
    """What mends a reading that falls short."""

    SETTING = "setting"
    PART = "part"
    NONE = "none"


_S, _P, _N = Means.SETTING, Means.PART, Means.NONE

MEANS: Final[dict[str, Means]] = {
    **dict.fromkeys(("session.user", "session.remote", "session.elevated"), _S),
    "computer.host_name": _S,
    "computer.manufacturer": _N,
    "computer.model": _N,
    "computer.serial_number": _N,
    "computer.chassis": _N,
    # Whether the maker offers the version asked for is not known here.
    "computer.firmware_version": _N,
    "computer.firmware_date": _N,
    # Not every firmware offers both, and the installed system starts in one.
    "computer.firmware_mode": _N,
    "computer.secure_boot": _S,
    "computer.secure_boot_capable": _N,
    # It may only be switched off, or may not be there at all.
    "computer.tpm_version": _N,
    "computer.virtual": _N,
    "os.type": _N,
    "os.product": _N,
    "os.version": _S,
    "os.edition_id": _N,
    "os.feature_release": _S,
    "os.edition": _N,
    "os.servicing": _N,
    "os.machine": _N,
    "os.support_ends": _S,
    "os.language": _S,
    "os.locale": _S,
    "os.decimal_separator": _S,
    "os.time_zone": _S,
    "os.clock_synchronised": _S,
    "os.clock_synchronised_at": _S,
    "os.restart_pending": _S,
    "os.update_restarts": _S,
    "os.domain": _S,
    **dict.fromkeys(("cpu.model", "cpu.vendor", "cpu.series", "cpu.generation", "cpu.sockets"), _N),
    **dict.fromkeys(("cpu.cores", "cpu.threads", "cpu.base_clock", "cpu.max_clock"), _N),
    **dict.fromkeys(("cpu.level", "cpu.features"), _N),
    "memory.installed": _P,
    "memory.usable": _P,
    "memory.slots": _N,
    "memory.slots_free": _N,
    "memory.modules": _P,
    # The board and the processor must take such modules too.
    "memory.ecc": _N,
    "storage.system_size": _P,
    "storage.system_free": _P,
    "storage.system_used": _N,
    "storage.system_filesystem": _N,
    "storage.system_media": _P,
    "storage.system_encrypted": _S,
    "storage.volumes": _P,
    "storage.drives": _P,
    "display.screen_count": _P,
    "display.primary_width": _P,
    "display.primary_height": _P,
    "display.primary_scaling": _S,
    "display.primary_logical_width": _P,
    "display.primary_logical_height": _P,
    "display.screens": _P,
    "display.graphics": _P,
    "network.adapters": _P,
    "network.wired_count": _P,
    "network.name_servers": _S,
    "network.proxy": _S,
    "network.endpoints": _S,
    **dict.fromkeys(("power.source", "power.plan", "power.sleep_after", "power.sleep_after_battery"), _S),
    **dict.fromkeys(("power.hibernate_after", "power.screen_off_after", "power.disk_off_after"), _S),
    **dict.fromkeys(("power.usb_suspend", "power.pcie_saving", "power.fast_startup"), _S),
    "power.lid_action": _S,
    "software.packages": _S,
    "software.runtimes": _S,
    "software.antivirus": _S,
    "software.services": _S,
}
"""What mends each reading; of a list, what brings an item that is not there."""

SETTABLE: Final[dict[str, frozenset[str]]] = {
    "memory.modules": frozenset(),
    "storage.volumes": frozenset({"encrypted"}),
    "storage.drives": frozenset(),
    "display.screens": frozenset({"scaling", "primary"}),
    "display.graphics": frozenset({"driver_version"}),
    "network.adapters": frozenset(
        {"name", "link_up", "speed", "addresses", "addressing", "gateway", "power_saving"}
    ),
    "network.endpoints": frozenset({"reachable"}),
    # What is installed in another version is installed anew, and may be another program.
    "software.packages": frozenset(),
    "software.runtimes": frozenset(),
    "software.antivirus": frozenset(),
    "software.services": frozenset({"state"}),
}
"""Keys of each list's items that a setting changes on an item that is there."""

_OF_THE_OS: Final = "a licence and a new installation, or another PC"
_ANOTHER: Final = "another PC"
_NO_MEANS: Final = {
    **dict.fromkeys(("os.type", "os.product", "os.edition", "os.edition_id", "os.servicing"), _OF_THE_OS),
    **dict.fromkeys(("os.version", "os.feature_release", "os.support_ends"), _OF_THE_OS),
    "storage.system_filesystem": "a new installation, or another PC",
    "storage.system_used": "somebody must say what can be moved or deleted",
    "computer.tpm_version": "another PC, unless its firmware settings have one that is switched off",
    "computer.firmware_version": "another PC, unless its maker offers such firmware",
    "computer.firmware_date": "another PC, unless its maker offers such firmware",
    "computer.firmware_mode": "a conversion or a new installation, where its firmware offers that; "
    "else another PC",
    "computer.secure_boot": "another PC, unless its firmware is found to offer it",
    "memory.slots_free": "fewer, larger modules, where the board takes them; else another PC",
}
_UNKNOWN_MEANS: Final = "no setting and no part known here mends it"


def without_means(reading: str) -> str:
    """What a shortfall asks for that no setting and no part mends."""
    if reading in _NO_MEANS:
        return _NO_MEANS[reading]
    return _ANOTHER if MEANS[reading] is Means.NONE else _UNKNOWN_MEANS


CAVEATS: Final = {
    "os.version": "an update of the same product: the maker must offer it for this hardware",
    "computer.secure_boot": "unsigned drivers and start-up media stop working",
    "storage.system_encrypted": "where the edition offers it; keep the recovery key away from the PC",
    "os.domain": "joined by the directory's administrators",
    "display.primary_scaling": "programs and text become smaller or larger",
    "display.screens.primary": "programs and the task bar open on that screen then",
    "storage.volumes+": "it erases what is on the drive: find out first that no RAID, no volume group "
    "(LVM) and no other operating system uses it, which is not read",
}
"""What to know before a setting is made: of a reading, of a key of its items, or (+) of a new item."""

MAY_BE_FREE: Final = (
    "a drive that may be free is there already ({}): before one is bought find out whether a RAID, a volume "
    "group (LVM) or another operating system uses it, which is not read"
)
"""What to know before a drive is bought."""


class Change(NamedTuple):
    """One change that helps a PC to pass.

    Attributes:
        kind: A setting, or a part.
        what: The setting or the part, in words.
        now: What it is now; empty for a part that is added.
        to: What it must become.
        mends: Ids of the findings that fall short without it, in the report's order.
        caveat: What to know before; empty where there is nothing.
        part: Name of the part to buy, as prices name it; empty for a setting.
        price: Hundredths of the currency's unit; None where there is no price, and for a setting.
        priced_as: Name of the priced part, where it is more than is needed.
    """

    kind: Means
    what: str
    now: str
    to: str
    mends: tuple[str, ...]
    caveat: str = ""
    part: str = ""
    price: int | None = None
    priced_as: str = ""


class Left(NamedTuple):
    """A finding that the changes leave as it is, and what it asks for."""

    id: str
    title: str
    why: str


class Open(NamedTuple):
    """A binding finding that cannot be known, why, and how to make it readable."""

    id: str
    title: str
    why: str
    remedy: str


class Mending(NamedTuple):
    """What one PC needs to pass.

    Attributes:
        changes: The smallest set found, settings first; none where it passes as it is.
        left: What no setting and no part mends.
        unread: What cannot be known, so that no change is said to be enough.
        passes: With the changes made, and judged again, the PC is ready.
        searched: The whole of the alternatives was gone through; else a smaller set may exist.
    """

    changes: tuple[Change, ...]
    left: tuple[Left, ...]
    unread: tuple[Open, ...]
    passes: bool
    searched: bool = True

    def of(self, kind: Means) -> tuple[Change, ...]:
        """The changes of one kind."""
        return tuple(change for change in self.changes if change.kind is kind)
