"""Programs, runtimes, antivirus and services.

Programs are read from the bundles themselves rather than from ``system_profiler SPApplicationsDataType``,
which takes up to a minute and shows only what Spotlight has indexed; the receipts of installers stay
behind when a program is deleted, and are not read.
"""

from __future__ import annotations

import re
from typing import Any, Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import macos_documents
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask
from pcaudit.probes.macos.host import Host

_READINGS: Final = ("software.packages", "software.runtimes", "software.antivirus")
_FOLDERS: Final = ("/Applications", "/System/Applications", "/System/Applications/Utilities")
_ENDING: Final = ".app"
_MOST: Final = 5000
"""Bundles looked at; no Mac has honestly more."""
_ELSEWHERE: Final = (
    "package managers, programs outside the Applications folders and those of other users are not listed"
)
_XPROTECT: Final = (
    "/Library/Apple/System/Library/CoreServices/XProtect.bundle/Contents/Info.plist",
    "/var/protected/xprotect/XProtect.bundle/Contents/Info.plist",
)
_JAVA: Final = "/Library/Java/JavaVirtualMachines"
_PYTHON: Final = "/Library/Frameworks/Python.framework/Versions"
_DOTNET: Final = {
    ".NET": "/usr/local/share/dotnet/shared/Microsoft.NETCore.App",
    "ASP.NET Core": "/usr/local/share/dotnet/shared/Microsoft.AspNetCore.App",
}
_VERSION: Final = re.compile(r"\d+(?:\.\d+)+", re.ASCII)
# launchctl(1): anyone may read the system domain. Lines of its services: process, status, label; from memory.
_SYSTEM: Final = ("/bin/launchctl", "print", "system")
_SERVICE: Final = re.compile(r"(\d+|-)\s+\S+\s+(\S+)", re.ASCII)


def _bundles(host: Host, folder: str, depth: int = 1) -> list[str]:
    """Paths of the programs in a folder and in the folders in it."""
    found = []
    for name in ask.names(host, folder):
        path = f"{folder}/{name}"
        if name.endswith(_ENDING):
            found.append(path)
        elif depth and "." not in name:
            found += _bundles(host, path, depth - 1)
    return found[:_MOST]


def _program(host: Host, path: str) -> dict[str, Any] | None:
    """A program by its own description; None where there is none, so that leftovers do not count."""
    info = ask.file_plist(host, f"{path}/Contents/Info.plist").value
    if info is None:
        return None
    file = path.rpartition("/")[2].removesuffix(_ENDING)
    return {
        "name": macos_documents.word(info, "CFBundleDisplayName")
        or macos_documents.word(info, "CFBundleName")
        or file,
        "version": macos_documents.word(info, "CFBundleShortVersionString") or None,
        "publisher": None,
    }


def _packages(host: Host) -> Observation:
    try:
        host.files.names(_FOLDERS[0])
    except OSError as error:
        return unknown(f"{_FOLDERS[0]} cannot be read ({error.strerror or error})")
    folders = [*_FOLDERS, f"{host.home}/Applications"] if host.home else list(_FOLDERS)
    paths = dict.fromkeys(path for folder in folders for path in _bundles(host, folder))
    programs = [(path, _program(host, path)) for path in paths]
    unread = [path for path, program in programs if program is None]
    gaps = [_ELSEWHERE]
    if unread:
        gaps.append(f"programs that do not describe themselves: {', '.join(unread[:5])}")
    found = [program for _, program in programs if program]
    return known(found, "Info.plist of the programs in the Applications folders", missing="; ".join(gaps))


def _java(host: Host) -> list[dict[str, Any]]:
    found = []
    for name in ask.names(host, _JAVA):
        info = ask.file_plist(host, f"{_JAVA}/{name}/Contents/Info.plist").value
        machine = info.get("JavaVM") if info else None
        if isinstance(machine, dict):
            version = macos_documents.word(machine, "JVMVersion")
            found.append({"name": "Java", "version": version or None})
    return found


def _python(host: Host) -> list[dict[str, Any]]:
    """Pythons of python.org; the full version is in the framework's own description."""
    found = []
    for name in ask.names(host, _PYTHON):
        info = ask.file_plist(host, f"{_PYTHON}/{name}/Resources/Info.plist").value
        if name != "Current" and info is not None:
            version = macos_documents.word(info, "CFBundleShortVersionString")
            match = _VERSION.search(version)
            found.append({"name": "Python", "version": match[0] if match else None})
    return found


def _runtimes(host: Host) -> Observation:
    dotnet = [
        {"name": runtime, "version": name}
        for runtime, folder in _DOTNET.items()
        for name in ask.names(host, folder)
        if _VERSION.match(name)
    ]
    missing = "only Java, Python and .NET in their makers' own places are looked for"
    return known([*_java(host), *_python(host), *dotnet], "their folders", missing=missing)


def _antivirus(host: Host) -> Observation:
    there = [name for name in _XPROTECT if ask.file_plist(host, name).value is not None]
    items = [{"name": "XProtect"}] if there else []
    missing = "macOS keeps no list of antivirus products: others than its own XProtect are not recognised"
    return known(items, there[0] if there else "no XProtect.bundle", missing=missing)


def services(printed: str) -> list[dict[str, Any]] | None:
    """The services that ``launchctl print system`` lists; None where it lists none."""
    found = {}
    inside = False
    for line in printed.splitlines():
        text = line.strip()
        if text == "services = {":
            inside = True
        elif text == "}":
            inside = False
        elif inside and (match := _SERVICE.fullmatch(text)):
            running = match[1] not in ("-", "0")
            found[match[2]] = {"name": match[2], "state": "running" if running else "stopped"}
    return [found[name] for name in sorted(found)] or None


def probe_services(host: Host) -> Observations:
    """Reading software.services."""
    printed = ask.text(host, _SYSTEM)
    found = services(printed.value or "")
    if found is None:
        why = printed.why or "launchctl lists no service: run launchctl print system"
        return {"software.services": unknown(why)}
    missing = "services that are not loaded are not listed"
    return {"software.services": known(found, "launchctl print system", missing=missing)}


def probe(host: Host) -> Observations:
    """Readings software.packages, software.runtimes and software.antivirus."""
    return {
        "software.packages": _packages(host),
        "software.runtimes": _runtimes(host),
        "software.antivirus": _antivirus(host),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group software."""
    return (
        Probe("packages", _READINGS, lambda: probe(host), 30.0),
        Probe("services", ("software.services",), lambda: probe_services(host), 10.0),
    )
