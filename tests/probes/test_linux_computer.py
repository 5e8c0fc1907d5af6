"""Tests of what the firmware says: maker, chassis, Secure Boot, TPM, virtual machine."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.linux import computer
from pcaudit.probes.linux.host import live
from tests.probes.hosts import DENIED, Entry, Link, host

DMI = "/sys/class/dmi/id"
VARS = "/sys/firmware/efi/efivars"
# UEFI Specification: EFI_GLOBAL_VARIABLE.
GLOBAL = "8be4df61-93ca-11d2-aa0d-00e098032b8c"
SHIM = "605dab50-e046-4300-abb6-3dd810dd8b23"
ON, OFF = b"\x06\0\0\0\x01", b"\x06\0\0\0\0"

DESKTOP: dict[str, Entry] = {
    "/proc/self/ns/pid": Link("pid:[4026531836]"),
    "/proc/cpuinfo": "processor\t: 0\nflags\t\t: fpu sse2 lm\n",
    f"{DMI}/sys_vendor": "Example Works\n",
    f"{DMI}/product_name": "Desk 400\n",
    f"{DMI}/product_serial": "EX-0001\n",
    f"{DMI}/chassis_type": "3\n",
    f"{DMI}/bios_version": "1.20\n",
    f"{DMI}/bios_date": "03/15/2022\n",
    "/sys/class/tpm/tpm0/tpm_version_major": "2\n",
}
EFI: dict[str, Entry] = {**DESKTOP, f"{VARS}/SecureBoot-{GLOBAL}": ON}
BARE: dict[str, Entry] = {"/proc/self/ns/pid": Link("pid:[4026531836]")}


def reading(name: str, files: Mapping[str, Entry], machine: str = "x86_64") -> Observation:
    """One reading of group computer on a host with these files."""
    asked = host(files, machine=machine)
    readings = {**computer.probe_firmware(asked), **computer.probe_system(asked)}
    return readings[f"computer.{name}"]


def without(files: Mapping[str, Entry], *paths: str) -> dict[str, Entry]:
    """The same files less some."""
    return {path: entry for path, entry in files.items() if path not in paths}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("manufacturer", "Example Works"),
        ("model", "Desk 400"),
        ("serial_number", "EX-0001"),
        ("chassis", "desktop"),
        ("firmware_version", "1.20"),
        ("firmware_date", "2022-03-15"),
        ("firmware_mode", "bios"),
        ("secure_boot", False),
        ("secure_boot_capable", None),
        ("tpm_version", "2.0"),
        ("virtual", False),
        ("host_name", "bench-1"),
    ],
)
def test_a_desktop_is_read_from_its_firmware(name: str, value: object) -> None:
    """Each reading is what the firmware of an ordinary desktop PC says."""
    assert reading(name, DESKTOP).value == value


def test_placeholders_are_unknown_and_the_board_is_named() -> None:
    """A filler text is no model; the reason helps with the main board's own name."""
    files = {**DESKTOP, f"{DMI}/product_name": "To be filled by O.E.M.", f"{DMI}/board_name": "D400-MB"}
    found = reading("model", files)
    assert found.form is Form.UNKNOWN
    assert "placeholder" in found.why
    assert "D400-MB" in found.why


def test_a_serial_number_only_root_may_read_needs_rights() -> None:
    """A denied file is not an absent one: the reason names the rights that are missing."""
    found = reading("serial_number", {**DESKTOP, f"{DMI}/product_serial": DENIED})
    assert (found.form, found.why) == (Form.UNKNOWN, "needs administrator rights")


def test_without_smbios_everything_of_it_is_unknown() -> None:
    """A machine without SMBIOS tables has no maker, chassis or firmware mode that could be known."""
    for name in ("manufacturer", "model", "serial_number", "chassis", "firmware_version", "firmware_date"):
        found = reading(name, BARE)
        assert found.form is Form.UNKNOWN
        assert "SMBIOS" in found.why
    assert reading("firmware_mode", BARE).form is Form.UNKNOWN
    assert reading("secure_boot", BARE).form is Form.UNKNOWN


def test_an_unknown_chassis_code_is_unknown() -> None:
    """Chassis type 2 means that the firmware does not know."""
    assert reading("chassis", {**DESKTOP, f"{DMI}/chassis_type": "2"}).form is Form.UNKNOWN


def test_a_broken_firmware_date_is_unknown_with_its_text() -> None:
    """A date in another order is not guessed at."""
    found = reading("firmware_date", {**DESKTOP, f"{DMI}/bios_date": "2022.03.15"})
    assert found.form is Form.UNKNOWN
    assert "2022.03.15" in found.why


@pytest.mark.parametrize(
    ("files", "on", "capable"),
    [
        (EFI, True, True),
        ({**EFI, f"{VARS}/SecureBoot-{GLOBAL}": OFF}, False, True),
        ({**EFI, f"{VARS}/SetupMode-{GLOBAL}": ON}, False, True),
        ({**EFI, f"{VARS}/SetupMode-{GLOBAL}": OFF}, True, True),
        ({**EFI, f"{VARS}/MokSBStateRT-{SHIM}": ON}, False, True),
        ({**DESKTOP, f"{VARS}/Boot0000-{GLOBAL}": b"x"}, False, False),
        ({**DESKTOP, f"{VARS}/": ""}, None, None),
        ({**EFI, f"{VARS}/SecureBoot-{GLOBAL}": DENIED}, None, None),
        ({**EFI, f"{VARS}/SecureBoot-{GLOBAL}": b"\x06\0\0\0"}, None, None),
        ({**EFI, f"{VARS}/SecureBoot-{GLOBAL}": b"\x06\0\0\0\x07"}, None, True),
    ],
)
def test_secure_boot_is_on_only_where_it_is_in_force(
    files: dict[str, Entry], on: bool | None, capable: bool | None
) -> None:
    """Secure Boot counts as on only where the firmware checks and nothing has disabled the check."""
    assert reading("firmware_mode", files).value == "uefi"
    assert reading("secure_boot", files).value is on
    assert reading("secure_boot_capable", files).value is capable


def test_bios_mode_is_not_claimed_where_uefi_was_hidden() -> None:
    """A kernel told not to look for UEFI cannot say that there is none."""
    assert reading("firmware_mode", {**DESKTOP, "/proc/cmdline": "quiet noefi"}).form is Form.UNKNOWN


def test_other_architectures_have_no_bios() -> None:
    """An ARM machine without UEFI was not started by a BIOS."""
    assert reading("firmware_mode", DESKTOP, machine="aarch64").form is Form.UNKNOWN


TPM_NONE = without(DESKTOP, "/sys/class/tpm/tpm0/tpm_version_major")


@pytest.mark.parametrize(
    ("files", "form", "version"),
    [
        (DESKTOP, Form.KNOWN, "2.0"),
        ({**TPM_NONE, "/sys/class/tpm/tpm0/tpm_version_major": "1"}, Form.KNOWN, "1.2"),
        (
            {**TPM_NONE, "/sys/class/tpm/tpm0/device/caps": "TCG version: 1.2\nFirmware: 3.1"},
            Form.KNOWN,
            "1.2",
        ),
        ({**TPM_NONE, "/sys/class/tpm/tpm0/dev": "10:224"}, Form.UNKNOWN, None),
        ({**TPM_NONE, "/sys/class/tpm/": ""}, Form.ABSENT, None),
        ({**TPM_NONE, "/sys/class/tpm/": "", "/sys/firmware/acpi/tables/TPM2": b"TPM2"}, Form.UNKNOWN, None),
        (TPM_NONE, Form.UNKNOWN, None),
    ],
    ids=["2.0", "1.2", "1.2-caps", "old-kernel", "none", "no-driver", "no-support"],
)
def test_a_tpm_is_absent_only_where_it_would_be_seen(
    files: dict[str, Entry], form: Form, version: str | None
) -> None:
    """No TPM is claimed only where the kernel has support and the firmware announces none."""
    found = reading("tpm_version", files)
    assert (found.form, found.value) == (form, version)


FLAG: dict[str, Entry] = {"/proc/cpuinfo": "processor\t: 0\nflags\t\t: fpu hypervisor lm\n"}


@pytest.mark.parametrize(
    ("files", "expected"),
    [
        ({**DESKTOP, **FLAG}, True),
        ({**BARE, **FLAG}, True),
        ({**DESKTOP, **FLAG, "/proc/xen/capabilities": "control_d"}, False),
        ({**DESKTOP, "/sys/hypervisor/type": "xen"}, True),
        ({**DESKTOP, **FLAG, "/dev/mshv": ""}, None),
        ({**DESKTOP, f"{DMI}/sys_vendor": "QEMU"}, None),
        ({**without(DESKTOP, "/proc/cpuinfo"), f"{DMI}/sys_vendor": "QEMU"}, True),
        ({**BARE, "/sys/firmware/devicetree/base/compatible": "linux,dummy-virt\0"}, True),
        ({**BARE, "/sys/firmware/devicetree/base/model": "Example Board 3\0"}, False),
        (BARE, None),
        ({**BARE, "/proc/cpuinfo": "processor\t: 0\nflags\t\t: fpu\n"}, None),
    ],
)
def test_a_virtual_machine_is_told_by_several_signs(files: dict[str, Entry], expected: bool | None) -> None:
    """Processor, firmware and kernel decide together; where they contradict, it is unknown."""
    assert reading("virtual", files).value is expected


def test_in_a_container_the_firmware_is_unknown() -> None:
    """Inside a container even readable firmware files say nothing that is given as the PC's."""
    files = {**EFI, "/proc/self/ns/pid": Link("pid:[4026532201]")}
    for probe in computer.probes(host(files)):
        for name, found in probe.take().items():
            if name != "computer.host_name":
                assert found.form is Form.UNKNOWN, name
                assert "container" in found.why, name


def test_the_host_name_has_no_domain() -> None:
    """The name is given without the domain behind it, and a missing one is unknown."""
    named = computer.probe_system(host({}, node="bench-1.lab.example"))["computer.host_name"]
    unnamed = computer.probe_system(host({}, node="(none)"))["computer.host_name"]
    assert (named.value, unnamed.form) == ("bench-1", Form.UNKNOWN)


def test_on_this_machine_the_name_is_what_hostname_shows() -> None:
    """The host name equals what hostname(1) says, up to the first dot."""
    told = subprocess.run(["uname", "-n"], capture_output=True, text=True, check=True).stdout.strip()
    assert computer.probe_system(live())["computer.host_name"].value == told.partition(".")[0]


def test_on_this_machine_every_promised_reading_is_given() -> None:
    """Each probe gives exactly its readings, each with a source or a reason."""
    for probe in computer.probes(live()):
        readings = probe.take()
        assert set(readings) == set(probe.reads)
        assert all(each.why if each.form is Form.UNKNOWN else each.source for each in readings.values())


@pytest.mark.optional("virtual machines may have no SMBIOS")
@pytest.mark.skipif(not os.path.isdir("/sys/class/dmi/id"), reason="this machine has no SMBIOS")
def test_on_this_machine_the_maker_is_what_the_kernel_shows() -> None:
    """The manufacturer, where one is given, is the kernel's text for it."""
    found = computer.probe_firmware(live())["computer.manufacturer"]
    if found.form is Form.KNOWN:
        with open("/sys/class/dmi/id/sys_vendor", encoding="utf-8") as file:
            assert found.value == file.read().strip()
    else:
        assert found.why
