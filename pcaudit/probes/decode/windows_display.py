"""Structures Windows answers questions about screens with (wingdi.h), as 64-bit Windows lays them out."""

from __future__ import annotations

import struct
from typing import Final, NamedTuple

PATH, MODE = 72, 64
"""Bytes of DISPLAYCONFIG_PATH_INFO and DISPLAYCONFIG_MODE_INFO."""

# DISPLAYCONFIG_DEVICE_INFO_TYPE, and the bytes of the whole answer.
SOURCE_NAME: Final = (1, 84)  # DISPLAYCONFIG_SOURCE_DEVICE_NAME
TARGET_NAME: Final = (2, 420)  # DISPLAYCONFIG_TARGET_DEVICE_NAME

# DISPLAYCONFIG_VIDEO_OUTPUT_TECHNOLOGY.
MIRACAST, INDIRECT_VIRTUAL = 15, 17

_SOURCE_MODE: Final = 1  # DISPLAYCONFIG_MODE_INFO_TYPE_SOURCE
_INTERLACED: Final = {2, 3}  # DISPLAYCONFIG_SCANLINE_ORDERING
_EDID_IDS_VALID: Final = 4  # edidIdsValid of DISPLAYCONFIG_TARGET_DEVICE_NAME_FLAGS
# DM_BITSPERPEL, DM_PELSWIDTH, DM_PELSHEIGHT.
_BITS, _WIDTH, _HEIGHT = 0x40000, 0x80000, 0x100000


class Path(NamedTuple):
    """One output with a picture.

    Attributes:
        adapter: LUID of the graphics adapter of the picture.
        source: Number of the picture.
        mode: Index of the picture's mode.
        target_adapter: LUID of the adapter of the output.
        target: Number of the output.
        technology: DISPLAYCONFIG_VIDEO_OUTPUT_TECHNOLOGY.
        refresh: Pictures each second in hertz; None where not given or interlaced.
        available: A screen is there.
    """

    adapter: bytes
    source: int
    mode: int
    target_adapter: bytes
    target: int
    technology: int
    refresh: float | None
    available: bool


class Target(NamedTuple):
    r"""What is connected to an output.

    Attributes:
        name: For people, empty where there is none.
        path: Device path of the screen, ``\\?\DISPLAY#...``, empty where there is none.
        product: Product code of the screen's EDID; None where Windows did not read one.
    """

    name: str
    path: str
    product: int | None


class Settings(NamedTuple):
    """A GDI device's mode: pixels, and bits of colour; None where not given."""

    width: int | None
    height: int | None
    bits: int | None


def _rate(numerator: int, denominator: int, ordering: int) -> float | None:
    if not numerator or not denominator or ordering in _INTERLACED:
        return None
    return round(numerator / denominator, 2)


def paths(data: bytes) -> list[Path]:
    """DISPLAYCONFIG_PATH_INFO, one after the other; a rest that is cut short is left out."""
    # DISPLAYCONFIG_PATH_SOURCE_INFO {LUID, id, modeInfoIdx, statusFlags}; DISPLAYCONFIG_PATH_TARGET_INFO
    # {LUID, id, modeInfoIdx, outputTechnology, rotation, scaling, DISPLAYCONFIG_RATIONAL refreshRate,
    # scanLineOrdering, targetAvailable, statusFlags}; flags.
    found = []
    for at in range(0, len(data) - PATH + 1, PATH):
        adapter, source, mode, target_adapter, target, technology, *rate, ordering, available = (
            struct.unpack_from("<8sII4x8sI4xI8xIIII", data, at)
        )
        refresh = _rate(rate[0], rate[1], ordering)
        found.append(
            Path(adapter, source, mode, target_adapter, target, technology, refresh, bool(available))
        )
    return found


def source_sizes(data: bytes) -> list[tuple[int, int] | None]:
    """Pixels of each DISPLAYCONFIG_MODE_INFO; None where it is not the mode of a picture."""
    # infoType, id, LUID adapterId, then for a source: width, height, pixelFormat, position.
    sizes: list[tuple[int, int] | None] = []
    for at in range(0, len(data) - MODE + 1, MODE):
        kind, width, height = struct.unpack_from("<I12xII", data, at)
        sizes.append((width, height) if kind == _SOURCE_MODE else None)
    return sizes


def _text(data: bytes) -> str:
    return data.decode("utf-16-le", "replace").partition("\0")[0].strip()


def source_name(data: bytes) -> str:
    """GDI name of a picture, from DISPLAYCONFIG_SOURCE_DEVICE_NAME: WCHAR[32] after a header of 20 bytes."""
    return _text(data[20:84])


def target(data: bytes) -> Target:
    """DISPLAYCONFIG_TARGET_DEVICE_NAME.

    Raises:
        ValueError: It is cut short.
    """
    # Header of 20 bytes; flags, outputTechnology; UINT16 edidManufactureId, edidProductCodeId;
    # connectorInstance; WCHAR monitorFriendlyDeviceName[64], monitorDevicePath[128].
    if len(data) < TARGET_NAME[1]:
        raise ValueError("the name of the screen is cut short")
    flags, product = struct.unpack_from("<20xI6xH", data)
    return Target(_text(data[36:164]), _text(data[164:420]), product if flags & _EDID_IDS_VALID else None)


def settings(data: bytes) -> Settings:
    """DEVMODEW, as EnumDisplaySettingsExW fills it.

    Raises:
        ValueError: It is cut short.
    """
    # dmFields at 72; dmBitsPerPel, dmPelsWidth, dmPelsHeight at 168.
    if len(data) < 180:
        raise ValueError("the mode is cut short")
    (fields,) = struct.unpack_from("<I", data, 72)
    bits, width, height = struct.unpack_from("<III", data, 168)
    return Settings(
        width if fields & _WIDTH and width else None,
        height if fields & _HEIGHT and height else None,
        bits if fields & _BITS and bits else None,
    )
