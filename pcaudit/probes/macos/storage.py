"""Volumes and drives."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import macos_documents, macos_storage
from pcaudit.probes.decode.macos_storage import Container, Mount
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, machine
from pcaudit.probes.macos.host import Host, Space

_SYSTEM: Final = (
    *("storage.system_size", "storage.system_free", "storage.system_used"),
    *("storage.system_filesystem", "storage.system_encrypted"),
)
_VOLUMES: Final = ("storage.system_media", "storage.volumes")
_DISKUTIL: Final = "/usr/sbin/diskutil"
_NVME: Final = "SPNVMeDataType"
# BusProtocol of diskutil(8), recorded outputs; PCI alone may be AHCI too.
_BUSES: Final = {"Apple Fabric": "nvme", "SATA": "sata", "USB": "usb", "SAS": "sas", "Secure Digital": "sd"}
_TRUSTED: Final = ("nvme", "sata", "sas")
"""Buses whose drives say truly whether they are solid-state; behind USB a bridge speaks for them."""
_SHARED: Final = "the space of the others is the system volume's own or their container's, listed once"


class _Disks(NamedTuple):
    """What is known of the disks.

    Attributes:
        containers: APFS containers by name.
        info: ``diskutil info`` of each whole disk asked.
        nvme: Names of disks on NVMe controllers.
        doubt: Why no medium can be told at all; empty where it can.
    """

    containers: dict[str, Container]
    info: dict[str, dict[str, Any]]
    nvme: frozenset[str]
    doubt: str


def _info(host: Host, device: str) -> dict[str, Any]:
    return ask.plist(host, (_DISKUTIL, "info", "-plist", device), ask.SLOW).value or {}


def _nvme_disks(host: Host) -> frozenset[str]:
    controllers = ask.profile(host, _NVME).value or []
    drives = (drive for entry in controllers for drive in macos_documents.entries(entry, "_items"))
    return frozenset(macos_documents.word(drive, "bsd_name") for drive in drives)


def _doubt(host: Host) -> str:
    seen = machine.virtual(host)
    if seen.value is None:
        return f"whether this is a virtual drive is unknown ({seen.why})"
    return "a virtual drive does not say what it is kept on: ask who runs its host" if seen.value else ""


def _drives_under(device: str, containers: dict[str, Container]) -> list[str]:
    """Whole disks that a volume lies on; none where that cannot be told."""
    disk = macos_storage.whole_disk(device)
    if disk not in containers:
        return [disk] if disk else []
    found = [macos_storage.whole_disk(store) for store in containers[disk].stores]
    return sorted(set(found)) if all(found) else []


def _bus(device: str, info: dict[str, Any], nvme: frozenset[str]) -> str | None:
    if device in nvme:
        return "nvme"
    return _BUSES.get(macos_documents.word(info, "BusProtocol"))


def _media_of(device: str, disks: _Disks) -> str | None:
    info = disks.info.get(device, {})
    solid = macos_documents.truth(info, "SolidState")
    if disks.doubt or solid is None or _bus(device, info, disks.nvme) not in _TRUSTED:
        return None
    return "ssd" if solid else "hdd"


def _media(drives: list[str], disks: _Disks) -> str | None:
    """The medium of drives together: of mixed ones the slower, as in a Fusion drive."""
    found = {_media_of(drive, disks) for drive in drives}
    if "hdd" in found:
        return "hdd"
    return "ssd" if found == {"ssd"} else None


def _kind(mount: Mount, drives: list[str], disks: _Disks) -> str | None:
    if mount.filesystem in macos_storage.NETWORK:
        return "network"
    answers = [macos_documents.truth(disks.info.get(drive, {}), "Internal") for drive in drives]
    if False in answers:
        return "removable"
    return "fixed" if answers and None not in answers else None


def _encrypted(mount: Mount, disks: _Disks) -> bool | None:
    """FileVault's lock on an APFS volume; the drive's own encryption locks nobody out."""
    container = disks.containers.get(macos_storage.whole_disk(mount.device))
    return container.locked.get(mount.device) if container else None


def _measured(host: Host, mount: Mount) -> Space | None:
    if mount.filesystem in macos_storage.NETWORK:
        return None  # a dead server would hang the probe
    return ask.ask(lambda: host.space(mount.point)).value


def _disks(host: Host, mounted: list[Mount]) -> _Disks:
    listed = ask.plist(host, (_DISKUTIL, "apfs", "list", "-plist"), ask.SLOW).value or {}
    containers = macos_storage.containers(listed)
    drives = {drive for mount in mounted for drive in _drives_under(mount.device, containers)}
    info = {drive: _info(host, drive) for drive in sorted(drives)}
    return _Disks(containers, info, _nvme_disks(host), _doubt(host))


def _item(host: Host, mount: Mount, disks: _Disks, shared: bool, encrypted: bool | None) -> dict[str, Any]:
    space = None if shared else _measured(host, mount)
    drives = _drives_under(mount.device, disks.containers)
    return {
        "mount": mount.point,
        "filesystem": mount.filesystem,
        "size": space.size if space else None,
        "free": space.free if space else None,
        "used": space.used if space else None,
        "kind": _kind(mount, drives, disks),
        "media": _media(drives, disks),
        "encrypted": encrypted if mount.point == "/" else _encrypted(mount, disks),
        "system": mount.point == "/",
    }


def _listed(host: Host, mounted: list[Mount], disks: _Disks, encrypted: bool | None) -> Observation:
    items, seen = [], set()
    ordered = sorted(mounted, key=lambda mount: mount.point != "/")
    for mount in ordered:
        pool = macos_storage.whole_disk(mount.device) if mount.filesystem == "apfs" else ""
        items.append(_item(host, mount, disks, bool(pool) and pool in seen, encrypted))
        seen.add(pool)
    shared = sum(bool(item["size"] is None and item["filesystem"] == "apfs") for item in items)
    source = "mount, statvfs, diskutil" + (f"; {_SHARED}" if shared else "")
    return known(items, source)


def file_vault(host: Host) -> Observation:
    """Reading storage.system_encrypted: FileVault, by fdesetup(8)."""
    printed = ask.text(host, ("/usr/bin/fdesetup", "status"))
    lines = [line.strip() for line in (printed.value or "").splitlines() if line.strip()]
    if lines in (["FileVault is On."], ["FileVault is Off."]):
        return known(lines == ["FileVault is On."], f"fdesetup status: {lines[0]}")
    if lines and lines[0].startswith("FileVault is Off."):
        return known(False, f"fdesetup status: {' '.join(lines)[:120]}")
    said = " ".join(lines)[:120]
    return unknown(printed.why or f"fdesetup says {said!r}: wait until that is over and probe again")


def _system_media(root: Mount, disks: _Disks) -> Observation:
    if disks.doubt:
        return unknown(disks.doubt)
    media = _media(_drives_under(root.device, disks.containers), disks)
    if media is None:
        return unknown("diskutil does not say it of every drive under /: look in About This Mac")
    return known(media, "diskutil info SolidState of every drive under /")


def _mounted(host: Host) -> tuple[list[Mount], Mount | None, str]:
    """Mounted volumes, the one the system is on, and why there is none."""
    printed = ask.text(host, ("/sbin/mount",))
    mounted = macos_storage.mounts(printed.value or "")
    root = next((mount for mount in mounted if mount.point == "/"), None)
    return mounted, root, printed.why or "mount does not list /: run it by hand"


def probe_system(host: Host) -> Observations:
    """Readings of the system volume that need no look at its drives.

    The system is two APFS volumes shown as one, in a container whose space they and others share;
    statvfs of / gives the container's size and what is free in it, purgeable files not counted.
    """
    _, root, why = _mounted(host)
    if root is None:
        return ask.all_unknown(_SYSTEM, why)
    space = ask.ask(lambda: host.space("/"))
    return {
        "storage.system_size": ask.of(space, lambda s: known(s.size, "statvfs of /, the APFS container")),
        "storage.system_free": ask.of(space, lambda s: known(s.free, "statvfs of /, available to users")),
        "storage.system_used": ask.of(space, lambda s: known(s.used, "statvfs of /, the APFS container")),
        "storage.system_filesystem": known(root.filesystem, "mount"),
        "storage.system_encrypted": file_vault(host),
    }


def probe_volumes(host: Host) -> Observations:
    """Readings of mounted volumes, and of what the system's lies on."""
    mounted, root, why = _mounted(host)
    if root is None:
        return ask.all_unknown(_VOLUMES, why)
    disks = _disks(host, mounted)
    return {
        "storage.system_media": _system_media(root, disks),
        "storage.volumes": _listed(host, mounted, disks, file_vault(host).value),
    }


def _is_drive(info: dict[str, Any]) -> bool:
    """Not a disk image and not a disk made of others."""
    virtual = macos_documents.word(info, "VirtualOrPhysical") == "Virtual"
    return not virtual and macos_documents.word(info, "BusProtocol") not in (
        "Disk Image",
        "Virtual Interface",
    )


def _drive(device: str, disks: _Disks) -> dict[str, Any]:
    info = disks.info[device]
    return {
        "model": macos_documents.word(info, "MediaName") or None,
        "size": macos_documents.whole(info, "TotalSize") or macos_documents.whole(info, "Size"),
        "media": _media_of(device, disks),
        "bus": _bus(device, info, disks.nvme),
    }


def probe_drives(host: Host) -> Observations:
    """Reading storage.drives."""
    listed = ask.plist(host, (_DISKUTIL, "list", "-plist"), ask.SLOW)
    names = macos_storage.disks(listed.value or {})
    if not names:
        return {"storage.drives": unknown(listed.why or "diskutil lists no disk: run diskutil list")}
    info = {name: _info(host, name) for name in names}
    disks = _Disks({}, info, _nvme_disks(host), _doubt(host))
    silent = [name for name in names if not info[name]]
    missing = f"diskutil says nothing of {', '.join(silent)}" if silent else ""
    drives = [_drive(name, disks) for name in names if info[name] and _is_drive(info[name])]
    return {"storage.drives": known(drives, "diskutil list, diskutil info", missing=missing)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group storage."""
    return (
        Probe("system volume", _SYSTEM, lambda: probe_system(host), 15.0),
        Probe("volumes", _VOLUMES, lambda: probe_volumes(host), 45.0),
        Probe("drives", ("storage.drives",), lambda: probe_drives(host), 45.0),
    )
