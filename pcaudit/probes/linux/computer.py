"""What the PC's firmware says of itself: maker, model, chassis, firmware, Secure Boot, TPM."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import dmi
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import reads, virtual
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

_DMI = "/sys/class/dmi/id"
_EFI = "/sys/firmware/efi"
# UEFI Specification, "Globally Defined Variables": EFI_GLOBAL_VARIABLE.
_GLOBAL = "8be4df61-93ca-11d2-aa0d-00e098032b8c"
# The shim boot loader's own; the kernel, too, counts Secure Boot as off where shim was told not
# to validate (Linux, include/linux/efi.h and drivers/firmware/efi/libstub/secureboot.c).
_SHIM = "605dab50-e046-4300-abb6-3dd810dd8b23"

_TEXTS = {
    "computer.manufacturer": "sys_vendor",
    "computer.model": "product_name",
    "computer.serial_number": "product_serial",
    "computer.firmware_version": "bios_version",
}
_FIRMWARE = (
    *_TEXTS,
    "computer.firmware_date",
    "computer.chassis",
    "computer.firmware_mode",
    "computer.secure_boot",
    "computer.secure_boot_capable",
    "computer.tpm_version",
)
_NO_DMI = "this machine's firmware offers no SMBIOS tables (no /sys/class/dmi)"


def _field(tree: Tree, field: str) -> tuple[str, str]:
    """The text of a DMI field, or an empty text and the reason."""
    try:
        raw = tree.text(f"{_DMI}/{field}")
    except PermissionError:
        return "", reads.ADMINISTRATOR
    except FileNotFoundError:
        missing = f"the firmware does not give it ({field})" if tree.exists(_DMI) else _NO_DMI
        return "", missing
    except OSError as error:
        return "", reads.refusal(f"{_DMI}/{field}", error)
    if text := dmi.meaningful(raw):
        return text, ""
    return "", f"the firmware has only a placeholder here: {raw!r}" if raw else "the firmware leaves it empty"


def _text(tree: Tree, field: str) -> Observation:
    text, why = _field(tree, field)
    if text:
        return known(text, f"{_DMI}/{field}")
    board = {"sys_vendor": "board_vendor", "product_name": "board_name"}.get(field)
    board_text = _field(tree, board)[0] if board else ""
    return unknown(f"{why}; the main board is {board_text}" if board_text else why)


def _chassis(tree: Tree) -> Observation:
    raw, why = _chassis_code(tree)
    if why:
        return unknown(why)
    word = dmi.chassis(raw)
    source = f"{_DMI}/chassis_type {raw} (DMTF DSP0134 type 3)"
    return (
        known(word, source) if word else unknown(f"the firmware gives chassis type {raw}, which names none")
    )


def _chassis_code(tree: Tree) -> tuple[int, str]:
    code = reads.number(tree, f"{_DMI}/chassis_type")
    if code is not None:
        return code, ""
    missing = "the firmware does not give it (chassis_type)" if tree.exists(_DMI) else _NO_DMI
    return 0, missing


def _firmware_date(tree: Tree) -> Observation:
    text, why = _field(tree, "bios_date")
    if not text:
        return unknown(why)
    iso = dmi.iso_date(text)
    source = f"{_DMI}/bios_date {text}"
    return known(iso, source) if iso else unknown(f"the firmware's date is not MM/DD/YYYY: {text!r}")


def _firmware_mode(host: Host) -> Observation:
    tree = host.tree
    if tree.exists(_EFI):
        return known("uefi", f"{_EFI} is there")
    if host.machine not in {"x86_64", "i386", "i486", "i586", "i686"}:
        return unknown(f"started without UEFI; {host.machine} machines have no BIOS to tell from")
    if "noefi" in reads.text(tree, "/proc/cmdline").split():
        return unknown("the kernel was told not to look for UEFI (noefi): remove that boot parameter")
    if tree.exists(_DMI):
        return known("bios", f"no {_EFI}, SMBIOS found by the BIOS way")
    return unknown("neither UEFI nor SMBIOS is seen: the kernel was perhaps started without any firmware")


def _efi_byte(tree: Tree, name: str, owner: str) -> int | None:
    """The one byte of an EFI variable; None where the variable does not exist.

    Raises:
        PermissionError: The account may not read it.
        OSError: It is there but not one byte long, or refused.
    """
    try:
        data = tree.data(f"{_EFI}/efivars/{name}-{owner}")
    except FileNotFoundError:
        return None
    # Linux, Documentation/filesystems/efivarfs: four bytes of attributes, then the content.
    if len(data) != 5:
        raise OSError(f"{name} is {len(data)} bytes long, not 5")
    return data[4]


def _secure_boot_uefi(tree: Tree) -> tuple[Observation, Observation]:
    if not reads.names(tree, f"{_EFI}/efivars"):
        why = f"the EFI variables are not there to read: mount efivarfs at {_EFI}/efivars"
        return unknown(why), unknown(why)
    try:
        value = _efi_byte(tree, "SecureBoot", _GLOBAL)
        setup = _efi_byte(tree, "SetupMode", _GLOBAL)
        ignored = _efi_byte(tree, "MokSBStateRT", _SHIM)
    except PermissionError:
        return unknown(reads.ADMINISTRATOR), unknown(reads.ADMINISTRATOR)
    except OSError as error:
        return (unknown(f"the EFI variables cannot be read: {error}"),) * 2
    if value is None:
        source = "no EFI variable SecureBoot: the firmware does not offer it"
        return known(False, source), known(False, source)
    return _secure_boot_state(value, setup, ignored), known(True, "EFI variable SecureBoot is there")


def _secure_boot_state(value: int, setup: int | None, ignored: int | None) -> Observation:
    if value not in {0, 1}:
        return unknown(f"EFI variable SecureBoot has the value {value}, neither 0 nor 1")
    if value and setup == 1:
        return known(False, "EFI variable SecureBoot 1, but SetupMode 1: no keys are enrolled")
    if value and ignored == 1:
        return known(False, "EFI variable SecureBoot 1, but shim was told not to validate (MokSBStateRT 1)")
    return known(value == 1, f"EFI variable SecureBoot {value}")


def _secure_boot(tree: Tree, mode: Observation) -> tuple[Observation, Observation]:
    """Whether Secure Boot is in force, and whether the firmware offers it."""
    if mode.value == "uefi":
        return _secure_boot_uefi(tree)
    if mode.value == "bios":
        capable = unknown("started in BIOS mode, which does not show it: look in the firmware set-up")
        return known(False, "started in BIOS mode"), capable
    return unknown(mode.why), unknown(mode.why)


def _announced_tpm(tree: Tree) -> str:
    """Where the firmware announces a TPM the kernel has no driver for; else empty."""
    for table in ("TPM2", "TCPA"):
        if tree.exists(f"/sys/firmware/acpi/tables/{table}"):
            return f"the firmware announces a TPM (ACPI table {table}) but the kernel has no driver for it"
    return ""


def _tpm_of(tree: Tree, device: str) -> Observation:
    folder = f"/sys/class/tpm/{device}"
    major = reads.number(tree, f"{folder}/tpm_version_major")
    versions = {1: "1.2", 2: "2.0"}
    if major in versions:
        return known(versions[major], f"{folder}/tpm_version_major {major}")
    # Linux, Documentation/ABI/stable/sysfs-class-tpm: caps is there for TPM 1.x only.
    for caps in (f"{folder}/caps", f"{folder}/device/caps"):
        if "TCG version: 1.2" in reads.text(tree, caps):
            return known("1.2", caps)
    return unknown(f"this kernel does not say which version {device} is: see the firmware set-up")


def _tpm(tree: Tree) -> Observation:
    if not tree.exists("/sys/class/tpm"):
        return unknown("this kernel has no TPM support, so a TPM would not be seen (no /sys/class/tpm)")
    try:
        devices = tree.names("/sys/class/tpm")
    except OSError as error:
        return unknown(reads.refusal("/sys/class/tpm", error))
    if devices:
        return _tpm_of(tree, devices[0])
    announced = _announced_tpm(tree)
    return unknown(announced) if announced else absent("no TPM", "/sys/class/tpm is empty")


def _host_name(host: Host) -> Observation:
    name = host.node.partition(".")[0]
    return known(name, "kernel (uname)") if name and name != "(none)" else unknown("no host name is set")


def probe_firmware(host: Host) -> Observations:
    """Readings of group computer that come from the firmware; unknown inside a container."""
    if reason := container_reason(host):
        return reads.all_unknown(_FIRMWARE, reason)
    tree = host.tree
    mode = _firmware_mode(host)
    on, capable = _secure_boot(tree, mode)
    return {
        **{name: _text(tree, field) for name, field in _TEXTS.items()},
        "computer.firmware_date": _firmware_date(tree),
        "computer.chassis": _chassis(tree),
        "computer.firmware_mode": mode,
        "computer.secure_boot": on,
        "computer.secure_boot_capable": capable,
        "computer.tpm_version": _tpm(tree),
    }


def probe_system(host: Host) -> Observations:
    """The host name, and whether the PC is a virtual machine."""
    return {"computer.host_name": _host_name(host), "computer.virtual": virtual.virtual(host)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group computer: firmware may be slow to answer, so it stands alone."""
    return (
        Probe("computer", ("computer.host_name", "computer.virtual"), lambda: probe_system(host)),
        Probe("firmware", _FIRMWARE, lambda: probe_firmware(host)),
    )
