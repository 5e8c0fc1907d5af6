"""PCs on one machine: a network namespace each, with its own SSH server, name, key and private folders.

A real OpenSSH answers on each. Files of the system are shared; the folders in which something could be left
behind are each one's own, and empty at first.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple

SSHD: Final = "/usr/sbin/sshd"
USER: Final = "labadmin"
"""An ordinary account on each PC, which may become root by sudo without a password."""

PRIVATE: Final = ("tmp", "var/tmp", "root")
"""Folders that are each PC's own, as /run is."""

PLACES: Final = ("/usr/bin", "/usr/local/bin")
"""Folders a Python of the machine may lie in; homes are hidden on the PCs."""

_PORT: Final = 22
_WAIT: Final = 10.0

_BOOT: Final = """
set -e
mount --make-rprivate /
mount -t tmpfs tmpfs /mnt
cp "$PLACE"/* /mnt
chmod 600 /mnt/host_key
chmod 755 /mnt
install -m 666 /dev/null /mnt/who
{ cat /etc/passwd; echo "$USER_NAME:*:64999:64999::/tmp:/bin/sh"; } >/mnt/passwd
mount --bind /mnt/passwd /etc/passwd
if [ -e /etc/sudoers ]; then
  echo "$USER_NAME ALL=(ALL) NOPASSWD: ALL" >/mnt/sudoers
  chmod 440 /mnt/sudoers
  mount --bind /mnt/sudoers /etc/sudoers
fi
for folder in $PRIVATE run; do mount -t tmpfs -o mode=1777 tmpfs "/$folder"; done
chmod 700 /root
mkdir /run/sshd
hostname "$NAME"
for python in $PYTHONS; do
  real=/mnt/real-$(basename "$python")
  touch "$real"
  mount --bind "$python" "$real"
  [ ! -e /mnt/python ] || mount --bind /mnt/python "$python"
done
exec /usr/sbin/sshd -D -e -f /mnt/sshd_config
"""

_SSHD_CONFIG: Final = f"""
Port {_PORT}
HostKey /mnt/host_key
AuthorizedKeysFile /mnt/authorized_keys
PermitRootLogin prohibit-password
PasswordAuthentication no
UsePAM no
StrictModes no
PidFile none
Subsystem sftp internal-sftp
"""


class Pc(NamedTuple):
    """A PC to be there.

    Attributes:
        name: Its host name.
        python: Shell script that stands in for every Python on it; empty for those of this machine.
        answers: Whether it is switched on.
    """

    name: str
    python: str = ""
    answers: bool = True


class Lab(NamedTuple):
    """Where the PCs are.

    Attributes:
        controller: Network namespace from which all can be reached.
        key: Private key that opens them.
        addresses: The address of each, by name.
        host_keys: The public key of each, by name.
        servers: Process of the SSH server of each that is switched on.
    """

    controller: str
    key: Path
    addresses: dict[str, str]
    host_keys: dict[str, str]
    servers: dict[str, int]

    def processes(self, name: str) -> list[str]:
        """Command lines of what runs on a PC, beside its SSH server."""
        found = []
        namespace = f"{self.controller}-{list(self.addresses).index(name)}"
        for pid in _output("ip", "netns", "pids", namespace).split():
            with suppress(OSError):
                found.append(Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode())
        return [line for line in found if not line.startswith("sshd: ")]

    def said(self, name: str) -> str:
        """What the stand-in for Python on a PC wrote into /mnt/who, which anyone there may write to."""
        return Path(f"/proc/{self.servers[name]}/root/mnt/who").read_text(encoding="ascii").strip()

    def left_behind(self, name: str) -> list[str]:
        """What lies in the private folders of a PC."""
        root = Path(f"/proc/{self.servers[name]}/root")
        found = [path for one in PRIVATE for path in (root / one).rglob("*")]
        return [f"/{path.relative_to(root)}" for path in found]


def missing() -> str:
    """Why no PCs can be made here; empty where they can."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return "network namespaces need root"
    tools = [tool for tool in ("ip", "unshare", "ssh", "ssh-keygen", "sudo") if not shutil.which(tool)]
    if tools or not os.access(SSHD, os.X_OK):
        return f"not installed: {', '.join([*tools, *([] if os.access(SSHD, os.X_OK) else ['sshd'])])}"
    if subprocess.run(["unshare", "--net", "--mount", "--uts", "true"], capture_output=True).returncode:
        return "this machine allows no namespaces"
    if not any(_new_enough(python) for python in _pythons()):
        return f"no Python 3.11 or newer in {' or '.join(PLACES)}"
    return ""


def _pythons() -> list[str]:
    found = [path for place in PLACES for path in Path(place).glob("python3*") if "-" not in path.name]
    return sorted({str(path.resolve()) for path in found if os.access(path, os.X_OK)})


def _new_enough(python: str) -> bool:
    asked = [python, "-I", "-c", "import sys; sys.exit(sys.version_info < (3, 11))"]
    return subprocess.run(asked, capture_output=True).returncode == 0


def _output(*command: str) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True, timeout=30).stdout


def new_key(path: Path) -> str:
    """Make a key pair; its public half as ``known_hosts`` writes it."""
    _output("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(path))
    return path.with_suffix(".pub").read_text(encoding="ascii").strip()


@contextmanager
def _namespace(name: str) -> Iterator[str]:
    _output("ip", "netns", "add", name)
    try:
        yield name
    finally:
        for pid in _output("ip", "netns", "pids", name).split():
            with suppress(ProcessLookupError):
                os.kill(int(pid), signal.SIGKILL)
        _output("ip", "netns", "delete", name)


def _cable(controller: str, namespace: str, number: int) -> str:
    # RFC 2544 gives 198.18.0.0/15 to tests of networks.
    near, far = f"198.18.{number}.1/30", f"198.18.{number}.2/30"
    ends = (f"near{number}", f"far{number}")
    in_controller, on_pc = ("ip", "-n", controller), ("ip", "-n", namespace)
    _output(*in_controller, "link", "add", ends[0], "type", "veth", "peer", ends[1], "netns", namespace)
    _output(*in_controller, "address", "add", near, "dev", ends[0])
    _output(*in_controller, "link", "set", ends[0], "up")
    _output(*on_pc, "address", "add", far, "dev", ends[1])
    _output(*on_pc, "link", "set", "lo", "up")
    return far.partition("/")[0]


def _switch_on(pc: Pc, namespace: str, place: Path) -> subprocess.Popen[bytes]:
    (place / "sshd_config").write_text(_SSHD_CONFIG, encoding="ascii")
    if pc.python:
        (place / "python").write_text(pc.python, encoding="ascii")
        (place / "python").chmod(0o755)
    environ = {**os.environ, "PLACE": str(place), "NAME": pc.name, "PYTHONS": " ".join(_pythons())}
    environ |= {"PRIVATE": " ".join(PRIVATE), "USER_NAME": USER}
    command = ["ip", "netns", "exec", namespace, "unshare", "--mount", "--uts", "sh", "-c", _BOOT]
    with open(place.with_suffix(".log"), "wb") as log:
        return subprocess.Popen(command, env=environ, stdin=subprocess.DEVNULL, stdout=log, stderr=log)


def _wait(place: Path) -> None:
    until = time.monotonic() + _WAIT
    log = place.with_suffix(".log")
    while "Server listening" not in log.read_text(encoding="utf-8", errors="replace"):
        assert time.monotonic() < until, log.read_text(encoding="utf-8", errors="replace")
        time.sleep(0.02)


@contextmanager
def running(pcs: Sequence[Pc], place: Path) -> Iterator[Lab]:
    """The PCs, switched on and connected, until the end.

    Args:
        pcs: What is to be there.
        place: A folder for keys and logs.
    """
    with ExitStack() as stack:
        controller = stack.enter_context(_namespace(f"pcaudit{os.getpid()}"))
        _output("ip", "-n", controller, "link", "set", "lo", "up")
        public = new_key(place / "key")
        addresses, host_keys, servers = {}, {}, {}
        for number, pc in enumerate(pcs):
            namespace = stack.enter_context(_namespace(f"{controller}-{number}"))
            addresses[pc.name] = _cable(controller, namespace, number)
            (place / pc.name).mkdir()
            host_keys[pc.name] = new_key(place / pc.name / "host_key")
            (place / pc.name / "authorized_keys").write_text(public, encoding="ascii")
            if pc.answers:
                _output("ip", "-n", namespace, "link", "set", f"far{number}", "up")
                server = _switch_on(pc, namespace, place / pc.name)
                stack.callback(server.wait)
                stack.callback(server.kill)
                # Each program on the way to the server becomes the next one.
                servers[pc.name] = server.pid
        for name in servers:
            _wait(place / name)
        yield Lab(controller, place / "key", addresses, host_keys, servers)
