"""Power: where it comes from, and what the PC does by itself to save it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from pcaudit.core.snapshot import Form, Observation, absent, known, unknown
from pcaudit.core.units import NEVER
from pcaudit.probes.decode import windows_power
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import power_scheme, power_settings, reads
from pcaudit.probes.windows.host import Host
from pcaudit.probes.windows.power_scheme import Index, Scheme
from pcaudit.probes.windows.power_settings import Setting

_READINGS: Final = (
    *("power.source", "power.plan", "power.sleep_after", "power.sleep_after_battery"),
    *("power.hibernate_after", "power.screen_off_after", "power.disk_off_after", "power.usb_suspend"),
    *("power.pcie_saving", "power.fast_startup", "power.lid_action"),
)
_LONGEST: Final = 10**9  # seconds; the catalogue's own bound
_CAPABILITIES: Final = "SYSTEM_POWER_CAPABILITIES"
_HIBERNATION: Final = r"HKLM\SYSTEM\CurrentControlSet\Control\Power"
_FAST: Final = r"HKLM\SYSTEM\CurrentControlSet\Control\Session Manager\Power"
# WinInit.admx, "Require use of fast startup": 1 requires it, else the local value counts.
_FAST_POLICY: Final = r"HKLM\SOFTWARE\Policies\Microsoft\Windows\System"
_USB: Final = {0: False, 1: True}
_PCIE: Final = {0: False, 1: True, 2: True}
_LID: Final = {0: "nothing", 1: "sleep", 2: "hibernate", 3: "shut-down"}


class _Machine(NamedTuple):
    """What the PC is and can, each None where Windows does not say; ``hibernates`` with its source."""

    status: windows_power.Status | None
    can: windows_power.Capabilities | None
    hibernates: bool | None
    hibernates_source: str


def _hibernates(host: Host, can: windows_power.Capabilities | None) -> tuple[bool | None, str]:
    """Whether the PC can hibernate now: the kernel's word before the registry's."""
    wanted = reads.number(host.registry, _HIBERNATION, "HibernateEnabled")
    written = "" if wanted is None else f"registry HibernateEnabled is {wanted}"
    if can is not None:
        says = f"{_CAPABILITIES}: hibernation is {'on' if can.hibernates else 'off'}"
        return can.hibernates, f"{says}; {written}" if written else says
    return (None if wanted is None else wanted != 0), written


def _machine(host: Host) -> _Machine:
    try:
        status = windows_power.status(host.power.status())
    except (OSError, ValueError):
        status = None
    try:
        can = windows_power.capabilities(host.power.capabilities())
    except (OSError, ValueError):
        can = None
    return _Machine(status, can, *_hibernates(host, can))


def _source(machine: _Machine) -> Observation:
    status = machine.status
    if status is None or status.mains is None:
        return unknown("Windows does not know what the PC runs on: see whether it is plugged in")
    if status.mains:
        return known("mains", "GetSystemPowerStatus")
    if status.battery is False:
        return unknown("Windows says neither mains nor battery: see whether the PC is plugged in")
    short = machine.can is not None and machine.can.short_term
    return known("battery", "GetSystemPowerStatus" + (", an uninterruptible power supply" if short else ""))


def _plan(host: Host, plan: Scheme) -> Observation:
    if not plan.guid:
        return unknown(plan.why)
    try:
        shown = host.power.scheme_name(plan.guid).strip()
    except OSError:
        written = reads.text(host.registry, f"{power_settings.SCHEMES}\\{plan.guid}", "FriendlyName")
        # "@%SystemRoot%\system32\powrprof.dll,-15,Balanced": a reference, then the name in English.
        shown = written.rpartition(",")[2].strip() if written.startswith("@") else written
    name = power_settings.PLANS.get(plan.guid) or shown
    if not name:
        return unknown(f"the power plan {plan.guid} has no name: see powercfg /list")
    source = plan.source
    if shown and shown != name:
        source += f", shown as '{shown}'"
    if over := power_scheme.mode(host):
        source += f", under the power mode '{power_settings.MODES.get(over, over)}'"
    return known(name, source)


def _time(found: Index, name: str) -> Observation:
    if found.value is None:
        return unknown(found.why)
    if found.value > _LONGEST:
        return unknown(f"'{name}' is set to {found.value}, which is no time: set it anew")
    return known(found.value or NEVER, found.source)


def _timeout(host: Host, plan: Scheme, setting: Setting, mains: bool = True) -> Observation:
    return _time(power_scheme.index(host, plan, setting, mains), setting.name)


def _choice(host: Host, plan: Scheme, setting: Setting, meanings: Mapping[int, bool | str]) -> Observation:
    found = power_scheme.index(host, plan, setting)
    if found.value is None:
        return unknown(found.why)
    if found.value not in meanings:
        return unknown(f"'{setting.name}' is set to {found.value}, which means nothing: set it anew")
    return known(meanings[found.value], found.source)


def _sleep(host: Host, plan: Scheme, machine: _Machine, mains: bool) -> Observation:
    can = machine.can
    seen = _timeout(host, plan, power_settings.SLEEP, mains)
    # Without a sleep state the idle time may still end in hibernation.
    if can is not None and not can.sleeps and not can.hibernates:
        asked = f"; the plan asks for {seen.value} s" if isinstance(seen.value, int) else ""
        return known(NEVER, f"{_CAPABILITIES}: this PC has no way to sleep{asked}")
    if seen.form is not Form.KNOWN:
        return seen
    source = seen.source
    # Under Modern Standby too the screen has its own timer, and while it is off the PC works on:
    # Microsoft Learn, "Display, sleep, and hibernate idle timers".
    if can is not None and can.modern_standby:
        source += "; Modern Standby"
    alone = power_scheme.index(host, plan, power_settings.UNATTENDED, mains).value
    if seen.value == NEVER and alone:
        source += f"; woken with nobody there it sleeps again after {alone} s"
    return seen._replace(source=source)


def _sleep_on_battery(host: Host, plan: Scheme, machine: _Machine) -> Observation:
    status, can = machine.status, machine.can
    if status is None or status.battery is None:
        return unknown("Windows does not know whether the PC has a battery: look at the PC")
    if not status.battery:
        if can is not None and can.batteries:
            return unknown("Windows contradicts itself about a battery: look at the PC")
        return absent("no battery", "GetSystemPowerStatus")
    return _sleep(host, plan, machine, mains=False)


def _hibernate(host: Host, plan: Scheme, machine: _Machine, sleep: Observation) -> Observation:
    if machine.hibernates is False:
        return known(NEVER, machine.hibernates_source)
    seen = _timeout(host, plan, power_settings.HIBERNATE)
    # Microsoft Learn, "Hibernate idle timeout": under Modern Standby 0 leaves it to Windows, which
    # hibernates out of sleep only.
    modern = machine.can is not None and machine.can.modern_standby
    if modern and seen.value == NEVER and sleep.value != NEVER:
        return unknown(
            "under Modern Standby Windows hibernates a sleeping PC when it sees fit: "
            "let it never sleep, or switch hibernation off with powercfg /hibernate off"
        )
    return seen


def _wanted(host: Host) -> tuple[reads.Read, str]:
    """What is set for fast start-up, and where."""
    policy = reads.read(host.registry, _FAST_POLICY, "HiberbootEnabled", int)
    if policy.value == 1 or (policy.value is None and not policy.absent):
        return policy, f"Group Policy, registry {_FAST_POLICY}\\HiberbootEnabled"
    return reads.read(host.registry, _FAST, "HiberbootEnabled", int), f"registry {_FAST}\\HiberbootEnabled"


def _fast_startup(host: Host, machine: _Machine) -> Observation:
    wanted, where = _wanted(host)
    if wanted.value == 0:
        return known(False, where)
    if machine.hibernates is False:
        return known(False, machine.hibernates_source)
    if wanted.value is None:
        return unknown(f"{wanted.why}: look under Choose what the power buttons do")
    if machine.hibernates is None:
        return unknown("Windows does not say whether hibernation is on: see powercfg /availablesleepstates")
    return known(True, f"{where}; {machine.hibernates_source}")


def _lid(host: Host, plan: Scheme, machine: _Machine) -> Observation:
    if machine.can is not None and not machine.can.lid:
        return absent("no lid", f"{_CAPABILITIES} LidPresent")
    return _choice(host, plan, power_settings.LID, _LID)


def probe(host: Host) -> Observations:
    """Readings of group power."""
    machine = _machine(host)
    plan = power_scheme.scheme(host)
    sleep = _sleep(host, plan, machine, mains=True)
    return {
        "power.source": _source(machine),
        "power.plan": _plan(host, plan),
        "power.sleep_after": sleep,
        "power.sleep_after_battery": _sleep_on_battery(host, plan, machine),
        "power.hibernate_after": _hibernate(host, plan, machine, sleep),
        "power.screen_off_after": _timeout(host, plan, power_settings.SCREEN),
        "power.disk_off_after": _timeout(host, plan, power_settings.DISK),
        "power.usb_suspend": _choice(host, plan, power_settings.USB, _USB),
        "power.pcie_saving": _choice(host, plan, power_settings.PCIE, _PCIE),
        "power.fast_startup": _fast_startup(host, machine),
        "power.lid_action": _lid(host, plan, machine),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group power."""
    return (Probe("power", _READINGS, lambda: probe(host)),)
