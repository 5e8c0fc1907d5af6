"""The Linux host as the probes see it: its files, and the few answers that are no files.

Everything a probe asks goes through a ``Host``, so that a recorded host (a folder with its
``/proc``, ``/sys`` and ``/etc``) can stand in for the live one.
"""

from __future__ import annotations

import os
import pwd
import stat
import time
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

_CHUNK = 1 << 16
LIMIT = 64 << 20
"""Bytes read of one file at most; nothing a probe reads is honestly larger."""


class Tree:
    """A file system seen from ``root``.

    Methods raise ``FileNotFoundError`` where there is nothing, ``PermissionError`` where the
    account may not read, other ``OSError`` where the kernel refuses; absent and denied are
    different truths.
    """

    def __init__(self, root: str = "/") -> None:
        self.root = root.rstrip("/")

    def path(self, name: str) -> str:
        """The real path of ``name``, which is written from the root: ``/proc/meminfo``."""
        return f"{self.root}{name}"

    def data(self, name: str) -> bytes:
        """The bytes of a file, in few system calls.

        Raises:
            OSError: Also where it is no regular file: a pipe that nobody writes to looks empty.
        """
        descriptor = os.open(self.path(name), os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK)
        try:
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                raise OSError(f"{name} is no regular file")
            parts = []
            size = 0
            while chunk := os.read(descriptor, _CHUNK):
                parts.append(chunk)
                size += len(chunk)
                if size > LIMIT:
                    raise OSError(f"{name} is larger than {LIMIT} bytes")
            return b"".join(parts)
        finally:
            os.close(descriptor)

    def text(self, name: str) -> str:
        """The text of a file, undecodable bytes shown as escapes, outer white space removed."""
        return self.data(name).decode("utf-8", "backslashreplace").strip()

    def names(self, name: str) -> list[str]:
        """The names in a folder, sorted."""
        return sorted(os.listdir(self.path(name)))

    def exists(self, name: str) -> bool:
        """Whether ``name`` can be seen."""
        return os.path.exists(self.path(name))

    def link(self, name: str) -> str:
        """Where a symbolic link points, as it is written."""
        return os.readlink(self.path(name))

    def modified(self, name: str) -> float:
        """When ``name`` was last modified, in seconds since 1970 (UTC)."""
        return os.stat(self.path(name)).st_mtime


class Host(NamedTuple):
    """One Linux host, live or recorded.

    Attributes:
        tree: Its files.
        environ: Environment of the probing process.
        uid: Effective user id of the probing process.
        user: That user's name.
        node: Host name (uname).
        machine: Architecture (uname).
        statvfs: Asks a mounted file system for its sizes; may hang on a dead network mount.
        addresses: ``psutil.net_if_addrs``-shaped answer.
        adjtimex: Kernel clock state: (status code, maximum error in microseconds).
        now: The present moment, in seconds since 1970.
        separator: Decimal separator of a locale by the host's own C library; None asks this
            program's.
        run: Output of a program that is given some seconds, raising ``OSError`` where there is
            none; None runs it on the live host.
    """

    tree: Tree
    environ: Mapping[str, str]
    uid: int
    user: str
    node: str
    machine: str
    statvfs: Callable[[str], os.statvfs_result]
    addresses: Callable[[], Mapping[str, Any]]
    adjtimex: Callable[[], tuple[int, int]]
    now: Callable[[], float] = time.time
    separator: Callable[[str], str | None] | None = None
    run: Callable[[Sequence[str], float], bytes] | None = None


def _user_name(uid: int) -> str:
    try:
        return pwd.getpwuid(uid).pw_name
    except KeyError:
        return str(uid)


def _addresses() -> Mapping[str, Any]:
    import psutil

    addresses: Mapping[str, Any] = psutil.net_if_addrs()
    return addresses


def _adjtimex() -> tuple[int, int]:
    import ctypes

    # struct timex, include/uapi/linux/timex.h: modes (int), offset, freq, maxerror (long), ...
    buffer = ctypes.create_string_buffer(256)
    state = ctypes.CDLL(None, use_errno=True).adjtimex(buffer)
    if state < 0:
        raise OSError(ctypes.get_errno(), "adjtimex")
    word = ctypes.sizeof(ctypes.c_long)
    return state, ctypes.c_long.from_buffer(buffer, 3 * word).value


def live() -> Host:
    """The host this process runs on."""
    name = os.uname()
    uid = os.geteuid()
    return Host(
        tree=Tree(),
        environ=os.environ,
        uid=uid,
        user=_user_name(uid),
        node=name.nodename,
        machine=name.machine,
        statvfs=os.statvfs,
        addresses=_addresses,
        adjtimex=_adjtimex,
    )
