"""The Windows host as the probes see it: its registry, its environment, and what Windows answers.

Everything a probe asks goes through a ``Host``, so that a recorded one can stand in for the live one.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import NamedTuple

from pcaudit.probes.windows.calls import display, network, power, software, storage, system
from pcaudit.probes.windows.registry import LiveRegistry, Registry


class Host(NamedTuple):
    """One Windows host, live or recorded.

    Attributes:
        registry: Its registry.
        environ: Environment of the probing process.
        system: Windows itself, the session, firmware, memory and processors.
        storage: Volumes and drives.
        display: Screens and graphics cards.
        network: Adapters.
        power: Power schemes and batteries.
        software: Files of programs, and services.
    """

    registry: Registry
    environ: Mapping[str, str]
    system: system.SystemCalls
    storage: storage.StorageCalls
    display: display.DisplayCalls
    network: network.NetworkCalls
    power: power.PowerCalls
    software: software.SoftwareCalls = software.SILENT


def live() -> Host:
    """The host this process runs on."""
    return Host(
        registry=LiveRegistry(),
        environ=os.environ,
        system=system.live(),
        storage=storage.live(),
        display=display.live(),
        network=network.live(),
        power=power.live(),
        software=software.live(),
    )
