"""Every probe of a Windows host."""

from __future__ import annotations

from pcaudit.probes.interface import Probe
from pcaudit.probes.windows import (
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
)
from pcaudit.probes.windows.host import Host, live

_GROUPS = (session, computer, os_info, cpu, memory, storage, display, network, power, software)


def probes(host: Host | None = None) -> tuple[Probe, ...]:
    """The probes of ``host``, of the live one by default."""
    seen = host or live()
    return tuple(probe for group in _GROUPS for probe in group.probes(seen))
