"""Whether the PC is a virtual machine.

The processor's own sign of a hypervisor would not do: Windows puts one below itself on real PCs
too, for its security features. So the firmware's words count, and the hypervisor's own where it
says whether Windows owns the hardware.
"""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import dmi, windows_firmware
from pcaudit.probes.decode.windows_firmware import Hypervisor
from pcaudit.probes.windows import firmware, reads
from pcaudit.probes.windows.ask import Answer, ask, container_reason
from pcaudit.probes.windows.firmware import Firmware
from pcaudit.probes.windows.host import Host

# How hypervisors name the PCs they present. Common practice, no source.
_WORDS = (
    *("qemu", "kvm", "vmware", "virtualbox", "innotek", "xen", "bochs", "bhyve", "parallels"),
    *("virtual machine", "virtual platform", "virtualization", "openstack", "seabios"),
)
# What they put into their ACPI tables as maker, as the registry spells it. From memory.
_ACPI_MAKERS = {"BOCHS_": "QEMU", "VBOX__": "VirtualBox", "VRTUAL": "Hyper-V", "BHYVE_": "bhyve"}
_ACPI = r"HKLM\HARDWARE\ACPI\DSDT"
_FIELDS = (firmware.MAKER, firmware.MODEL, firmware.BOARD_MAKER, firmware.VENDOR)
_LOOK = "look at the machine itself"
# A security layer of this maker's processors, no machine's host (phnt headers, from memory).
_NO_HOST = "QCOM"


def _named(host: Host, seen: Firmware) -> tuple[str, bool]:
    """What the firmware calls the machine, and whether that is a hypervisor's word."""
    # Boards leave fields unfilled, which says nothing of what the machine is.
    texts = [dmi.meaningful(firmware.raw(seen, field)) or firmware.copied(host, field) for field in _FIELDS]
    for text in texts:
        if any(word in text.casefold() for word in _WORDS):
            return text, True
    # The maker and model alone tell the machine; a firmware's vendor makes both kinds.
    return " ".join(text for text in texts[:2] if text), False


def _acpi_maker(host: Host) -> str:
    """The hypervisor that made the ACPI tables; empty where none is known to have."""
    try:
        makers = reads.keys(host.registry, _ACPI)
    except OSError:
        return ""
    return next((_ACPI_MAKERS[name.upper()] for name in makers if name.upper() in _ACPI_MAKERS), "")


def _guest_of(below: Hypervisor | None) -> str:
    """The hypervisor that gives Windows only a part of the machine; empty where none does."""
    if below is None or below.root or below.vendor.startswith(_NO_HOST):
        return ""
    return below.vendor


def _below(answer: Answer[Hypervisor]) -> str:
    if answer.value is None:
        return ""
    if answer.value.vendor and answer.value.root:
        return f"; Windows itself owns the hardware under {answer.value.vendor}"
    return "" if answer.value.vendor else "; Windows sees no hypervisor"


def virtual(host: Host, seen: Firmware) -> Observation:
    """Reading computer.virtual; unknown where the sources contradict each other."""
    if reason := container_reason(host):
        return unknown(reason)
    name, hypervisor_name = _named(host, seen)
    if hypervisor_name:
        return known(True, f"the firmware says {name}")
    answer = ask(lambda: windows_firmware.hypervisor(host.system.hypervisor()))
    maker, guest = _acpi_maker(host), _guest_of(answer.value)
    signs = [f"the ACPI tables are {maker}'s"] if maker else []
    signs += [f"Windows is a guest of {guest}"] if guest else []
    if signs and not name:
        return known(True, "; ".join(signs))
    if signs:
        return unknown(f"the firmware says {name}, but {' and '.join(signs)}: {_LOOK}")
    if name:
        return known(False, f"the firmware says {name}{_below(answer)}")
    return unknown(f"the firmware says nothing of the machine, and a hypervisor may hide: {_LOOK}")
