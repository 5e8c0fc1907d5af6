"""Tests of who probes, from where, with what rights."""

from __future__ import annotations

import subprocess
from collections.abc import Mapping

import pytest

from pcaudit.core.snapshot import Form
from pcaudit.probes.linux import session
from pcaudit.probes.linux.host import live
from tests.probes.hosts import Entry, host

# proc(5), /proc/self/stat: the seventh field is the terminal; the name may hold spaces.
ON_TTY2 = f"812 (a sh) S 1 812 812 {4 << 8 | 2} 812 0"
ON_SERIAL = f"812 (sh) S 1 812 812 {4 << 8 | 64} 812 0"
IN_SESSION_3: dict[str, Entry] = {"/proc/self/cgroup": "0::/user.slice/user-1000.slice/session-3.scope"}


def remote(files: Mapping[str, Entry], environ: Mapping[str, str] | None = None) -> object:
    """Whether a host with these files and this environment is probed remotely."""
    return session.probe(host(files, environ=environ))["session.remote"].value


@pytest.mark.parametrize(
    ("files", "environ", "expected"),
    [
        ({}, {"SSH_CONNECTION": "192.0.2.1 50000 192.0.2.2 22"}, True),
        ({}, {"SSH_TTY": "/dev/pts/0"}, True),
        ({}, {"XRDP_SESSION": "1", "DISPLAY": ":10"}, True),
        ({**IN_SESSION_3, "/run/systemd/sessions/3": "REMOTE=1\nSEAT=seat0"}, {}, True),
        ({**IN_SESSION_3, "/run/systemd/sessions/3": "REMOTE=0\nSEAT=seat0"}, {}, False),
        ({**IN_SESSION_3, "/run/systemd/sessions/3": "REMOTE=0"}, {}, True),
        ({"/run/systemd/sessions/c1": "REMOTE=0\nSEAT=seat0"}, {"XDG_SESSION_ID": "c1"}, False),
        ({"/proc/self/stat": ON_TTY2}, {}, False),
        ({"/proc/self/stat": ON_SERIAL}, {}, True),
        ({}, {}, True),
        ({}, {"DISPLAY": "localhost:10.0"}, True),
        ({}, {"DISPLAY": ":0"}, None),
        ({}, {"DISPLAY": ":0", "WAYLAND_DISPLAY": "wayland-0"}, None),
        ({}, {"WAYLAND_DISPLAY": "wayland-0"}, None),
    ],
)
def test_only_a_session_at_the_console_is_not_remote(
    files: dict[str, Entry], environ: dict[str, str], expected: bool | None
) -> None:
    """SSH, remote desktops and sessions without a console are remote; what cannot be told is unknown."""
    assert remote(files, environ) is expected


def test_a_session_name_from_the_environment_is_not_a_path() -> None:
    """A session id that leads out of the sessions' folder is not followed."""
    files: dict[str, Entry] = {"/etc/mine": "SEAT=seat0", "/run/systemd/sessions/": ""}
    assert remote(files, {"XDG_SESSION_ID": "../../../etc/mine"}) is True


@pytest.mark.parametrize(("uid", "expected"), [(0, True), (1000, False)])
def test_only_root_is_elevated(uid: int, expected: bool) -> None:
    """Administrator rights on Linux are effective user id 0."""
    assert session.probe(host({}, uid=uid))["session.elevated"].value is expected


def test_user_and_rights_are_those_id_shows() -> None:
    """On this machine user and rights equal what id(1) says."""
    readings = session.probe(live())

    def told(option: str) -> str:
        return subprocess.run(["id", option], capture_output=True, text=True, check=True).stdout.strip()

    assert readings["session.elevated"].value is (told("-u") == "0")
    assert readings["session.user"].value == told("-un")


def test_the_probe_gives_what_it_promises() -> None:
    """Every reading of the group is given, each with a source or a reason."""
    (probe,) = session.probes(host({}))
    readings = probe.take()
    assert set(readings) == set(probe.reads) == {"session.user", "session.remote", "session.elevated"}
    assert all(each.why if each.form is Form.UNKNOWN else each.source for each in readings.values())
