"""Whether this program runs inside a container or WSL, and so does not see the PC itself."""

from __future__ import annotations

from pcaudit.probes.linux import reads
from pcaudit.probes.linux.host import Host, Tree

# PROC_PID_INIT_INO, include/linux/proc_ns.h: the one PID namespace the kernel starts with.
_FIRST_NAMESPACE = "pid:[4026531836]"

# Parts of control group names that container engines give. Common practice, no source.
_CGROUP_WORDS = ("docker", "containerd", "kubepods", "libpod", "lxc", "crio")

# Where container engines keep a container's root file system, and the files they mount over its
# /etc. Common practice, no source.
_STORES = ("/docker/", "/containerd/", "/containers/storage/", "/containers/overlay", "/lxc/")
_PLANTED = ("/etc/hostname", "/etc/hosts", "/etc/resolv.conf")

# Left behind by container engines. A virtual machine made from a container image keeps them.
_MARKERS = ("/.dockerenv", "/run/.containerenv")


def wsl_reason(tree: Tree) -> str:
    """Say why what is seen here is not the PC, where this is WSL; else an empty text."""
    release = reads.text(tree, "/proc/sys/kernel/osrelease")
    if "microsoft" in release.casefold():
        return f"this is Linux inside Windows (WSL, kernel {release}): probe the PC from Windows itself"
    # A kernel somebody built for it has another name; its sockets are still there. From memory.
    if tree.exists("/run/WSL"):
        return "this is Linux inside Windows (WSL, /run/WSL is there): probe the PC from Windows itself"
    return ""


def _declared(tree: Tree) -> str:
    """What PID 1 or systemd says of itself."""
    if kind := reads.text(tree, "/run/systemd/container"):
        return f"/run/systemd/container says {kind}"
    for word in reads.text(tree, "/proc/1/environ").split("\0"):
        if word.startswith("container=") and word != "container=":
            return f"process 1 was started with {word}"
    return ""


def _cgroup(tree: Tree) -> str:
    for line in reads.text(tree, "/proc/1/cgroup").splitlines():
        path = line.split(":", 2)[-1]
        if any(word in path for word in _CGROUP_WORDS):
            return f"process 1 is in control group {path}"
    return ""


def _own_namespace(tree: Tree) -> str:
    """The PID namespace, unless it is the first one; empty also where it cannot be read."""
    try:
        namespace = tree.link("/proc/self/ns/pid")
    except OSError:
        return ""
    return "" if namespace == _FIRST_NAMESPACE else "its processes are in a namespace of their own"


def _mounts(tree: Tree) -> str:
    """Whether the root, or files in ``/etc``, are mounted from a container engine's store."""
    for line in reads.text(tree, "/proc/self/mountinfo").splitlines():
        fields = line.split(" ")
        if len(fields) < 6:
            continue
        origin, mount = fields[3], fields[4]
        if mount == "/" and any(store in f"{origin}/ {line}" for store in _STORES):
            return "its root is mounted from a container store"
        if mount in _PLANTED and "/containers/" in f"{origin}/":
            return f"{mount} is mounted from a container store"
    return ""


def _marker(tree: Tree) -> str:
    for marker in _MARKERS:
        if tree.exists(marker):
            return f"{marker} is there"
    return ""


def _in_first_namespace(tree: Tree) -> bool:
    try:
        return tree.link("/proc/self/ns/pid") == _FIRST_NAMESPACE
    except OSError:
        return False


def container_reason(host: Host) -> str:
    """Say why what is seen here is not the PC itself.

    A marker file alone is not believed where the process is in the kernel's first PID namespace
    and nothing is mounted from a container store: virtual machines made from container images
    carry the file too.

    Args:
        host: The host asked.

    Returns:
        A reason a person can act on, or an empty text outside containers and WSL.
    """
    tree = host.tree
    if reason := wsl_reason(tree):
        return reason
    evidence = _declared(tree) or _cgroup(tree) or _own_namespace(tree) or _mounts(tree)
    if not evidence and not _in_first_namespace(tree):
        evidence = _marker(tree)
    return f"this is a container ({evidence}): probe the PC from outside it" if evidence else ""
