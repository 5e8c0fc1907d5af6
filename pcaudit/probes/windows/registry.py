"""The Windows registry as the probes see it."""

from __future__ import annotations

import importlib
from typing import Any, Final, Protocol

# winnt.h: which half of a registry a program of another width sees.
VIEW_64: Final = 0x0100
VIEW_32: Final = 0x0200
ROOTS: Final = {
    "HKLM": "HKEY_LOCAL_MACHINE",
    "HKCU": "HKEY_CURRENT_USER",
    "HKU": "HKEY_USERS",
}


class Registry(Protocol):
    """A registry, live or recorded.

    Paths start with ``HKLM``, ``HKCU`` or ``HKU`` and are separated by backslashes. Methods raise
    ``FileNotFoundError`` where there is nothing, ``PermissionError`` where the account may not
    read, other ``OSError`` where Windows refuses: absent and denied are different truths.
    """

    def value(self, path: str, name: str, view: int = VIEW_64) -> Any:
        """A value: text (REG_SZ, REG_EXPAND_SZ as written), integer, list of texts, or bytes."""

    def values(self, path: str, view: int = VIEW_64) -> dict[str, Any]:
        """Every value of a key by name, in the registry's order."""

    def keys(self, path: str, view: int = VIEW_64) -> list[str]:
        """Names of the keys below a key."""


class LiveRegistry:
    """The registry of this PC, read only."""

    def __init__(self) -> None:
        self._winreg: Any = importlib.import_module("winreg")

    def _open(self, path: str, view: int) -> Any:
        root, _, rest = path.partition("\\")
        handle = getattr(self._winreg, ROOTS[root])
        return self._winreg.OpenKeyEx(handle, rest, 0, self._winreg.KEY_READ | view)

    def value(self, path: str, name: str, view: int = VIEW_64) -> Any:
        """As ``Registry``."""
        with self._open(path, view) as key:
            return self._winreg.QueryValueEx(key, name)[0]

    def values(self, path: str, view: int = VIEW_64) -> dict[str, Any]:
        """As ``Registry``."""
        found: dict[str, Any] = {}
        with self._open(path, view) as key:
            count = self._winreg.QueryInfoKey(key)[1]
            for index in range(count):
                try:
                    name, value, _ = self._winreg.EnumValue(key, index)
                except FileNotFoundError:  # a value went away while we read
                    break
                found[name] = value
        return found

    def keys(self, path: str, view: int = VIEW_64) -> list[str]:
        """As ``Registry``."""
        names = []
        with self._open(path, view) as key:
            count = self._winreg.QueryInfoKey(key)[0]
            for index in range(count):
                try:
                    names.append(self._winreg.EnumKey(key, index))
                except FileNotFoundError:
                    break
        return names
