"""Drives that are fitted and that no volume needs, on which a volume could be made.

Which drive a volume lies on is not read. Each volume is therefore laid on the smallest drive that
has room for it; what is left over is free only where the others are as good as full, so that
nothing can lie on it instead. Drives alike may be a RAID, and are never counted on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.conditions import Requirement
from pcaudit.core.fitting_values import meets
from pcaudit.core.parts import OF_VOLUME, Seen, Wants, new_volume, plain
from pcaudit.core.snapshot import Form, Observation
from pcaudit.core.units import STORAGE

_FULL: Final = 0.9
"""Share of a drive that its volumes take where there is no room for another one to speak of.

Common practice, no source: partitions for starting and recovery take some percent.
"""
_ALIKE: Final = 0.02
"""Share by which drives sold as the same size may differ. Common practice, no source."""

Item = Mapping[str, Any]


class FreeDrive(NamedTuple):
    """A drive that no volume needs, and whether that is known."""

    drive: Item
    sure: bool

    @property
    def label(self) -> str:
        """What it is called: "Corvane, 1 TB"."""
        return ", ".join(filter(None, (self.drive.get("model"), plain(self.drive["size"], STORAGE))))


def _laid(volumes: Sequence[Item], drives: Sequence[Item]) -> list[int] | None:
    """Bytes that volumes take of each drive; None where they cannot be laid on them."""
    taken = [0] * len(drives)
    for volume in sorted(volumes, key=lambda one: -one["size"]):
        fit = [
            (drive["size"] - taken[at] - volume["size"], at)
            for at, drive in enumerate(drives)
            if drive["size"] - taken[at] >= volume["size"] and _media_agree(volume, drive)
        ]
        if not fit:
            return None
        taken[min(fit)[1]] += volume["size"]
    return taken


def _media_agree(volume: Item, drive: Item) -> bool:
    media = (volume.get("media"), drive.get("media"))
    return None in media or media[0] == media[1]


def _has_twin(drive: Item, drives: Sequence[Item]) -> bool:
    return any(
        one is not drive
        and _media_agree(one, drive)
        and abs(one["size"] - drive["size"]) <= _ALIKE * drive["size"]
        for one in drives
    )


def free_drives(volumes: Observation, drives: Observation) -> list[FreeDrive]:
    """Drives that no volume needs, as far as the lists tell.

    Args:
        volumes: ``storage.volumes``.
        drives: ``storage.drives``.
    """
    if not all(one.form is Form.KNOWN and one.complete for one in (volumes, drives)):
        return []
    fixed = [one for one in volumes.value if one.get("kind") not in ("network", "removable")]
    if any(one.get("size") is None for one in (*fixed, *drives.value)):
        return []
    taken = _laid(fixed, drives.value)
    if taken is None:
        return []
    full = all(
        not used or used >= _FULL * drive["size"] for used, drive in zip(taken, drives.value, strict=True)
    )
    return [
        FreeDrive(drive, full and not _has_twin(drive, drives.value))
        for used, drive in zip(taken, drives.value, strict=True)
        # What hangs on a cable may be gone tomorrow.
        if not used and drive.get("bus") != "usb"
    ]


def volume_on(free: FreeDrive, asked: Sequence[Requirement], seen: Seen) -> dict[str, Any] | None:
    """The volume that a free drive could have; None where it does not do what is asked.

    Args:
        free: The drive.
        asked: What is asked of the volume.
        seen: Readings of the PC.
    """
    wants = Wants(tuple((f"volume.{one.name}", one) for one in asked))
    size, media = int(free.drive["size"] * OF_VOLUME), free.drive.get("media")
    made = new_volume(wants, seen)
    if made is None or made["kind"] != "fixed":
        return None
    if not meets(wants.on("volume.size", "volume.free"), size):
        return None
    if wants.on("volume.media") and (media is None or not meets(wants.on("volume.media"), media)):
        return None
    return {**made, "size": size, "free": size, "media": media}
