"""Time zone, and why nothing can be said of the clock."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.macos import ask
from pcaudit.probes.macos.host import Host

READINGS = ("os.time_zone", "os.clock_synchronised", "os.clock_synchronised_at")
"""What this module reads."""

_LINK = "/etc/localtime"
_SYNCHRONISED = (
    "macOS keeps for itself when it last set the clock: see that Set time and date automatically is on in "
    "System Settings > General > Date & Time, and run sntp with the site's time server"
)


def _time_zone(host: Host) -> Observation:
    link = ask.ask(lambda: host.files.link(_LINK))
    zone = (link.value or "").partition("zoneinfo/")[2]
    if not zone:
        return unknown(link.why or f"{_LINK} does not name a time zone: set one in System Settings")
    session = host.environ.get("TZ", "").removeprefix(":")
    return known(zone, _LINK + (f"; TZ of this session is {session}" if session not in ("", zone) else ""))


def probe(host: Host) -> Observations:
    """Time zone and clock."""
    return {
        "os.time_zone": _time_zone(host),
        "os.clock_synchronised": unknown(_SYNCHRONISED),
        "os.clock_synchronised_at": unknown(_SYNCHRONISED),
    }
