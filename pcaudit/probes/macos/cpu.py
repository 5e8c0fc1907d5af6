"""The processor: model, topology, clocks and features."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from pcaudit.core.snapshot import Observation, at_least, known, unknown
from pcaudit.probes.decode import macos_documents, macos_text
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, computer, machine
from pcaudit.probes.macos.host import Host

_READINGS: Final = (
    *("cpu.model", "cpu.vendor", "cpu.sockets", "cpu.cores", "cpu.threads"),
    *("cpu.base_clock", "cpu.max_clock", "cpu.features"),
)
_BRAND: Final = "machdep.cpu.brand_string"
_TRANSLATED: Final = "VirtualApple"  # what Rosetta tells in place of the model, recorded outputs
_CLOCK: Final = re.compile(r"@ (\d{1,2}\.\d{1,3})GHz", re.ASCII)
# CPUID leaf 0, as machdep.cpu.vendor gives it.
_VENDORS: Final = {"GenuineIntel": "intel", "AuthenticAMD": "amd"}

# XNU, osfmk/i386/cpuid.c: the kernel's names where the psABI's differ. The kernel uses FXSAVE, so fxsr
# stands for osfxsr too.
_NAMES: Final = {
    "AVX1.0": ("avx",),
    "CX16": ("cmpxchg16b",),
    "LAHF": ("lahf-sahf",),
    "SYSCALL": ("sce",),
    "FXSR": ("fxsr", "osfxsr"),
    "XD": ("nx",),
    "TSCI": ("invariant-tsc",),
    "VMM": ("hypervisor",),
    "AVX512VNNI": ("avx512-vnni",),
}
_INTEL: Final = ("machdep.cpu.features", "machdep.cpu.leaf7_features", "machdep.cpu.extfeatures")
# Apple, "Determining instruction set characteristics": values of 1 under hw.optional.
_ARM: Final = {
    "hw.optional.AdvSIMD": "neon",
    "hw.optional.neon": "neon",
    "hw.optional.arm.FEAT_AES": "aes",
    "hw.optional.arm.FEAT_SHA256": "sha",
}


def _model(host: Host, values: Mapping[str, str]) -> Observation:
    brand = " ".join(values.get(_BRAND, "").split())
    if brand and not brand.startswith(_TRANSLATED):
        return known(brand, f"sysctl {_BRAND}")
    chip = macos_documents.word(computer.hardware(host).value or {}, "chip_type")
    if chip and chip != "Unknown":  # recorded under Rosetta
        return known(chip, "system_profiler SPHardwareDataType chip_type")
    return unknown(f"{ask.no_sysctl(_BRAND)}: look in About This Mac")


def _vendor(values: Mapping[str, str], model: Observation) -> Observation:
    if machine.is_arm(values):
        if model.value and model.value.startswith("Apple"):
            return known("apple", model.source)
        return unknown("the processor does not name its maker: look in About This Mac")
    vendor = values.get("machdep.cpu.vendor", "")
    if not vendor:
        return unknown(f"{ask.no_sysctl('machdep.cpu.vendor')}: look in About This Mac")
    return known(_VENDORS.get(vendor, vendor.casefold()), f"sysctl machdep.cpu.vendor {vendor}")


def _count(values: Mapping[str, str], name: str, more: str = "") -> Observation:
    number = macos_text.whole(values.get(name))
    return known(number, f"sysctl {name}{more}") if number else unknown(ask.no_sysctl(name))


def _kinds(values: Mapping[str, str]) -> str:
    """How many cores are of which kind, for the source text; empty where all are alike."""
    fast, small = (values.get(f"hw.perflevel{level}.physicalcpu") for level in (0, 1))
    return f" ({fast} performance, {small} efficiency)" if fast and small else ""


def _cores(values: Mapping[str, str], threads: Observation) -> Observation:
    cores = _count(values, "hw.physicalcpu", _kinds(values))
    if cores.value and threads.value and cores.value > threads.value:
        return unknown(
            f"the kernel counts {cores.value} cores but {threads.value} threads: look at the model"
        )
    return cores


def _clocks(values: Mapping[str, str]) -> dict[str, Observation]:
    match = _CLOCK.search(values.get(_BRAND, ""))
    if machine.is_arm(values) or not match:
        why = "macOS does not give it: see the maker's data sheet"
        return {"cpu.base_clock": unknown(why), "cpu.max_clock": unknown(why)}
    clock = round(float(match[1]) * 1000) * 10**6
    source = f"sysctl {_BRAND}"
    boost = at_least(clock, source, "macOS does not show the boost: see the maker's data sheet")
    return {"cpu.base_clock": known(clock, source), "cpu.max_clock": boost}


def intel_features(values: Mapping[str, str]) -> list[str]:
    """Features by the names profiles use, sorted; the kernel's own name where there is no other."""
    flags = {flag for name in _INTEL for flag in values.get(name, "").split()}
    return sorted({name for flag in flags for name in _NAMES.get(flag, (flag.casefold(),))})


def _arm_features(values: Mapping[str, str]) -> Observation:
    found = sorted({word for name, word in _ARM.items() if values.get(name) == "1"})
    if not found:
        return unknown(ask.no_sysctl("hw.optional"))
    missing = "only features that profiles have a name for are looked for"
    return known(found, "sysctl hw.optional", missing=missing)


def _features(values: Mapping[str, str]) -> Observation:
    arm = machine.is_arm(values)
    if arm:
        return _arm_features(values)
    absent = [name for name in _INTEL if not values.get(name)]
    # Processors before leaf 7 lack that line alone; without the two others nothing can be said.
    if arm is None or absent not in ([], [_INTEL[1]]):
        return unknown(ask.no_sysctl(absent[0] if absent else "hw.machine"))
    missing = f"{ask.no_sysctl(_INTEL[1])}" if absent else ""
    return known(intel_features(values), f"sysctl {', '.join(_INTEL)}", missing=missing)


def probe(host: Host) -> Observations:
    """Readings of group cpu."""
    values = ask.sysctl(host)
    model = _model(host, values)
    threads = _count(values, "hw.logicalcpu")
    return {
        "cpu.model": model,
        "cpu.vendor": _vendor(values, model),
        "cpu.sockets": _count(values, "hw.packages"),
        "cpu.cores": _cores(values, threads),
        "cpu.threads": threads,
        **_clocks(values),
        "cpu.features": _features(values),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group cpu."""
    return (Probe("processor", _READINGS, lambda: probe(host), 25.0),)
