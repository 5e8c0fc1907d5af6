"""Debian's list of packages, ``/var/lib/dpkg/status``, as deb-control(5) and dpkg(1) describe it."""

from __future__ import annotations

from typing import Final, NamedTuple

# States with the program in place; "triggers" only wait for another package's clean-up.
_IN_PLACE: Final = {b"installed", b"triggers-pending", b"triggers-awaited"}
_GONE: Final = {b"not-installed", b"config-files"}


class Package(NamedTuple):
    """One package in place; version as the package manager writes it, maintainer as it stands."""

    name: str
    version: str
    maintainer: str


class Packages(NamedTuple):
    """Packages in place, and the names of those left half-way."""

    installed: list[Package]
    broken: list[str]


def _field(stanza: bytes, name: bytes) -> bytes:
    at = stanza.find(name)
    if at < 0:
        return b""
    begin = at + len(name)
    end = stanza.find(b"\n", begin)
    return stanza[begin : end if end >= 0 else len(stanza)].strip()


def decode(data: bytes) -> Packages:
    """Read the status file. Removed packages whose settings stay behind are left out."""
    installed = []
    broken = []
    for part in data.split(b"\n\n"):
        stanza = b"\n" + part
        name = _field(stanza, b"\nPackage:").decode("utf-8", "backslashreplace")
        status = _field(stanza, b"\nStatus:").split()
        if not name or len(status) != 3 or status[2] in _GONE:
            continue
        if status[2] in _IN_PLACE and status[1] == b"ok":
            version = _field(stanza, b"\nVersion:").decode("utf-8", "backslashreplace")
            maintainer = _field(stanza, b"\nMaintainer:").decode("utf-8", "backslashreplace")
            installed.append(Package(name, version, maintainer))
        else:
            broken.append(name)
    return Packages(installed, broken)
