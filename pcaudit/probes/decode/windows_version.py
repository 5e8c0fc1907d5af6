"""OSVERSIONINFOEXW, which RtlGetVersion fills (Win32 documentation, winnt.h)."""

from __future__ import annotations

import struct
from typing import NamedTuple

_SIZE = 284
_PRODUCT_TYPE = 282
_WORKSTATION, _DOMAIN_CONTROLLER, _SERVER = 1, 2, 3  # winnt.h: VER_NT_*


class Version(NamedTuple):
    """Which Windows runs.

    Attributes:
        major, minor, build: As the kernel has them.
        server: Whether it is a server by its product type.
    """

    major: int
    minor: int
    build: int
    server: bool


def decode(info: bytes) -> Version:
    """Read the structure.

    Raises:
        ValueError: It is too short, or its product type is none the documentation knows.
    """
    if len(info) < _SIZE:
        raise ValueError(f"RtlGetVersion gave {len(info)} bytes, not {_SIZE}")
    major, minor, build = struct.unpack_from("<III", info, 4)
    product = info[_PRODUCT_TYPE]
    if product not in {_WORKSTATION, _DOMAIN_CONTROLLER, _SERVER}:
        raise ValueError(f"RtlGetVersion gave the product type {product}, which is none")
    return Version(major, minor, build, product != _WORKSTATION)
