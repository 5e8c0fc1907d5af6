"""The processor: model, topology, clocks and features."""

from __future__ import annotations

import re

from pcaudit.core.snapshot import Observation, at_least, known, unknown
from pcaudit.probes.decode import windows_processors
from pcaudit.probes.decode.windows_processors import Topology
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import architecture, reads
from pcaudit.probes.windows.ask import ask
from pcaudit.probes.windows.features import features
from pcaudit.probes.windows.host import Host

_TOPOLOGY = ("cpu.sockets", "cpu.cores", "cpu.threads")
_READINGS = ("cpu.model", "cpu.vendor", *_TOPOLOGY, "cpu.base_clock", "cpu.max_clock", "cpu.features")
_FIRST = r"HKLM\HARDWARE\DESCRIPTION\System\CentralProcessor\0"
_MHZ = 10**6
_CLOCKS = range(100 * _MHZ, 10_000 * _MHZ + 1)  # outside, the source has its units wrong

# CPUID leaf 0, as the registry's VendorIdentifier gives it; on Arm the maker's name.
_VENDORS = {
    "genuineintel": "intel",
    "authenticamd": "amd",
    "hygongenuine": "hygon",
    "centaurhauls": "centaur",
    "shanghai": "zhaoxin",
    "qualcomm technologies inc": "qualcomm",
    "qualcomm incorporated": "qualcomm",
}


def _model(host: Host) -> Observation:
    name = reads.read(host.registry, _FIRST, "ProcessorNameString", str)
    source = f"registry {_FIRST}\\ProcessorNameString"
    # Makers fill the text up with spaces.
    model = " ".join((name.value or "").split())
    return known(model, source) if model else unknown(name.why or f"{source} is empty")


def _vendor(host: Host) -> Observation:
    name = reads.read(host.registry, _FIRST, "VendorIdentifier", str)
    if not name.value:
        return unknown(name.why or "the registry does not name the processor's maker")
    word = name.value.casefold()
    return known(_VENDORS.get(word, word), f"registry {_FIRST}\\VendorIdentifier {name.value}")


def _mixture(found: Topology) -> str:
    """How many cores are of which kind, where a PC has performance and efficiency cores."""
    if len(found.kinds) < 2:
        return ""
    kinds = [f"{found.kinds[kind]} of efficiency class {kind}" for kind in sorted(found.kinds, reverse=True)]
    return f"; {', '.join(kinds)} (the higher, the faster)"


def _topology(host: Host) -> dict[str, Observation]:
    source = "GetLogicalProcessorInformationEx, all groups"
    if not architecture.is_64_bit(host):
        return reads.all_unknown(
            _TOPOLOGY, "a 32-bit program is not shown every processor: run a 64-bit Python"
        )
    answer = ask(lambda: windows_processors.topology(host.system.processors()))
    found = answer.value
    if found is None:
        return reads.all_unknown(_TOPOLOGY, answer.why)
    counted = ask(host.system.active_processors).value
    if counted and counted != found.threads:
        why = f"Windows contradicts itself: {found.threads} threads by {source}, {counted} by its count"
        return reads.all_unknown(_TOPOLOGY, why)
    return {
        "cpu.sockets": known(found.packages, source),
        "cpu.cores": known(found.cores, f"{source}{_mixture(found)}"),
        "cpu.threads": known(found.threads, source),
    }


def _named_clock(model: str) -> Observation | None:
    """The base clock that makers write into the model string: "... @ 2.40GHz"."""
    match = re.search(r"@\s*([0-9]+(?:\.[0-9]+)?)\s*([GM])Hz", model, re.ASCII)
    if not match:
        return None
    hertz = round(float(match[1]) * (1000 if match[2] == "G" else 1) * _MHZ)
    return known(hertz, f"model string @ {match[1]} {match[2]}Hz") if hertz in _CLOCKS else None


def _stated_clock(host: Host) -> Observation:
    """The clock Windows counts as highest, which leaves the boost out.

    The registry's ~MHz is no source: it is measured, and on processors with two kinds of cores
    neither's base clock.
    """
    answer = ask(lambda: windows_processors.clocks(host.system.processor_power()))
    found = [clock for clock in answer.value or () if clock * _MHZ in _CLOCKS]
    if not found:
        said = answer.why or "CallNtPowerInformation gives no clock that can be one"
        return unknown(f"{said}: see the processor's data sheet")
    other = f"; the slowest has {min(found)} MHz" if min(found) != max(found) else ""
    return known(max(found) * _MHZ, f"CallNtPowerInformation MaxMhz (nominal){other}")


def _clocks(host: Host, model: str) -> dict[str, Observation]:
    base = _named_clock(model) or _stated_clock(host)
    why = "Windows does not show the boost: see the processor's data sheet"
    highest = unknown(why) if base.value is None else at_least(base.value, base.source, why)
    return {"cpu.base_clock": base, "cpu.max_clock": highest}


def probe(host: Host) -> Observations:
    """Readings of group cpu."""
    model = _model(host)
    return {
        "cpu.model": model,
        "cpu.vendor": _vendor(host),
        **_topology(host),
        **_clocks(host, model.value or ""),
        "cpu.features": features(host),
    }


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group cpu."""
    return (Probe("cpu", _READINGS, lambda: probe(host)),)
