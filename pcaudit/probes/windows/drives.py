r"""Drives: what each says of itself, and which of them a volume lies on.

Drives are opened with no access, which every account may do; nothing here asks for administrator
rights, and nothing wakes a drive that has stopped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final, NamedTuple, TypeVar

from pcaudit.probes.decode import windows_storage as decode
from pcaudit.probes.windows import firmware
from pcaudit.probes.windows.calls.storage import NoMediumError
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.virtual import virtual

_MOST: Final = 64
"""Numbers of drives that are tried; Windows numbers them from 0, with gaps where one was taken out."""

# STORAGE_BUS_TYPE, winioctl.h.
_SCSI, _ATA, _FIBRE, _USB, _RAID, _ISCSI, _SAS, _SATA, _SD, _MMC = 1, 3, 6, 7, 8, 9, 10, 11, 12, 13
_VIRTUAL, _FILE_BACKED, _SPACES, _NVME, _NVME_NETWORK = 14, 15, 16, 17, 20
_WORDS: Final = {
    _SCSI: "scsi",
    _USB: "usb",
    _SAS: "sas",
    _SATA: "sata",
    _SD: "sd",
    _MMC: "sd",
    _NVME: "nvme",
}
"""The catalogue's words. An ATA bus may be a SATA drive behind an old-fashioned controller: no word."""
_ELSEWHERE: Final = {_FIBRE, _ISCSI, _VIRTUAL, _FILE_BACKED, _NVME_NETWORK}
"""What shows as a drive and is none of this PC's own: on a network, or in a file."""
DRIVE, ARRAY, SPACE, ELSEWHERE = "drive", "behind a RAID controller", "storage space", "not in this PC"
_HIDING: Final = {
    _USB: "a USB bridge may hide what the drive is",
    _RAID: "a RAID controller may hide what the drives are",
    _SD: "a memory card or soldered flash, neither an SSD nor a hard disk",
    _MMC: "a memory card or soldered flash, neither an SSD nor a hard disk",
    _SPACES: "a storage space does not say what it is kept on",
}
_TELLING: Final = {_ATA, _SAS, _SATA}
_PRETENCE: Final = "a virtual drive does not say what it is kept on"

# How hypervisors name the drives they present. Common practice, no source.
_HYPERVISORS: Final = ("qemu", "vmware", "vbox", "xen", "bochs", "virtual", "virtio")
_Answer = TypeVar("_Answer")


class Drive(NamedTuple):
    """One drive, or what pretends to be one.

    Attributes:
        model: As the drive says; None where it says nothing.
        size: Bytes; None where Windows does not say.
        media: ``ssd`` or ``hdd``; None where that cannot be believed.
        doubt: Why media is None.
        bus: One of the catalogue's buses, None where it is another one.
        nature: ``DRIVE``, or that it may be made of several (``ARRAY``), is made of several
            (``SPACE``), or is in a file or on a network (``ELSEWHERE``).
        removable: The drive, or the medium in it, is made to be taken out.
        empty: There is no medium in it.
    """

    model: str | None
    size: int | None
    media: str | None
    doubt: str
    bus: str | None
    nature: str
    removable: bool
    empty: bool = False


def _is_hypervisor(name: str) -> bool:
    folded = name.casefold()
    return any(word in folded for word in _HYPERVISORS)


def pretence(host: Host) -> str:
    """Why drives may be a hypervisor's pretence; empty on a real PC."""
    observed = virtual(host, firmware.read(host))
    if observed.value is None:
        return f"whether this is a virtual drive is unknown ({observed.why})"
    return _PRETENCE if observed.value else ""


def _ask(host: Host, path: str, code: int, given: bytes, read: Callable[[bytes], _Answer]) -> _Answer | None:
    """One answer of a drive, None where it gives none."""
    try:
        return read(host.storage.control(path, code, given))
    except (OSError, ValueError):
        return None


def _flag(host: Host, path: str, property_id: int) -> bool | None:
    return _ask(host, path, decode.QUERY_PROPERTY, decode.query(property_id), decode.flag)


def _media(host: Host, path: str, said: decode.Descriptor, virtual: str) -> tuple[str | None, str]:
    """Solid-state or rotating, only where two answers agree; else why it cannot be told."""
    if said.bus in _HIDING:
        return None, _HIDING[said.bus]
    if said.bus in _ELSEWHERE:
        return None, ELSEWHERE
    if virtual or _is_hypervisor(f"{said.vendor} {said.product}"):
        return None, virtual or _PRETENCE
    seeks = _flag(host, path, decode.SEEK_PENALTY_PROPERTY)
    if said.bus == _NVME:
        return (None, "bus and seek penalty disagree") if seeks else ("ssd", "")
    if said.bus not in _TELLING:
        return None, "its controller may hide what the drive is"
    trims = _flag(host, path, decode.TRIM_PROPERTY)
    if seeks is None:
        return None, "Windows does not say whether it has to seek"
    if seeks:
        return (None, "it has to seek like a hard disk and trims like an SSD") if trims else ("hdd", "")
    return ("ssd", "") if trims else (None, "it need not seek, but it does not trim like an SSD either")


def _bus(said: decode.Descriptor) -> str | None:
    name = f"{said.vendor} {said.product}"
    if "virtio" in name.casefold():
        return "virtio"
    if said.bus == _SCSI and _is_hypervisor(name):
        return None  # the virtual drives of a hypervisor call themselves SCSI, whatever they stand for
    return _WORDS.get(said.bus)


def _size(host: Host, path: str) -> tuple[int | None, bool]:
    """Bytes of a drive, None where unknown, and whether there is no medium in it."""
    try:
        size = decode.drive_size(host.storage.control(path, decode.GEOMETRY, b""))
    except NoMediumError:
        return None, True
    except (OSError, ValueError):
        return None, False
    return (size if size > 0 else None), False


def _nature(bus: int, virtual: str) -> str:
    # A virtual machine is read as the PC it presents: there a virtual bus is the bus.
    if bus in _ELSEWHERE and not (bus == _VIRTUAL and virtual == _PRETENCE):
        return ELSEWHERE
    return {_RAID: ARRAY, _SPACES: SPACE}.get(bus, DRIVE)


def drive(host: Host, number: int, virtual: str) -> Drive | None:
    r"""What is known of ``\\.\PhysicalDriveN``; None where there is no such drive.

    Args:
        host: The host.
        number: N.
        virtual: Why drives may be a hypervisor's pretence; empty on a real PC.
    """
    path = rf"\\.\PhysicalDrive{number}"
    try:
        answer = host.storage.control(path, decode.QUERY_PROPERTY, decode.query(decode.DEVICE_PROPERTY))
        said = decode.descriptor(answer)
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        return Drive(None, None, None, f"{path}: {error}", None, DRIVE, removable=False)
    size, empty = _size(host, path)
    media, doubt = _media(host, path, said, virtual)
    return Drive(
        model=said.product or said.vendor or None,
        size=size,
        media=media,
        doubt=f"{said.product or path}: {doubt}" if doubt else "",
        bus=_bus(said),
        nature=_nature(said.bus, virtual),
        removable=said.removable or said.bus in {_USB, _SD},
        empty=empty,
    )


def every(host: Host) -> dict[int, Drive]:
    """Every drive by its number."""
    virtual = pretence(host)
    found = ((number, drive(host, number, virtual)) for number in range(_MOST))
    return {number: each for number, each in found if each is not None}


def under(host: Host, device: str) -> tuple[list[int], int]:
    r"""Numbers of the drives a volume lies on, and the bytes it takes there.

    Args:
        host: The host.
        device: Of the volume, ``\\.\C:`` or ``\\?\Volume{...}`` without a backslash at the end.

    Returns:
        No numbers where Windows does not say.
    """
    parts = _ask(host, device, decode.DISK_EXTENTS, b"", decode.extents) or []
    return sorted({part.drive for part in parts}), sum(part.length for part in parts)


def media(drives: Iterable[Drive]) -> tuple[str | None, str]:
    """Media of several drives together: the worst where they differ, and why if unknown."""
    seen = list(drives)
    doubts = "; ".join(each.doubt for each in seen if each.doubt)
    kinds = {each.media for each in seen}
    if "hdd" in kinds:
        return "hdd", ""
    return (None, doubts) if doubts or not kinds else ("ssd", "")
