"""Volumes and drives."""

from __future__ import annotations

from typing import Any

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import mountinfo
from pcaudit.probes.decode.mountinfo import Mount
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import reads, volumes
from pcaudit.probes.linux.blocks import Blocks
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host
from pcaudit.probes.linux.virtual import virtual
from pcaudit.probes.linux.volumes import Space

_PATIENCE = 1.0
"""Seconds for all network mounts together."""
_VOLUMES = (
    "storage.system_size",
    "storage.system_free",
    "storage.system_used",
    "storage.system_filesystem",
    "storage.system_media",
    "storage.system_encrypted",
    "storage.volumes",
)
_MOUNTINFO = "/proc/self/mountinfo"
_CLEAR = "no encrypting mapping between the volume and its drives; a drive's own encryption is not seen"
_STACK = "an encrypting mapping on every way from the volume to its drives, by its uuid; cipher not read"

_MEMORY = "the volume is on a RAM disk, which takes its space from memory: install the system on a drive"
_GROUPS = "btrfs quotas are on and may leave less than the file system has: see btrfs qgroup show -re /"
_QUOTAS = "disk quotas are on, which bind all users but root: run quota, or ask IT for the limit"


def _blocks(host: Host) -> Blocks:
    observed = virtual(host)
    doubt = ""
    if observed.value is None:
        doubt = f"whether this is a virtual drive is unknown ({observed.why})"
    elif observed.value:
        doubt = "a virtual drive does not say what it is kept on"
    return Blocks(host.tree, doubt)


def _devices(mount: Mount, blocks: Blocks) -> list[str]:
    """Kernel names of the devices a volume lies on; none where that cannot be told."""
    if mount.filesystem in volumes.NETWORK or mount.filesystem in {"zfs", "bcachefs"}:
        return []
    name = blocks.name_of(mount.device, mount.source)
    if not name:
        return []
    return blocks.pool(name) if mount.filesystem == "btrfs" else [name]


def _encrypted(devices: list[str], blocks: Blocks) -> bool | None:
    states = {blocks.encrypted(device) for device in devices}
    if False in states:
        return False
    return True if states == {True} else None


def _kind(mount: Mount, devices: list[str], blocks: Blocks) -> str | None:
    if mount.filesystem in volumes.NETWORK:
        return "network"
    if not devices or blocks.in_memory(devices):
        return None
    leaves = sorted(set().union(*(blocks.leaves(device) for device in devices)))
    removable = {blocks.drive(leaf).removable for leaf in leaves}
    if True in removable:
        return "removable"
    return None if None in removable else "fixed"


def _believed(mount: Mount, space: Space, devices: list[str], blocks: Blocks) -> tuple[Space, str]:
    """The sizes that hold for those who use the volume, and why the others are left out."""
    if blocks.in_memory(devices):
        return volumes.UNKNOWN_SPACE, _MEMORY
    if mount.filesystem == "btrfs" and blocks.limited(devices[0] if devices else ""):
        return space._replace(size=None, free=None), _GROUPS
    if volumes.has_quotas(mount):
        return space._replace(free=None), _QUOTAS
    return space, ""


def _item(mount: Mount, given: Space, blocks: Blocks) -> dict[str, Any]:
    devices = _devices(mount, blocks)
    space, _ = _believed(mount, given, devices, blocks)
    return {
        "mount": mount.point.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace"),
        "filesystem": mount.filesystem,
        "size": space.size,
        "free": space.free,
        "used": space.used,
        "kind": _kind(mount, devices, blocks),
        "media": blocks.media(devices)[0] if devices else None,
        "encrypted": _encrypted(devices, blocks),
        "system": mount.point == "/",
    }


def _no_root(mount: Mount | None) -> str:
    """Why the root is no volume, empty where it is one."""
    if mount is None:
        return "the root of this process is not a mount of its own (chroot): probe outside it"
    if not volumes.is_volume(mount):
        return f"the system runs from {mount.filesystem}, as live systems do, not from a drive: install it"
    return ""


def _system_media(root: Mount, devices: list[str], blocks: Blocks) -> Observation:
    if root.filesystem in volumes.NETWORK:
        return unknown("the system volume is on another machine: ask who keeps that machine")
    if not devices:
        return unknown(
            f"drives under {root.filesystem} on {root.source} cannot be told: look at the drive list"
        )
    media, doubt = blocks.media(devices)
    if media is None:
        return unknown(f"{doubt}: read the drive's label or data sheet")
    return known(media, "rotation rate or bus of every drive under /")


def _system_encrypted(root: Mount, devices: list[str], blocks: Blocks) -> Observation:
    state = _encrypted(devices, blocks)
    if state is None:
        return unknown(f"what lies under {root.source or root.filesystem} cannot be seen from here: ask IT")
    return known(state, _STACK if state else _CLEAR)


def _system(root: Mount, given: Space, blocks: Blocks) -> dict[str, Observation]:
    devices = _devices(root, blocks)
    (size, free, used), doubt = _believed(root, given, devices, blocks)
    silent = unknown(doubt or "the file system under / did not say its size: run df /")
    return {
        "storage.system_size": silent if size is None else known(size, "statvfs of /"),
        "storage.system_free": silent if free is None else known(free, "statvfs of /, available to users"),
        "storage.system_used": silent if used is None else known(used, "statvfs of /"),
        "storage.system_filesystem": known(root.filesystem, _MOUNTINFO),
        "storage.system_media": _system_media(root, devices, blocks),
        "storage.system_encrypted": _system_encrypted(root, devices, blocks),
    }


def probe_volumes(host: Host) -> Observations:
    """Readings of mounted volumes, and of the one the system is on."""
    if reason := container_reason(host):
        return reads.all_unknown(_VOLUMES, reason)
    try:
        data = host.tree.data(_MOUNTINFO)
    except OSError as error:
        return reads.all_unknown(_VOLUMES, reads.refusal(_MOUNTINFO, error))
    decoded = mountinfo.decode(data)
    if not decoded:
        return reads.all_unknown(_VOLUMES, f"{_MOUNTINFO} lists no mount at all: probe outside any sandbox")
    mounts = mountinfo.visible(decoded)
    shown = volumes.distinct(mounts)
    space = volumes.spaces(shown, host.statvfs, _PATIENCE)
    blocks = _blocks(host)
    root = next((mount for mount in mounts if mount.point == "/"), None)
    strange = volumes.unrecognised(mounts)
    missing = f"mounts of a type not known to this version: {', '.join(strange)}" if strange else ""
    if len(decoded) < len(data.strip().split(b"\n")):
        missing = f"some lines of {_MOUNTINFO} cannot be read"
    items = [_item(mount, space[mount.point], blocks) for mount in shown]
    out = {"storage.volumes": known(items, f"{_MOUNTINFO}, statvfs", missing=missing)}
    if reason := _no_root(root):
        out.update(reads.all_unknown(_VOLUMES[:-1], reason))
    else:
        assert root is not None
        out.update(_system(root, space[root.point], blocks))
    return out


def probe_drives(host: Host) -> Observations:
    """Reading storage.drives."""
    if reason := container_reason(host):
        return {"storage.drives": unknown(reason)}
    blocks = _blocks(host)
    try:
        drives = blocks.drives()
    except OSError as error:
        return {"storage.drives": unknown(reads.refusal("/sys/block", error))}
    items = [
        {"model": drive.model, "size": drive.size, "media": drive.media, "bus": drive.bus} for drive in drives
    ]
    hidden = blocks.hidden()
    missing = f"the kernel names but does not show {', '.join(hidden)}" if hidden else ""
    return {"storage.drives": known(items, "/sys/block", missing=missing)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group storage; drives apart, so that a stuck mount does not cost them."""
    return (
        Probe("volumes", _VOLUMES, lambda: probe_volumes(host)),
        Probe("drives", ("storage.drives",), lambda: probe_drives(host)),
    )
