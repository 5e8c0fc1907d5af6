"""Block devices: the drives, and what lies between a volume and the drives under it."""

from __future__ import annotations

import re
from posixpath import basename, dirname
from typing import Final, NamedTuple

from pcaudit.probes.linux import reads
from pcaudit.probes.linux.host import Tree
from pcaudit.probes.linux.sysfs import real

SECTOR: Final = 512
"""Bytes; /sys/block/*/size counts these whatever the drive's own block is (kernel ABI documents)."""

_NO_DRIVE: Final = re.compile(r"(?:loop|ram|zram|dm-|md|sr|fd|nbd|rbd|drbd|bcache|zd)\d*")
_IN_MEMORY: Final = re.compile(r"z?ram\d+")  # Linux admin-guide/blockdev, zram and ramdisk
_PART_OF_ANOTHER: Final = re.compile(r"mmcblk\d+(?:boot\d+|rpmb|gp\d+)|nvme\d+c\d+n\d+")
_MADE_BY: Final = re.compile(r"[A-Za-z]\w*-", re.ASCII)
_DEEPEST: Final = 16
# cryptsetup's names for mappings that encrypt, and for those that only check (dm-verity, dm-integrity).
_ENCRYPTS: Final = tuple(
    f"CRYPT-{kind}-" for kind in ("LUKS1", "LUKS2", "PLAIN", "BITLK", "TCRYPT", "LOOPAES", "FVAULT2")
)
_CHECKS: Final = ("CRYPT-VERITY-", "CRYPT-INTEGRITY-")

# SBC-4 6.6.2, block device characteristics: MEDIUM ROTATION RATE in bytes 4 and 5.
_NON_ROTATING, _SLOWEST_RATE, _FASTEST_RATE = 0x0001, 0x0401, 0xFFFE
# SAT-4 12.4.2, ATA information page: IDENTIFY DEVICE data from byte 60; ATA/ATAPI: model in words 27-46.
_ATA_MODEL: Final = slice(60 + 2 * 27, 60 + 2 * 47)


class Drive(NamedTuple):
    """One whole block device that is no stack of others.

    Attributes:
        model: As the drive says; None where it says nothing.
        size: Bytes; None where the kernel does not say.
        media: ``ssd`` or ``hdd``; None where that cannot be believed.
        doubt: Why media is None.
        bus: One of the catalogue's buses, None where it is another one.
        removable: The drive, or the medium in it, is made to be taken out; None where that cannot be told.
    """

    name: str
    model: str | None
    size: int | None
    media: str | None
    doubt: str
    bus: str | None
    removable: bool | None


class Blocks:
    """The block devices of one host.

    Args:
        tree: The host's files.
        virtual: Why drives may be a hypervisor's pretence; empty on a real PC.
    """

    def __init__(self, tree: Tree, virtual: str) -> None:
        self.tree = tree
        self.virtual = virtual

    def drives(self) -> list[Drive]:
        """The physical drives; empty slots and drives behind a network are left out."""
        found = []
        for name in self.tree.names("/sys/block"):
            path = real(self.tree, f"/sys/block/{name}")
            if not self._is_drive(name, path):
                continue
            drive = self.drive(name)
            if drive.size != 0:
                found.append(drive)
        return found

    def hidden(self) -> list[str]:
        """Drives the kernel names, but does not show."""
        names = (name for name in reads.names(self.tree, "/sys/block") if not _NO_DRIVE.fullmatch(name))
        return [name for name in names if not self.tree.exists(f"/sys/block/{name}")]

    def _is_drive(self, name: str, path: str) -> bool:
        if _NO_DRIVE.fullmatch(name) or _PART_OF_ANOTHER.fullmatch(name) or "/session" in path:
            return False
        return self.tree.exists(f"{path}/device")

    def drive(self, name: str) -> Drive:
        """What is known of one drive."""
        path = real(self.tree, f"/sys/class/block/{name}")
        bus = self._bus(name, path)
        media, doubt = self._media(path, bus)
        sectors = reads.number(self.tree, f"{path}/size")
        return Drive(
            name=name,
            model=self._model(path, bus),
            size=None if sectors is None else sectors * SECTOR,
            media=media,
            doubt=f"{name}: {doubt}" if doubt else "",
            bus=bus,
            removable=self._removable(path, bus),
        )

    def _removable(self, path: str, bus: str | None) -> bool | None:
        state = reads.number(self.tree, f"{path}/removable")
        if bus == "usb" or state == 1:
            return True
        # Linux driver-api/mmc: a soldered flash chip says MMC, a card SD.
        kind = reads.text(self.tree, f"{path}/device/type") if bus == "sd" else "MMC"
        if kind == "SD":
            return True
        return False if kind == "MMC" and state is not None else None

    def _bus(self, name: str, path: str) -> str | None:
        if name.startswith("nvme"):
            return "nvme"
        for part, bus in (("/usb", "usb"), ("/mmc_host/", "sd"), ("/virtio", "virtio")):
            if part in path:
                return bus
        if "/ata" in path:
            return self._ata_bus(path)
        if "/end_device-" in path:
            # A SATA drive on a SAS adapter names ATA as its vendor (SAT-4, INQUIRY data).
            return "sata" if reads.text(self.tree, f"{path}/device/vendor") == "ATA" else "sas"
        behind_a_hypervisor = "/vbd-" in path or "vmbus" in path.casefold()
        return "scsi" if "/target" in path and not behind_a_hypervisor else None

    def _ata_bus(self, path: str) -> str | None:
        host = re.search(r"/(host\d+)/", path)
        driver = reads.text(self.tree, f"/sys/class/scsi_host/{host[1]}/proc_name") if host else ""
        if driver.startswith(("ahci", "sata_")):
            return "sata"
        return "ide" if driver.startswith("pata_") else None

    def _media(self, path: str, bus: str | None) -> tuple[str | None, str]:
        rate = self._rotation_rate(path) if bus in {"sata", "sas", "ide"} else None
        turning = reads.number(self.tree, f"{path}/queue/rotational")
        if rate is not None:
            return self._by_rate(rate, turning)
        if self.virtual:
            return None, self.virtual
        if bus == "nvme":
            local = reads.text(self.tree, f"{path}/device/transport") in {"", "pcie"}
            return ("ssd", "") if local and turning == 0 else (None, "not a drive in this PC")
        if bus in {"sata", "sas", "ide"} and turning in {0, 1}:
            return ("hdd" if turning else "ssd"), ""
        if bus == "sd":
            return None, "a memory card or soldered flash, neither an SSD nor a hard disk"
        what = {"usb": "a USB bridge", "scsi": "a RAID controller"}.get(bus or "", "its controller")
        return None, f"{what} may hide what the drive is"

    def _rotation_rate(self, path: str) -> int | None:
        """What the drive itself says of its medium; None where it was not asked or does not say."""
        try:
            page = self.tree.data(f"{path}/device/vpd_pgb1")
        except OSError:
            return None
        rate = int.from_bytes(page[4:6], "big")
        return rate or None

    @staticmethod
    def _by_rate(rate: int, turning: int | None) -> tuple[str | None, str]:
        if rate == _NON_ROTATING:
            media = "ssd"
        elif _SLOWEST_RATE <= rate <= _FASTEST_RATE:
            media = "hdd"
        else:
            return None, f"the drive gives an impossible rotation rate ({rate})"
        if turning is not None and turning != (media == "hdd"):
            return None, "the drive and the kernel's setting (queue/rotational) disagree"
        return media, ""

    def _model(self, path: str, bus: str | None) -> str | None:
        if bus == "sd":
            return reads.text(self.tree, f"{path}/device/name") or None
        short = reads.text(self.tree, f"{path}/device/model")
        try:
            page = self.tree.data(f"{path}/device/vpd_pg89")
        except OSError:
            return short or None
        # The kernel's own text ends after 16 characters; each pair of bytes is swapped.
        raw = bytearray(page[_ATA_MODEL])
        raw[0::2], raw[1::2] = raw[1::2], raw[0::2]
        full = raw.decode("ascii", "replace").strip(" \0")
        return full if short and full.startswith(short) else short or None

    def name_of(self, device: str, source: str) -> str:
        """Kernel name of what is mounted: by its number, else by its path; empty where unknown."""
        path = real(self.tree, f"/sys/dev/block/{device}")
        if not device.startswith("0:") and path != f"/sys/dev/block/{device}":
            return basename(path)
        if source.startswith("/dev/mapper/"):
            return self._mapped(source.removeprefix("/dev/mapper/"))
        name = source.removeprefix("/dev/") if source.startswith("/dev/") else ""
        return name if name and self.tree.exists(f"/sys/class/block/{name}") else ""

    def _mapped(self, label: str) -> str:
        for name in reads.names(self.tree, "/sys/block"):
            if name.startswith("dm-") and reads.text(self.tree, f"/sys/block/{name}/dm/name") == label:
                return name
        return ""

    def pool(self, name: str) -> list[str]:
        """All devices of the Btrfs file system that ``name`` belongs to, or ``name`` alone."""
        for pool in reads.names(self.tree, "/sys/fs/btrfs"):
            members = reads.names(self.tree, f"/sys/fs/btrfs/{pool}/devices")
            if name in members:
                return members
        return [name]

    def limited(self, device: str) -> bool:
        """Whether quota groups of the Btrfs file system on ``device`` may bound what it can hold.

        Where it cannot be told which file system that is, those of any count.
        """
        pools = reads.names(self.tree, "/sys/fs/btrfs")
        own = [pool for pool in pools if device in reads.names(self.tree, f"/sys/fs/btrfs/{pool}/devices")]
        return any(self._has_limits(f"/sys/fs/btrfs/{pool}/qgroups") for pool in own or pools)

    def _has_limits(self, groups: str) -> bool:
        # Linux 5.9, fs/btrfs/sysfs.c: there while quotas are on; a group's flags say which limits are set.
        if not self.tree.exists(groups):
            return False
        found = [name for name in reads.names(self.tree, groups) if "_" in name and name[0].isdigit()]
        flags = {reads.number(self.tree, f"{groups}/{name}/limit_flags") for name in found}
        return flags != {0}

    def _below(self, name: str) -> list[str]:
        """The devices directly under one: its parts, or the drive a partition is on."""
        path = real(self.tree, f"/sys/class/block/{name}")
        if self.tree.exists(f"{path}/partition"):
            return [basename(dirname(path))]
        return reads.names(self.tree, f"{path}/slaves")

    def leaves(self, name: str, depth: int = 0) -> set[str]:
        """The whole devices at the bottom of a stack."""
        below = self._below(name) if depth < _DEEPEST else []
        if not below:
            return {name}
        return set().union(*(self.leaves(part, depth + 1) for part in below))

    def in_memory(self, names: list[str]) -> bool:
        """Whether what is stored on these devices lies in memory, in part at least."""
        return any(_IN_MEMORY.fullmatch(leaf) for name in names for leaf in self.leaves(name))

    def encrypted(self, name: str, depth: int = 0) -> bool | None:
        """Whether a mapping that encrypts, by its uuid, stands between a device and every drive under it.

        Returns:
            False where at least one drive is reached in the clear; None where the bottom is not a
            physical drive, so that it cannot be seen what is below.
        """
        path = real(self.tree, f"/sys/class/block/{name}")
        uuid = reads.text(self.tree, f"{path}/dm/uuid")
        if uuid.startswith(_ENCRYPTS):
            return True
        if uuid.startswith("CRYPT-") and not uuid.startswith(_CHECKS):
            return None
        # What makes a device begins its identifier with a word of its own, such as LVM- or mpath-
        # (libdevmapper.h, dm_task_set_uuid); one without may be anything.
        if not _MADE_BY.match(uuid) and self.tree.exists(f"{path}/dm"):
            return None
        below = self._below(name) if depth < _DEEPEST else []
        if not below:
            return False if self._is_drive(name, path) else None
        states = {self.encrypted(part, depth + 1) for part in below}
        return False if False in states else None if None in states else True

    def media(self, names: list[str]) -> tuple[str | None, str]:
        """Media of everything under ``names``: the worst where they differ, and why if unknown."""
        leaves = sorted(set().union(*(self.leaves(name) for name in names)))
        doubts = []
        found = set()
        for leaf in leaves:
            if not self._is_drive(leaf, real(self.tree, f"/sys/class/block/{leaf}")):
                doubts.append(f"{leaf}: not a physical drive")
                continue
            drive = self.drive(leaf)
            found.add(drive.media)
            if drive.doubt:
                doubts.append(drive.doubt)
        if "hdd" in found:
            return "hdd", ""
        return (None, "; ".join(doubts)) if doubts or not found else ("ssd", "")
