"""Which mounts are volumes: each space once, and its sizes without waiting for a dead server."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterable
from typing import Final, NamedTuple

from pcaudit.probes.decode.mountinfo import Mount

NETWORK: Final = {
    *("nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "lustre", "gfs2", "ocfs2", "glusterfs"),
    *("fuse.sshfs", "fuse.rclone", "fuse.s3fs", "fuse.glusterfs", "fuse.davfs", "fuse.curlftpfs", "davfs"),
    *("beegfs", "gpfs", "ncpfs", "orangefs", "fuse.cephfs", "fuse.ceph"),
}
"""File systems that may live on another machine. Common practice, no source."""
POOLED: Final = {"btrfs", "zfs", "bcachefs"}
"""File systems of their own device number: several mounts share one space."""
LAYERED: Final = {"overlay", "aufs", "tmpfs", "ramfs", "squashfs", "erofs", "rootfs"}
"""What a live system or a container has for its root: no space on a drive that can be told."""
# Without files of their own, or with another volume's. proc(5), filesystems(5), kernel documents.
_PSEUDO: Final = {
    *("proc", "sysfs", "devtmpfs", "devpts", "securityfs", "cgroup", "cgroup2", "pstore", "efivarfs", "bpf"),
    *("debugfs", "tracefs", "configfs", "fusectl", "mqueue", "hugetlbfs", "autofs", "binfmt_misc", "nsfs"),
    *("rpc_pipefs", "nfsd", "selinuxfs", "smackfs", "resctrl", "binder", "functionfs", "ecryptfs", "xenfs"),
    *("fuse.gvfsd-fuse", "fuse.portal", "fuse.lxcfs", "fuse.snapfuse", "fuse.mergerfs", "iso9660", "udf"),
    *("none", "sockfs", "pipefs", "dax", "cpuset", "usbfs", "ipathfs", "apparmorfs", "fuse.fuse-overlayfs"),
}
# As the kernel shows them where quotas are enforced (ext4, xfs, f2fs); the ...jquota ones with a file's name.
_QUOTAS: Final = {
    *("quota", "usrquota", "grpquota", "prjquota", "uquota", "gquota", "pquota"),
    *("uqenforce", "gqenforce", "pqenforce", "quota=on"),
}
_QUOTA_FILES: Final = ("usrjquota", "grpjquota", "prjjquota")
_LOOP_MAJOR: Final = "7:"  # Linux admin-guide/devices.txt


class Space(NamedTuple):
    """Bytes of a file system: in all, still free for an ordinary user, and taken."""

    size: int | None
    free: int | None
    used: int | None


UNKNOWN_SPACE: Final = Space(None, None, None)


def is_volume(mount: Mount) -> bool:
    """Whether a mount holds files on a drive or a server."""
    if mount.filesystem in NETWORK or mount.filesystem in POOLED:
        return True
    if mount.device.startswith(_LOOP_MAJOR) and mount.point != "/":
        return False  # its space is a file on a volume that is listed itself
    block = not mount.device.startswith("0:")
    return block and mount.filesystem not in LAYERED and mount.filesystem not in _PSEUDO


def has_quotas(mount: Mount) -> bool:
    """Whether its options let less be filled than the file system has free."""
    pairs = (option.partition("=") for option in mount.options)
    return not _QUOTAS.isdisjoint(mount.options) or any(
        name in _QUOTA_FILES and value for name, _, value in pairs
    )


def unrecognised(mounts: Iterable[Mount]) -> list[str]:
    """Types of file system that are neither volumes nor known to be none."""
    return sorted(
        {
            mount.filesystem
            for mount in mounts
            if mount.device.startswith("0:")
            and not is_volume(mount)
            and mount.filesystem not in LAYERED
            and mount.filesystem not in _PSEUDO
        }
    )


def _space_of(mount: Mount) -> str:
    """The same text for mounts of the same space."""
    if mount.filesystem == "zfs":
        return f"zfs {mount.source.partition('/')[0]}"
    if mount.filesystem in NETWORK:
        return f"{mount.filesystem} {mount.source}"
    return mount.device if not mount.device.startswith("0:") else mount.source or mount.device


def distinct(mounts: Iterable[Mount]) -> list[Mount]:
    """The volumes, each space once: where it is mounted whole, and nearest to the root."""
    best: dict[str, Mount] = {}
    for mount in mounts:
        if not is_volume(mount):
            continue
        key = _space_of(mount)
        if key not in best or _rank(mount) < _rank(best[key]):
            best[key] = mount
    return list(best.values())


def _rank(mount: Mount) -> tuple[bool, bool, int]:
    return mount.point != "/", mount.root != "/", len(mount.point)


def _measure(ask: Callable[[str], os.statvfs_result], point: str) -> Space:
    try:
        given = ask(point)
    except OSError:
        return UNKNOWN_SPACE
    # statvfs(3): the counts are in units of f_frsize; f_bavail leaves out what is kept for root.
    if not given.f_blocks:
        return UNKNOWN_SPACE
    counts = (given.f_blocks, given.f_bavail, given.f_blocks - given.f_bfree)
    return Space(*(count * given.f_frsize for count in counts))


def spaces(
    mounts: Iterable[Mount], ask: Callable[[str], os.statvfs_result], patience: float
) -> dict[str, Space]:
    """The space of each mount, by mount point.

    Network mounts are asked each in its own daemon thread, for the kernel lets nobody out of a
    question to a dead server; after ``patience`` seconds together they count as unknown.
    """
    answers: dict[str, Space] = {}
    threads = []
    for mount in mounts:
        if mount.filesystem not in NETWORK:
            continue
        thread = threading.Thread(target=_keep, args=(answers, ask, mount.point), daemon=True)
        thread.start()
        threads.append(thread)
    for mount in mounts:
        if mount.filesystem not in NETWORK:
            _keep(answers, ask, mount.point)
    end = time.monotonic() + patience
    for thread in threads:
        thread.join(max(0.0, end - time.monotonic()))
    return {mount.point: answers.get(mount.point, UNKNOWN_SPACE) for mount in mounts}


def _keep(answers: dict[str, Space], ask: Callable[[str], os.statvfs_result], point: str) -> None:
    answers[point] = _measure(ask, point)
