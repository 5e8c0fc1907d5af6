"""Whether the PC is a virtual machine."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

_DMI_FIELDS = ("sys_vendor", "product_name", "board_vendor", "bios_vendor")
# How hypervisors name the PCs they present. Common practice, no source.
_WORDS = (
    *("qemu", "kvm", "vmware", "virtualbox", "innotek", "xen", "bochs", "bhyve", "parallels"),
    *("virtual machine", "virtual platform", "virtualization", "openstack", "seabios"),
)


def _cpu_flags(tree: Tree) -> set[str]:
    """Flags of the first processor; empty where the kernel shows none (not an x86 machine)."""
    content = reads.text(tree, "/proc/cpuinfo")
    start = content.find("\nflags")
    if start < 0:
        return set()
    line = content[start + 1 :].split("\n", 1)[0]
    return set(line.partition(":")[2].split())


def _firmware_name(tree: Tree) -> tuple[str, bool]:
    """What the firmware calls the machine, and whether that is a hypervisor's word."""
    texts = [reads.text(tree, f"/sys/class/dmi/id/{field}") for field in _DMI_FIELDS]
    texts.append(reads.text(tree, "/sys/firmware/devicetree/base/model").strip("\0"))
    texts.append(reads.text(tree, "/sys/firmware/devicetree/base/compatible").replace("\0", " ").strip())
    named = [text for text in texts if text]
    for text in named:
        folded = text.casefold()
        if any(word in folded for word in _WORDS) or "dummy-virt" in folded:
            return text, True
    return " ".join(named[:2]), False


def _is_control_domain(tree: Tree) -> bool:
    """Whether this is the Xen domain that owns the hardware."""
    return "control_d" in reads.text(tree, "/proc/xen/capabilities")


def virtual(host: Host) -> Observation:
    """Reading computer.virtual, from the processor, the firmware and the kernel together.

    Where processor and firmware contradict each other without an explanation, it is unknown.
    """
    tree = host.tree
    if reason := container_reason(host):
        return unknown(reason)
    if _is_control_domain(tree):
        return known(False, "/proc/xen/capabilities: control domain, which owns the hardware")
    if tree.exists("/dev/mshv"):
        return unknown(
            "this may be the root partition of a hypervisor (/dev/mshv): look at the machine itself"
        )
    if guest := reads.text(tree, "/sys/hypervisor/type"):
        return known(True, f"/sys/hypervisor/type {guest}")
    flags = _cpu_flags(tree)
    name, hypervisor_name = _firmware_name(tree)
    if "hypervisor" in flags:
        named = f"; the firmware says {name}" if name else ""
        return known(True, f"CPUID hypervisor flag{named}")
    return _without_flag(bool(flags), name, hypervisor_name)


def _without_flag(has_flags: bool, name: str, hypervisor_name: bool) -> Observation:
    if hypervisor_name and has_flags:
        return unknown(
            f"the firmware says {name}, but the processor shows no hypervisor: look at the machine itself"
        )
    if hypervisor_name:
        return known(True, f"the firmware says {name}")
    if name:
        flag = "no CPUID hypervisor flag; " if has_flags else ""
        return known(False, f"{flag}the firmware says {name}")
    return unknown("the firmware says nothing of the machine, and a hypervisor can hide its processor flag")
