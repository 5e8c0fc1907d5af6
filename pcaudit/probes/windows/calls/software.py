"""What Windows answers about files of programs, and about services."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from typing import Any, Final, NamedTuple

from pcaudit.probes.windows.calls import win32

_POINTER: Final = ctypes.c_void_p
_DWORD: Final = ctypes.c_uint32
_TEXT: Final = ctypes.c_wchar_p

_INVALID_ATTRIBUTES: Final = 0xFFFFFFFF  # fileapi.h
_DRIVE_FIXED: Final = 3  # winbase.h
_NOT_FOUND: Final = {2, 3}  # winerror.h: ERROR_FILE_NOT_FOUND, ERROR_PATH_NOT_FOUND
# winsvc.h
_CONNECT_AND_ENUMERATE: Final = 0x0001 | 0x0004
_PROCESS_INFO: Final = 0
_SERVICE_WIN32: Final = 0x30
_STATE_ALL: Final = 3
_LARGEST: Final = 256 << 10  # bytes; Microsoft Learn, EnumServicesStatusExW


class SoftwareCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer.

    Attributes:
        exists: Whether there is a file or folder at a path on a fixed drive.
        services: Name and state (SERVICE_STATUS, dwCurrentState) of every service that is no driver.
    """

    exists: Callable[[str], bool]
    services: Callable[[], list[tuple[str, int]]]


class _ServiceStatusProcess(ctypes.Structure):
    """winsvc.h, SERVICE_STATUS_PROCESS."""

    _fields_ = [
        ("type", _DWORD),
        ("state", _DWORD),
        ("controls", _DWORD),
        ("exit_code", _DWORD),
        ("specific_code", _DWORD),
        ("checkpoint", _DWORD),
        ("wait_hint", _DWORD),
        ("process", _DWORD),
        ("flags", _DWORD),
    ]


class _Service(ctypes.Structure):
    """winsvc.h, ENUM_SERVICE_STATUS_PROCESSW."""

    _fields_ = [("name", _TEXT), ("display_name", _TEXT), ("status", _ServiceStatusProcess)]


def _exists(path: str) -> bool:
    drive_type = win32.function("kernel32", "GetDriveTypeW", ctypes.c_uint, _TEXT)
    attributes = win32.function("kernel32", "GetFileAttributesW", _DWORD, _TEXT)
    # A drive that is a network's, or taken out, answers late or not at all.
    if drive_type(path[:3]) != _DRIVE_FIXED:
        raise win32.NoAnswerError(f"{path[:3]} is no fixed drive")
    if attributes(path) != _INVALID_ATTRIBUTES:
        return True
    code = win32.last_error()
    if code in _NOT_FOUND:
        return False
    raise win32.failed("GetFileAttributesW", code)


def _page(manager: Any, resume: Any) -> tuple[list[tuple[str, int]], bool]:
    """As many services as go into one answer, and whether more follow."""
    name = "EnumServicesStatusExW"
    call = win32.function(
        *("advapi32", name, ctypes.c_int, _POINTER, ctypes.c_int, _DWORD, _DWORD, _POINTER, _DWORD),
        *(_POINTER, _POINTER, _POINTER, _TEXT),
    )
    buffer = ctypes.create_string_buffer(_LARGEST)
    needed, returned = _DWORD(), _DWORD()
    done = call(
        *(manager, _PROCESS_INFO, _SERVICE_WIN32, _STATE_ALL, buffer, _LARGEST),
        *(ctypes.byref(needed), ctypes.byref(returned), ctypes.byref(resume), None),
    )
    code = 0 if done else win32.last_error()
    if code not in {0, win32.ERROR_MORE_DATA} or (code and not returned.value):
        raise win32.failed(name, code)
    services = ctypes.cast(buffer, ctypes.POINTER(_Service))
    found = [(services[each].name or "", services[each].status.state) for each in range(returned.value)]
    return found, bool(code)


def _services() -> list[tuple[str, int]]:
    open_manager = win32.function("advapi32", "OpenSCManagerW", _POINTER, _TEXT, _TEXT, _DWORD)
    close = win32.function("advapi32", "CloseServiceHandle", ctypes.c_int, _POINTER)
    manager = open_manager(None, None, _CONNECT_AND_ENUMERATE)
    if not manager:
        raise win32.failed("OpenSCManagerW", win32.last_error())
    found: list[tuple[str, int]] = []
    try:
        resume, more = _DWORD(), True
        while more:
            page, more = _page(manager, resume)
            found += page
    finally:
        close(manager)
    return found


def _silent(*_: object) -> Any:
    raise win32.NoAnswerError("Windows was not asked")


SILENT: Final = SoftwareCalls(exists=_silent, services=_silent)
"""Calls that give no answer, for hosts nothing is known of."""


def live() -> SoftwareCalls:
    """The calls of this PC."""
    return SoftwareCalls(exists=_exists, services=win32.once(_services))
