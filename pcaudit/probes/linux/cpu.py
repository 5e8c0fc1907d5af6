"""The processor: model, topology, clocks and features."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from pcaudit.core.snapshot import Observation, at_least, known, unknown
from pcaudit.probes.decode import smbios
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

_IDENTITY = ("cpu.model", "cpu.vendor", "cpu.features", "cpu.sockets", "cpu.cores", "cpu.threads")
_CLOCKS = ("cpu.base_clock", "cpu.max_clock")
_CPUS = "/sys/devices/system/cpu"
_X86 = {"x86_64", "i386", "i486", "i586", "i686"}

# CPUID leaf 0, as /proc/cpuinfo's vendor_id gives it.
_VENDORS = {
    "GenuineIntel": "intel",
    "AuthenticAMD": "amd",
    "HygonGenuine": "hygon",
    "CentaurHauls": "centaur",
    "Shanghai": "zhaoxin",
}
# Linux, arch/arm64/include/asm/cputype.h: ARM_CPU_IMP_*.
_IMPLEMENTERS = {
    0x41: "arm", 0x42: "broadcom", 0x43: "cavium", 0x46: "fujitsu", 0x48: "hisilicon",
    0x4E: "nvidia", 0x50: "apm", 0x51: "qualcomm", 0x53: "samsung", 0x56: "marvell",
    0x61: "apple", 0x69: "intel", 0x6D: "microsoft", 0xC0: "ampere",
}  # fmt: skip

# Linux, arch/x86/include/asm/cpufeatures.h: the kernel's names where the psABI's differ. The
# kernel shows fxsr and xsave only where it has switched them on, which is what the psABI's osfxsr
# and osxsave mean.
_NAMES = {
    "pni": ("sse3",),
    "abm": ("lzcnt",),
    "cx16": ("cmpxchg16b",),
    "lahf_lm": ("lahf-sahf",),
    "sse4_1": ("sse4.1",),
    "sse4_2": ("sse4.2",),
    "syscall": ("sce",),
    "fxsr": ("fxsr", "osfxsr"),
    "xsave": ("xsave", "osxsave"),
    "sha_ni": ("sha",),
    "avx_vnni": ("avx-vnni",),
    "avx512_vnni": ("avx512-vnni",),
    "amx_tile": ("amx",),
    "asimd": ("neon",),
}


class CpuInfo(NamedTuple):
    """What /proc/cpuinfo says.

    Attributes:
        first: Keys and values of the first processor.
        flags: Flags that every processor has.
        processors: How many processors are listed.
    """

    first: Mapping[str, str]
    flags: frozenset[str]
    processors: int


def parse(content: str) -> CpuInfo:
    """Read /proc/cpuinfo, which repeats itself for every processor."""
    first: dict[str, str] = {}
    for key, value in reads.lines(content):
        first.setdefault(key, value)
    # Hundreds of processors have one or two different lines of flags between them.
    different = set(re.findall(r"^(?:flags|Features)\s*:(.*)$", content, re.MULTILINE))
    sets = [frozenset(line.split()) for line in different]
    flags = frozenset.intersection(*sets) if sets else frozenset()
    return CpuInfo(first, flags, len(re.findall(r"^processor\s*:", content, re.MULTILINE)))


def features(flags: frozenset[str]) -> list[str]:
    """Features by the names profiles use, sorted; the kernel's own name where there is no other."""
    found = {name for flag in flags for name in _NAMES.get(flag, (flag.casefold(),))}
    # Linux, arch/x86/kernel/cpu/intel.c: both are set from the one CPUID bit (8000_0007 EDX 8).
    if {"constant_tsc", "nonstop_tsc"} <= flags:
        found.add("invariant-tsc")
    return sorted(found)


def _features(info: CpuInfo) -> Observation:
    if not info.flags:
        return unknown("/proc/cpuinfo shows no flags")
    return known(features(info.flags), f"/proc/cpuinfo flags, common to {info.processors} processors")


def _smbios_model(tree: Tree) -> str:
    """The processor's name in SMBIOS type 4; empty where it is missing or only root may read it."""
    try:
        table = smbios.decode(tree.data("/sys/firmware/dmi/tables/DMI"))
    except OSError:
        return ""
    names = [structure.text(0x10) for structure in table.of_type(4)]
    return next((name for name in names if name), "")


def _model(host: Host, info: CpuInfo) -> Observation:
    for key in ("model name", "cpu model", "cpu"):
        if name := " ".join(info.first.get(key, "").split()):
            return known(name, f"/proc/cpuinfo {key}")
    if host.machine not in _X86 and not container_reason(host) and (name := _smbios_model(host.tree)):
        return known(name, "SMBIOS type 4")
    return unknown("the kernel does not name the processor model: look at the PC's papers")


def _vendor(info: CpuInfo) -> Observation:
    if vendor := info.first.get("vendor_id"):
        return known(_VENDORS.get(vendor, vendor.casefold()), f"/proc/cpuinfo vendor_id {vendor}")
    implementer = info.first.get("CPU implementer", "")
    try:
        word = _IMPLEMENTERS.get(int(implementer, 16))
    except ValueError:
        return unknown("the kernel does not name the processor's maker")
    source = f"/proc/cpuinfo CPU implementer {implementer}"
    return known(word, source) if word else unknown(f"{source} is no maker this version knows")


def _groups(tree: Tree, online: list[int], files: tuple[str, str]) -> int | None:
    """Into how many groups the kernel puts the processors: cores, or packages.

    One file is read for each group, not for each processor: the file lists the whole group.

    Args:
        tree: Files of the host.
        online: Processors that run.
        files: Name of the list in each processor's topology folder, and its name before
            Linux 5.3.

    Returns:
        The number of groups, or None where the kernel does not say.
    """
    groups = 0
    seen: set[int] = set()
    for cpu in online:
        if cpu in seen:
            continue
        folder = f"{_CPUS}/cpu{cpu}/topology"
        members = reads.processors(reads.text(tree, f"{folder}/{files[0]}"))
        members = members or reads.processors(reads.text(tree, f"{folder}/{files[1]}"))
        if cpu not in members:
            return None
        seen.update(members)
        groups += 1
    return groups or None


def _mixture(tree: Tree) -> str:
    """How many processors are of which kind, where a PC has performance and efficiency cores."""
    kinds = (("cpu_core", "performance"), ("cpu_atom", "efficiency"))
    lists = ((reads.processors(reads.text(tree, f"/sys/devices/{kind}/cpus")), name) for kind, name in kinds)
    found = [f"{len(cpus)} threads on {name} cores" for cpus, name in lists if cpus]
    return f"; {', '.join(found)}" if len(found) > 1 else ""


def _limits(tree: Tree, threads: int) -> str:
    """What keeps this process from using all processors, for the source text."""
    notes = []
    status = dict(reads.lines(reads.text(tree, "/proc/self/status")))
    allowed = len(reads.processors(status.get("Cpus_allowed_list", "")))
    if 0 < allowed < threads:
        notes.append(f"this process may run on {allowed} of them")
    quota, _, period = reads.text(tree, "/sys/fs/cgroup/cpu.max").partition(" ")
    if quota.isdigit() and period.isdigit() and int(period) and int(quota) < threads * int(period):
        notes.append(f"control group quota: the time of {int(quota) / int(period):.3g}")
    return "".join(f"; {note}" for note in notes)


def _sockets(tree: Tree, online: list[int]) -> int | None:
    # The kernel writes -1 where the firmware does not tell packages apart.
    package = reads.number(tree, f"{_CPUS}/cpu{online[0]}/topology/physical_package_id")
    if package is None or package < 0:
        return None
    return _groups(tree, online, ("package_cpus_list", "core_siblings_list"))


def _topology(tree: Tree, info: CpuInfo) -> dict[str, Observation]:
    online = reads.processors(reads.text(tree, f"{_CPUS}/online"))
    threads = len(online) or info.processors
    if not threads:
        return reads.all_unknown(_IDENTITY[3:], "neither /proc nor /sys lists the processors")
    source = f"{_CPUS}/online" if online else "/proc/cpuinfo processor"
    unclear = unknown("the kernel does not show which processors share a core or a package")
    readings = {
        "cpu.sockets": unclear,
        "cpu.cores": unclear,
        "cpu.threads": known(threads, f"{source}{_limits(tree, threads)}"),
    }
    cores = _groups(tree, online, ("core_cpus_list", "thread_siblings_list"))
    sockets = _sockets(tree, online) if online else None
    if (cores or 1) > threads or (sockets or 1) > (cores or threads):
        why = f"the kernel contradicts itself: {sockets} sockets, {cores} cores, {threads} threads"
        return {**readings, "cpu.sockets": unknown(why), "cpu.cores": unknown(why)}
    if cores:
        readings["cpu.cores"] = known(cores, f"sysfs CPU topology (core_cpus_list){_mixture(tree)}")
    if sockets:
        readings["cpu.sockets"] = known(sockets, "sysfs CPU topology (package_cpus_list)")
    return readings


def _hertz(amount: float, factor: int, source: str) -> Observation | None:
    """A clock, unless it is none: outside 100 MHz to 10 GHz the source has its units wrong."""
    hertz = round(amount * factor)
    return known(hertz, source) if 10**8 <= hertz <= 10**10 else None


def _base_clock(tree: Tree, model: str) -> Observation:
    folder = f"{_CPUS}/cpu0"
    for file, factor in (("cpufreq/base_frequency", 10**3), ("acpi_cppc/nominal_freq", 10**6)):
        amount = reads.number(tree, f"{folder}/{file}")
        if amount and (clock := _hertz(amount, factor, f"{folder}/{file}")):
            return clock
    # Makers write the base clock into the model string: "... @ 2.40GHz".
    match = re.search(r"@\s*([0-9]+(?:\.[0-9]+)?)\s*([GM])Hz", model, re.ASCII)
    if match:
        factor = 10**9 if match[2] == "G" else 10**6
        if clock := _hertz(float(match[1]), factor, f"model string @ {match[1]} {match[2]}Hz"):
            return clock
    return unknown("neither kernel nor model string gives a base clock: see the processor's data sheet")


def _max_clock(tree: Tree) -> Observation:
    folder = f"{_CPUS}/cpufreq"
    policies = [name for name in reads.names(tree, folder) if name.startswith("policy")]
    clocks = [reads.number(tree, f"{folder}/{policy}/cpuinfo_max_freq") or 0 for policy in policies]
    highest = max(clocks, default=0)
    source = f"{folder}/policy*/cpuinfo_max_freq"
    clock = _hertz(highest, 10**3, source)
    if not clock:
        return unknown(
            "the kernel does not expose the highest clock (no cpufreq, as in most virtual machines)"
        )
    doubt = _clock_doubt(tree, f"{folder}/{policies[0]}/scaling_driver")
    if not all(clocks):
        doubt = "some processors do not say their highest clock"
    return at_least(clock.value, source, doubt) if doubt else clock


def _clock_doubt(tree: Tree, file: str) -> str:
    """Why a driver's highest clock may not be the highest; empty where it is."""
    try:
        driver = reads.content(tree, file)
    except OSError as error:
        return f"the driver may leave the boost out: {reads.refusal(file, error)}"
    # Linux, drivers/cpufreq/acpi-cpufreq.c: boost is counted only where ACPI CPPC tells it.
    return "driver acpi-cpufreq may leave the boost out" if driver == "acpi-cpufreq" else ""


def probe(host: Host) -> Observations:
    """Model, vendor, features and topology."""
    info = parse(reads.text(host.tree, "/proc/cpuinfo"))
    return {
        "cpu.model": _model(host, info),
        "cpu.vendor": _vendor(info),
        "cpu.features": _features(info),
        **_topology(host.tree, info),
    }


def probe_clocks(host: Host) -> Observations:
    """Clocks the maker or the kernel states; never a measured one."""
    content = reads.text(host.tree, "/proc/cpuinfo")
    match = re.search(r"^model name\s*:(.*)$", content, re.MULTILINE)
    return {
        "cpu.base_clock": _base_clock(host.tree, match[1] if match else ""),
        "cpu.max_clock": _max_clock(host.tree),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group cpu."""
    return (Probe("cpu", (*_IDENTITY, *_CLOCKS), lambda: {**probe(host), **probe_clocks(host)}),)
