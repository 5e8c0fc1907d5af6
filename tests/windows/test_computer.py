"""Tests of the computer on Windows: maker, model, chassis, firmware, Secure Boot, TPM, virtual machines."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.windows import computer
from pcaudit.probes.windows.calls.win32 import NoAnswerError
from tests.probes.smbios_tables import END
from tests.windows.pc import (
    CONTROL,
    FIRMWARE,
    NO_ANSWER,
    bios,
    board,
    enclosure,
    hypervisor_info,
    pc,
    product,
    raw_smbios,
    readings,
    tpm_info,
)
from tests.windows.recorded import DENIED

BIOS = r"HKLM\HARDWARE\DESCRIPTION\System\BIOS"
STATE = rf"{CONTROL}\SecureBoot\State"
DSDT = r"HKLM\HARDWARE\ACPI\DSDT"
TEXTS = ("manufacturer", "model", "serial_number", "firmware_version")
BOUGHT = ("Benchmark Computers", "Tower 5", "BC-2024-0815", "1.14.2")
# Windows as root of its own hypervisor: what a real PC with its security features shows.
# Hypervisor Top Level Functional Specification, CPUID 40000003h EBX: bit 0 is CreatePartitions.
OWN_HYPERVISOR = hypervisor_info(b"Microsoft Hv", 1)
GUEST = hypervisor_info(b"Microsoft Hv", 0xFFFF_FFFE)


def computers(registry: dict[str, Any] | None = None, **answers: Any) -> dict[str, Observation]:
    """Group computer of a PC with these keys that answers so, names without the group."""
    found = readings(computer, pc(registry, **answers))
    return {name.partition(".")[2]: each for name, each in found.items()}


def test_a_pc_is_read_from_its_firmware() -> None:
    """Maker, model, serial number, chassis and firmware are the firmware's own words."""
    found = computers()
    assert tuple(found[name].value for name in TEXTS) == BOUGHT
    assert found["model"].source == "GetSystemFirmwareTable RSMB, SMBIOS type 1"
    assert found["firmware_date"].value == "2024-03-09"
    assert found["chassis"].value == "desktop"
    assert found["host_name"].value == "lab-pc"


def test_where_no_hypervisor_is_seen_the_pc_is_real() -> None:
    """Maker and model make a real PC, whoever made its board, and the source says what was seen."""
    table = raw_smbios(FIRMWARE, board("Board Works", "BW-Z790"), END)
    found = computers(smbios=table)["virtual"]
    assert found.value is False
    assert found.source == "the firmware says Benchmark Computers Tower 5; Windows sees no hypervisor"


def test_where_the_registry_differs_both_are_named() -> None:
    """The firmware's word counts, and the registry's stands beside it in the source."""
    found = computers({BIOS: {"SystemProductName": "Tower 4", "BIOSVersion": "1.14.2"}})
    assert found["model"].value == "Tower 5"
    assert f"but registry {BIOS}\\SystemProductName says Tower 4" in found["model"].source
    assert "registry" not in found["firmware_version"].source


def test_without_the_table_the_registry_stands_in() -> None:
    """Windows's own copy is read where the firmware's table is refused; the serial number has none."""
    values = {"SystemManufacturer": "Benchmark Computers", "BIOSReleaseDate": "03/09/2024"}
    found = computers({BIOS: values}, smbios=NO_ANSWER)
    assert found["manufacturer"].value == "Benchmark Computers"
    assert found["manufacturer"].source == f"registry {BIOS}\\SystemManufacturer"
    assert found["firmware_date"].value == "2024-03-09"
    assert found["serial_number"].why == str(NO_ANSWER)
    assert found["chassis"].why == str(NO_ANSWER)


@pytest.mark.parametrize(
    "filler", ["To be filled by O.E.M.", "Default string", "System Product Name", "0" * 8]
)
def test_a_placeholder_is_a_missing_value(filler: str) -> None:
    """Trap C1: what a firmware maker left unfilled is no model and no serial number, in the registry too."""
    table = raw_smbios(bios(), product("Benchmark Computers", filler, "1", filler), END)
    found = computers({BIOS: {"SystemProductName": filler}}, smbios=table)
    for name in ("model", "serial_number"):
        assert found[name].form is Form.UNKNOWN
        assert filler in found[name].why
    assert found["manufacturer"].value == "Benchmark Computers"


def test_beside_a_placeholder_the_board_is_named() -> None:
    """Trap C1: a PC built from parts says what its main board is, which is no model of the PC."""
    filler = "To be filled by O.E.M."
    table = raw_smbios(product(filler, filler, "1", filler), board("Board Works", "BW-Z790"), END)
    found = computers(smbios=table)
    assert found["model"].form is Form.UNKNOWN
    assert "the main board is BW-Z790" in found["model"].why
    assert "the main board is Board Works" in found["manufacturer"].why


def test_an_empty_table_and_a_refused_one_give_different_reasons() -> None:
    """Trap C5: no table is no refusal, and neither is an empty text."""
    for answer, word in ((raw_smbios(END), "no SMBIOS tables"), (DENIED, "administrator")):
        found = computers(smbios=answer)
        for name in (*TEXTS, "chassis", "firmware_date"):
            assert found[name].form is Form.UNKNOWN
            assert word in found[name].why


@pytest.mark.parametrize(
    ("code", "word"),
    # DMTF DSP0134, System Enclosure or Chassis Types; the top bit says there is a lock.
    [(3, "desktop"), (0x8A, "laptop"), (17, "server"), (1, "other"), (2, None), (99, None)],
)
def test_the_chassis_is_what_the_firmware_says(code: int, word: str | None) -> None:
    """Chassis types become our words, and 2 (unknown) becomes none."""
    found = computers(smbios=raw_smbios(enclosure(code), END))["chassis"]
    assert found.value == word
    assert f"type {code & 0x7F}," in found.why or found.source.endswith(f"type 3: {code & 0x7F}")


def test_why_the_firmware_mode_is_not_known_names_both_sources() -> None:
    """The reason tells what either source said."""
    found = computers({CONTROL: {"PEFirmwareType": 7}}, firmware_type=0)["firmware_mode"]
    assert (
        found.why == "Windows does not say how it was started: GetFirmwareType says 0; PEFirmwareType says 7"
    )
    found = computers(firmware_type=NO_ANSWER)["firmware_mode"]
    assert str(NO_ANSWER) in found.why
    assert f"the registry has no {CONTROL}\\PEFirmwareType" in found.why


def test_why_secure_boot_is_not_known_names_what_was_read() -> None:
    """A value that is neither 0 nor 1 stands in the reason, and so does one that is missing."""
    assert (
        "UEFISecureBootEnabled 3, neither 0 nor 1"
        in computers({STATE: {"UEFISecureBootEnabled": 3}})["secure_boot"].why
    )
    assert "the registry has no" in computers({STATE: {}})["secure_boot"].why


def test_a_date_of_another_form_is_no_date() -> None:
    """A firmware date that is not MM/DD/YYYY is not turned into one."""
    table = raw_smbios(bios("Firmware Works", "1.0", "9. March 2024"), END)
    assert computers(smbios=table)["firmware_date"].form is Form.UNKNOWN


# -- how it was started


@pytest.mark.parametrize(
    ("kind", "registry", "mode"),
    [
        (2, None, "uefi"),
        (1, None, "bios"),
        (0, None, None),
        (NO_ANSWER, 2, "uefi"),
        (NO_ANSWER, 1, "bios"),
        (NO_ANSWER, 7, None),
        (NO_ANSWER, None, None),
    ],
)
def test_the_firmware_mode_comes_from_two_sources(kind: Any, registry: int | None, mode: str | None) -> None:
    """GetFirmwareType counts, PEFirmwareType stands in, and a value of neither is unknown."""
    keys = {} if registry is None else {CONTROL: {"PEFirmwareType": registry}}
    assert computers(keys, firmware_type=kind)["firmware_mode"].value == mode


@pytest.mark.parametrize(
    ("kind", "state", "on", "capable"),
    [
        (2, {"UEFISecureBootEnabled": 1}, True, True),
        (2, {"UEFISecureBootEnabled": 0}, False, True),
        (2, {"UEFISecureBootEnabled": 3}, None, None),
        (2, {"UEFISecureBootEnabled": "1"}, None, None),
        (2, {}, None, None),
        (2, {"UEFISecureBootEnabled": DENIED}, None, None),
        (1, {}, False, None),
        # Left over from before the firmware was switched to BIOS mode.
        (1, {"UEFISecureBootEnabled": 1}, False, None),
        (0, {"UEFISecureBootEnabled": 0}, False, True),
    ],
)
def test_secure_boot_is_on_only_where_windows_says_so(
    kind: int, state: dict[str, Any], on: bool | None, capable: bool | None
) -> None:
    """No mark is no knowledge; only BIOS mode rules it out, and then the firmware may still offer it."""
    found = computers({STATE: state}, firmware_type=kind)
    assert (found["secure_boot"].value, found["secure_boot_capable"].value) == (on, capable)


@pytest.mark.parametrize(
    ("answer", "form", "value"),
    [
        (tpm_info(2), Form.KNOWN, "2.0"),
        (tpm_info(1), Form.KNOWN, "1.2"),
        (tpm_info(0), Form.UNKNOWN, None),
        (tpm_info(2)[:8], Form.UNKNOWN, None),
        (FileNotFoundError(2, "none"), Form.ABSENT, None),
        (NoAnswerError("Tbsi_GetDeviceInfo failed with 0x80284010"), Form.UNKNOWN, None),
        (DENIED, Form.UNKNOWN, None),
    ],
)
def test_a_tpm_is_absent_only_where_windows_finds_none(answer: Any, form: Form, value: str | None) -> None:
    """A version that is none, half an answer and a service that is switched off are unknown."""
    found = computers(tpm=answer)["tpm_version"]
    assert (found.form, found.value) == (form, value)


# -- virtual machines


@pytest.mark.parametrize(
    "strings",
    [
        ("QEMU", "Standard PC (Q35 + ICH9, 2009)", "1", "x"),
        ("Microsoft Corporation", "Virtual Machine", "1", "x"),
        ("innotek GmbH", "VirtualBox", "1", "x"),
        ("Xen", "HVM domU", "1", "x"),
    ],
)
def test_a_hypervisors_words_make_a_virtual_machine(strings: tuple[str, ...]) -> None:
    """What the firmware calls the machine counts, whatever the hypervisor says of itself."""
    table = raw_smbios(bios(), product(*strings), END)
    for answer in (hypervisor_info(b"", 0), OWN_HYPERVISOR, GUEST, NO_ANSWER):
        assert computers(smbios=table, hypervisor=answer)["virtual"].value is True


def test_a_firmware_vendor_of_virtual_machines_counts() -> None:
    """A machine whose firmware is a hypervisor's is one, though its model was renamed."""
    table = raw_smbios(bios("SeaBIOS", "1.16.2", "04/01/2014"), product(), END)
    assert computers(smbios=table)["virtual"].value is True


def test_a_pc_with_a_hypervisor_of_its_own_is_real() -> None:
    """Trap C2: Windows's security features put a hypervisor below it on bare metal, as its root."""
    found = computers(hypervisor=OWN_HYPERVISOR)["virtual"]
    assert found.value is False
    assert "owns the hardware under Microsoft Hv" in found.source


def test_the_makers_own_products_are_no_virtual_machines() -> None:
    """Trap C4: the hypervisor's maker builds PCs too, so that its name alone makes no virtual machine."""
    table = raw_smbios(product("Microsoft Corporation", "Desk Book 2", "1", "x"), END)
    assert computers(smbios=table, hypervisor=OWN_HYPERVISOR)["virtual"].value is False


@pytest.mark.parametrize(
    ("registry", "answer", "word"),
    [({}, GUEST, "guest of Microsoft Hv"), ({rf"{DSDT}\BOCHS_": {}}, NO_ANSWER, "QEMU")],
)
def test_a_contradiction_is_not_decided(registry: dict[str, Any], answer: Any, word: str) -> None:
    """Trap C4: a maker's words over a guest's signs may be a machine dressed up as another."""
    found = computers(registry, hypervisor=answer)["virtual"]
    assert found.form is Form.UNKNOWN
    assert word in found.why
    assert "Benchmark Computers" in found.why


def test_a_guests_signs_suffice_where_the_firmware_is_silent() -> None:
    """Without a maker's words nothing contradicts them."""
    silent = raw_smbios(product("Default string", "Default string", "1", "x"), END)
    assert computers(smbios=silent, hypervisor=GUEST)["virtual"].value is True
    assert computers({rf"{DSDT}\VBOX__": {}}, smbios=silent)["virtual"].value is True
    assert computers(smbios=silent)["virtual"].form is Form.UNKNOWN


def test_without_the_hypervisors_word_the_makers_counts() -> None:
    """Older Windows has no such answer, nor does a cut one count, and the source claims none."""
    for answer in (NO_ANSWER, b"\1" * 50):
        found = computers(hypervisor=answer)["virtual"]
        assert found.value is False
        assert found.source == "the firmware says Benchmark Computers Tower 5"


def test_a_security_layer_of_the_processor_is_no_host() -> None:
    """The layer some Arm processors bring along calls itself a hypervisor and hosts nothing."""
    assert computers(hypervisor=hypervisor_info(b"QCOMQCOMQCOM", 0))["virtual"].value is False


def test_inside_a_container_nothing_is_the_pcs_own() -> None:
    """Trap C3: in a Windows container only the host name is read."""
    found = computers({CONTROL: {"ContainerType": 2}})
    assert found.pop("host_name").value == "lab-pc"
    for name, each in found.items():
        assert each.form is Form.UNKNOWN, name
        assert "container" in each.why, name


def test_the_host_name_is_without_its_domain() -> None:
    """A name with a domain is cut, an empty one is none, and a refused one has its reason."""
    assert computers(host_name="lab-pc.example.org")["host_name"].value == "lab-pc"
    assert computers(host_name="")["host_name"].form is Form.UNKNOWN
    assert computers(host_name=NO_ANSWER)["host_name"].why == str(NO_ANSWER)


def test_a_table_without_an_end_is_still_read() -> None:
    """What stands in front of the damage is sound, and what is missing is laid to the damage."""
    found = computers(smbios=raw_smbios(FIRMWARE))
    assert found["model"].value == "Tower 5"
    assert "damaged" in computers(smbios=raw_smbios(bios()))["model"].why
