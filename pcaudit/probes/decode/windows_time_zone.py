"""DYNAMIC_TIME_ZONE_INFORMATION (Win32 documentation, timezoneapi.h)."""

from __future__ import annotations

_SIZE = 432
_KEY_NAME = slice(172, 428)  # WCHAR TimeZoneKeyName[128]
_DAYLIGHT_DISABLED = 428  # BOOLEAN DynamicDaylightTimeDisabled


def decode(info: bytes) -> str:
    """Windows's own name of the zone.

    Returns:
        The name of the zone's registry key, the same in every language, and ``_dstoff`` behind it
        where daylight saving is switched off, as tzutil(.exe) writes it; empty where there is none.

    Raises:
        ValueError: The structure is too short.
    """
    if len(info) < _SIZE:
        raise ValueError(f"GetDynamicTimeZoneInformation gave {len(info)} bytes, not {_SIZE}")
    name = info[_KEY_NAME].decode("utf-16-le", "replace").partition("\0")[0].strip()
    return f"{name}_dstoff" if name and info[_DAYLIGHT_DISABLED] else name
