"""Runtimes that programs need: .NET Framework, .NET, Visual C++, and those that say they are one."""

from __future__ import annotations

import re
from itertools import product
from typing import Any, Final

from pcaudit.probes.windows import reads
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.programs import Program
from pcaudit.probes.windows.registry import VIEW_32, VIEW_64

_NDP: Final = r"HKLM\SOFTWARE\Microsoft\NET Framework Setup\NDP"
# Microsoft Learn, ".NET Framework versions and dependencies: how to determine which versions are
# installed": the least value of Release for each version. Read 2026-11-25.
_RELEASES: Final = (
    (533320, "4.8.1"),
    (528040, "4.8"),
    (461808, "4.7.2"),
    (461308, "4.7.1"),
    (460798, "4.7"),
    (394802, "4.6.2"),
    (394254, "4.6.1"),
    (393295, "4.6"),
    (379893, "4.5.2"),
    (378675, "4.5.1"),
    (378389, "4.5"),
)
_LARGEST_RELEASE: Final = 10**6
# The same page: key below NDP, and the value that is 1 where the version is installed.
_OLD_FRAMEWORKS: Final = (
    ("v3.5", "Install", "3.5"),
    (r"v3.0\Setup", "InstallSuccess", "3.0"),
    ("v2.0.50727", "Install", "2.0"),
)

# Microsoft Learn, "How to check that .NET is already installed", and the designs of dotnet/runtime:
# installers write the 32-bit view.
_DOTNET: Final = r"HKLM\SOFTWARE\dotnet\Setup\InstalledVersions"
_SHARED: Final = {
    "Microsoft.NETCore.App": ".NET",
    "Microsoft.WindowsDesktop.App": ".NET Desktop Runtime",
    "Microsoft.AspNetCore.App": "ASP.NET Core",
}
_ENVIRONMENT: Final = r"HKLM\SYSTEM\CurrentControlSet\Control\Session Manager\Environment"
_NATIVE: Final = {"AMD64": "x64", "ARM64": "arm64", "x86": "x86"}

# Microsoft Learn, "Redistributing Visual C++ Files".
_VISUAL_CPP: Final = r"HKLM\SOFTWARE\Microsoft\VisualStudio\14.0\VC\Runtimes"
_WIDTHS: Final = ("x86", "x64", "arm64")
_OLD_VISUAL_CPP: Final = re.compile(
    r"Microsoft Visual C\+\+ (2005|2008|2010|2012|2013)\b(?:.*\b(x86|x64)\b)?", re.IGNORECASE
)
# How makers name their entries: common practice, no source.
_NAMED: Final = (
    (re.compile(r"Java(?:\(TM\))? (?:SE |Runtime |\d)|OpenJDK|Eclipse Temurin|.*\b(?:JRE|JDK)\b"), "Java"),
    (re.compile(r"Python \d+\.\d+(?:\.\d+)? \((?:32|64)-bit\)$"), "Python"),
)
_GENERIC: Final = re.compile(r".*\b(?:Runtime|Redistributable)\b", re.IGNORECASE)
_ELSEWHERE: Final = (
    "Microsoft .NET",
    "Microsoft ASP.NET",
    "Microsoft Windows Desktop",
    "Microsoft Visual C++",
)

Item = dict[str, Any]


def _item(name: str, version: str | None) -> Item:
    return {"name": name, "version": version}


def _value(host: Host, path: str, name: str, view: int = VIEW_64) -> Any:
    """A registry value, None where there is none; one that may not be read is no runtime missing."""
    try:
        return host.registry.value(path, name, view)
    except FileNotFoundError:
        return None


def _framework_version(release: int) -> str | None:
    if release > _LARGEST_RELEASE:
        return None
    return next((version for least, version in _RELEASES if release >= least), None)


def frameworks(host: Host) -> list[Item]:
    """The .NET Frameworks: the one 4.x there can be, and those before it.

    Raises:
        OSError: The registry does not give them.
    """
    found = []
    full = f"{_NDP}\\v4\\Full"
    release = _value(host, full, "Release")
    if isinstance(release, int):
        found.append(_item(".NET Framework", _framework_version(release)))
    elif _value(host, full, "Install") == 1:
        found.append(_item(".NET Framework", "4.0" if release is None else None))
    for key, mark, version in _OLD_FRAMEWORKS:
        if _value(host, f"{_NDP}\\{key}", mark) == 1:
            found.append(_item(".NET Framework", version))
    return found


def _native(host: Host) -> str:
    """Width of the machine, which a program's own environment may hide."""
    return _NATIVE.get(reads.text(host.registry, _ENVIRONMENT, "PROCESSOR_ARCHITECTURE"), "x64")


def _versions(host: Host, path: str, view: int) -> list[str]:
    try:
        values = host.registry.values(path, view)
    except FileNotFoundError:
        return []
    return [name for name, data in values.items() if name and data == 1]


def dotnet(host: Host) -> list[Item]:
    """The runtimes of .NET and what stands on it; those of another width than the PC's say theirs.

    Raises:
        OSError: The registry does not give them.
    """
    native = _native(host)
    found: dict[tuple[str, str], Item] = {}
    for width, (key, name) in product(_WIDTHS, _SHARED.items()):
        called = name if width == native else f"{name} {width}"
        for view in (VIEW_64, VIEW_32):
            for version in _versions(host, f"{_DOTNET}\\{width}\\sharedfx\\{key}", view):
                found[called, version] = _item(called, version)
    return list(found.values())


def _visual_cpp_version(host: Host, path: str, view: int) -> str | None:
    parts = [_value(host, path, name, view) for name in ("Major", "Minor", "Bld")]
    if parts[0] and all(isinstance(part, int) for part in parts):
        return ".".join(map(str, parts))
    return reads.text(host.registry, path, "Version", view).lstrip("vV") or None


def visual_cpp(host: Host) -> list[Item]:
    """The Visual C++ runtimes of 2015 and newer, which replace each other, by width.

    Raises:
        OSError: The registry does not give them.
    """
    found: dict[str, Item] = {}
    for view, width in product((VIEW_64, VIEW_32), _WIDTHS):
        path = f"{_VISUAL_CPP}\\{width}"
        if _value(host, path, "Installed", view) == 1:
            name = f"Visual C++ 2015-2022 {width}"
            version = _visual_cpp_version(host, path, view)
            if name not in found or found[name]["version"] is None:
                found[name] = _item(name, version)
    return list(found.values())


def _named(name: str, version: str | None) -> Item | None:
    if found := _OLD_VISUAL_CPP.match(name):
        # The runtime of 2005 for 32 bits names no width.
        return _item(f"Visual C++ {found[1]} {(found[2] or 'x86').casefold()}", version)
    for pattern, runtime in _NAMED:
        if pattern.match(name):
            return _item(runtime, version)
    if _GENERIC.match(name) and not name.startswith(_ELSEWHERE):
        return _item(name, version)
    return None


def among(programs: list[Program]) -> list[Item]:
    """The runtimes among programs, by what they call themselves, each version once."""
    found = {}
    for program in programs:
        if program.name is not None and (item := _named(program.name, program.version)):
            found[item["name"], item["version"]] = item
    return list(found.values())
