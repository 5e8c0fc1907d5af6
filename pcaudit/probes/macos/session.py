"""Who probes, from where, and with what rights."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask
from pcaudit.probes.macos.host import Host

_READINGS = ("session.user", "session.remote", "session.elevated")
# Set by sshd(8) in every session it starts.
_SSH = ("SSH_CONNECTION", "SSH_CLIENT", "SSH_TTY")
_CONSOLE = "/dev/console"
# Who owns the console while nobody is signed in there. Common practice, no source.
_NOBODY = ("root", "_windowserver", "loginwindow")


def console_user(host: Host) -> ask.Answer[str]:
    """Who is signed in at the console: the owner of its device; empty where nobody is."""
    owner = ask.ask(lambda: host.files.owner(_CONSOLE))
    return ask.Answer("") if owner.value in _NOBODY else owner


def person(host: Host) -> str:
    """Who started the probe, seen through sudo(8)."""
    return (host.environ.get("SUDO_USER", "") if host.uid == 0 else "") or host.user


def remote(host: Host) -> Observation:
    """Reading session.remote."""
    for name in _SSH:
        if host.environ.get(name):
            return known(True, f"SSH session: {name} is set")
    console = console_user(host)
    if console.value is None:
        return unknown(f"who is signed in at the console cannot be read: {console.why}")
    if not console.value:
        return known(True, f"nobody is signed in at the console (owner of {_CONSOLE})")
    source = f"owner of {_CONSOLE}: {console.value}"
    if console.value == person(host):
        return known(False, f"{source}; screen sharing is not seen")
    return known(True, f"{source}, not {person(host)}")


def console_doubt(host: Host) -> str:
    """Why what this session shows is not what stands on the bench; empty where it is."""
    seen = remote(host)
    if seen.value is False:
        return ""
    return f"run at the console: {seen.source or seen.why}"


def probe(host: Host) -> Observations:
    """Readings of group session."""
    return {
        "session.user": known(host.user, "effective user id, user database"),
        "session.remote": remote(host),
        "session.elevated": known(host.uid == 0, "effective user id"),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group session."""
    return (Probe("session", _READINGS, lambda: probe(host)),)
