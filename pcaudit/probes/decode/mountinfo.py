"""Mounted file systems: ``/proc/self/mountinfo``, as proc(5) describes it."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import NamedTuple

_ESCAPE = re.compile(rb"\\([0-7]{3})")


class Mount(NamedTuple):
    """One line of mountinfo.

    Attributes:
        id, parent: Identifiers of this mount and the one it is mounted in.
        device: ``major:minor``; major 0 is no block device.
        root: Folder of the file system that is mounted.
        point: Where it is mounted.
        filesystem: Type, such as ``ext4``.
        source: What was mounted, such as ``/dev/sda1``.
        options: Those of the file system as a whole.
    """

    id: int
    parent: int
    device: str
    root: str
    point: str
    filesystem: str
    source: str
    options: frozenset[str] = frozenset()


def _unescape(field: bytes) -> str:
    if b"\\" in field:
        field = _ESCAPE.sub(lambda match: bytes((int(match[1], 8) & 0xFF,)), field)
    return field.decode("utf-8", "surrogateescape")


def _mount(line: bytes) -> Mount | None:
    fields = line.split(b" ")
    try:
        end = fields.index(b"-", 6)
        filesystem, source = fields[end + 1], fields[end + 2]
        identifier, parent = int(fields[0]), int(fields[1])
    except (ValueError, IndexError):
        return None
    device, root, point = fields[2], fields[3], fields[4]
    options = _unescape(fields[end + 3]) if len(fields) > end + 3 else ""
    return Mount(
        identifier,
        parent,
        _unescape(device),
        _unescape(root),
        _unescape(point),
        _unescape(filesystem),
        _unescape(source),
        frozenset(options.split(",")),
    )


def decode(data: bytes) -> list[Mount]:
    """The mounts, in the kernel's order; lines that are none are left out."""
    return [mount for mount in map(_mount, data.split(b"\n")) if mount is not None]


def _holds(point: str, path: str) -> bool:
    return point == "/" or path == point or path.startswith(f"{point}/")


def _at(path: str, start: Mount, children: dict[int, list[Mount]]) -> Mount:
    here = start
    for _ in range(sum(map(len, children.values()))):  # a loop in broken data must end
        below = [mount for mount in children.get(here.id, ()) if _holds(mount.point, path)]
        if not below:
            break
        here = min(below, key=lambda mount: len(mount.point))
    return here


def visible(mounts: list[Mount]) -> list[Mount]:
    """The mounts that a path leads to; those hidden under a later one are left out."""
    known = {mount.id for mount in mounts}
    above = Mount(-1, -1, "", "", "", "", "")
    children: dict[int, list[Mount]] = defaultdict(list)
    for mount in mounts:
        inside = mount.parent in known and mount.parent != mount.id
        children[mount.parent if inside else above.id].append(mount)
    return [mount for mount in mounts if _at(mount.point, above, children) is mount]
