"""Structures Windows answers questions about volumes and drives with, as 64-bit Windows lays them out."""

from __future__ import annotations

import struct
from typing import Final, NamedTuple

# Control codes of winioctl.h, made by CTL_CODE; all of FILE_ANY_ACCESS, so open to every account.
QUERY_PROPERTY: Final = 0x002D1400  # IOCTL_STORAGE_QUERY_PROPERTY
DISK_EXTENTS: Final = 0x00560000  # IOCTL_VOLUME_GET_VOLUME_DISK_EXTENTS
GEOMETRY: Final = 0x000700A0  # IOCTL_DISK_GET_DRIVE_GEOMETRY_EX

# STORAGE_PROPERTY_ID, winioctl.h.
DEVICE_PROPERTY, SEEK_PENALTY_PROPERTY, TRIM_PROPERTY = 0, 7, 8


class Extent(NamedTuple):
    """A part of a drive that a volume lies on: number of the drive, and bytes."""

    drive: int
    length: int


class Descriptor(NamedTuple):
    """What a drive says of itself.

    Attributes:
        vendor, product: Texts, empty where it gives none.
        bus: STORAGE_BUS_TYPE, winioctl.h.
        removable: Its medium can be taken out.
    """

    vendor: str
    product: str
    bus: int
    removable: bool


def query(property_id: int) -> bytes:
    """STORAGE_PROPERTY_QUERY for a property: its number, PropertyStandardQuery, one spare byte."""
    return struct.pack("<II4x", property_id, 0)


def extents(data: bytes) -> list[Extent]:
    """VOLUME_DISK_EXTENTS (winioctl.h): where a volume lies.

    Raises:
        ValueError: It is cut short.
    """
    # DWORD NumberOfDiskExtents; from byte 8 DISK_EXTENT {DWORD DiskNumber; LARGE_INTEGER
    # StartingOffset, ExtentLength}, 24 bytes each.
    if len(data) < 4:
        raise ValueError("no number of disk extents")
    (count,) = struct.unpack_from("<I", data)
    if len(data) < 8 + 24 * count:
        raise ValueError("disk extents cut short")
    found = (struct.unpack_from("<I4xqq", data, 8 + 24 * at) for at in range(count))
    return [Extent(drive, length) for drive, _, length in found]


def descriptor(data: bytes) -> Descriptor:
    """STORAGE_DEVICE_DESCRIPTOR (winioctl.h).

    Raises:
        ValueError: It is cut short.
    """
    # DWORD Version, Size; BYTE DeviceType, DeviceTypeModifier; BOOLEAN RemovableMedia,
    # CommandQueueing; DWORD VendorIdOffset, ProductIdOffset, ProductRevisionOffset,
    # SerialNumberOffset; STORAGE_BUS_TYPE BusType; DWORD RawPropertiesLength.
    if len(data) < 36:
        raise ValueError("device descriptor cut short")
    removable, vendor, product, bus = struct.unpack_from("<10xBxII8xI", data)
    return Descriptor(_text(data, vendor), _text(data, product), bus, bool(removable))


def _text(data: bytes, at: int) -> str:
    # An offset of 0 says that there is none; some drivers say the same by all ones.
    if not 36 <= at < len(data):
        return ""
    # Drives give ASCII (SPC-4, SAT-4); what is not is a driver's mistake and must stay visible.
    return data[at:].partition(b"\0")[0].decode("ascii", "backslashreplace").strip()


def flag(data: bytes) -> bool:
    """DEVICE_SEEK_PENALTY_DESCRIPTOR, DEVICE_TRIM_DESCRIPTOR (winioctl.h): DWORD Version, Size; BOOLEAN.

    Raises:
        ValueError: It is cut short.
    """
    if len(data) < 9:
        raise ValueError("descriptor cut short")
    return bool(data[8])


def drive_size(data: bytes) -> int:
    """Bytes of a drive, from DISK_GEOMETRY_EX (winioctl.h): DISK_GEOMETRY of 24 bytes, then the size.

    Raises:
        ValueError: It is cut short.
    """
    if len(data) < 32:
        raise ValueError("geometry cut short")
    size: int = struct.unpack_from("<24xq", data)[0]
    return size
