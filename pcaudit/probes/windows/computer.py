"""What the PC's firmware says of itself: maker, model, chassis, firmware, Secure Boot, TPM."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import dmi, windows_firmware
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import firmware, reads, virtual
from pcaudit.probes.windows.ask import ask, container_reason, of
from pcaudit.probes.windows.firmware import Field, Firmware
from pcaudit.probes.windows.host import Host

_TEXTS = {
    "computer.manufacturer": firmware.MAKER,
    "computer.model": firmware.MODEL,
    "computer.serial_number": firmware.SERIAL,
    "computer.firmware_version": firmware.VERSION,
}
_BOARDS = {"computer.manufacturer": firmware.BOARD_MAKER, "computer.model": firmware.BOARD}
_FIRMWARE = (*_TEXTS, "computer.firmware_date", "computer.chassis")
_START = ("computer.firmware_mode", "computer.secure_boot", "computer.secure_boot_capable")
_CONTROL = r"HKLM\SYSTEM\CurrentControlSet\Control"
_STATE = rf"{_CONTROL}\SecureBoot\State"
_MODES = {1: "bios", 2: "uefi"}  # winnt.h, FIRMWARE_TYPE
_CHASSIS_TYPE, _CHASSIS_CODE = 3, 0x05  # DMTF DSP0134


def _text(host: Host, seen: Firmware, name: str, field: Field) -> Observation:
    found = firmware.text(host, seen, field)
    if found.value is not None or name not in _BOARDS:
        return found
    board = firmware.text(host, seen, _BOARDS[name]).value
    return unknown(f"{found.why}; the main board is {board}") if board else found


def _firmware_date(host: Host, seen: Firmware) -> Observation:
    found = firmware.text(host, seen, firmware.DATE)
    if found.value is None:
        return found
    iso = dmi.iso_date(found.value)
    if not iso:
        return unknown(f"the firmware's date is not MM/DD/YYYY: {found.value!r}")
    return known(iso, f"{found.source}: {found.value}")


def _chassis(seen: Firmware) -> Observation:
    found = seen.table.of_type(_CHASSIS_TYPE) if seen.table else []
    code = found[0].byte(_CHASSIS_CODE) if found else None
    if code is None:
        return unknown(seen.why or "the firmware does not give it (SMBIOS type 3)")
    word = dmi.chassis(code)
    source = f"GetSystemFirmwareTable RSMB, SMBIOS type 3: {code & 0x7F}"
    if not word:
        return unknown(f"the firmware gives chassis type {code & 0x7F}, which names none")
    return known(word, source)


def _firmware_mode(host: Host) -> Observation:
    answer = ask(host.system.firmware_type)
    if answer.value in _MODES:
        return known(_MODES[answer.value], f"GetFirmwareType {answer.value}")
    code = reads.read(host.registry, _CONTROL, "PEFirmwareType", int)
    if code.value in _MODES:
        return known(_MODES[code.value], f"registry {_CONTROL}\\PEFirmwareType {code.value}")
    first = answer.why or f"GetFirmwareType says {answer.value}"
    second = code.why or f"PEFirmwareType says {code.value}"
    return unknown(f"Windows does not say how it was started: {first}; {second}")


def _secure_boot(host: Host, mode: Observation) -> tuple[Observation, Observation]:
    """Whether Secure Boot is in force, and whether the firmware offers it."""
    state = reads.read(host.registry, _STATE, "UEFISecureBootEnabled", int)
    source = f"registry {_STATE}\\UEFISecureBootEnabled {state.value}"
    if mode.value == "bios":
        capable = unknown("started in BIOS mode, which does not show it: look in the firmware set-up")
        return known(False, "started in BIOS mode"), capable
    if state.value in {0, 1}:
        return known(state.value == 1, source), known(True, f"{source}: the firmware offers it")
    why = state.why or f"{source}, neither 0 nor 1"
    return (unknown(f"{why}: look in the firmware set-up"),) * 2


def _tpm(host: Host) -> Observation:
    source = "Tbsi_GetDeviceInfo"
    try:
        return known(windows_firmware.tpm_version(host.system.tpm()), source)
    except FileNotFoundError:
        return absent("no TPM, or one switched off in the firmware set-up", f"{source}: none found")
    except PermissionError:
        return unknown(reads.ADMINISTRATOR)
    except (OSError, ValueError) as error:
        return unknown(f"{error}: see tpm.msc")


def _host_name(host: Host) -> Observation:
    source = "GetComputerNameExW"
    return of(
        ask(host.system.host_name),
        lambda name: known(name.partition(".")[0], source) if name else unknown("no host name is set"),
    )


def probe_firmware(host: Host) -> Observations:
    """Readings that come from the firmware's table; unknown inside a container."""
    if reason := container_reason(host):
        return reads.all_unknown((*_FIRMWARE, "computer.virtual"), reason)
    seen = firmware.read(host)
    return {
        **{name: _text(host, seen, name, field) for name, field in _TEXTS.items()},
        "computer.firmware_date": _firmware_date(host, seen),
        "computer.chassis": _chassis(seen),
        "computer.virtual": virtual.virtual(host, seen),
    }


def probe_start(host: Host) -> Observations:
    """How the system was started; unknown inside a container."""
    if reason := container_reason(host):
        return reads.all_unknown(_START, reason)
    mode = _firmware_mode(host)
    return dict(zip(_START, (mode, *_secure_boot(host, mode)), strict=True))


def probe_tpm(host: Host) -> Observations:
    """The trusted platform module; unknown inside a container."""
    reason = container_reason(host)
    return {"computer.tpm_version": unknown(reason) if reason else _tpm(host)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group computer: firmware and TPM may be slow to answer, so they stand alone."""
    return (
        Probe("computer", ("computer.host_name",), lambda: {"computer.host_name": _host_name(host)}),
        Probe("firmware", (*_FIRMWARE, "computer.virtual"), lambda: probe_firmware(host)),
        Probe("start", _START, lambda: probe_start(host)),
        Probe("tpm", ("computer.tpm_version",), lambda: probe_tpm(host)),
    )
