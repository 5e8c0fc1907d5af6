"""The volume that acquired data lies on: what a snapshot shows of it, else what the worksheet says."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from pcaudit.core.derive import Readings
from pcaudit.core.snapshot import Form
from pcaudit.core.visible import visible
from pcaudit.core.worksheet.data import Data

_LIST: Final = "storage.volumes"
_MOST_NAMED: Final = 8


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
        why: Why anything of it is not known.
        snapshot: Whether there is a snapshot.
        misnamed: Whether the snapshot shows volumes, and none of that name.
        sized: Whether size and free space are the snapshot's.
    """

    name: str
    used: int | None
    free: int | None
    size: int | None
    system: bool
    source: str
    why_used: str = ""
    why: str = ""
    snapshot: bool = False
    misnamed: bool = False
    sized: bool = False


def blank(key: str, of: str = "") -> str:
    """The reason for what the worksheet leaves blank.

    Args:
        key: As it is written, ``of`` in a table of a list, or dotted.
        of: The item of that list, for people.
    """
    return f"`{key}`{f' of {of}' if of else ''} is blank in the worksheet"


def find_volume(data: Data, readings: Readings | None) -> Volume:
    """The volume the worksheet names; what the snapshot shows of it goes before what is written."""
    item, lack = _shown(data, readings)
    used, source = item.get("used"), "the snapshot"
    if used is None:
        used, source = data.used, "data.used"
    free, size = item.get("free"), item.get("size")
    sized = free is not None and size is not None
    if not sized and data.capacity is not None and used is not None:
        free, size = max(data.capacity - used, 0), data.capacity
    whys = (
        "" if used is not None else f"{lack}, and {blank('data.used')}",
        "" if free is not None and size is not None else f"{lack}, and {blank('data.capacity')}",
    )
    why = "; ".join(one for one in whys if one)
    if all(whys):
        why = f"{lack}, and `data.used` and `data.capacity` are blank in the worksheet"
    name = visible(data.volume, 80) or "the data volume"
    return Volume(
        name,
        used,
        free,
        size,
        item.get("system") is True,
        source,
        whys[0],
        why,
        snapshot=readings is not None,
        misnamed=bool(data.volume and _named(readings) and not item),
        sized=sized,
    )


def _named(readings: Readings | None) -> tuple[str, ...]:
    """The volumes the snapshot shows."""
    volumes = None if readings is None else readings.get(_LIST)
    if volumes is None or volumes.form is not Form.KNOWN:
        return ()
    return tuple(item["mount"] for item in volumes.value if isinstance(item.get("mount"), str))


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
    others = _named(readings)
    few = ", ".join(visible(mount, 40) for mount in others[:_MOST_NAMED])
    more = " and others" if len(others) > _MOST_NAMED else ""
    return {}, f"the snapshot shows no volume {name}, it shows {few or 'none'}{more}"


def _same(mount: str, name: str) -> bool:
    """Whether two spellings name one mount point: drive letters without regard to case or last slash."""
    one, other = (text.rstrip("\\/") or text for text in (mount, name))
    if one[1:2] == ":":
        return one.casefold() == other.casefold()
    return one == other
