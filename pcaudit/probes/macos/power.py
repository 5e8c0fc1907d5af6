"""Power: where it comes from, and what the Mac does by itself to save it."""

from __future__ import annotations

from typing import Final, NamedTuple

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.core.units import NEVER
from pcaudit.probes.decode import macos_documents, macos_power
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, computer
from pcaudit.probes.macos.host import Host

_READINGS: Final = (
    *("power.source", "power.plan", "power.sleep_after", "power.sleep_after_battery"),
    *("power.hibernate_after", "power.screen_off_after", "power.disk_off_after", "power.usb_suspend"),
    *("power.pcie_saving", "power.fast_startup", "power.lid_action"),
)
_PMSET: Final = "/usr/bin/pmset"
_CUSTOM: Final = "pmset -g custom"
# pmset(1): powermode, or lowpowermode on older Macs; the words of System Settings > Energy.
_MODES: Final = {0: "Automatic", 1: "Low Power", 2: "High Power"}
_NO_SETTING: Final = "macOS decides this by itself and has no setting to read: try it with the instrument"


class _Power(NamedTuple):
    """What pmset(1) says; None where it says nothing that can be read.

    Attributes:
        sections: Settings by source of power.
        why: Why there are none.
        disabled: All sleep is switched off.
        source: What the Mac runs on.
        battery: It has a battery of its own.
        laptop: It is a MacBook.
    """

    sections: dict[str, dict[str, int]]
    why: str
    disabled: bool | None
    source: str
    battery: bool | None
    laptop: bool | None


def _laptop(host: Host, battery: bool | None) -> bool | None:
    if battery:
        return True
    name = macos_documents.word(computer.hardware(host).value or {}, "machine_name")
    return name.startswith("MacBook") if name else None


def _read(host: Host) -> _Power:
    custom = ask.text(host, (_PMSET, "-g", "custom"))
    general = ask.text(host, (_PMSET, "-g"))
    supply = ask.text(host, (_PMSET, "-g", "batt"))
    sections = macos_power.custom(custom.value or "")
    source = macos_power.source(supply.value or "")
    battery = macos_power.has_battery(supply.value or "") if source else None
    return _Power(
        sections=sections,
        why=custom.why or f"{_CUSTOM} gives no settings",
        disabled=macos_power.sleep_disabled(general.value or ""),
        source=source,
        battery=battery,
        laptop=_laptop(host, battery),
    )


def _source(power: _Power) -> Observation:
    said = f"pmset -g batt: {power.source}"
    if power.source == macos_power.MAINS:
        return known("mains", said)
    if power.source in (macos_power.BATTERY, macos_power.UPS):
        return known("battery", said)
    return unknown("pmset -g batt does not say: see whether the Mac is plugged in")


def _plan(power: _Power) -> Observation:
    settings = power.sections.get(power.source)
    if settings is None:
        return unknown(power.why if not power.sections else "what the Mac runs on is not known")
    for name in ("powermode", "lowpowermode"):
        if name in settings:
            mode = _MODES.get(settings[name])
            source = f"{_CUSTOM}: {name} {settings[name]}"
            return known(mode, source) if mode else unknown(f"{source}, which this version does not know")
    return absent("no energy mode", f"{_CUSTOM}: neither powermode nor lowpowermode")


def _timer(power: _Power, section: str, name: str) -> Observation:
    """A timer in minutes, where 0 switches it off, pmset(1)."""
    settings = power.sections.get(section)
    if settings is None:
        return unknown(power.why if not power.sections else f"{_CUSTOM} has no section {section}")
    minutes = settings.get(name)
    source = f"{_CUSTOM}, {section}: {name} {minutes}"
    if minutes is None or minutes < 0:
        return unknown(f"{_CUSTOM}, {section}, gives no usable {name}: look in System Settings > Energy")
    return known(minutes * 60 or NEVER, source)


def _sleep(power: _Power, section: str) -> Observation:
    if power.disabled:
        return known(NEVER, "pmset -g: SleepDisabled 1")
    found = _timer(power, section, "sleep")
    if found.value is not None and found.value != NEVER and power.disabled is None:
        return unknown(f"whether sleep is switched off altogether cannot be read: run {_PMSET} -g")
    return found


def _sleep_on_battery(power: _Power) -> Observation:
    if power.battery or macos_power.BATTERY in power.sections:
        return _sleep(power, macos_power.BATTERY)
    if power.battery is None or power.laptop is not False:
        return unknown("whether the Mac has a battery cannot be read: look at it")
    return absent("no battery", "pmset -g batt, system_profiler SPHardwareDataType")


def _hibernate(power: _Power) -> Observation:
    """Idle time after which the Mac hibernates.

    pmset(1): the image that hibernation needs is written when the Mac goes to sleep (hibernatemode), or
    some time into it (standby, autopoweroff); so a Mac that does not sleep does not hibernate.
    """
    sleep = _sleep(power, macos_power.MAINS)
    if sleep.value == NEVER:
        return known(NEVER, f"{sleep.source}; hibernation only follows sleep")
    if sleep.value is None:
        return sleep
    settings = power.sections[macos_power.MAINS]
    writes = [name for name in ("hibernatemode", "standby", "autopoweroff") if settings.get(name)]
    if not writes and "hibernatemode" in settings:
        return known(NEVER, f"{_CUSTOM}, {macos_power.MAINS}: hibernatemode 0, nothing else writes an image")
    return unknown("how long after going to sleep the Mac hibernates is its own choice: set sleep to 0")


def _lid(power: _Power) -> Observation:
    if power.laptop is None:
        return unknown("whether the Mac has a lid cannot be read: look at it")
    if not power.laptop:
        return absent("no lid", "system_profiler SPHardwareDataType machine_name")
    if power.disabled is None:
        return unknown(f"whether sleep is switched off altogether cannot be read: run {_PMSET} -g")
    if power.disabled:
        return known("nothing", "pmset -g: SleepDisabled 1")
    return known("sleep", "macOS has no setting for it; pmset -g: SleepDisabled is not 1")


def probe(host: Host) -> Observations:
    """Readings of group power."""
    power = _read(host)
    return {
        "power.source": _source(power),
        "power.plan": _plan(power),
        "power.sleep_after": _sleep(power, macos_power.MAINS),
        "power.sleep_after_battery": _sleep_on_battery(power),
        "power.hibernate_after": _hibernate(power),
        "power.screen_off_after": _timer(power, macos_power.MAINS, "displaysleep"),
        "power.disk_off_after": _timer(power, macos_power.MAINS, "disksleep"),
        "power.usb_suspend": unknown(_NO_SETTING),
        "power.pcie_saving": unknown(_NO_SETTING),
        "power.fast_startup": absent("Windows only"),
        "power.lid_action": _lid(power),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group power."""
    return (Probe("power", _READINGS, lambda: probe(host), 35.0),)
