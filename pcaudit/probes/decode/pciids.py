"""Names of PCI devices: the ``pci.ids`` list, searched rather than parsed (it is large)."""

from __future__ import annotations

import re

_NEXT_VENDOR = re.compile(rb"\n[0-9a-fA-F]")


def _line(data: bytes, begin: int) -> str:
    end = data.find(b"\n", begin)
    return data[begin : end if end >= 0 else len(data)].decode("utf-8", "replace").strip()


def name(data: bytes, vendor: str, device: str) -> str:
    """The name of a device.

    Args:
        data: The content of ``pci.ids``.
        vendor: Four hexadecimal digits.
        device: Four hexadecimal digits.

    Returns:
        Vendor and device name; empty where the list does not have the device.
    """
    data_at = data.find(b"\n%s  " % vendor.lower().encode())
    if data_at < 0:
        return ""
    begin = data_at + 7
    following = _NEXT_VENDOR.search(data, begin)
    end = following.start() if following else len(data)
    found = data.find(b"\n\t%s  " % device.lower().encode(), begin, end)
    return f"{_line(data, begin)} {_line(data, found + 8)}" if found >= 0 else ""
