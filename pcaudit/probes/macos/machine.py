"""What the kernel says of the machine: its architecture, and whether it is a virtual one."""

from __future__ import annotations

from collections.abc import Mapping

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.macos import ask
from pcaudit.probes.macos.host import Host

_HYPERVISOR = "kern.hv_vmm_present"


def is_arm(values: Mapping[str, str]) -> bool | None:
    """Whether this is Apple silicon, None where the kernel does not tell.

    A program translated by Rosetta is told of an Intel machine in ``hw.machine`` and of a processor
    VirtualApple (recorded outputs); ``hw.optional.arm64`` and ``sysctl.proc_translated`` tell the truth
    (Apple, "About the Rosetta translation environment").
    """
    if "1" in (values.get("hw.optional.arm64"), values.get("sysctl.proc_translated")):
        return True
    if values.get("machdep.cpu.brand_string", "").startswith("VirtualApple"):
        return True
    word = values.get("hw.machine", "")
    if word.startswith("arm64"):
        return True
    return False if word == "x86_64" else None


def machine(values: Mapping[str, str]) -> Observation:
    """Reading os.machine."""
    arm = is_arm(values)
    if arm is None:
        return unknown(f"{ask.no_sysctl('hw.machine')}: look in About This Mac")
    if not arm:
        return known("x86_64", "sysctl hw.machine, no hw.optional.arm64")
    translated = values.get("sysctl.proc_translated") == "1"
    return known(
        "arm64", "sysctl hw.optional.arm64" + ("; seen through Rosetta translation" if translated else "")
    )


def virtual(host: Host) -> Observation:
    """Reading computer.virtual."""
    values = ask.sysctl(host)
    model = values.get("hw.model", "")
    if model.startswith("VirtualMac"):  # the model of Apple's own virtual machines, recorded outputs
        return known(True, f"sysctl hw.model {model}")
    present = values.get(_HYPERVISOR)
    if present == "1":
        return known(True, f"sysctl {_HYPERVISOR} 1")
    if "VMM" in values.get("machdep.cpu.features", "").split():
        return known(True, "sysctl machdep.cpu.features VMM")
    if present == "0":
        return known(False, f"sysctl {_HYPERVISOR} 0")
    return unknown(f"{ask.no_sysctl(_HYPERVISOR)}: look in About This Mac")
