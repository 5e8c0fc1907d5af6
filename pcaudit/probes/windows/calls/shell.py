"""What the Windows shell says of a file or folder: properties as Explorer shows them."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from contextlib import suppress
from typing import Any, Final

from pcaudit.probes.windows.calls.win32 import NoAnswerError, function

# {7E9FB0D3-919F-4307-AB2E-9B1860310C93}, IID_IShellItem2, ShObjIdl_core.h.
_SHELL_ITEM: Final = bytes.fromhex("d3b09f7e9f910743ab2e9b1860310c93")
# Places in the table of IShellItem2 (ShObjIdl_core.h): IUnknown has 0 to 2, IShellItem 3 to 7.
_RELEASE, _GET_INT32 = 2, 16
_APARTMENT: Final = 0x2 | 0x4  # COINIT_APARTMENTTHREADED | COINIT_DISABLE_OLE1DDE, objbase.h
_RESULT, _POINTER, _TEXT = ctypes.c_int32, ctypes.c_void_p, ctypes.c_wchar_p


def _checked(name: str, result: int) -> None:
    if result < 0:
        raise NoAnswerError(f"{name} failed with {result & 0xFFFFFFFF:#010x}")


def _method(item: Any, place: int, result: Any, *arguments: Any) -> Callable[..., Any]:
    """A method of a COM object, by its place in the object's table."""
    table = ctypes.cast(item, ctypes.POINTER(ctypes.POINTER(_POINTER))).contents
    kind = getattr(ctypes, "WINFUNCTYPE")(result, _POINTER, *arguments)  # noqa: B009
    made: Callable[..., Any] = kind(table[place])
    return made


def _item_number(path: str, key: Any) -> int:
    item = _POINTER()
    create = function(
        "shell32", "SHCreateItemFromParsingName", _RESULT, _TEXT, _POINTER, ctypes.c_char_p, _POINTER
    )
    _checked("SHCreateItemFromParsingName", create(path, None, _SHELL_ITEM, ctypes.byref(item)))
    try:
        value = ctypes.c_int32()
        ask = _method(item, _GET_INT32, _RESULT, _POINTER, _POINTER)
        _checked("IShellItem2::GetInt32", ask(item, key, ctypes.byref(value)))
        return value.value
    finally:
        _method(item, _RELEASE, ctypes.c_uint32)(item)


def number(path: str, name: str) -> int:
    """A property of a file or folder that is a whole number.

    Args:
        path: Of the file or folder.
        name: The property's canonical name.

    Raises:
        NoAnswerError: This Windows has no such property, or the path has none.
    """
    start = function("ole32", "CoInitializeEx", _RESULT, _POINTER, ctypes.c_uint32)
    started = start(None, _APARTMENT) >= 0
    try:
        key = ctypes.create_string_buffer(20)  # PROPERTYKEY, wtypes.h: a GUID and a number
        find = function("propsys", "PSGetPropertyKeyFromName", _RESULT, _TEXT, _POINTER)
        _checked("PSGetPropertyKeyFromName", find(name, key))
        return _item_number(path, key)
    finally:
        if started:
            with suppress(NoAnswerError):
                function("ole32", "CoUninitialize", None)()
