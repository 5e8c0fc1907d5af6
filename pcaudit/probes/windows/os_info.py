"""The operating system: where each part of its group is read."""

from __future__ import annotations

from pcaudit.core.snapshot import known
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import architecture, clock, domain, language, os_version, restarts
from pcaudit.probes.windows.host import Host

_IDENTITY = ("os.type", "os.machine")


def probe(host: Host) -> Observations:
    """What family of system this is, on what machine."""
    return {"os.type": known("windows", "sys.platform"), "os.machine": architecture.machine(host)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group os, each of which may hang without costing the others."""
    return (
        Probe("operating system", _IDENTITY, lambda: probe(host)),
        Probe("version", os_version.READINGS, lambda: os_version.probe(host)),
        Probe("language", language.READINGS, lambda: language.probe(host)),
        Probe("clock", clock.READINGS, lambda: clock.probe(host)),
        Probe("updates", restarts.READINGS, lambda: restarts.probe(host)),
        Probe("domain", domain.READINGS, lambda: domain.probe(host)),
    )
