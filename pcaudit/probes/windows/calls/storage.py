"""What Windows answers about volumes and drives.

Every question that could raise a dialogue ("insert a disk") is asked with critical-error dialogues
switched off for the asking thread alone.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from typing import Any, Final, NamedTuple

from pcaudit.probes.windows.calls import shell
from pcaudit.probes.windows.calls.win32 import (
    ERROR_INSUFFICIENT_BUFFER,
    ERROR_MORE_DATA,
    NoAnswerError,
    failed,
    function,
    last_error,
)

_INVALID: Final = ctypes.c_void_p(-1).value  # INVALID_HANDLE_VALUE, handleapi.h
_LONGEST_PATH: Final = 32768  # characters, fileapi.h: the longest path with a prefix
_NOT_FOUND: Final = {2, 3}  # ERROR_FILE_NOT_FOUND, ERROR_PATH_NOT_FOUND, winerror.h
_NO_MORE_FILES: Final = 18  # ERROR_NO_MORE_FILES, winerror.h
# ERROR_NOT_READY, ERROR_NO_MEDIA_IN_DRIVE, winerror.h.
_EMPTY: Final = {21, 1112}
_ANSWER: Final = 4096
_WORD, _POINTER, _TEXT = ctypes.c_uint32, ctypes.c_void_p, ctypes.c_wchar_p


class NoMediumError(NoAnswerError):
    """The drive is there, and there is nothing in it."""


class StorageCalls(NamedTuple):
    r"""The calls; each raises ``OSError`` where Windows gives no answer.

    Questions about what is in a drive raise ``NoMediumError`` where nothing is.

    Attributes:
        volumes: Names of the local volumes the mount manager knows, ``\\?\Volume{...}\``.
        mount_points: Where a volume is mounted: drive letters and folders.
        letters: Roots of the drive letters in use, ``C:\``.
        kind: GetDriveTypeW of a root or volume name.
        device: The device a drive letter (``C:``) stands for, QueryDosDeviceW.
        file_system: Name of the file system of a root or volume name.
        space: Bytes there: free for the caller, in all for the caller, free for anybody.
        system_mount: Where the volume that holds Windows is mounted.
        control: DeviceIoControl: path of a device, control code, what it is given, to what it
            answers. The device is opened with no access, which every account may do; raises
            ``FileNotFoundError`` where there is no such device.
        protection: The shell's number for BitLocker on a mount point.
    """

    volumes: Callable[[], list[str]]
    mount_points: Callable[[str], list[str]]
    letters: Callable[[], list[str]]
    kind: Callable[[str], int]
    device: Callable[[str], str]
    file_system: Callable[[str], str]
    space: Callable[[str], tuple[int, int, int]]
    system_mount: Callable[[], str]
    control: Callable[[str, int, bytes], bytes]
    protection: Callable[[str], int]


def _kernel(name: str, result: Any, *arguments: Any) -> Callable[..., Any]:
    return function("kernel32", name, result, *arguments)


def _refused(name: str, code: int) -> OSError:
    """The error to raise for a question about what is in a drive."""
    return NoMediumError(f"{name}: there is nothing in the drive") if code in _EMPTY else failed(name, code)


def _without_dialogues() -> None:
    """No "there is no disk in the drive" for this thread (SEM_FAILCRITICALERRORS, errhandlingapi.h)."""
    _kernel("SetThreadErrorMode", ctypes.c_int, _WORD, _POINTER)(1, None)


def _volumes() -> list[str]:
    _without_dialogues()
    buffer = ctypes.create_unicode_buffer(64)
    handle = _kernel("FindFirstVolumeW", _POINTER, _POINTER, _WORD)(buffer, len(buffer))
    if handle in (None, _INVALID):
        raise failed("FindFirstVolumeW", last_error())
    following = _kernel("FindNextVolumeW", ctypes.c_int, _POINTER, _POINTER, _WORD)
    names = [buffer.value]
    try:
        while following(handle, buffer, len(buffer)):
            names.append(buffer.value)
        if (code := last_error()) not in (0, _NO_MORE_FILES):
            raise failed("FindNextVolumeW", code)
    finally:
        _kernel("FindVolumeClose", ctypes.c_int, _POINTER)(handle)
    return names


def _texts(raw: str) -> list[str]:
    """The texts of a list that ends with an empty one."""
    return [text for text in raw.split("\0") if text]


def _mount_points(volume: str) -> list[str]:
    ask = _kernel("GetVolumePathNamesForVolumeNameW", ctypes.c_int, _TEXT, _POINTER, _WORD, _POINTER)
    size = _WORD(_ANSWER)
    while size.value <= _LONGEST_PATH * 16:
        buffer = ctypes.create_unicode_buffer(size.value)
        if ask(volume, buffer, len(buffer), ctypes.byref(size)):
            return _texts(ctypes.wstring_at(buffer, size.value))
        if (code := last_error()) != ERROR_MORE_DATA:
            raise failed("GetVolumePathNamesForVolumeNameW", code)
    raise NoAnswerError(f"GetVolumePathNamesForVolumeNameW asks for {size.value} characters")


def _letters() -> list[str]:
    used = int(_kernel("GetLogicalDrives", _WORD)())
    if not used:
        raise failed("GetLogicalDrives", last_error())
    return [f"{chr(ord('A') + bit)}:\\" for bit in range(26) if used >> bit & 1]


def _kind(root: str) -> int:
    _without_dialogues()
    return int(_kernel("GetDriveTypeW", _WORD, _TEXT)(root))


def _device(letter: str) -> str:
    buffer = ctypes.create_unicode_buffer(_ANSWER)
    if not _kernel("QueryDosDeviceW", _WORD, _TEXT, _POINTER, _WORD)(letter, buffer, len(buffer)):
        raise failed("QueryDosDeviceW", last_error())
    return buffer.value


def _file_system(root: str) -> str:
    _without_dialogues()
    # MAX_PATH + 1 characters, as GetVolumeInformationW asks for.
    name = ctypes.create_unicode_buffer(261)
    ask = _kernel(
        "GetVolumeInformationW",
        ctypes.c_int,
        *(_TEXT, _POINTER, _WORD, _POINTER, _POINTER, _POINTER, _POINTER, _WORD),
    )
    if not ask(root, None, 0, None, None, None, name, len(name)):
        raise _refused("GetVolumeInformationW", last_error())
    return name.value


def _space(root: str) -> tuple[int, int, int]:
    _without_dialogues()
    given = [ctypes.c_uint64() for _ in range(3)]
    ask = _kernel("GetDiskFreeSpaceExW", ctypes.c_int, _TEXT, _POINTER, _POINTER, _POINTER)
    if not ask(root, *(ctypes.byref(number) for number in given)):
        raise _refused("GetDiskFreeSpaceExW", last_error())
    return given[0].value, given[1].value, given[2].value


def _system_mount() -> str:
    folder = ctypes.create_unicode_buffer(_ANSWER)
    if not _kernel("GetSystemWindowsDirectoryW", _WORD, _POINTER, _WORD)(folder, len(folder)):
        raise failed("GetSystemWindowsDirectoryW", last_error())
    mount = ctypes.create_unicode_buffer(_ANSWER)
    ask = _kernel("GetVolumePathNameW", ctypes.c_int, _TEXT, _POINTER, _WORD)
    if not ask(folder.value, mount, len(mount)):
        raise failed("GetVolumePathNameW", last_error())
    return mount.value


def _opened(path: str) -> Any:
    _without_dialogues()
    create = _kernel("CreateFileW", _POINTER, _TEXT, _WORD, _WORD, _POINTER, _WORD, _WORD, _POINTER)
    # No access; FILE_SHARE_READ | FILE_SHARE_WRITE; OPEN_EXISTING (fileapi.h, winnt.h).
    handle = create(path, 0, 1 | 2, None, 3, 0, None)
    if handle not in (None, _INVALID):
        return handle
    code = last_error()
    if code in _NOT_FOUND:
        raise FileNotFoundError(2, f"there is no {path}")
    raise _refused(f"CreateFileW {path}", code)


def _control(path: str, code: int, given: bytes) -> bytes:
    handle = _opened(path)
    try:
        ask = _kernel(
            "DeviceIoControl",
            ctypes.c_int,
            *(_POINTER, _WORD, ctypes.c_char_p, _WORD, _POINTER, _WORD, _POINTER, _POINTER),
        )
        answer, length = ctypes.create_string_buffer(_ANSWER), _WORD()
        done = ask(handle, code, given, len(given), answer, len(answer), ctypes.byref(length), None)
        if not done and last_error() in (ERROR_MORE_DATA, ERROR_INSUFFICIENT_BUFFER):
            raise NoAnswerError(f"DeviceIoControl {code:#x} of {path} answers more than {_ANSWER} bytes")
        if not done:
            raise _refused(f"DeviceIoControl {code:#x} of {path}", last_error())
        return answer.raw[: length.value]
    finally:
        _kernel("CloseHandle", ctypes.c_int, _POINTER)(handle)


def _protection(mount: str) -> int:
    _without_dialogues()
    return shell.number(mount, "System.Volume.BitLockerProtection")


def live() -> StorageCalls:
    """The calls of this PC."""
    return StorageCalls(
        volumes=_volumes,
        mount_points=_mount_points,
        letters=_letters,
        kind=_kind,
        device=_device,
        file_system=_file_system,
        space=_space,
        system_mount=_system_mount,
        control=_control,
        protection=_protection,
    )
