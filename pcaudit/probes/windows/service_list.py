"""Windows services and their states."""

from __future__ import annotations

from typing import Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.host import Host

_KEY: Final = r"HKLM\SYSTEM\CurrentControlSet\Services"
# winsvc.h, SERVICE_STATUS dwCurrentState.
_STATES: Final = {
    1: "stopped",
    2: "starting",
    3: "stopping",
    4: "running",
    5: "resuming",
    6: "pausing",
    7: "paused",
}
# winnt.h: SERVICE_WIN32_OWN_PROCESS and SERVICE_WIN32_SHARE_PROCESS, alone or SERVICE_INTERACTIVE_PROCESS.
_TYPES: Final = {0x10, 0x20, 0x110, 0x120}


def _registered(host: Host) -> list[str]:
    try:
        names = reads.keys(host.registry, _KEY)
    except OSError:
        return []
    return [name for name in names if reads.number(host.registry, f"{_KEY}\\{name}", "Type") in _TYPES]


def states(host: Host) -> dict[str, str | None]:
    """The state of every service; None for one that is registered and does not tell.

    The service control manager leaves out, without a word, services the account may not query.

    Raises:
        OSError: It gives no answer.
    """
    found = {name: _STATES.get(state) for name, state in host.software.services() if name}
    seen = {name.casefold() for name in found}
    silent = [name for name in _registered(host) if name.casefold() not in seen]
    return {**found, **dict.fromkeys(silent)}


def services(host: Host) -> Observation:
    """Reading software.services."""
    try:
        found = states(host)
    except PermissionError:
        return unknown(reads.ADMINISTRATOR)
    except OSError as error:
        return unknown(f"the service control manager gives no answer ({error}): look in services.msc")
    items = [{"name": name, "state": found[name]} for name in sorted(found, key=str.casefold)]
    return known(items, "EnumServicesStatusExW; services it leaves out from the registry, state unknown")
