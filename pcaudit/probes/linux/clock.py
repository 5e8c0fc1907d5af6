"""Time zone, and whether the clock is being kept right."""

from __future__ import annotations

import time
from collections.abc import Callable

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.host import Host, Tree

READINGS = ("os.time_zone", "os.clock_synchronised", "os.clock_synchronised_at")
"""What this module reads."""

_TIME_ERROR = 5  # adjtimex(2): the clock is not synchronised
# kernel/time/ntp.c, second_overflow(): the maximum error grows by MAXFREQ, 500 ppm, until the
# clock is set again; so it bounds the time since.
_GROWTH = 500e-6
# Twice the longest polling interval of systemd-timesyncd (PollIntervalMaxSec=, timesyncd.conf(5)),
# which is also longer than that of other daemons.
_STALE = 2 * 2048
_STAMP = "/run/systemd/timesync/synchronized"  # touched at every synchronisation, systemd-timesyncd(8)
_DAEMONS = {
    "chronyd": ("/run/chrony/chronyd.pid", "/run/chronyd.pid"),
    "systemd-timesyncd": ("/run/systemd/timesync",),
    "ntpd": ("/run/ntpd.pid", "/run/ntpd/ntpd.pid", "/run/openntpd.pid"),
}
_CHRONY_SETTINGS = ("/etc/chrony/chrony.conf", "/etc/chrony.conf")
_ZONES = "/usr/share/zoneinfo/"


def _daemon(tree: Tree) -> str:
    """The time daemon that seems to run; empty where none is seen."""
    for name, files in _DAEMONS.items():
        if any(tree.exists(file) for file in files):
            return name
    return ""


def _is_link(tree: Tree, name: str) -> bool:
    try:
        return bool(tree.link(name))
    except OSError:
        return False


def _linked_zone(tree: Tree) -> str:
    try:
        target = tree.link("/etc/localtime")
    except OSError:
        return ""
    _, marker, zone = target.partition("zoneinfo/")
    for prefix in ("posix/", "right/"):
        zone = zone.removeprefix(prefix)
    return zone if marker else ""


def _named_zone(tree: Tree) -> Observation | None:
    """The zone in /etc/timezone, unless the zone data in force is another one's."""
    try:
        zone = reads.content(tree, "/etc/timezone")
    except OSError as error:
        return unknown(reads.refusal("/etc/timezone", error))
    if not zone:
        return None
    try:
        same = tree.data("/etc/localtime") == tree.data(f"{_ZONES}{zone}")
    except OSError:
        return known(zone, "/etc/timezone")
    if same:
        return known(zone, "/etc/timezone, the same data as /etc/localtime")
    return unknown(
        f"/etc/timezone says {zone}, but /etc/localtime holds another zone's data: set the time zone"
    )


def _time_zone(host: Host) -> Observation:
    tree = host.tree
    session = host.environ.get("TZ", "").removeprefix(":")
    zone = _linked_zone(tree)
    if zone:
        other = f"; TZ of this session is {session}" if session and session != zone else ""
        return known(zone, f"/etc/localtime{other}")
    if named := _named_zone(tree):
        return named
    if session:
        return known(session, "TZ of this session")
    if tree.exists("/etc/localtime") or _is_link(tree, "/etc/localtime"):
        return unknown("/etc/localtime is a copy that does not say which zone it is: set the time zone")
    return known("UTC", "no /etc/localtime; localtime(5): then it is UTC")


def _span(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds < 7200 else f"{seconds / 3600:.0f} h"


def _hides_from_kernel(tree: Tree) -> bool:
    """Whether chronyd keeps the clock without telling the kernel (no rtcsync, chrony.conf(5))."""
    settings = [reads.text(tree, file) for file in _CHRONY_SETTINGS]
    return not any("rtcsync" in line.split() for text in settings for line in text.splitlines())


def _stamp(tree: Tree) -> float | None:
    """When systemd-timesyncd last set the clock, in seconds since 1970; None where it did not."""
    try:
        return tree.modified(_STAMP)
    except OSError:
        return None


def _unsynchronised(tree: Tree, daemon: str) -> Observation:
    if daemon == "chronyd" and _hides_from_kernel(tree):
        return unknown("chronyd runs without rtcsync, so the kernel cannot tell: run 'chronyc tracking'")
    by = f"; {daemon} seems to run" if daemon else "; no time daemon is seen"
    return known(False, f"kernel clock discipline (adjtimex): not synchronised{by}")


def _synchronised(host: Host, now: float) -> Observation:
    tree = host.tree
    daemon = _daemon(tree)
    try:
        state, error = host.adjtimex()
    except OSError as problem:
        return unknown(f"the kernel refuses to say (adjtimex: {problem.strerror or problem})")
    if state == _TIME_ERROR:
        return _unsynchronised(tree, daemon)
    age = error / 1e6 / _GROWTH
    stamp = _stamp(tree)
    if daemon == "systemd-timesyncd" and stamp is not None:
        age = max(0.0, now - stamp)
    if age > _STALE:
        return unknown(
            f"the kernel still calls the clock synchronised, but perhaps nothing set it for {_span(age)}:"
            " see that the time server answers"
        )
    by = daemon or "a time daemon that is not seen from here"
    source = f"kernel clock discipline (adjtimex): synchronised, error at most {error / 1e6:.3g} s; {by}"
    return known(True, source)


def _synchronised_at(host: Host) -> Observation:
    stamp = _stamp(host.tree)
    if stamp is not None:
        moment = time.strftime("%Y-%m-%dT%H:%M:%S+00:00", time.gmtime(stamp))
        return known(moment, _STAMP)
    daemon = _daemon(host.tree)
    if daemon == "chronyd":
        return unknown("chronyd keeps no stamp that can be read: run 'chronyc tracking'")
    if daemon:
        return unknown(f"{daemon} has left no stamp: it has not set the clock since the start, or keeps none")
    return unknown("no time daemon that keeps a stamp is seen: set up one, such as systemd-timesyncd")


def probe(host: Host, now: Callable[[], float] | None = None) -> Observations:
    """Time zone and clock. ``now`` gives seconds since 1970."""
    return {
        "os.time_zone": _time_zone(host),
        "os.clock_synchronised": _synchronised(host, (now or host.now)()),
        "os.clock_synchronised_at": _synchronised_at(host),
    }
