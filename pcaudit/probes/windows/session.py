"""Readings of group session."""

from __future__ import annotations

from pcaudit.probes.interface import Probe
from pcaudit.probes.windows.host import Host


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of this group."""
    del host
    return ()
