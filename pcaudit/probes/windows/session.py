"""Who probes, from where, and with what rights."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows.ask import ask, of
from pcaudit.probes.windows.host import Host

_READINGS = ("session.user", "session.remote", "session.elevated")

# Set by OpenSSH in every session it starts, sshd(8).
_SSH = ("SSH_CONNECTION", "SSH_CLIENT", "SSH_TTY")
_SERVICES = 0  # Win32 documentation, "Session 0": services only, nobody sits at it
_NO_SESSION = 0xFFFF_FFFF  # WTSGetActiveConsoleSessionId: nothing is attached to the console


def _user(host: Host) -> Observation:
    source = "GetUserNameW"
    return of(
        ask(host.system.user_name),
        lambda name: known(name, source) if name else unknown(f"{source} gave no name"),
    )


def _by_session(host: Host) -> Observation:
    """Whether this session is the one at the console.

    Win32 documentation, "Detecting the Remote Desktop environment": SM_REMOTESESSION alone misses
    remote sessions that use the PC's own graphics card.
    """
    session, console = ask(host.system.session), ask(host.system.console_session)
    if session.value is None:
        return unknown(session.why)
    if session.value == _SERVICES:
        return known(True, "ProcessIdToSessionId 0: run by a service, with no console")
    if console.value is None:
        return unknown(console.why)
    if console.value == _NO_SESSION:
        return known(True, "WTSGetActiveConsoleSessionId: no session at the console")
    source = f"ProcessIdToSessionId {session.value}, WTSGetActiveConsoleSessionId {console.value}"
    return known(session.value != console.value, source)


def _remote(host: Host) -> Observation:
    for name in _SSH:
        if host.environ.get(name):
            return known(True, f"SSH session: {name} is set")
    desktop = ask(host.system.remote_session)
    if desktop.value:
        return known(True, "GetSystemMetrics SM_REMOTESESSION")
    found = _by_session(host)
    if found.value is False:
        if desktop.value is None:
            return unknown(desktop.why)
        return found._replace(source=f"{found.source}; GetSystemMetrics SM_REMOTESESSION 0")
    return found


def _elevated(host: Host) -> Observation:
    return of(ask(host.system.elevated), lambda yes: known(yes, "GetTokenInformation TokenElevation"))


def probe(host: Host) -> Observations:
    """Readings of group session."""
    return {
        "session.user": _user(host),
        "session.remote": _remote(host),
        "session.elevated": _elevated(host),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group session."""
    return (Probe("session", _READINGS, lambda: probe(host)),)
