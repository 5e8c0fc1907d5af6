"""Hosts for tests: a dictionary, or a folder of fixtures, instead of a live machine."""

from __future__ import annotations

import os
import posixpath
import time
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from pcaudit.probes.linux.host import Host, Tree


class Link(NamedTuple):
    """A symbolic link in a ``MemoryTree``; relative targets start at the link's own folder."""

    target: str


Entry = str | bytes | Link | OSError
"""A file's content, a link, or the error that reading the file raises."""

DENIED = PermissionError(13, "Permission denied")
"""Stands for a file that is there but may not be read."""

_MOST_LINKS = 40  # path_resolution(7)


class MemoryTree(Tree):
    """A file system held in a dictionary of full paths.

    Folders exist where a path leads through them; a path that ends in a slash is a folder with
    nothing in it. Links are followed in every part of a path.
    """

    def __init__(self, entries: Mapping[str, Entry], modified: Mapping[str, float] | None = None) -> None:
        super().__init__("/nowhere")
        self.times = modified or {}
        self.entries = {name.rstrip("/"): entry for name, entry in entries.items() if name[-1] != "/"}
        self.folders: dict[str, set[str]] = {"": set()}
        for name in entries:
            self._add_folders(name)

    def _add_folders(self, name: str) -> None:
        parts = name.strip("/").split("/")
        for count in range(len(parts)):
            parent = "".join(f"/{part}" for part in parts[:count])
            self.folders.setdefault(parent, set()).add(parts[count])
        if name.endswith("/"):
            self.folders.setdefault(name.rstrip("/"), set())

    def _resolve(self, name: str, last: bool = True) -> str:
        """The path without links; the last part stays a link where ``last`` is false."""
        todo = [part for part in name.split("/") if part]
        done = ""
        links = 0
        while todo:
            part = todo.pop(0)
            done = posixpath.normpath(f"{done}/{part}") if part in {".", ".."} else f"{done}/{part}"
            done = "" if done == "/" else done
            entry = self.entries.get(done)
            if isinstance(entry, Link) and (todo or last):
                links += 1
                if links > _MOST_LINKS:
                    raise OSError(40, "Too many levels of symbolic links", name)
                todo = [part for part in entry.target.split("/") if part] + todo
                done = "" if entry.target.startswith("/") else posixpath.dirname(done).rstrip("/")
        return done

    def data(self, name: str) -> bytes:
        path = self._resolve(name)
        if path in self.folders and path not in self.entries:
            raise IsADirectoryError(21, "Is a directory", name)
        if path not in self.entries:
            raise FileNotFoundError(2, "No such file or directory", name)
        entry = self.entries[path]
        if isinstance(entry, OSError):
            raise entry
        assert not isinstance(entry, Link)
        return entry.encode() if isinstance(entry, str) else entry

    def names(self, name: str) -> list[str]:
        path = self._resolve(name)
        entry = self.entries.get(path)
        if isinstance(entry, OSError):
            raise entry
        if path not in self.folders:
            raise FileNotFoundError(2, "No such file or directory", name)
        return sorted(self.folders[path])

    def exists(self, name: str) -> bool:
        try:
            path = self._resolve(name)
        except OSError:  # a loop of links, or a closed folder on the way
            return False
        return path in self.entries or path in self.folders

    def link(self, name: str) -> str:
        path = self._resolve(name, last=False)
        entry = self.entries.get(path)
        if isinstance(entry, Link):
            return entry.target
        if path in self.entries or path in self.folders:
            raise OSError(22, "Invalid argument", name)
        raise FileNotFoundError(2, "No such file or directory", name)

    def modified(self, name: str) -> float:
        if not self.exists(name):
            raise FileNotFoundError(2, "No such file or directory", name)
        return self.times.get(name, 0.0)


def _no_statvfs(path: str) -> os.statvfs_result:
    raise FileNotFoundError(2, "No such file or directory", path)


def _synchronised() -> tuple[int, int]:
    return 0, 10_000


def _no_locale(name: str) -> str | None:
    return None


def _no_program(command: Sequence[str], seconds: float) -> bytes:
    raise FileNotFoundError(2, "No such file or directory", command[0])


def host(
    files: Mapping[str, Entry] | str | os.PathLike[str],
    *,
    environ: Mapping[str, str] | None = None,
    uid: int = 1000,
    user: str = "alex",
    node: str = "bench-1",
    machine: str = "x86_64",
    statvfs: Callable[[str], os.statvfs_result] = _no_statvfs,
    addresses: Mapping[str, Any] | None = None,
    adjtimex: Callable[[], tuple[int, int]] = _synchronised,
    modified: Mapping[str, float] | None = None,
    now: Callable[[], float] = time.time,
    separator: Callable[[str], str | None] = _no_locale,
    run: Callable[[Sequence[str], float], bytes] = _no_program,
) -> Host:
    """Build a host.

    Args:
        files: ``{"/proc/meminfo": "..."}``, or a folder that holds ``proc``, ``sys``, ``etc``.
        environ: Environment of the probing process; empty by default.
        uid: Effective user id; an ordinary user's by default.
        user: User name.
        node: Host name.
        machine: Architecture as uname spells it.
        statvfs: Answers for mounted file systems; by default there is none.
        addresses: ``psutil.net_if_addrs``-shaped answer; empty by default.
        adjtimex: Kernel clock state and maximum error in microseconds; by default a good clock.
        modified: Modification times of files in the dictionary, seconds since 1970.
        now: The present moment in seconds since 1970.
        separator: Decimal separator of a locale; by default no locale is installed.
        run: Output of programs; by default there is none.

    Returns:
        The host.
    """
    tree = MemoryTree(files, modified) if isinstance(files, Mapping) else Tree(os.fspath(files))
    return Host(
        tree=tree,
        environ=environ or {},
        uid=uid,
        user=user,
        node=node,
        machine=machine,
        statvfs=statvfs,
        addresses=lambda: addresses or {},
        adjtimex=adjtimex,
        now=now,
        separator=separator,
        run=run,
    )
