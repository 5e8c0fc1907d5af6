"""What mount(8) and diskutil(8) say of volumes and drives.

Shapes: property lists of ``diskutil list``, ``diskutil apfs list`` and ``diskutil info`` recorded in
public test suites, and lines of mount(8): ``/dev/disk3s1s1 on / (apfs, sealed, local, ...)``.
"""

from __future__ import annotations

import re
from typing import Any, Final, NamedTuple

from pcaudit.probes.decode import macos_documents

_MOUNT: Final = re.compile(r"(.+?) on (/.*) \(([^()]*)\)")
_DEVICE: Final = re.compile(r"(?:/dev/)?(disk\d+)((?:s\d+)*)", re.ASCII)
_NOT_VOLUMES: Final = {"devfs", "autofs", "nullfs", "lifs", "fdesc", "tmpfs", "bindfs"}
NETWORK: Final = frozenset({"smbfs", "nfs", "afpfs", "webdav", "ftp"})
"""File systems that are on another machine."""


class Mount(NamedTuple):
    """One mounted volume.

    Attributes:
        device: ``disk3s1s1``; what is mounted, where that is no disk.
        point: Where.
        filesystem: ``apfs``, ``hfs``, ``exfat``, ``smbfs``, ...
        options: As mount(8) lists them.
    """

    device: str
    point: str
    filesystem: str
    options: frozenset[str]


class Container(NamedTuple):
    """One APFS container: volumes that share the same space.

    Attributes:
        name: ``disk3``.
        stores: Partitions and drives it lies on.
        locked: By device of each volume, whether FileVault locks it; None where that is not said.
    """

    name: str
    stores: tuple[str, ...]
    locked: dict[str, bool | None]


def whole_disk(device: str) -> str:
    """The disk of a partition or volume: ``disk3`` of ``disk3s1s1``; empty where it is none."""
    match = _DEVICE.fullmatch(device)
    return match[1] if match else ""


def mounts(content: str) -> list[Mount]:
    """The volumes for files that mount(8) lists and people see."""
    found = []
    for line in content.splitlines():
        match = _MOUNT.fullmatch(line)
        if match is None:
            continue
        words = [word.strip() for word in match[3].split(",")]
        if words[0] in _NOT_VOLUMES or "nobrowse" in words[1:]:
            continue
        found.append(Mount(match[1].removeprefix("/dev/"), match[2], words[0], frozenset(words[1:])))
    return found


def containers(table: dict[str, Any]) -> dict[str, Container]:
    """The containers of ``diskutil apfs list -plist`` by name."""
    found = {}
    for entry in macos_documents.entries(table, "Containers"):
        stores = macos_documents.entries(entry, "PhysicalStores")
        name = macos_documents.word(entry, "ContainerReference")
        found[name] = Container(
            name=name,
            stores=tuple(macos_documents.word(store, "DeviceIdentifier") for store in stores),
            locked={
                macos_documents.word(volume, "DeviceIdentifier"): macos_documents.truth(volume, "FileVault")
                for volume in macos_documents.entries(entry, "Volumes")
            },
        )
    return found


def disks(table: dict[str, Any]) -> list[str]:
    """The whole disks of ``diskutil list -plist``, made of others (APFS containers) left out."""
    return [
        name
        for entry in macos_documents.entries(table, "AllDisksAndPartitions")
        if whole_disk(name := macos_documents.word(entry, "DeviceIdentifier")) == name
        and not macos_documents.entries(entry, "APFSPhysicalStores")
        and name
    ]
