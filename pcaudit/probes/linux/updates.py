"""Whether an update waits for a restart, and whether updates may restart the PC."""

from __future__ import annotations

import re

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import aptconf, ini
from pcaudit.probes.interface import Observations
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

READINGS = ("os.restart_pending", "os.update_restarts")
"""What this module reads."""

# Debian Policy, "Signaling that a reboot is required"; systemd.offline-updates(7); ostree.
_WAITING = {
    "/run/reboot-required": "",
    "/var/run/reboot-required": "",
    "/system-update": " (offline update prepared)",
    "/run/ostree/staged-deployment": " (deployment staged)",
}
# What sets /run/reboot-required when a kernel or library is replaced, on Debian and its kin.
_FLAGGERS = (
    "/usr/share/update-notifier/notify-reboot-required",
    "/etc/kernel/postinst.d/unattended-upgrades",
    "/etc/kernel/postinst.d/update-notifier",
)
_IMAGE = re.compile(r"vmlinuz-([0-9][0-9.\-]*?)([-.]?[A-Za-z].*)?", re.ASCII)
# Agents that restart the PC by rules of their own. Common practice, no source.
_AGENTS = ("/usr/sbin/rebootmgrd", "/usr/sbin/transactional-update", "/usr/libexec/zincati")
_DNF_SETTINGS = ("/etc/dnf/automatic.conf", "/etc/dnf/dnf5-plugins/automatic.conf")


def _release(name: str) -> tuple[tuple[int, ...], str] | None:
    """Numbers and flavour of a kernel image's name, which together order kernels of one flavour."""
    match = _IMAGE.fullmatch(name)
    if not match:
        return None
    return tuple(int(number) for number in re.findall(r"\d{1,9}", match[1])), match[2] or ""


def _newer_kernel(tree: Tree) -> str:
    """An installed kernel newer than the running one and of its flavour; empty where there is none."""
    running = _release(f"vmlinuz-{reads.text(tree, '/proc/sys/kernel/osrelease')}")
    if running is None:
        return ""
    images = ((name, _release(name)) for name in reads.names(tree, "/boot"))
    newer = [
        (release[0], name)
        for name, release in images
        if release and release[1] == running[1] and release[0] > running[0]
    ]
    return max(newer)[1] if newer else ""


def _restart_pending(tree: Tree) -> Observation:
    for file, what in _WAITING.items():
        if tree.exists(file):
            return known(True, f"{file}{what}")
    if kernel := _newer_kernel(tree):
        return known(True, f"/boot/{kernel} is newer than the running kernel")
    flagger = next((file for file in _FLAGGERS if tree.exists(file)), "")
    if flagger:
        return known(False, f"no /run/reboot-required, which {flagger} would set")
    if tree.exists("/usr/bin/dnf"):
        return unknown("this system leaves no mark of it: run 'dnf needs-restarting -r'")
    return unknown("nothing on this system marks a restart as pending: restart it to be sure")


def _apt_settings(tree: Tree) -> tuple[dict[str, str], bool]:
    """APT's settings in the order of apt.conf(5), and whether all of them could be read."""
    folder = "/etc/apt/apt.conf.d"
    # apt.conf(5): names without an extension, or with .conf.
    settings: dict[str, str] = {}
    complete = True
    try:
        names = reads.listed(tree, folder)
    except OSError:
        names, complete = [], False
    parts = [name for name in names if re.fullmatch(r"[\w-]+(\.conf)?", name, re.ASCII)]
    for file in (*(f"{folder}/{name}" for name in parts), "/etc/apt/apt.conf"):
        try:
            settings.update(aptconf.decode(tree.text(file)))
        except FileNotFoundError:
            continue
        except OSError:
            complete = False
    return settings, complete


def _apt_restarts(tree: Tree) -> Observation:
    if not tree.exists("/usr/bin/unattended-upgrade"):
        return known(False, "APT does not restart, and unattended-upgrades is not installed")
    settings, complete = _apt_settings(tree)
    value = settings.get("unattended-upgrade::automatic-reboot", "")
    # apt-pkg, StringToBool: the words APT takes for yes.
    if value.casefold() in {"true", "yes", "with", "on", "enable", "1"}:
        return known(True, f"APT Unattended-Upgrade::Automatic-Reboot {value}")
    if not complete:
        return unknown(f"some of APT's settings cannot be read: {reads.ADMINISTRATOR}")
    said = f"is {value}" if value else "is not set, which means no"
    return known(False, f"APT Unattended-Upgrade::Automatic-Reboot {said}")


def _dnf_restarts(tree: Tree) -> Observation:
    # dnf-automatic(8), [commands] reboot: never (the default), when-changed, when-needed.
    for file in _DNF_SETTINGS:
        try:
            content = tree.text(file)
        except FileNotFoundError:
            continue
        except OSError:
            return unknown(f"{file} cannot be read: {reads.ADMINISTRATOR}")
        found = {key: value for section, key, value in ini.settings(content) if section == "commands"}
        reboot = found.get("reboot", "never")
        return known(reboot.casefold() != "never", f"{file} reboot = {reboot}")
    return known(False, "DNF does not restart, and automatic updates are not set up")


def _update_restarts(tree: Tree) -> Observation:
    for agent in _AGENTS:
        if tree.exists(agent):
            return unknown(f"{agent} may restart this system by rules of its own: see its settings")
    found = []
    if tree.exists("/etc/apt"):
        found.append(_apt_restarts(tree))
    if tree.exists("/etc/dnf") or tree.exists("/usr/bin/dnf"):
        found.append(_dnf_restarts(tree))
    if not found:
        return unknown("only APT's and DNF's settings are understood, and this system has neither")
    restarting = [observation for observation in found if observation.value is True]
    unsure = [observation for observation in found if observation.value is None]
    return (restarting or unsure or found)[0]


def probe(host: Host) -> Observations:
    """Restarts that wait, and restarts that may come; unknown inside a container."""
    if reason := container_reason(host):
        return reads.all_unknown(READINGS, reason)
    return {
        "os.restart_pending": _restart_pending(host.tree),
        "os.update_restarts": _update_restarts(host.tree),
    }
