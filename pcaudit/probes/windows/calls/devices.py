"""Which devices of a kind are in this PC now; the registry also keeps those that were taken out."""

from __future__ import annotations

import ctypes
from typing import Final

from pcaudit.probes.windows.calls.win32 import NoAnswerError, function

# CM_GETIDLIST_FILTER_PRESENT | CM_GETIDLIST_FILTER_CLASS, cfgmgr32.h.
_PRESENT_OF_CLASS: Final = 0x100 | 0x200
_BUFFER_SMALL: Final = 0x1A  # CR_BUFFER_SMALL, cfgmgr32.h: a device came between the two questions
_MOST: Final = 1 << 20
_WORD, _POINTER, _TEXT = ctypes.c_uint32, ctypes.c_void_p, ctypes.c_wchar_p


def present(class_guid: str) -> list[str]:
    r"""Instance identifiers of the devices of a class, such as ``PCI\VEN_...\...``.

    Args:
        class_guid: Of the device set-up class, in braces.

    Raises:
        NoAnswerError: This Windows does not say.
    """
    ask_size = function("cfgmgr32", "CM_Get_Device_ID_List_SizeW", _WORD, _POINTER, _TEXT, _WORD)
    ask = function("cfgmgr32", "CM_Get_Device_ID_ListW", _WORD, _TEXT, _POINTER, _WORD, _WORD)
    for _ in range(3):
        size = _WORD()
        code = ask_size(ctypes.byref(size), class_guid, _PRESENT_OF_CLASS)
        if code or not 0 < size.value <= _MOST:
            raise NoAnswerError(f"CM_Get_Device_ID_List_SizeW failed with {code:#x}")
        buffer = ctypes.create_unicode_buffer(size.value)
        code = ask(class_guid, buffer, size.value, _PRESENT_OF_CLASS)
        if not code:
            return [text for text in ctypes.wstring_at(buffer, size.value).split("\0") if text]
        if code != _BUFFER_SMALL:
            break
    raise NoAnswerError(f"CM_Get_Device_ID_ListW failed with {code:#x}")
