"""Power: where it comes from, and what the PC does by itself to save it.

``never`` is given only where it is proved: by the kernel, by systemd, or because neither the login
manager nor any desktop asks for it. A desktop's setting belongs to the user at the console and is
not read; where it decides, the reading is unknown.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Final, NamedTuple

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.core.units import NEVER
from pcaudit.probes.decode import ini
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import logind, reads
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree
from pcaudit.probes.linux.sysfs import real

_READINGS = (
    *("power.source", "power.plan", "power.sleep_after", "power.sleep_after_battery"),
    *("power.hibernate_after", "power.screen_off_after", "power.disk_off_after", "power.usb_suspend"),
    *("power.pcie_saving", "power.fast_startup", "power.lid_action"),
)
_SUPPLY: Final = "/sys/class/power_supply"
# Linux admin-guide/pm/sleep-states: words in /sys/power/state.
_SLEEP_WORDS: Final = {"freeze", "standby", "mem"}
_HIBERNATE_WORDS: Final = {"disk"}
_STATE_WORDS: Final = _SLEEP_WORDS | _HIBERNATE_WORDS
_IDLE_DEFAULT: Final = "30min"  # logind.conf(5): IdleActionSec defaults to 30min
_NO_SYS: Final = "the kernel's view of devices is not there (/sys): probe outside any sandbox"
_USB_HUB: Final = "09"  # USB class codes: hub
_ACTIONS: Final = {
    **dict.fromkeys(("ignore", "lock"), "nothing"),
    **dict.fromkeys(("suspend", "hybrid-sleep", "suspend-then-hibernate", "sleep"), "sleep"),
    "hibernate": "hibernate",
    **dict.fromkeys(("poweroff", "halt"), "shut-down"),
}
"""Words of logind.conf(5) and what they come to; restarting is none of the catalogue's."""
_SWITCHED_OFF: Final = {
    **dict.fromkeys(("poweroff", "halt"), "switches the PC off"),
    **dict.fromkeys(("reboot", "kexec", "soft-reboot"), "restarts the PC"),
    "factory-reset": "resets the PC to its factory state",
}
"""Words of logind.conf(5) after which nothing that ran on the PC goes on."""

# DMTF DSP0134, chassis types: portable, laptop, notebook, sub notebook, tablet, convertible, detachable.
_PORTABLE: Final = {8, 9, 10, 14, 30, 31, 32}


class _Way(NamedTuple):
    """One way of switching itself off: its words in the kernel, in systemd, in logind."""

    name: str
    kernel: set[str]
    units: tuple[str, ...]
    permission: str
    actions: set[str]


_SLEEP = _Way(
    "sleep",
    _SLEEP_WORDS,
    ("suspend.target", "hybrid-sleep.target", "suspend-then-hibernate.target"),
    "AllowSuspend",
    {"suspend", "hybrid-sleep", "suspend-then-hibernate", "sleep"},
)
_HIBERNATE = _Way(
    "hibernate",
    _HIBERNATE_WORDS,
    ("hibernate.target", "hybrid-sleep.target", "suspend-then-hibernate.target"),
    "AllowHibernation",
    {"hibernate", "hybrid-sleep", "suspend-then-hibernate", "sleep"},
)


def _portable(tree: Tree) -> bool:
    """Whether the firmware calls the PC a portable one, which must have a battery and may have a lid."""
    return reads.number(tree, "/sys/class/dmi/id/chassis_type") in _PORTABLE


class _Supplies(NamedTuple):
    """Batteries of the PC itself (their status), and mains inputs (whether each gives power)."""

    batteries: list[str]
    mains: list[bool]


def _supplies(tree: Tree) -> _Supplies:
    batteries, mains = [], []
    for name in reads.names(tree, _SUPPLY):
        path = f"{_SUPPLY}/{name}"
        kind = reads.text(tree, f"{path}/type")
        # Mice and headsets have batteries too: their scope is Device (kernel ABI, power supply).
        if kind == "Battery" and reads.text(tree, f"{path}/scope") != "Device":
            if reads.text(tree, f"{path}/present") != "0":
                batteries.append(reads.text(tree, f"{path}/status"))
        elif kind == "Mains" or kind.startswith("USB"):
            mains.append(reads.text(tree, f"{path}/online") not in {"", "0"})
    return _Supplies(batteries, mains)


def _source(tree: Tree, supplies: _Supplies) -> Observation:
    if not tree.exists(_SUPPLY):
        return unknown("the kernel does not watch the power supply: see whether the PC is plugged in")
    if any(supplies.mains):
        return known("mains", _SUPPLY)
    if not supplies.batteries:
        if _portable(tree):
            return unknown("a portable PC shows no battery: see whether it is plugged in")
        return known("mains", f"{_SUPPLY}: no battery")
    if "Discharging" in supplies.batteries:
        return known("battery", _SUPPLY)
    if "Charging" in supplies.batteries:
        return known("mains", f"{_SUPPLY}: the battery is charging")
    return unknown("the battery does not say whether it is in use: see whether the PC is plugged in")


def _plan(tree: Tree) -> Observation:
    for file in ("/sys/firmware/acpi/platform_profile", "/etc/tuned/active_profile"):
        try:
            profile = reads.content(tree, file)
        except OSError as error:
            return unknown(reads.refusal(file, error))
        if profile:
            return known(profile, file)
    if not tree.exists("/sys"):
        return unknown(_NO_SYS)
    return absent("no power plan: neither the firmware's platform profile nor one of tuned")


def _impossible(tree: Tree, way: _Way) -> str:
    """What proves that the PC cannot do this; empty where nothing does.

    Raises:
        OSError: A file of systemd that decides is there, but denied or refused.
    """
    try:
        words = set(tree.text("/sys/power/state").split())
    except FileNotFoundError:
        words = set() if tree.exists("/sys/power") else way.kernel
    except OSError:
        words = way.kernel
    if words <= _STATE_WORDS and not words & way.kernel:
        return f"/sys/power/state: this kernel cannot {way.name}"
    if logind.runs_systemd(tree):
        return logind.blocked(tree, way.units, way.permission)
    return ""


def _desktop_decides(tree: Tree) -> str:
    try:
        found = logind.desktops(tree)
    except OSError as error:
        return reads.refusal("the list of desktops", error)
    if found:
        return (
            f"the setting of the user at the console decides ({', '.join(found)}): "
            "look in the desktop's power settings"
        )
    return ""


class _IdleAction(NamedTuple):
    """What the login manager does once everybody is idle, and after how long, as it is written."""

    word: str
    after: str


def _idle_action(tree: Tree) -> _IdleAction:
    """Settings of the login manager, or its defaults.

    Raises:
        OSError: They are there, but denied or refused.
    """
    values = logind.settings(tree, "logind.conf", "Login")
    return _IdleAction(values.get("IdleAction", "ignore"), values.get("IdleActionSec", _IDLE_DEFAULT))


def _worse_than_sleep(action: _IdleAction) -> str:
    """Why no time of sleeping tells what the PC does when idle; empty where one does.

    A word that systemd does not know leaves an earlier one in force, so that it tells nothing.
    """
    if action.word not in _ACTIONS.keys() | _SWITCHED_OFF.keys():
        return f"logind.conf says IdleAction={action.word}, no word of systemd: set IdleAction=ignore"
    if action.word in _SWITCHED_OFF and ini.seconds(action.after) != math.inf:
        after = f"after {action.after}" if ini.seconds(action.after) else "after a time that cannot be read"
        return (
            f"logind {_SWITCHED_OFF[action.word]} (IdleAction={action.word}) {after}: set IdleAction=ignore"
        )
    return ""


def _idle_delay(action: _IdleAction, way: _Way) -> Observation:
    """When a PC that sleeps by its login manager alone does this by itself."""
    word = action.word
    if word not in way.actions:
        return known(NEVER, f"systemd-logind IdleAction={word}; no desktop is installed")
    if way is _HIBERNATE and word != "hibernate":
        return unknown(f"systemd-logind IdleAction={word} may hibernate after a while: set IdleAction=ignore")
    delay = ini.seconds(action.after)
    if delay is None or delay < 1:
        return unknown(f"systemd-logind IdleActionSec={action.after} cannot be read: correct logind.conf")
    if math.isinf(delay):
        return known(NEVER, "systemd-logind IdleActionSec=infinity; no desktop is installed")
    return known(int(delay) if delay.is_integer() else delay, f"systemd-logind IdleAction={word}")


def _masked_for_now(tree: Tree, way: _Way) -> str:
    return logind.blocked_for_now(tree, way.units) if logind.runs_systemd(tree) else ""


def _idle(tree: Tree, way: _Way) -> Observation:
    """Idle time after which the PC does this by itself.

    Raises:
        OSError: A file of systemd that decides is there, but denied or refused.
    """
    action = _idle_action(tree) if logind.runs_systemd(tree) else None
    if action and (reason := _worse_than_sleep(action)):
        return unknown(reason)
    if proof := _impossible(tree, way):
        return known(NEVER, proof)
    if reason := _masked_for_now(tree, way) or _desktop_decides(tree):
        return unknown(reason)
    if not action:
        return unknown("systemd does not run this system: see what its own idle service does")
    return _idle_delay(action, way)


def _unless_refused(read: Callable[[], Observation]) -> Observation:
    """What ``read`` gives; unknown where a file of systemd cannot be read."""
    try:
        return read()
    except OSError as error:
        return unknown(reads.refusal(error.filename or "a setting of systemd", error))


def _battery_only(supplies: _Supplies, tree: Tree, observed: Observation) -> Observation:
    if not tree.exists(_SUPPLY):
        return unknown("the kernel does not watch the power supply: see whether the PC has a battery")
    if supplies.batteries:
        return observed
    if _portable(tree):
        return unknown("a portable PC shows no battery: see whether it has one")
    return absent("no battery", _SUPPLY)


def _screen_off(host: Host) -> Observation:
    if reason := _desktop_decides(host.tree):
        return unknown(reason)
    name = "/sys/module/kernel/parameters/consoleblank"
    seconds = reads.number(host.tree, name)
    if seconds is None:
        return unknown(
            "the kernel does not say when it blanks the console: add consoleblank=0 to its command line"
        )
    return known(seconds or NEVER, f"{name}; no desktop is installed")


def _disk_off(host: Host) -> Observation:
    names = reads.names(host.tree, "/sys/block")
    if any(re.fullmatch(r"(?:sd|hd)[a-z]+", name) for name in names) or not names:
        return unknown(
            "drives keep this themselves, no probe asks them: ask each with hdparm -B as administrator"
        )
    return absent("no drive that has a standby timer", "/sys/block")


def _without_bus(tree: Tree, bus: str, why: str) -> Observation | None:
    """Absent where the kernel has no such bus, unknown where it shows no buses at all, else None."""
    try:
        buses = tree.names("/sys/bus")
    except OSError:
        return unknown(_NO_SYS)
    return None if bus in buses else absent(why, f"/sys/bus/{bus}")


def _suspends(tree: Tree, device: str) -> bool | None:
    """Whether a device may be suspended; None where the kernel does not say."""
    path = f"{real(tree, device)}/power"
    control = reads.text(tree, f"{path}/control")
    if control not in {"auto", "on"}:
        return None
    delay = reads.number(tree, f"{path}/autosuspend_delay_ms")
    # Linux driver-api/usb/power-management: a negative delay prevents autosuspend.
    return control == "auto" and (delay is None or delay >= 0)


def _usb_suspend(tree: Tree) -> Observation:
    folder = "/sys/bus/usb/devices"
    if missing := _without_bus(tree, "usb", "no USB"):
        return missing
    devices = []
    for name in reads.names(tree, folder):
        hub = name.startswith("usb") or reads.text(tree, f"{folder}/{name}/bDeviceClass") == _USB_HUB
        if ":" not in name and not hub:
            devices.append(name)
    states = {name: _suspends(tree, f"{folder}/{name}") for name in devices}
    suspended = [name for name, state in states.items() if state]
    if suspended:
        return known(True, f"{folder}: power/control is auto for {', '.join(suspended)}")
    if reads.number(tree, "/sys/module/usbcore/parameters/autosuspend") == -1:
        return known(False, "usbcore autosuspend=-1")
    if mute := [name for name, state in states.items() if state is None]:
        return unknown(f"{', '.join(mute)} did not say whether it may be suspended: probe again")
    if devices:
        return known(False, f"{folder}: power/control is on for every device plugged in now")
    return unknown(
        "no USB device is plugged in to look at: plug one in, or start with usbcore.autosuspend=-1"
    )


def _link_states(tree: Tree) -> set[str]:
    """Settings of every PCI Express link whose power saving the kernel can switch."""
    states = set()
    for device in reads.names(tree, "/sys/bus/pci/devices"):
        path = f"{real(tree, f'/sys/bus/pci/devices/{device}')}/link"
        for name in reads.names(tree, path):
            if name.endswith("_aspm"):
                states.add(reads.text(tree, f"{path}/{name}"))
    return states


def _pcie_saving(tree: Tree) -> Observation:
    if missing := _without_bus(tree, "pci", "no PCI Express"):
        return missing
    name = "/sys/module/pcie_aspm/parameters/policy"
    chosen = re.search(r"\[(\w+)\]", reads.text(tree, name))
    policy = chosen[1] if chosen else ""
    links = _link_states(tree)
    if "1" in links:
        return known(True, "/sys/bus/pci/devices/*/link: some link may save power")
    if policy in {"powersave", "powersupersave"}:
        return known(True, f"{name}: {policy}")
    if policy == "performance":
        return known(False, f"{name}: {policy}")
    if links == {"0"}:
        return known(False, "/sys/bus/pci/devices/*/link: no link may save power")
    return unknown("the firmware decides: look in its settings, or start with pcie_aspm.policy=performance")


def _has_lid(tree: Tree) -> bool:
    if reads.names(tree, "/proc/acpi/button/lid"):
        return True
    # ACPI 6.5, 5.6.7: PNP0C0D is a lid.
    return any(name.startswith("PNP0C0D") for name in reads.names(tree, "/sys/bus/acpi/devices"))


def _lid_action(tree: Tree) -> Observation:
    """What closing the lid does on mains.

    Raises:
        OSError: A file of systemd that decides is there, but denied or refused.
    """
    if not _has_lid(tree):
        if _portable(tree):
            return unknown("a portable PC shows no lid: try what closing it does")
        if tree.exists("/sys/bus/acpi/devices"):
            return absent("no lid", "/sys/bus/acpi/devices")
        return unknown("without ACPI the kernel does not tell of a lid: look at the PC")
    if reason := _desktop_decides(tree):
        return unknown(reason)
    if not logind.runs_systemd(tree):
        return unknown("systemd does not run this system: try what closing the lid does")
    values = logind.settings(tree, "logind.conf", "Login")
    action = values.get("HandleLidSwitchExternalPower", values.get("HandleLidSwitch", "suspend"))
    word = _ACTIONS.get(action)
    if word is None:
        return unknown(f"systemd-logind is set to {action or 'no word'}: set HandleLidSwitch=ignore")
    if word != "sleep":
        return known(word, f"systemd-logind HandleLidSwitch={action}")
    if proof := _impossible(tree, _SLEEP):
        return known("nothing", f"systemd-logind says {action}, but {proof}")
    if reason := _masked_for_now(tree, _SLEEP):
        return unknown(reason)
    return known(word, f"systemd-logind HandleLidSwitch={action}")


def probe(host: Host) -> Observations:
    """Readings of group power; unknown inside a container or WSL.

    A container's masked targets, and what the kernel of WSL has not (USB, sleeping, a lid), say
    nothing of the PC.
    """
    if reason := container_reason(host):
        return reads.all_unknown(_READINGS, reason)
    tree = host.tree
    supplies = _supplies(tree)
    sleep = _unless_refused(lambda: _idle(tree, _SLEEP))
    return {
        "power.source": _source(tree, supplies),
        "power.plan": _plan(tree),
        "power.sleep_after": sleep,
        "power.sleep_after_battery": _battery_only(supplies, tree, sleep),
        "power.hibernate_after": _unless_refused(lambda: _idle(tree, _HIBERNATE)),
        "power.screen_off_after": _screen_off(host),
        "power.disk_off_after": _disk_off(host),
        "power.usb_suspend": _usb_suspend(tree),
        "power.pcie_saving": _pcie_saving(tree),
        "power.fast_startup": absent("Windows only"),
        "power.lid_action": _unless_refused(lambda: _lid_action(tree)),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group power."""
    return (Probe("power", _READINGS, lambda: probe(host)),)
