"""What Windows answers about its version, language, formats and time zone."""

from __future__ import annotations

import ctypes
from ctypes import POINTER, byref, c_int, c_uint32, c_void_p, c_wchar_p
from typing import Final

from pcaudit.probes.windows.calls.win32 import NoAnswerError, failed, function, last_error

_VERSION_SIZE: Final = 284  # bytes of OSVERSIONINFOEXW
_ZONE_SIZE: Final = 432  # bytes of DYNAMIC_TIME_ZONE_INFORMATION
_NO_ZONE: Final = 0xFFFF_FFFF  # timezoneapi.h: TIME_ZONE_ID_INVALID
_MUI_LANGUAGE_NAME: Final = 0x8  # winnls.h
_LOCALE_SDECIMAL: Final = 0x0E  # winnls.h
_LONGEST_NAME: Final = 85  # winnt.h: LOCALE_NAME_MAX_LENGTH


def version() -> bytes:
    """OSVERSIONINFOEXW, whatever the program is shown for compatibility (RtlGetVersion)."""
    info = ctypes.create_string_buffer(_VERSION_SIZE.to_bytes(4, "little"), _VERSION_SIZE)
    if status := function("ntdll", "RtlGetVersion", c_uint32, c_void_p)(info):
        raise NoAnswerError(f"RtlGetVersion failed with status {status:#x}")
    return info.raw


def _languages(name: str) -> list[str]:
    ask = function("kernel32", name, c_int, c_uint32, POINTER(c_uint32), c_void_p, POINTER(c_uint32))
    count, size = c_uint32(), c_uint32(4096)
    buffer = ctypes.create_unicode_buffer(size.value)
    if not ask(_MUI_LANGUAGE_NAME, byref(count), buffer, byref(size)):
        raise failed(name, last_error())
    # Texts one behind the other, each ended by a zero.
    return [text for text in "".join(buffer[: size.value]).split("\0") if text]


def user_languages() -> list[str]:
    """Languages of the user interface this user prefers, best first (GetUserPreferredUILanguages)."""
    return _languages("GetUserPreferredUILanguages")


def system_languages() -> list[str]:
    """Languages of the user interface before anybody signs in (GetSystemPreferredUILanguages)."""
    return _languages("GetSystemPreferredUILanguages")


def locale_name() -> str:
    """Name of this user's locale, such as ``de-DE`` (GetUserDefaultLocaleName)."""
    buffer = ctypes.create_unicode_buffer(_LONGEST_NAME)
    if not function("kernel32", "GetUserDefaultLocaleName", c_int, c_wchar_p, c_int)(buffer, len(buffer)):
        raise failed("GetUserDefaultLocaleName", last_error())
    return buffer.value


def decimal_separator() -> str:
    """This user's decimal separator, own changes included (GetLocaleInfoEx LOCALE_SDECIMAL)."""
    ask = function("kernel32", "GetLocaleInfoEx", c_int, c_wchar_p, c_uint32, c_wchar_p, c_int)
    buffer = ctypes.create_unicode_buffer(32)
    if not ask(None, _LOCALE_SDECIMAL, buffer, len(buffer)):  # None: LOCALE_NAME_USER_DEFAULT
        raise failed("GetLocaleInfoEx", last_error())
    return buffer.value


def time_zone() -> bytes:
    """DYNAMIC_TIME_ZONE_INFORMATION (GetDynamicTimeZoneInformation)."""
    name = "GetDynamicTimeZoneInformation"
    info = ctypes.create_string_buffer(_ZONE_SIZE)
    if function("kernel32", name, c_uint32, c_void_p)(info) == _NO_ZONE:
        raise failed(name, last_error())
    return info.raw
