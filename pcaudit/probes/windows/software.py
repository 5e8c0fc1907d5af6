"""Programs, runtimes, antivirus and services."""

from __future__ import annotations

from typing import Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import antivirus, programs, reads, runtimes, service_list, store_apps
from pcaudit.probes.windows.host import Host

_PACKAGES: Final = ("software.packages", "software.runtimes")


def _source(found: programs.Inventory) -> str:
    users = f", {found.users} users signed in" if found.users > 1 else ""
    unnamed = f"; keys without a name of a program: {programs.some(found.unnamed)}" if found.unnamed else ""
    return (
        f"registry Uninstall keys of HKLM in both views, of HKCU{users} and accounts of Windows itself; "
        f"Store packages, most by package name{unnamed}"
    )


def _runtimes(host: Host, found: list[programs.Program]) -> Observation:
    try:
        items = [*runtimes.frameworks(host), *runtimes.dotnet(host), *runtimes.visual_cpp(host)]
    except PermissionError:
        return unknown(reads.ADMINISTRATOR)
    except OSError as error:
        return unknown(f"the registry does not give the runtimes: {error}")
    source = "registry: .NET Framework Release, .NET InstalledVersions, VC Runtimes, Uninstall keys"
    return known([*items, *runtimes.among(found)], source)


def probe_packages(host: Host) -> Observations:
    """Readings software.packages and software.runtimes."""
    try:
        found = programs.inventory(host)
    except PermissionError:
        return reads.all_unknown(_PACKAGES, reads.ADMINISTRATOR)
    except OSError as error:
        return reads.all_unknown(_PACKAGES, f"the registry does not give the programs: {error}")
    listed = [*found.programs, *store_apps.packages(host)]
    items = [program._asdict() for program in listed]
    return {
        "software.packages": known(items, _source(found), missing="; ".join(found.gaps)),
        "software.runtimes": _runtimes(host, found.programs),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group software."""
    return (
        Probe("programs", _PACKAGES, lambda: probe_packages(host)),
        Probe(
            "antivirus", ("software.antivirus",), lambda: {"software.antivirus": antivirus.antivirus(host)}
        ),
        Probe("services", ("software.services",), lambda: {"software.services": service_list.services(host)}),
    )
