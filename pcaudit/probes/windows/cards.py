r"""Network cards as the registry knows them: device, bus, speeds and power management.

The registry keeps cards that were taken out, too; whether one is here is asked elsewhere.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.probes.windows import reads
from pcaudit.probes.windows.host import Host

CLASS: Final = "{4d36e972-e325-11ce-bfc1-08002be10318}"
"""GUID_DEVCLASS_NET, devguid.h."""
_DRIVERS: Final = rf"HKLM\SYSTEM\CurrentControlSet\Control\Class\{CLASS}"
_CONNECTIONS: Final = rf"HKLM\SYSTEM\CurrentControlSet\Control\Network\{CLASS}"

# Enumerators, the first part of a device instance identifier. Common practice, no source.
_BUSES: Final = {
    "PCI": "pci",
    "USB": "usb",
    "VMBUS": "vmbus",
    "SD": "sdio",
    "PCMCIA": "pcmcia",
    "ACPI": "acpi",
    "XENBUS": "xen",
    "XENVIF": "xen",
}
_PROGRAMS: Final = {"ROOT", "SWD", "BTH", "COMPOSITEBUS", "HTREE", "NDISVIRTUALBUS", "UMB"}
_VIRTIO: Final = "VEN_1AF4"  # PCI vendor of virtio devices: OASIS Virtual I/O Device 1.2, 4.1.2

_GIGABIT: Final = 10**9
# Microsoft, "Enumeration Keywords", *SpeedDuplex: in bit/s; 0 is to negotiate. Other numbers are
# Mbit/s, from 1000 up.
_SPEEDS: Final = {
    1: 10**7,
    2: 10**7,
    3: 10**8,
    4: 10**8,
    5: _GIGABIT,
    6: _GIGABIT,
    7: 10 * _GIGABIT,
    8: 20 * _GIGABIT,
    9: 40 * _GIGABIT,
    10: 100 * _GIGABIT,
}
_NEGOTIATE: Final = 0
# Microsoft article 2740020 on PnPCapabilities: 0 lets Windows power the adapter down, 24 keeps it up.
_KEPT_UP: Final = 0x18


class Card(NamedTuple):
    r"""One network card, or a program that shows as one.

    Attributes:
        path: Of its driver's key.
        device: Device instance identifier, ``PCI\VEN_...``; empty where there is none.
        bus: Such as ``pci``; None where there is none or it cannot be told.
        program: It is known to be a program.
    """

    path: str
    device: str
    bus: str | None
    program: bool


def _bus(device: str) -> tuple[str | None, bool]:
    enumerator = device.partition("\\")[0].upper()
    if enumerator in _PROGRAMS or enumerator.startswith("{"):
        return None, True
    if enumerator == "PCI" and _VIRTIO in device.upper():
        return "virtio", False
    return _BUSES.get(enumerator), False


def cards(host: Host) -> dict[str, Card]:
    """The cards by the identifier of their adapter, in braces and upper case."""
    found = {}
    try:
        names = reads.keys(host.registry, _DRIVERS)
    except OSError:
        return {}
    for name in names:
        path = f"{_DRIVERS}\\{name}"
        adapter = reads.text(host.registry, path, "NetCfgInstanceId").upper()
        if not adapter:
            continue
        device = reads.text(host.registry, path, "DeviceInstanceID") or reads.text(
            host.registry, rf"{_CONNECTIONS}\{adapter}\Connection", "PnpInstanceID"
        )
        found[adapter] = Card(path, device, *_bus(device))
    return found


def connection_name(host: Host, adapter: str) -> str:
    """The name people see under network connections, empty where there is none."""
    return reads.text(host.registry, rf"{_CONNECTIONS}\{adapter}\Connection", "Name")


def _speed(code: str) -> int | None:
    if not (code.isascii() and code.isdecimal()):
        return None
    number = int(code)
    return number * 10**6 if number >= 1000 else _SPEEDS.get(number)


def capable_speed(host: Host, card: Card) -> int | None:
    """The fastest link the driver offers, in bit/s.

    Drivers list speeds to be set by hand. Where the fastest of them is below a gigabit and the card
    may also negotiate, it may negotiate a gigabit, which copper never does by hand: then unknown.
    """
    try:
        codes = host.registry.values(rf"{card.path}\Ndi\Params\*SpeedDuplex\enum")
    except OSError:
        return None
    negotiates = str(_NEGOTIATE) in codes
    speeds = [_speed(code) for code in codes if code != str(_NEGOTIATE)]
    listed = [speed for speed in speeds if speed is not None]
    if not listed or len(listed) < len(speeds):
        return None
    fastest = max(listed)
    return None if fastest < _GIGABIT and negotiates else fastest


def power_saving(host: Host, card: Card) -> bool | None:
    """Whether Windows may power the card down; None where only the driver's default would say."""
    value = reads.number(host.registry, card.path, "PnPCapabilities")
    if value is None:
        return None
    return {_KEPT_UP: False, 0: True, 0x10: True}.get(value & _KEPT_UP)
