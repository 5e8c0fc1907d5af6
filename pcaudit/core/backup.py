"""The outline of a backup plan that follows from a snapshot alone.

Copies and places by the 3-2-1 rule: three copies, on two kinds of media, one of them off-site
(Krogh, "The DAM Book", 2005; recommended by US-CERT, "Data Backup Options", 2012).
"""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core.derive import Readings
from pcaudit.core.report import BackupItem, BackupOutline
from pcaudit.core.snapshot import Form

_COPIES: Final = (
    "copy 1: the data on this PC itself",
    "copy 2: another medium at the site, such as a file server or a disk kept apart from the PC",
    "copy 3: off-site, and one copy offline so that malware cannot reach it",
)
_RESTORE_TEST: Final = (
    "Restore the system image and one acquired run to another disk before the installer leaves, open the "
    "run in the instrument software, and note date and name; repeat every quarter."
)
_CAUTIONS: Final = (
    "RAID, synchronised folders and snapshots on the same PC are no copies.",
    "A backup that was never restored is unproven.",
    "Keep recovery keys of encrypted volumes apart from the PC.",
)
_ASK_LAB: Final = "not measured by a probe: ask the lab"


def _system_image(readings: Readings) -> BackupItem:
    what = "System image (operating system, programs, settings)"
    used = readings.get("storage.system_used")
    if used.form is not Form.KNOWN:
        return BackupItem(what, None, used.why or "the system volume was not read")
    return BackupItem(what, used.value, "space taken on the system volume")


def _data_volume(volume: dict[str, Any]) -> BackupItem:
    what = f"Files on {volume.get('mount') or 'a volume without a mount point'}"
    used = volume.get("used")
    if used is None:
        return BackupItem(what, None, "the space taken on it is not known")
    return BackupItem(what, used, "space taken on it")


def _data_volumes(readings: Readings) -> list[BackupItem]:
    volumes = readings.get("storage.volumes")
    if volumes.form is not Form.KNOWN:
        return [BackupItem("Files on other volumes", None, volumes.why or "the volumes were not read")]
    return [
        _data_volume(volume)
        for volume in volumes.value
        if volume.get("kind") == "fixed" and not volume.get("system")
    ]


def outline(readings: Readings) -> BackupOutline:
    """What on this PC is to be backed up, how much that is, and how to keep it.

    Args:
        readings: Of the PC.

    Returns:
        The outline; sizes in bytes where the snapshot shows them, else why it does not.
    """
    items = [
        _system_image(readings),
        *_data_volumes(readings),
        BackupItem("Acquired data", None, f"grows with use; {_ASK_LAB} for data per run and runs per day"),
        BackupItem("Methods and sequences", None, _ASK_LAB),
        BackupItem("Results database", None, _ASK_LAB),
        BackupItem("Licence files and instrument configuration", None, _ASK_LAB),
    ]
    return BackupOutline(tuple(items), _COPIES, _RESTORE_TEST, _CAUTIONS)
