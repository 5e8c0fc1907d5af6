"""Volumes and drives."""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import drives, reads, volumes
from pcaudit.probes.windows.ask import container_reason
from pcaudit.probes.windows.drives import Drive
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.volumes import Place

_PATIENCE: Final = 2.0
"""Seconds for all volumes together, network drives among them."""
_SHELL_PATIENCE: Final = 4.0
"""Seconds for the shell's word on BitLocker, all volumes together."""
_SYSTEM: Final = (
    "storage.system_size",
    "storage.system_free",
    "storage.system_used",
    "storage.system_filesystem",
    "storage.system_media",
    "storage.system_encrypted",
)
_VOLUMES: Final = (*_SYSTEM, "storage.volumes")
_LISTED: Final = "FindFirstVolumeW, GetLogicalDrives, GetVolumeInformationW, GetDiskFreeSpaceExW"
_NONE: Final = "Windows lists no volume: look in Disk Management"
_SPACE: Final = "GetDiskFreeSpaceExW"
_QUOTA: Final = "a disk quota hides it from this account: run as administrator"

# The numbers of System.Volume.BitLockerProtection: protected, not encrypted, locked. No page of
# Microsoft's lists them; published code agrees on these, so that every other one stays unknown.
_ON, _OFF, _LOCKED = 1, 2, 6
_STATES: Final = {_ON: True, _OFF: False, _LOCKED: True}
_IN_BETWEEN: Final = {
    3: "BitLocker is still encrypting it: wait until it has finished and probe again",
    4: "BitLocker is decrypting it: wait until it has finished and probe again",
    5: "it is encrypted, but BitLocker is suspended, so that its key lies open: resume protection",
    8: "it is encrypted, but BitLocker waits to be activated, its key open until then: finish setting it up",
}
_PROTECTION: Final = "shell property System.Volume.BitLockerProtection"
_OTHERS: Final = "other programs' and a drive's own encryption are not seen"
_NO_WORD: Final = (
    "Windows does not tell this account whether BitLocker protects it: "
    "run manage-bde -status as administrator"
)


class _Under:
    """The drives under volumes, each asked once."""

    def __init__(self, host: Host) -> None:
        self._host = host
        self.drives = drives.every(host)
        self._known: dict[str, tuple[list[int], int]] = {}

    def _of(self, device: str) -> tuple[list[int], int]:
        if device not in self._known:
            self._known[device] = drives.under(self._host, device)
        return self._known[device]

    def taken(self, device: str) -> int:
        """Bytes a volume takes on its drives, 0 where unknown."""
        return self._of(device)[1]

    def of(self, place: Place) -> list[Drive]:
        """The drives under a place; none where not every one of them is known."""
        numbers = self._known.get(place.device, ([], 0))[0]
        found = [self.drives[number] for number in numbers if number in self.drives]
        return found if len(found) == len(numbers) else []


def _kind(place: Place, under: list[Drive]) -> str | None:
    if place.kind == volumes.REMOTE:
        return "network"
    if place.kind == volumes.REMOVABLE or any(drive.removable for drive in under):
        return "removable"
    # Drivers that show a server or a file as a letter call it fixed: only drives under it prove it.
    if place.kind != volumes.FIXED or not under or any(drive.nature == drives.ELSEWHERE for drive in under):
        return None
    return "fixed"


def _item(place: Place, under: list[Drive], protection: int | None, system: bool) -> dict[str, Any]:
    return {
        "mount": place.mount,
        "filesystem": place.file_system or None,
        "size": place.space.size,
        "free": place.space.free,
        "used": place.space.used,
        "kind": _kind(place, under),
        "media": drives.media(under)[0],
        "encrypted": None if protection is None else _STATES.get(protection),
        "system": system,
    }


def _size(value: int | None, place: Place, source: str) -> Observation:
    if value is not None:
        return known(value, f"{source} {place.mount}")
    why = place.doubt or (_QUOTA if place.space.free is not None else "Windows gives no plausible sizes")
    return unknown(f"the space on {place.mount} cannot be told: {why}")


def _encrypted(protection: int | None, mount: str) -> Observation:
    if protection in _STATES:
        note = "" if _STATES[protection] else f"; {_OTHERS}"
        return known(_STATES[protection], f"{_PROTECTION} of {mount}: {protection}{note}")
    return unknown(f"{mount}: {_IN_BETWEEN.get(protection or 0, _NO_WORD)}")


def _media(place: Place, under: list[Drive]) -> Observation:
    if not under:
        return unknown(f"Windows does not say on which drives {place.mount} lies: look in Disk Management")
    media, doubt = drives.media(under)
    if media is None:
        return unknown(f"{doubt}: read the drive's label or data sheet")
    return known(media, f"bus, seek penalty and trim of every drive under {place.mount}")


def _system(place: Place, under: list[Drive], protection: int | None) -> dict[str, Observation]:
    silent = unknown(f"the file system of {place.mount} cannot be told: {place.doubt}")
    given = place.file_system
    return {
        "storage.system_size": _size(place.space.size, place, _SPACE),
        "storage.system_free": _size(place.space.free, place, f"{_SPACE}, available to the caller,"),
        "storage.system_used": _size(place.space.used, place, _SPACE),
        "storage.system_filesystem": known(given, f"GetVolumeInformationW {place.mount}")
        if given
        else silent,
        "storage.system_media": _media(place, under),
        "storage.system_encrypted": _encrypted(protection, place.mount),
    }


def _system_mount(host: Host) -> str:
    try:
        return host.storage.system_mount()
    except OSError:
        return ""


def probe_volumes(host: Host) -> Observations:
    """Readings of mounted volumes, and of the one Windows is on."""
    if reason := container_reason(host):
        return reads.all_unknown(_VOLUMES, reason)
    mount = _system_mount(host)
    local = volumes.mounted(host)
    # The shell is slow to start, so that it is asked first and heard last.
    states = volumes.protections(
        host, sorted(local.devices, key=lambda point: (point != mount, point)), _SHELL_PATIENCE
    )
    under = _Under(host)
    found, missing = volumes.places(host, local, under.taken, _PATIENCE)
    protected = states()
    system = next((place for place in found if mount and place.mount.casefold() == mount.casefold()), None)
    items = [
        _item(place, under.of(place), protected.get(place.mount), place is system)
        for place in sorted(found, key=lambda place: place.mount)
    ]
    out = {"storage.volumes": known(items, _LISTED, missing=missing) if found else unknown(missing or _NONE)}
    if system is None:
        why = "Windows does not say which volume it is on: look at drive C in Disk Management"
        out.update(reads.all_unknown(_SYSTEM, why))
    else:
        out.update(_system(system, under.of(system), protected.get(system.mount)))
    return out


def _gaps(found: list[Drive]) -> str:
    gaps = [drive.doubt for drive in found if drive.model is None and drive.size is None and drive.doubt]
    natures = {drive.nature for drive in found}
    if drives.SPACE in natures:
        gaps.append("drives inside a storage space are not shown: look in Storage Spaces")
    if drives.ARRAY in natures:
        gaps.append("what lies behind a RAID controller is not shown: look in its own program")
    return "; ".join(gaps)


def probe_drives(host: Host) -> Observations:
    """Reading storage.drives."""
    if reason := container_reason(host):
        return {"storage.drives": unknown(reason)}
    found = list(drives.every(host).values())
    # A card reader without a card is no drive.
    shown = [drive for drive in found if drive.nature in {drives.DRIVE, drives.ARRAY} and not drive.empty]
    items = [
        {"model": drive.model, "size": drive.size, "media": drive.media, "bus": drive.bus} for drive in shown
    ]
    if not found:
        why = r"Windows shows no drive as \\.\PhysicalDrive0 and up: look in Disk Management"
        return {"storage.drives": unknown(why)}
    source = r"\\.\PhysicalDriveN: IOCTL_STORAGE_QUERY_PROPERTY, IOCTL_DISK_GET_DRIVE_GEOMETRY_EX"
    return {"storage.drives": known(items, source, missing=_gaps(found))}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group storage; drives apart, so that a stuck volume does not cost them."""
    return (
        Probe("volumes", _VOLUMES, lambda: probe_volumes(host)),
        Probe("drives", ("storage.drives",), lambda: probe_drives(host)),
    )
