"""Time zone, and whether the clock is being kept right.

Windows keeps when its time service last set the clock to itself: no documented function or
registry value tells, only the service's own command-line tool. A service that runs may have set
nothing for months, and one that is stopped is started now and then to do so.
"""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import windows_time_zone
from pcaudit.probes.interface import Observations
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.ask import ask, of
from pcaudit.probes.windows.host import Host

READINGS = ("os.time_zone", "os.clock_synchronised", "os.clock_synchronised_at")
"""What this module reads."""

_SERVICE = r"HKLM\SYSTEM\CurrentControlSet\Services\W32Time"
_DISABLED = 4  # winnt.h: SERVICE_DISABLED
_OTHERS = "whether another program sets the clock is not seen: ask who runs it"
_QUERY = "run 'w32tm /query /status', which says when it last did"


def _time_zone(name: str) -> Observation:
    if not name:
        return unknown("Windows does not say which zone it is: set the time zone")
    return known(name, "GetDynamicTimeZoneInformation TimeZoneKeyName, Windows's own name of the zone")


def _why_not_known(host: Host) -> str:
    """What is known of the time service, since whether it succeeded is not."""
    registry = host.registry
    if reads.number(registry, _SERVICE, "Start") == _DISABLED:
        return f"Windows's time service is switched off (registry {_SERVICE}\\Start 4); {_OTHERS}"
    kind = reads.read(registry, rf"{_SERVICE}\Parameters", "Type", str)
    if not kind.value:
        return f"Windows's time service is not set up ({kind.why}); {_OTHERS}"
    # Microsoft, "Windows Time service tools and settings", Parameters, Type.
    if kind.value.casefold() == "nosync":
        return f"Windows's time service is told not to set the clock (Type NoSync); {_OTHERS}"
    server = reads.text(registry, rf"{_SERVICE}\Parameters", "NtpServer").partition(",")[0]
    source = "its domain" if kind.value.casefold() == "nt5ds" else server
    of_what = f" of {source}" if source else ""
    return f"Windows is set to take the time{of_what} (W32Time Type {kind.value}); {_QUERY}"


def probe(host: Host) -> Observations:
    """Time zone and clock."""
    zone = ask(lambda: windows_time_zone.decode(host.system.time_zone()))
    clock = unknown(_why_not_known(host))
    return {
        "os.time_zone": of(zone, _time_zone),
        "os.clock_synchronised": clock,
        "os.clock_synchronised_at": clock,
    }
