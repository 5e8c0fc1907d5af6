"""GUIDs as Windows keeps them in memory: guiddef.h, structure GUID, 16 bytes."""

from __future__ import annotations

import struct
from typing import Final

SIZE: Final = 16
_PARTS: Final = struct.Struct("<IHH8s")  # Data1, Data2, Data3, Data4


def encode(text: str) -> bytes:
    """The 16 bytes of a GUID written ``01234567-89ab-cdef-0123-456789abcdef``.

    Raises:
        ValueError: It is not written so.
    """
    parts = text.strip("{} ").split("-")
    if [len(part) for part in parts] != [8, 4, 4, 4, 12]:
        raise ValueError(f"{text!r} is no GUID")
    first, second, third = (int(part, 16) for part in parts[:3])
    return _PARTS.pack(first, second, third, bytes.fromhex(parts[3] + parts[4]))


def decode(data: bytes) -> str:
    """The GUID in 16 bytes, in lower case without braces.

    Raises:
        ValueError: There are not 16.
    """
    if len(data) != SIZE:
        raise ValueError(f"a GUID of {len(data)} bytes")
    first, second, third, rest = _PARTS.unpack(data)
    tail = rest.hex()
    return f"{first:08x}-{second:04x}-{third:04x}-{tail[:4]}-{tail[4:]}"
