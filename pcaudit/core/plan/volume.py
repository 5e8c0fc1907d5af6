"""The volume that acquired data lies on: what a snapshot shows of it, else what the worksheet says."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from pcaudit.core.derive import Readings
from pcaudit.core.snapshot import Form
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.data import Data

_LIST: Final = "storage.volumes"


class Volume(NamedTuple):
    """What is known of the volume.

    Attributes:
        name: For people.
        used: Bytes taken; None where that is not known.
        free: Bytes an ordinary user may still fill; None where that is not known.
        size: Bytes of it; None where that is not known.
        system: Whether it is known to hold the operating system too.
        source: Where that was read.
        why_used: Why the space taken is not known.
        why_free: Why free space or size is not known.
    """

    name: str
    used: int | None
    free: int | None
    size: int | None
    system: bool
    source: str
    why_used: str = ""
    why_free: str = ""


def blank(key: str) -> str:
    """The reason for what the worksheet leaves blank."""
    return f"{key} is blank in the worksheet"


def find_volume(data: Data, readings: Readings | None) -> Volume:
    """The volume the worksheet names; what the snapshot shows of it goes before what is written."""
    item, why = _shown(data, readings)
    used, source = item.get("used"), "the snapshot"
    if used is None:
        used, source = data.used, "data.used"
    free, size = item.get("free"), item.get("size")
    if (free is None or size is None) and data.capacity is not None and used is not None:
        free, size = max(data.capacity - used, 0), data.capacity
    name = visible(data.volume, 80) or "the data volume"
    return Volume(
        name,
        used,
        free,
        size,
        item.get("system") is True,
        source,
        "" if used is not None else f"{why}, and {blank('data.used')}",
        "" if free is not None and size is not None else f"{why}, and {blank('data.capacity')}",
    )


def _shown(data: Data, readings: Readings | None) -> tuple[dict[str, Any], str]:
    """What the snapshot shows of it, and why that is not all."""
    if readings is None:
        return {}, "there is no snapshot"
    if not data.volume:
        return {}, blank("data.volume")
    volumes = readings.get(_LIST)
    if volumes.form is not Form.KNOWN:
        return {}, volumes.why or "the snapshot does not show the volumes"
    name = visible(data.volume, 80)
    for item in volumes.value:
        if isinstance(item.get("mount"), str) and _same(item["mount"], data.volume):
            return item, f"the snapshot does not show all of {name}"
    return {}, f"the snapshot shows no volume {name}"


def _same(mount: str, name: str) -> bool:
    """Whether two spellings name one mount point: drive letters without regard to case or last slash."""
    one, other = (text.rstrip("\\/") or text for text in (mount, name))
    if one[1:2] == ":":
        return one.casefold() == other.casefold()
    return one == other
