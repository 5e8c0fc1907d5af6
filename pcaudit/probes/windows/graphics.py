"""Graphics cards that are in the PC now."""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.host import Host

_CLASS: Final = "{4d36e968-e325-11ce-bfc1-08002be10318}"  # GUID_DEVCLASS_DISPLAY, devguid.h
_ENUM: Final = r"HKLM\SYSTEM\CurrentControlSet\Enum"
_DRIVERS: Final = r"HKLM\SYSTEM\CurrentControlSet\Control\Class"
_MADE_UP: Final = {"ROOT", "SWD", "HTREE"}
"""Enumerators of devices that are programs (virtual displays)."""
_MEMORY: Final = "HardwareInformation.qwMemorySize"


def _memory(host: Host, driver: str) -> int | None:
    # The older MemorySize has 32 bits and is wrong from 4 GiB up.
    for kind in (int, bytes):
        value = reads.read(host.registry, driver, _MEMORY, kind).value
        if isinstance(value, bytes):
            value = int.from_bytes(value, "little") if len(value) == 8 else 0
        if value:
            return int(value)
    return None


def _card(host: Host, device: str) -> dict[str, Any]:
    entry = rf"{_ENUM}\{device}"
    driver = rf"{_DRIVERS}\{reads.text(host.registry, entry, 'Driver')}"
    # A name kept in the driver's file stands after its place there: "@oem1.inf,%name%;Name".
    name = reads.text(host.registry, entry, "DeviceDesc").rpartition(";")[2]
    return {
        "model": reads.text(host.registry, driver, "DriverDesc") or name or None,
        "memory": _memory(host, driver),
        "driver_version": reads.text(host.registry, driver, "DriverVersion") or None,
    }


def graphics(host: Host) -> Observation:
    """Reading display.graphics."""
    try:
        devices = host.display.present(_CLASS)
    except OSError:
        return _by_desktop(host)
    cards = [device for device in devices if device.partition("\\")[0].upper() not in _MADE_UP]
    source = f"CM_Get_Device_ID_ListW, registry {_DRIVERS}\\{_CLASS}"
    return known([_card(host, device) for device in cards], source)


def _by_desktop(host: Host) -> Observation:
    """The adapters the desktop uses, where Windows does not list its devices."""
    try:
        names = list(dict.fromkeys(name for name in host.display.adapters() if name))
    except OSError as error:
        return unknown(f"Windows does not list its graphics cards ({error}): look in Device Manager")
    items = [{"model": name, "memory": None, "driver_version": None} for name in names]
    return known(items, "EnumDisplayDevicesW", missing="only those in use by the desktop are shown")
