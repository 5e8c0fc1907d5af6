"""What Windows answers about power: its state, what it can do, and the power plan's settings."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from typing import Final, NamedTuple

from pcaudit.probes.decode import guid, windows_power
from pcaudit.probes.windows.calls import win32

# winerror.h
_ACCESS_DISABLED_BY_POLICY: Final = 1260
# powrprof.h, POWER_DATA_ACCESSOR
_ACCESS_AC: Final = 0
_ACCESS_DC: Final = 1

_POINTER: Final = ctypes.c_void_p
_DWORD: Final = ctypes.c_uint32


class PowerCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer.

    GUIDs are texts in lower case without braces.

    Attributes:
        status: SYSTEM_POWER_STATUS.
        capabilities: SYSTEM_POWER_CAPABILITIES.
        active_scheme: GUID of the power plan in force.
        scheme_name: Name of a plan in the language of the user interface.
        overlay: GUID of the power mode laid over the plan; all zero for none.
        setting: Value index of a plan's setting: takes the plan, the subgroup, the setting, and
            whether it is the one on mains (else the one on battery).
        overridden: Whether Group Policy sets a setting: takes it, and whether on mains.
    """

    status: Callable[[], bytes]
    capabilities: Callable[[], bytes]
    active_scheme: Callable[[], str]
    scheme_name: Callable[[str], str]
    overlay: Callable[[], str]
    setting: Callable[[str, str, str, bool], int]
    overridden: Callable[[str, bool], bool]


def _status() -> bytes:
    call = win32.function("kernel32", "GetSystemPowerStatus", ctypes.c_int, _POINTER)
    buffer = ctypes.create_string_buffer(windows_power.STATUS_SIZE)
    if not call(buffer):
        raise win32.failed("GetSystemPowerStatus", win32.last_error())
    return buffer.raw


def _capabilities() -> bytes:
    # BOOLEAN is one byte (winnt.h); the rest of the register is not defined.
    call = win32.function("powrprof", "GetPwrCapabilities", ctypes.c_ubyte, _POINTER)
    buffer = ctypes.create_string_buffer(windows_power.CAPABILITIES_SIZE)
    if not call(buffer):
        raise win32.failed("GetPwrCapabilities", win32.last_error())
    return buffer.raw


def _active_scheme() -> str:
    call = win32.function("powrprof", "PowerGetActiveScheme", _DWORD, _POINTER, _POINTER)
    free = win32.function("kernel32", "LocalFree", _POINTER, _POINTER)
    found = ctypes.c_void_p()
    code = call(None, ctypes.byref(found))
    if code or not found.value:
        raise win32.failed("PowerGetActiveScheme", code)
    try:
        return guid.decode(ctypes.string_at(found.value, guid.SIZE))
    finally:
        free(found)


def _scheme_name(scheme: str) -> str:
    call = win32.function("powrprof", "PowerReadFriendlyName", _DWORD, *[_POINTER] * 6)
    size = _DWORD(1024)  # bytes
    buffer = ctypes.create_string_buffer(size.value)
    code = call(None, guid.encode(scheme), None, None, buffer, ctypes.byref(size))
    if code:
        raise win32.failed("PowerReadFriendlyName", code)
    return buffer.raw[: size.value].decode("utf-16-le", "replace").partition("\0")[0]


def _overlay() -> str:
    # Not documented; exported since Windows 10 1709.
    call = win32.function("powrprof", "PowerGetEffectiveOverlayScheme", _DWORD, _POINTER)
    buffer = ctypes.create_string_buffer(guid.SIZE)
    code = call(buffer)
    if code:
        raise win32.failed("PowerGetEffectiveOverlayScheme", code)
    return guid.decode(buffer.raw)


def _setting(scheme: str, subgroup: str, setting: str, mains: bool) -> int:
    name = "PowerReadACValueIndex" if mains else "PowerReadDCValueIndex"
    call = win32.function("powrprof", name, _DWORD, *[_POINTER] * 5)
    index = _DWORD()
    code = call(None, guid.encode(scheme), guid.encode(subgroup), guid.encode(setting), ctypes.byref(index))
    if code:
        raise win32.failed(name, code)
    return index.value


def _overridden(setting: str, mains: bool) -> bool:
    call = win32.function("powrprof", "PowerSettingAccessCheck", _DWORD, ctypes.c_int, _POINTER)
    code: int = call(_ACCESS_AC if mains else _ACCESS_DC, guid.encode(setting))
    if code not in {0, _ACCESS_DISABLED_BY_POLICY}:
        raise win32.failed("PowerSettingAccessCheck", code)
    return code == _ACCESS_DISABLED_BY_POLICY


def live() -> PowerCalls:
    """The calls of this PC."""
    return PowerCalls(
        status=_status,
        capabilities=_capabilities,
        active_scheme=_active_scheme,
        scheme_name=_scheme_name,
        overlay=_overlay,
        setting=_setting,
        overridden=_overridden,
    )
