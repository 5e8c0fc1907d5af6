"""What a set of disks holds, by the way it is striped and mirrored.

Levels as the SNIA's "Common RAID Disk Data Format" and the trade define them: 0 stripes, 1 mirrors
on every disk, 5 gives one disk to parity, 6 two, 10 stripes over mirrored pairs. The smallest disk
counts for each. A RAID keeps a PC or server running when a disk fails; it never is a copy.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

LEAST_DISKS: Final = {"0": 2, "1": 2, "5": 3, "6": 4, "10": 4}
"""Disks that each level needs at least."""


def usable(level: str, disks: Sequence[int]) -> int:
    """Bytes that a set of disks holds.

    Args:
        level: A key of ``LEAST_DISKS``.
        disks: Bytes of each disk; at least as many as the level needs, an even number for 10.
    """
    count = len(disks)
    data_disks = {"0": count, "1": 1, "5": count - 1, "6": count - 2, "10": count // 2}[level]
    return min(disks) * data_disks
