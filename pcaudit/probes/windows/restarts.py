"""Whether something waits for a restart, and whether updates may restart the PC."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.ask import container_reason
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.registry import Registry

READINGS = ("os.restart_pending", "os.update_restarts")
"""What this module reads."""

_SETUP: Final = r"HKLM\SOFTWARE\Microsoft\Windows\CurrentVersion"
_CONTROL: Final = r"HKLM\SYSTEM\CurrentControlSet\Control"
_SERVICES: Final = r"HKLM\SYSTEM\CurrentControlSet\Services"
_SERVICING: Final = rf"{_SETUP}\Component Based Servicing"
_UPDATE: Final = rf"{_SETUP}\WindowsUpdate"
_HOTFIXES: Final = r"HKLM\SOFTWARE\Microsoft\Updates"
_NETLOGON: Final = rf"{_SERVICES}\Netlogon"
_COMPONENTS, _UPDATES, _JOINING = "Windows's own components", "Windows Update", "joining a domain"
# Keys that are there only while something waits. Common practice, no source.
_MARKS: Final = {
    rf"{_SERVICING}\RebootPending": _COMPONENTS,
    rf"{_SERVICING}\RebootInProgress": _COMPONENTS,
    rf"{_SERVICING}\PackagesPending": _COMPONENTS,
    rf"{_UPDATE}\Auto Update\RebootRequired": _UPDATES,
    rf"{_UPDATE}\Auto Update\PostRebootReporting": _UPDATES,
    rf"{_NETLOGON}\JoinDomain": _JOINING,
    rf"{_NETLOGON}\AvoidSpnSet": _JOINING,
    r"HKLM\SOFTWARE\Microsoft\SMS\Mobile Client\Reboot Management\RebootData": "Configuration Manager",
}
# Values of the same kind, whatever they hold. Common practice, no source.
_SIGNS: Final = (
    (_NETLOGON, "JoinDomain", _JOINING),
    (_NETLOGON, "AvoidSpnSet", _JOINING),
    (rf"{_SETUP}\RunOnce", "DVDRebootSignal", "an installer"),
)
# Numbers that are 0 while nothing waits. Common practice, no source.
_COUNTS: Final = (
    (rf"{_SERVICING}\SessionsPending", "Exclusive", _COMPONENTS),
    (_HOTFIXES, "UpdateExeVolatile", "an update installed by hand"),
    (rf"{_HOTFIXES}\UpdateExeVolatile", "Flags", "an update installed by hand"),
)
# A key for each service of updates that waits. Common practice, no source.
_PENDING: Final = rf"{_UPDATE}\Services\Pending"
_MANAGER: Final = rf"{_CONTROL}\Session Manager"
_RENAMES: Final = ("PendingFileRenameOperations", "PendingFileRenameOperations2")

# Microsoft, "Manage device restarts after updates", registry keys used to manage restart.
_POLICIES: Final = r"HKLM\SOFTWARE\Policies\Microsoft\Windows\WindowsUpdate"
_AUTOMATIC: Final = rf"{_POLICIES}\AU"
_NOTIFY_DOWNLOAD, _NOTIFY_INSTALL, _SCHEDULED, _NOTIFY_RESTART = 2, 3, 4, 7
# Microsoft, Policy CSP Update, AllowAutoUpdate.
_MANAGED: Final = r"HKLM\SOFTWARE\Microsoft\PolicyManager\current\device\Update"
_MANAGED_NOTIFY, _MANAGED_OFF = 0, 5
# Policy CSP Update and the policies' own text: past the deadline the PC restarts whoever is signed in,
# ConfigureDeadlineNoAutoReboot or not, and "Configure Automatic Updates" is overridden.
_DEADLINES: Final = ("SetComplianceDeadline", "SetComplianceDeadlineForFU")
_MANAGED_DEADLINES: Final = ("ConfigureDeadlineForQualityUpdates", "ConfigureDeadlineForFeatureUpdates")
_DISABLED: Final = 4  # winnt.h: SERVICE_DISABLED
_AFTER_INSTALLING: Final = (
    "Windows installs nothing by itself, but may restart once somebody has had it install"
)


# -- what waits


def _mark(path: str, what: str, registry: Registry) -> str:
    registry.keys(path)
    return f"{what}, registry {path}"


def _sign(path: str, name: str, what: str, registry: Registry) -> str:
    registry.value(path, name)
    return f"{what}, registry {path}\\{name}"


def _odd(path: str, name: str, value: object) -> OSError:
    said = f"{path}\\{name} holds a {type(value).__name__}, which says nothing"
    return OSError(f"{said}: restart the PC, and probe again")


def _count(path: str, name: str, what: str, registry: Registry) -> str:
    number = registry.value(path, name)
    if not isinstance(number, int):
        raise _odd(path, name, number)
    return f"{what}, registry {path}\\{name} {number}" if number else ""


def _services(registry: Registry) -> str:
    waiting = registry.keys(_PENDING)
    return f"{_UPDATES}, registry {_PENDING}\\{waiting[0]}" if waiting else ""


def _renames(name: str, registry: Registry) -> str:
    files = registry.value(_MANAGER, name)
    if files in ("", b"", None):
        return ""
    if not isinstance(files, list):
        raise _odd(_MANAGER, name, files)
    waiting = [file for file in files if file]
    if not waiting:
        return ""
    return f"files to be replaced or deleted, registry {_MANAGER}\\{name}: {waiting[0]}"


def _name(path: str, name: str, registry: Registry) -> str:
    found = registry.value(path, name)
    if not isinstance(found, str):
        raise _odd(path, name, found)
    return found.rstrip("\0")


def _changed(active: str, coming: str, where: str) -> str:
    if active.casefold() == coming.casefold():
        return ""
    return f"a new host name, {coming} instead of {active}, registry {where}"


def _new_name(registry: Registry) -> str:
    """The name of 15 characters at most that other Windows PCs know this one by."""
    where = rf"{_CONTROL}\ComputerName"
    keys = ("ActiveComputerName", "ComputerName")
    active, coming = (_name(rf"{where}\{key}", "ComputerName", registry) for key in keys)
    return _changed(active, coming, where)


def _new_host_name(registry: Registry) -> str:
    """The whole name: two may share their first 15 characters. Common practice, no source."""
    where = rf"{_SERVICES}\Tcpip\Parameters"
    active, coming = (_name(where, name, registry) for name in ("Hostname", "NV Hostname"))
    return _changed(active, coming, where)


_LOOKS: Final[tuple[Callable[[Registry], str], ...]] = (
    *(partial(_mark, path, what) for path, what in _MARKS.items()),
    *(partial(_sign, *sign) for sign in _SIGNS),
    *(partial(_count, *count) for count in _COUNTS),
    _services,
    *(partial(_renames, name) for name in _RENAMES),
    _new_name,
    _new_host_name,
)
"""What may wait: each says it, or nothing, and raises where there is nothing to look at."""


def _restart_pending(registry: Registry) -> Observation:
    waiting, refused = [], ""
    for look in _LOOKS:
        try:
            waiting.append(look(registry))
        except FileNotFoundError:
            continue
        except PermissionError:
            refused = reads.ADMINISTRATOR
        except OSError as error:
            refused = f"the registry does not give all marks of it: {error}"
    if named := "; ".join(filter(None, waiting)):
        return known(True, f"waits: {named}")
    if refused:
        return unknown(refused)
    return known(
        False,
        "registry: no mark of Windows's components, Windows Update, installers, Configuration Manager, files "
        "to be replaced, a new host name or joining a domain",
    )


# -- what may restart


class _Policies:
    """Numbers of policies, and the first reason why one could not be read."""

    def __init__(self, registry: Registry) -> None:
        self._registry = registry
        self.refused = ""

    def number(self, path: str, name: str) -> int | None:
        found = reads.read(self._registry, path, name, int)
        if found.value is None and not found.absent:
            self.refused = self.refused or found.why
        return int(found.value) if found.value is not None else None


def _by_options(options: int | None, stays: int | None) -> Observation | None:
    """By the policies "Configure Automatic Updates" and "No auto-restart with logged on users"."""
    source = f"policy {_AUTOMATIC}"
    if stays == 1 and options == _SCHEDULED:
        said = f"{source}\\NoAutoRebootWithLoggedOnUsers 1, AUOptions 4"
        return known(False, f"{said}: not while somebody is signed in")
    if stays == 1:
        # Its own text: it applies only where updates are set to be installed on a schedule.
        return unknown("NoAutoRebootWithLoggedOnUsers is set, but holds only with AUOptions 4: set that too")
    if options == _NOTIFY_RESTART:
        return known(False, f"{source}\\AUOptions 7: asks before it restarts")
    if options in {_NOTIFY_DOWNLOAD, _NOTIFY_INSTALL}:
        return unknown(f"{_AFTER_INSTALLING} (policy AUOptions {options})")
    return None


def _deadline(policies: _Policies) -> Observation | None:
    """By a deadline of group policy, which is on or off, or of device management, which is days."""
    group = (f"{_POLICIES}\\{name} 1" for name in _DEADLINES if policies.number(_POLICIES, name) == 1)
    days = {name: policies.number(_MANAGED, name) for name in _MANAGED_DEADLINES}
    managed = (f"{_MANAGED}\\{name} {number}" for name, number in days.items() if number is not None)
    found = next(iter([*group, *managed]), "")
    return known(True, f"policy {found}: restarts when the time is up") if found else None


def _by_policy(policies: _Policies) -> Observation | None:
    if due := _deadline(policies):
        return due
    if policies.number(_AUTOMATIC, "NoAutoUpdate") == 1:
        return known(False, f"policy {_AUTOMATIC}\\NoAutoUpdate 1: no automatic updates")
    managed = policies.number(_MANAGED, "AllowAutoUpdate")
    if managed == _MANAGED_OFF:
        return known(False, f"policy {_MANAGED}\\AllowAutoUpdate 5: no automatic updates")
    options = policies.number(_AUTOMATIC, "AUOptions")
    found = _by_options(options, policies.number(_AUTOMATIC, "NoAutoRebootWithLoggedOnUsers"))
    if found is None and managed == _MANAGED_NOTIFY:
        return unknown(f"{_AFTER_INSTALLING} (policy AllowAutoUpdate 0)")
    return found


def _without_policy(registry: Registry) -> Observation:
    if reads.number(registry, rf"{_SERVICES}\wuauserv", "Start") == _DISABLED:
        return unknown(
            "the service Windows Update is switched off, which Windows may undo by itself: "
            "set a policy for automatic updates instead"
        )
    current = r"HKLM\SOFTWARE\Microsoft\Windows NT\CurrentVersion"
    if reads.text(registry, current, "InstallationType").casefold().startswith("server"):
        return unknown("no policy says, and a server has a setting of its own: see sconfig")
    return known(True, f"no policy forbids it (registry {_AUTOMATIC}); active hours alone do not")


def _update_restarts(registry: Registry) -> Observation:
    policies = _Policies(registry)
    found = _by_policy(policies)
    if policies.refused and (found is None or found.value is False):
        return unknown(f"the update policies cannot be read: {policies.refused}")
    return found or _without_policy(registry)


def probe(host: Host) -> Observations:
    """Restarts that wait, and restarts that may come; unknown inside a container."""
    if reason := container_reason(host):
        return reads.all_unknown(READINGS, reason)
    return {
        "os.restart_pending": _restart_pending(host.registry),
        "os.update_restarts": _update_restarts(host.registry),
    }
