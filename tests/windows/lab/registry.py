r"""Writes the registry of an invented PC; runs on the lab's Windows Python.

    python -m tests.windows.lab.registry PC.toml

In the file, ``[registry.'HKLM\...']`` is a key with its values: text is REG_SZ, an integer REG_DWORD, a list
of texts REG_MULTI_SZ, ``{ expand = "..." }`` REG_EXPAND_SZ, ``{ binary = "hexadecimal" }`` REG_BINARY. A key
with nothing under it is made all the same. ``[registry-32.'...']`` is what 32-bit programs see.
``files`` lists what ``machines.py`` puts on drive C:.
"""

from __future__ import annotations

import importlib
import sys
import tomllib
from typing import Any, Final

ROOTS: Final = {"HKLM": "HKEY_LOCAL_MACHINE", "HKCU": "HKEY_CURRENT_USER", "HKU": "HKEY_USERS"}
# winnt.h
VIEWS: Final = {"registry": 0x0100, "registry-32": 0x0200}


def typed(value: Any) -> tuple[str, Any]:
    """The registry's type of a value and what is stored."""
    if isinstance(value, dict):
        ((kind, stored),) = value.items()
        return ("REG_EXPAND_SZ", stored) if kind == "expand" else ("REG_BINARY", bytes.fromhex(stored))
    kinds = {str: "REG_SZ", int: "REG_DWORD", list: "REG_MULTI_SZ"}
    return kinds[type(value)], value


def write(keys: dict[str, dict[str, Any]], view: int) -> None:
    """Write keys into one view of this PC's registry."""
    winreg: Any = importlib.import_module("winreg")
    for path, values in keys.items():
        root, _, rest = path.partition("\\")
        access = winreg.KEY_WRITE | view
        with winreg.CreateKeyEx(getattr(winreg, ROOTS[root]), rest, 0, access) as key:
            for name, value in values.items():
                kind, stored = typed(value)
                winreg.SetValueEx(key, name, 0, getattr(winreg, kind), stored)


def main(path: str) -> None:
    """Write everything a file says."""
    with open(path, "rb") as file:
        content = tomllib.load(file)
    for table, view in VIEWS.items():
        write(content.get(table, {}), view)


if __name__ == "__main__":
    main(sys.argv[1])
