"""Programs, runtimes, antivirus and services."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import dpkg
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import reads, services
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

_PACKAGE_READINGS: Final = ("software.packages", "software.runtimes", "software.antivirus")
_DPKG: Final = "/var/lib/dpkg/status"
_RPM_FOLDERS: Final = ("/usr/lib/sysimage/rpm", "/var/lib/rpm")
_RPM_FILES: Final = ("rpmdb.sqlite", "Packages", "Packages.db")
_RPM: Final = "/usr/bin/rpm"
_RPM_FORMAT: Final = r"%{NAME}\t%|EPOCH?{%{EPOCH}:}|%{VERSION}-%{RELEASE}\t%|VENDOR?{%{VENDOR}}|\n"
_RPM_SECONDS: Final = 4.0
# Names of packages, and the runtime each one is. Distributions' own naming, no source.
_RUNTIMES: Final = (
    (re.compile(r"openjdk-\d+-jre(?:-headless)?|java-[\d.]+-openjdk(?:-headless)?"), "Java"),
    (re.compile(r"python3(?:\.\d+)?"), "Python"),
    (re.compile(r"dotnet-runtime-[\d.]+"), ".NET"),
    (re.compile(r"aspnetcore-runtime-[\d.]+"), "ASP.NET Core"),
    (re.compile(r"mono-runtime|mono-core"), "Mono"),
    (re.compile(r"libc6|glibc"), "GNU C Library"),
    (re.compile(r"libstdc\+\+6?"), "GNU C++ Library"),
)
_RUNTIME_BEGINNINGS: Final = (
    "openjdk",
    "java-",
    "python3",
    "dotnet",
    "aspnet",
    "mono-",
    "libc6",
    "glibc",
    "libstdc",
)
_ANTIVIRUS: Final = {"clamav-daemon": "ClamAV", "clamd": "ClamAV"}
_UPSTREAM: Final = re.compile(r"(?:\d+:)?(\d+(?:\.\d+)*)(?:[-+].*)?", re.ASCII)
_ELSEWHERE: Final = ("/opt", "/usr/local/bin", "/usr/local/sbin")
# Where programs of one user lie, below the home. XDG Base Directory Specification (.local/bin), Flatpak;
# the rest is common practice, no source.
_OF_A_USER: Final = (
    ".local/bin",
    ".local/opt",
    ".local/share/flatpak/app",
    "bin",
    "Applications",
    "AppImages",
)
_MOST_NAMED: Final = 5

Runner = Callable[[Sequence[str], float], bytes]


class Inventory(NamedTuple):
    """Packages of every package manager found.

    Attributes:
        packages: Items of software.packages.
        sources: Where they were read.
        gaps: What they may not show.
    """

    packages: list[dict[str, Any]]
    sources: list[str]
    gaps: list[str]


def execute(command: Sequence[str], seconds: float) -> bytes:
    """The standard output of a program, run without a shell in the C locale.

    Raises:
        OSError: It is missing, failed, or took longer than ``seconds``.
    """
    import subprocess

    try:
        done = subprocess.run(  # noqa: S603 (absolute path, fixed arguments)
            list(command),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=seconds,
            env={"LC_ALL": "C", "PATH": "/usr/bin:/bin"},
            check=True,
        )
    except subprocess.SubprocessError as error:
        raise OSError(f"{command[0]}: {error}") from error
    return done.stdout


def _item(name: str, version: str | None, publisher: str | None) -> dict[str, Any]:
    return {"name": name, "version": version or None, "publisher": publisher or None}


def _add_dpkg(tree: Tree, found: Inventory) -> None:
    try:
        listed = dpkg.decode(tree.data(_DPKG))
    except FileNotFoundError:
        return
    except OSError as error:
        found.gaps.append(reads.refusal(_DPKG, error))
        return
    if not listed.installed:
        # The package manager is itself a package.
        found.gaps.append(f"{_DPKG} lists no installed package: run 'dpkg --audit'")
        return
    found.packages.extend(_item(*package) for package in listed.installed)
    found.sources.append(_DPKG)
    if listed.broken:
        found.gaps.append(f"left half installed: {_some(listed.broken)}")


def _has_rpm(tree: Tree) -> bool:
    return any(tree.exists(f"{folder}/{file}") for folder in _RPM_FOLDERS for file in _RPM_FILES)


def _add_rpm(host: Host, run: Runner, found: Inventory) -> None:
    if not _has_rpm(host.tree):
        return
    try:
        if not host.tree.exists(_RPM):
            raise OSError(f"{_RPM} is missing")
        listed = run((_RPM, "-qa", "--qf", _RPM_FORMAT), _RPM_SECONDS).decode("utf-8", "backslashreplace")
    except OSError as error:
        found.gaps.append(f"the rpm database could not be asked ({error})")
        return
    rows = [line.split("\t") for line in listed.splitlines()]
    if not rows or any(len(row) != 3 for row in rows):
        found.gaps.append("the rpm database could not be asked (rpm's answer is no list of packages)")
        return
    for name, version, vendor in rows:
        if name and name != "gpg-pubkey":  # keys, not programs
            found.packages.append(_item(name, version, vendor))
    found.sources.append("rpm database")


def _add_bundles(tree: Tree, found: Inventory) -> None:
    """Snaps and Flatpaks that are installed for all users."""
    snaps = (name.rpartition("_")[0] for name in reads.names(tree, "/var/lib/snapd/snaps") if ".snap" in name)
    for name in sorted(set(snaps) - {""}):
        found.packages.append(_item(name, None, "snap"))
    for name in reads.names(tree, "/var/lib/flatpak/app"):
        found.packages.append(_item(name, None, "Flatpak"))


def _some(names: list[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def _add_evidence(tree: Tree, found: Inventory) -> None:
    """Programs that no package manager knows of; their names do not say what they are."""
    others = [f"{folder}/{name}" for folder in _ELSEWHERE for name in reads.names(tree, folder)]
    if others:
        found.gaps.append(f"programs outside the package manager are not listed: {_some(others)}")


def _add_homes(tree: Tree, found: Inventory) -> None:
    """Programs that users installed for themselves, and homes that do not show theirs."""
    others, closed = [], []
    for home in (*(f"/home/{name}" for name in reads.names(tree, "/home")), "/root"):
        try:
            tree.names(home)
        except PermissionError:
            closed += [home] if home != "/root" else []  # the administrator's own are not the bench's
            continue
        except OSError:
            continue
        others += [
            f"{home}/{folder}/{name}"
            for folder in _OF_A_USER
            for name in reads.names(tree, f"{home}/{folder}")
        ]
    if others:
        found.gaps.append(f"programs of single users are not listed: {_some(others)}")
    if closed:
        found.gaps.append(f"needs administrator rights to see programs of single users in {_some(closed)}")


def inventory(host: Host, run: Runner) -> Inventory:
    """Every package that can be seen; none and no source where there is no package manager."""
    found = Inventory([], [], [])
    _add_dpkg(host.tree, found)
    _add_rpm(host, run, found)
    if found.sources:
        _add_bundles(host.tree, found)
        _add_evidence(host.tree, found)
        _add_homes(host.tree, found)
    return found


def _runtime_version(version: str | None) -> str | None:
    """The maker's version of a package's, where the two can be told apart without doubt."""
    match = _UPSTREAM.fullmatch(version or "")
    return match[1] if match else version


def runtimes(packages: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The runtimes among packages, each version once."""
    found = {}
    for package in packages:
        name = package["name"]
        if not name.startswith(_RUNTIME_BEGINNINGS):
            continue
        for pattern, runtime in _RUNTIMES:
            if pattern.fullmatch(name):
                version = _runtime_version(package["version"])
                found[runtime, version] = {"name": runtime, "version": version}
    return list(found.values())


def _antivirus(packages: list[dict[str, Any]], source: str) -> Observation:
    products = {_ANTIVIRUS[package["name"]] for package in packages if package["name"] in _ANTIVIRUS}
    missing = "Linux keeps no list of antivirus products: others than ClamAV are not recognised"
    return known([{"name": name} for name in sorted(products)], source, missing=missing)


def _more(missing: str) -> str:
    """What the list of runtimes may miss: packages have many names, and only some are told here."""
    rest = "runtimes whose packages have other names than the distributions' own are not recognised"
    return f"{missing}; {rest}" if missing else rest


def probe_packages(host: Host, run: Runner | None = None) -> Observations:
    """Readings software.packages, software.runtimes and software.antivirus."""
    found = inventory(host, run or host.run or execute)
    if not found.sources:
        why = "; ".join(found.gaps) or "there is neither a dpkg nor an rpm database: ask the package manager"
        return reads.all_unknown(_PACKAGE_READINGS, why)
    source = ", ".join(found.sources)
    gaps = list(found.gaps)
    if reason := container_reason(host):
        gaps.append(f"only this container's own: {reason}")
    missing = "; ".join(gaps)
    return {
        "software.packages": known(found.packages, source, missing=missing),
        "software.runtimes": known(runtimes(found.packages), source, missing=_more(missing)),
        "software.antivirus": _antivirus(found.packages, source),
    }


def probe_services(host: Host) -> Observations:
    """Reading software.services."""
    if reason := container_reason(host):
        return {"software.services": unknown(reason)}
    return {"software.services": services.services(host.tree)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group software."""
    return (
        Probe("packages", _PACKAGE_READINGS, lambda: probe_packages(host)),
        Probe("services", ("software.services",), lambda: probe_services(host)),
    )
