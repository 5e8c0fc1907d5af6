"""Every probe of a macOS host."""

from __future__ import annotations

from pcaudit.probes.interface import Probe
from pcaudit.probes.macos import (
    computer,
    cpu,
    display,
    memory,
    network,
    os_info,
    power,
    session,
    software,
    storage,
    tools,
)
from pcaudit.probes.macos.host import Host, live

_GROUPS = (session, computer, os_info, cpu, memory, storage, display, network, power, software)


def probes(host: Host | None = None) -> tuple[Probe, ...]:
    """The probes of ``host``, of the live one by default; each utility is run once for all of them."""
    seen = host or live()
    shared = seen._replace(run=tools.once(seen.run))
    return tuple(probe for group in _GROUPS for probe in group.probes(shared))
