"""What the Mac says of itself: maker, model, serial number, firmware."""

from __future__ import annotations

import re
from typing import Any

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import dmi, macos_documents
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, machine
from pcaudit.probes.macos.host import Host

_FIRMWARE = (
    *("computer.manufacturer", "computer.model", "computer.serial_number", "computer.chassis"),
    *("computer.firmware_version", "computer.firmware_date", "computer.firmware_mode"),
    *("computer.secure_boot", "computer.secure_boot_capable", "computer.tpm_version"),
)
_SYSTEM = ("computer.host_name", "computer.virtual")
# ioreg(8), -a: a property list. IOPlatformExpertDevice has the manufacturer as bytes that end in zero, and
# IOPlatformSerialNumber as a text (recorded outputs).
_EXPERT = ("/usr/sbin/ioreg", "-a", "-r", "-d", "1", "-c", "IOPlatformExpertDevice")
_SERIAL = "IOPlatformSerialNumber"
_PROFILE = "SPHardwareDataType"
# machine_name of system_profiler; Apple's product names.
_CHASSIS = {
    "MacBook": "laptop",
    "iMac": "desktop",
    "Mac mini": "desktop",
    "Mac Studio": "desktop",
    "Mac Pro": "desktop",
    "Xserve": "server",
}
# RFC 1123, 2.1, and the underline that is met in practice; what follows the first dot is the domain.
_NAME = re.compile(r"([A-Za-z0-9][A-Za-z0-9_-]{0,62})(?:\.[A-Za-z0-9._-]+)?\n?", re.ASCII)
_SECURITY = "macOS shows it in System Information > Hardware: look at Secure Boot there"


def _expert(host: Host) -> ask.Answer[dict[str, Any]]:
    def read() -> dict[str, Any]:
        found = macos_documents.any_plist(host.run(_EXPERT, ask.SECONDS), _EXPERT[0])
        if not isinstance(found, list) or len(found) != 1 or not isinstance(found[0], dict):
            raise ValueError("ioreg gave no IOPlatformExpertDevice")
        return found[0]

    return ask.ask(read)


def hardware(host: Host) -> ask.Answer[dict[str, Any]]:
    """The one entry of SPHardwareDataType."""
    entries = ask.profile(host, _PROFILE)
    if entries.value is None:
        return ask.Answer(None, entries.why)
    if len(entries.value) != 1:
        return ask.Answer(None, f"system_profiler gave nothing for {_PROFILE}")
    return ask.Answer(entries.value[0])


def _meaningful(text: str, source: str) -> Observation:
    found = dmi.meaningful(text)
    return known(found, source) if found else unknown(f"the Mac leaves it empty ({source})")


def _manufacturer(expert: dict[str, Any]) -> Observation:
    value = expert.get("manufacturer")
    text = value.rstrip(b"\0").decode("utf-8", "backslashreplace") if isinstance(value, bytes) else ""
    return _meaningful(text, "ioreg IOPlatformExpertDevice manufacturer")


def _model(host: Host, name: str) -> Observation:
    model = ask.sysctl(host).get("hw.model", "")
    if not model:
        return unknown(f"{ask.no_sysctl('hw.model')}: look in About This Mac")
    return known(model, "sysctl hw.model" + (f", a {name}" if name else ""))


def _chassis(name: str, why: str) -> Observation:
    for beginning, word in _CHASSIS.items():
        if name.startswith(beginning):
            return known(word, f"system_profiler {_PROFILE} machine_name {name}")
    return unknown(why or f"{name or 'the model'!r:.60} names no form this version knows")


def _firmware_mode(host: Host) -> Observation:
    arm = machine.is_arm(ask.sysctl(host))
    if arm is None:
        return unknown(f"{ask.no_sysctl('hw.machine')}: look in About This Mac")
    if arm:
        return absent("Apple silicon starts by firmware of its own, neither UEFI nor BIOS")
    return known("uefi", "macOS starts on Intel processors from EFI only")


def _host_name(host: Host) -> Observation:
    # scutil(8): HostName is missing unless somebody set it; LocalHostName always has a value.
    for name in ("HostName", "LocalHostName"):
        answer = ask.text(host, ("/usr/sbin/scutil", "--get", name))
        if match := _NAME.fullmatch(answer.value or ""):
            return known(match[1], f"scutil --get {name}")
    return unknown("no host name is set: set one in System Settings > General > Sharing")


def probe_firmware(host: Host) -> Observations:
    """Readings of group computer that the Mac's firmware and its drivers know."""
    expert, seen = _expert(host), hardware(host)
    entry = seen.value or {}
    name = macos_documents.word(entry, "machine_name")
    firmware = macos_documents.word(entry, "boot_rom_version")
    no_firmware = seen.why or f"system_profiler {_PROFILE} gives no boot_rom_version"
    serial = "ioreg IOPlatformExpertDevice " + _SERIAL
    return {
        "computer.manufacturer": ask.of(expert, _manufacturer),
        "computer.model": _model(host, name),
        "computer.serial_number": ask.of(
            expert, lambda found: _meaningful(macos_documents.word(found, _SERIAL), serial)
        ),
        "computer.chassis": _chassis(name, seen.why),
        "computer.firmware_version": (
            known(firmware, f"system_profiler {_PROFILE} boot_rom_version")
            if firmware
            else unknown(no_firmware)
        ),
        "computer.firmware_date": unknown("macOS does not give it: look up the firmware version"),
        "computer.firmware_mode": _firmware_mode(host),
        "computer.secure_boot": unknown(_SECURITY),
        "computer.secure_boot_capable": unknown(_SECURITY),
        "computer.tpm_version": absent("Macs that run macOS have no TPM"),
    }


def probe_system(host: Host) -> Observations:
    """The host name, and whether the Mac is a virtual machine."""
    return {"computer.host_name": _host_name(host), "computer.virtual": machine.virtual(host)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group computer."""
    return (
        Probe("computer", _SYSTEM, lambda: probe_system(host), 20.0),
        Probe("firmware", _FIRMWARE, lambda: probe_firmware(host), 30.0),
    )
