"""Packages of the Microsoft Store and its kind (AppX, MSIX)."""

from __future__ import annotations

from typing import Final

from pcaudit.probes.windows import reads
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.programs import Program

# Where Windows keeps them. From memory.
_OF_THIS_USER: Final = (
    r"HKCU\Software\Classes\Local Settings\Software\Microsoft\Windows\CurrentVersion\AppModel"
    r"\Repository\Packages"
)
_OF_ALL: Final = r"HKLM\SOFTWARE\Microsoft\Windows\CurrentVersion\Appx\AppxAllUserStore"
_PEOPLE: Final = ("S-1-5-21-", "S-1-12-1-")
_PARTS: Final = 5


def _names(host: Host, path: str) -> list[str]:
    try:
        return reads.keys(host.registry, path)
    except OSError:
        return []


def _program(full_name: str, display_name: str = "") -> Program | None:
    """A package by its full name: Name_Version_Architecture_ResourceId_PublisherId."""
    # Microsoft Learn, "An overview of Package Identity in Windows apps".
    parts = full_name.split("_")
    if len(parts) != _PARTS or not parts[0]:
        return None
    # "@{...}" is a reference. To look it up would make Windows write it into its cache.
    plain = display_name if display_name and not display_name.startswith(("@", "ms-resource:")) else ""
    return Program(plain or parts[0], parts[1] or None)


def packages(host: Host) -> list[Program]:
    """Packages of this user and, as far as they can be seen, of the others, each once."""
    found: dict[str, Program | None] = {}
    for name in _names(host, _OF_THIS_USER):
        shown = reads.text(host.registry, f"{_OF_THIS_USER}\\{name}", "DisplayName")
        found[name.casefold()] = _program(name, shown)
    others = [sid for sid in _names(host, _OF_ALL) if sid.startswith(_PEOPLE)]
    for place in ("Applications", *others):
        for name in _names(host, f"{_OF_ALL}\\{place}"):
            found.setdefault(name.casefold(), _program(name))
    return [program for program in found.values() if program is not None]
