"""Who probes, from where, and with what rights."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.host import Host

_READINGS = ("session.user", "session.remote", "session.elevated")

# Set by sshd(8) in every session it starts.
_SSH = ("SSH_CONNECTION", "SSH_CLIENT", "SSH_TTY")
# Set by xrdp and VNC servers in the sessions they start. Common practice, no source.
_REMOTE_DESKTOP = ("XRDP_SESSION", "VNCDESKTOP")


def _session_file(host: Host) -> dict[str, str]:
    """What systemd-logind notes of this session; empty where there is no logind session.

    Raises:
        OSError: There is a session, but what is noted of it cannot be read.
    """
    session = ""
    for line in reads.content(host.tree, "/proc/self/cgroup").splitlines():
        for part in line.split("/"):
            if part.startswith("session-") and part.endswith(".scope"):
                session = part[len("session-") : -len(".scope")]
    session = session or host.environ.get("XDG_SESSION_ID", "")
    if not session or "/" in session:
        return {}
    content = reads.content(host.tree, f"/run/systemd/sessions/{session}")
    pairs = (line.partition("=") for line in content.splitlines())
    return {key: value for key, _, value in pairs}


def _by_logind(session: dict[str, str]) -> Observation:
    source = "systemd-logind session file"
    if session.get("REMOTE") == "1":
        return known(True, f"{source}: REMOTE=1")
    if seat := session.get("SEAT"):
        return known(False, f"{source}: SEAT={seat}")
    return known(True, f"{source}: no seat, so no console")


def _on_virtual_console(host: Host) -> bool:
    # proc(5): field 7 of /proc/self/stat is the controlling terminal. The name in brackets may
    # hold spaces, so fields are counted from behind it.
    fields = reads.text(host.tree, "/proc/self/stat").rpartition(")")[2].split()
    try:
        device = int(fields[4])
    except (IndexError, ValueError):
        return False
    # Linux admin-guide/devices.txt: character device 4:1 to 4:63 are virtual consoles.
    return device >> 8 == 4 and 1 <= device & 0xFF <= 63


def _without_logind(host: Host) -> Observation:
    if _on_virtual_console(host):
        return known(False, "controlling terminal is a virtual console")
    display = host.environ.get("DISPLAY", "")
    if not display and not host.environ.get("WAYLAND_DISPLAY"):
        return known(True, "no systemd-logind session, no console and no display: nobody sits at it")
    # X(7): a host name before the colon asks for a connection over the network.
    if display.partition(":")[0] not in {"", "unix"}:
        return known(True, f"DISPLAY={display} is on another host")
    return unknown(
        "without systemd-logind a console cannot be told from a remote desktop: run at the console"
    )


def _remote(host: Host) -> Observation:
    for names, what in ((_SSH, "SSH session"), (_REMOTE_DESKTOP, "remote desktop")):
        for name in names:
            if host.environ.get(name):
                return known(True, f"{what}: {name} is set")
    try:
        session = _session_file(host)
    except OSError as error:
        return unknown(reads.refusal("what systemd-logind notes of this session", error))
    return _by_logind(session) if session else _without_logind(host)


def probe(host: Host) -> Observations:
    """Readings of group session."""
    return {
        "session.user": known(host.user, "effective user id, passwd database"),
        "session.remote": _remote(host),
        "session.elevated": known(host.uid == 0, "effective user id"),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group session."""
    return (Probe("session", _READINGS, lambda: probe(host)),)
