"""Tests of telling containers and WSL from the PC itself."""

from __future__ import annotations

import pytest

from pcaudit.probes.linux.container import container_reason
from tests.probes.hosts import DENIED, Entry, Link, host

# include/linux/proc_ns.h: PROC_PID_INIT_INO is 0xEFFFFFFC.
FIRST = Link(f"pid:[{0xEFFFFFFC}]")
PC: dict[str, Entry] = {
    "/proc/self/ns/pid": FIRST,
    "/proc/1/environ": DENIED,
    "/proc/1/cgroup": "0::/init.scope",
    "/proc/sys/kernel/osrelease": "6.1.0-21-amd64",
    "/proc/self/mountinfo": "26 1 254:0 / / rw,relatime - ext4 /dev/sda1 rw",
}
# A PC on which containers run: their mounts are seen, but not as its own root.
CONTAINER_HOST = (
    "26 1 8:1 / / rw - ext4 /dev/sda1 rw\n"
    "90 26 0:50 / /var/lib/docker/f0 rw - overlay overlay rw,lowerdir=/var/lib/docker/l/A"
)


def test_a_pc_is_no_container() -> None:
    """Nothing about an ordinary PC looks like a container."""
    assert container_reason(host(PC)) == ""


def test_a_pc_that_runs_containers_is_no_container() -> None:
    """Other containers' file systems, mounted on the PC, do not make it one."""
    assert container_reason(host({**PC, "/proc/self/mountinfo": CONTAINER_HOST})) == ""


@pytest.mark.parametrize(
    "marks",
    [
        {"/proc/self/ns/pid": Link("pid:[4026532201]")},
        {"/run/systemd/container": "lxc"},
        {"/proc/1/environ": "PATH=/bin\0container=podman\0HOME=/root"},
        {"/proc/1/cgroup": "12:memory:/docker/0f0f"},
        {"/proc/1/cgroup": "0::/kubepods.slice/pod1"},
        {"/proc/self/mountinfo": "1 0 0:50 / / rw - overlay overlay rw,lowerdir=/var/lib/docker/l/A"},
        {"/proc/self/mountinfo": "9 1 8:1 /data/containers/0f/hostname /etc/hostname rw - ext4 /dev/sda1 rw"},
        {"/proc/self/ns/pid": DENIED, "/.dockerenv": ""},
        {"/proc/self/ns/pid": DENIED, "/run/.containerenv": ""},
    ],
    ids=["namespace", "systemd", "environ", "cgroup-v1", "cgroup-v2", "root", "hostname", "docker", "podman"],
)
def test_every_mark_of_a_container_is_enough(marks: dict[str, Entry]) -> None:
    """Any one sound mark makes it a container, and the reason says to probe the PC from outside."""
    assert "from outside" in container_reason(host({**PC, **marks}))


def test_a_left_over_marker_file_makes_no_container() -> None:
    """A virtual machine made from a container image keeps the file but has the first namespace."""
    assert container_reason(host({**PC, "/.dockerenv": ""})) == ""


def test_wsl_is_told_by_its_kernel() -> None:
    """Linux inside Windows shows a virtual machine's share, so the person is sent to Windows."""
    files = {**PC, "/proc/sys/kernel/osrelease": "5.15.153.1-microsoft-standard-WSL2"}
    assert "from Windows itself" in container_reason(host(files))
