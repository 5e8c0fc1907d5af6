"""What Windows answers about screens and graphics cards."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from contextlib import suppress
from typing import Any, Final, NamedTuple

from pcaudit.probes.windows.calls import devices
from pcaudit.probes.windows.calls.win32 import (
    ERROR_INSUFFICIENT_BUFFER,
    NoAnswerError,
    failed,
    function,
    last_error,
)

_WORD, _POINTER, _TEXT = ctypes.c_uint32, ctypes.c_void_p, ctypes.c_wchar_p
_INT, _LONG = ctypes.c_int, ctypes.c_int32
# DPI_AWARENESS_CONTEXT_PER_MONITOR_AWARE_V2 and _AWARE; DPI_AWARENESS_PER_MONITOR_AWARE (windef.h).
_PER_MONITOR_V2, _PER_MONITOR, _IS_PER_MONITOR = -4, -3, 2
_REMOTE_SESSION: Final = 0x1000  # SM_REMOTESESSION, winuser.h
_ACTIVE_PATHS: Final = 2  # QDC_ONLY_ACTIVE_PATHS, winuser.h
_CURRENT: Final = 0xFFFFFFFF  # ENUM_CURRENT_SETTINGS, winuser.h
_PATH, _MODE = 72, 64  # bytes of DISPLAYCONFIG_PATH_INFO and DISPLAYCONFIG_MODE_INFO, wingdi.h
_DEVMODE: Final = 220  # bytes of DEVMODEW, wingdi.h
_MOST: Final = 4096


class Monitor(NamedTuple):
    r"""One part of the desktop.

    Attributes:
        device: GDI name, ``\\.\DISPLAY1``.
        primary: It holds the task bar.
        dpi: Dots per inch the user interface is drawn for, 96 being 100 per cent; 0 where unknown.
    """

    device: str
    primary: bool
    dpi: int


class DisplayCalls(NamedTuple):
    """The calls; each raises ``OSError`` where Windows gives no answer.

    Attributes:
        see_pixels: Makes this thread see pixels as they are, not scaled; True where it now does.
        session: SM_REMOTESESSION, the session of this process, the session at the console.
        paths: DISPLAYCONFIG_PATH_INFO and DISPLAYCONFIG_MODE_INFO of the active outputs.
        information: DisplayConfigGetDeviceInfo: kind of question, LUID of the adapter as bytes,
            number of source or target, bytes of the whole answer, to the answer.
        settings: DEVMODEW of a GDI device as it is now.
        monitors: Parts of the desktop.
        adapters: Names of the graphics adapters the desktop uses.
        present: As ``devices.present``.
    """

    see_pixels: Callable[[], bool]
    session: Callable[[], tuple[int, int, int]]
    paths: Callable[[], tuple[bytes, bytes]]
    information: Callable[[int, bytes, int, int], bytes]
    settings: Callable[[str], bytes]
    monitors: Callable[[], list[Monitor]]
    adapters: Callable[[], list[str]]
    present: Callable[[str], list[str]]


def _user(name: str, result: Any, *arguments: Any) -> Callable[..., Any]:
    return function("user32", name, result, *arguments)


def _see_pixels() -> bool:
    turn = _user("SetThreadDpiAwarenessContext", _POINTER, _POINTER)
    if not turn(_PER_MONITOR_V2):
        turn(_PER_MONITOR)
    # A process made aware from the start refuses the change and is right as it is.
    now = _user("GetThreadDpiAwarenessContext", _POINTER)()
    return bool(_user("GetAwarenessFromDpiAwarenessContext", _INT, _POINTER)(now) == _IS_PER_MONITOR)


def _session() -> tuple[int, int, int]:
    remote = int(_user("GetSystemMetrics", _INT, _INT)(_REMOTE_SESSION))
    own = _WORD()
    process = function("kernel32", "GetCurrentProcessId", _WORD)()
    if not function("kernel32", "ProcessIdToSessionId", _INT, _WORD, _POINTER)(process, ctypes.byref(own)):
        raise failed("ProcessIdToSessionId", last_error())
    return remote, own.value, int(function("kernel32", "WTSGetActiveConsoleSessionId", _WORD)())


def _paths() -> tuple[bytes, bytes]:
    ask_sizes = _user("GetDisplayConfigBufferSizes", _LONG, _WORD, _POINTER, _POINTER)
    ask = _user("QueryDisplayConfig", _LONG, _WORD, _POINTER, _POINTER, _POINTER, _POINTER, _POINTER)
    for _ in range(3):
        paths, modes = _WORD(), _WORD()
        code = ask_sizes(_ACTIVE_PATHS, ctypes.byref(paths), ctypes.byref(modes))
        if code:
            raise failed("GetDisplayConfigBufferSizes", code)
        if max(paths.value, modes.value) > _MOST:
            raise NoAnswerError(f"GetDisplayConfigBufferSizes asks for {paths.value}, {modes.value} items")
        path_data = ctypes.create_string_buffer(max(1, paths.value) * _PATH)
        mode_data = ctypes.create_string_buffer(max(1, modes.value) * _MODE)
        code = ask(_ACTIVE_PATHS, ctypes.byref(paths), path_data, ctypes.byref(modes), mode_data, None)
        if not code:
            return path_data.raw[: paths.value * _PATH], mode_data.raw[: modes.value * _MODE]
        if code != ERROR_INSUFFICIENT_BUFFER:
            break
    raise failed("QueryDisplayConfig", code)


def _information(kind: int, adapter: bytes, number: int, size: int) -> bytes:
    # DISPLAYCONFIG_DEVICE_INFO_HEADER, wingdi.h: type, size, LUID adapterId, id.
    header = kind.to_bytes(4, "little") + size.to_bytes(4, "little") + adapter + number.to_bytes(4, "little")
    buffer = ctypes.create_string_buffer(header, size)
    code = _user("DisplayConfigGetDeviceInfo", _LONG, _POINTER)(buffer)
    if code:
        raise failed("DisplayConfigGetDeviceInfo", code)
    return buffer.raw


def _settings(device: str) -> bytes:
    # dmSize stands at byte 68; nothing of a driver's own is asked for.
    buffer = ctypes.create_string_buffer(bytes(68) + _DEVMODE.to_bytes(2, "little"), _DEVMODE)
    ask = _user("EnumDisplaySettingsExW", _INT, _TEXT, _WORD, _POINTER, _WORD)
    if not ask(device, _CURRENT, buffer, 0):
        raise NoAnswerError(f"EnumDisplaySettingsExW gives no mode of {device}")
    return buffer.raw


def _dpi(handle: int) -> int:
    across, down = _WORD(), _WORD()
    with suppress(NoAnswerError):
        ask = function("shcore", "GetDpiForMonitor", _LONG, _POINTER, _INT, _POINTER, _POINTER)
        # MDT_EFFECTIVE_DPI, shellscalingapi.h.
        if ask(handle, 0, ctypes.byref(across), ctypes.byref(down)) >= 0:
            return across.value
    return 0


def _monitors() -> list[Monitor]:
    handles: list[int] = []

    def keep(handle: int, _context: int, _rectangle: int, _data: int) -> int:
        handles.append(handle)
        return 1

    kind = getattr(ctypes, "WINFUNCTYPE")(_INT, _POINTER, _POINTER, _POINTER, _POINTER)  # noqa: B009
    callback = kind(keep)
    if not _user("EnumDisplayMonitors", _INT, _POINTER, _POINTER, _POINTER, _POINTER)(
        None, None, callback, 0
    ):
        raise failed("EnumDisplayMonitors", last_error())
    ask = _user("GetMonitorInfoW", _INT, _POINTER, _POINTER)
    found = []
    for handle in handles:
        # MONITORINFOEXW, winuser.h: DWORD size, two RECT, DWORD flags, WCHAR szDevice[32].
        size = 4 + 16 + 16 + 4 + 64
        buffer = ctypes.create_string_buffer(size.to_bytes(4, "little"), size)
        if ask(handle, buffer):
            device = buffer.raw[40:].decode("utf-16-le", "replace").partition("\0")[0]
            found.append(Monitor(device, bool(buffer.raw[36] & 1), _dpi(handle)))
    return found


def _adapters() -> list[str]:
    ask = _user("EnumDisplayDevicesW", _INT, _TEXT, _WORD, _POINTER, _WORD)
    # DISPLAY_DEVICEW, wingdi.h: DWORD cb; WCHAR DeviceName[32], DeviceString[128]; DWORD StateFlags;
    # WCHAR DeviceID[128], DeviceKey[128].
    size = 4 + 64 + 256 + 4 + 256 + 256
    found = []
    for number in range(_MOST):
        buffer = ctypes.create_string_buffer(size.to_bytes(4, "little"), size)
        if not ask(None, number, buffer, 0):
            break
        attached = buffer.raw[324] & 1  # DISPLAY_DEVICE_ATTACHED_TO_DESKTOP
        if attached:
            found.append(buffer.raw[68:324].decode("utf-16-le", "replace").partition("\0")[0])
    return found


def live() -> DisplayCalls:
    """The calls of this PC."""
    return DisplayCalls(
        see_pixels=_see_pixels,
        session=_session,
        paths=_paths,
        information=_information,
        settings=_settings,
        monitors=_monitors,
        adapters=_adapters,
        present=devices.present,
    )
