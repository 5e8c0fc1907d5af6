"""Memory: what is installed, and what Windows can use of it."""

from __future__ import annotations

from typing import Any

from pcaudit.core.snapshot import Observation, at_least, known, unknown
from pcaudit.probes.decode import memory_devices, windows_memory
from pcaudit.probes.decode.memory_devices import MainMemory
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.windows import firmware, reads
from pcaudit.probes.windows.ask import ask, container_reason, of
from pcaudit.probes.windows.host import Host

_MODULE_READINGS = ("memory.slots", "memory.slots_free", "memory.modules", "memory.ecc")
_READINGS = ("memory.installed", "memory.usable", *_MODULE_READINGS)
_LESS = "firmware and Windows keep some memory to themselves"
_MODULES = "GetSystemFirmwareTable RSMB, SMBIOS type 17"
_SUM = "GetPhysicallyInstalledSystemMemory"
_USABLE = "GlobalMemoryStatusEx"


def _bound(amounts: dict[str, int], why: str) -> Observation:
    """Installed memory as no less than the largest of what is seen of it."""
    source = max(amounts, key=lambda name: amounts[name], default="")
    if not source or not amounts[source]:
        return unknown(why)
    return at_least(amounts[source], source, f"{why}; {_LESS}" if source == _USABLE else why)


def _unsized(memory: MainMemory) -> str:
    return f"the firmware does not know the size of {memory.unsized} modules" if memory.unsized else ""


def _from_modules(memory: MainMemory, problem: str, stated: int, usable: int) -> Observation:
    amounts = {_MODULES: memory.size, _SUM: stated, _USABLE: usable}
    if why := problem or _unsized(memory):
        return _bound(amounts, why)
    if memory.size < usable:
        return _bound(amounts, f"the modules of SMBIOS type 17 add up to {memory.size} bytes, less than used")
    other = f"; but {_SUM} says {stated} bytes" if stated and stated != memory.size else ""
    return known(memory.size, f"{_MODULES}{other}")


def _from_windows(stated: int, usable: int, why: str, described: bool) -> Observation:
    """Installed memory where the modules cannot be seen: what Windows says, if it can be.

    Windows too adds up the firmware's modules, so that where a table is there without any, its sum
    has nothing to stand on.
    """
    if described:
        return _bound({_SUM: stated, _USABLE: usable}, why)
    if stated and stated >= usable:
        return known(stated, f"{_SUM}; {why}")
    said = f"{_SUM} says {stated} bytes, less than can be used; {why}" if stated else why
    return _bound({_USABLE: usable}, said)


def _items(memory: MainMemory) -> list[dict[str, Any]]:
    return [{"size": module.size, "speed": module.speed, "type": module.type} for module in memory.modules]


def _ecc(memory: MainMemory, problem: str) -> Observation:
    if memory.corrects is None:
        return unknown(memory.corrects_why)
    if memory.corrects and problem:
        return unknown(problem)
    return known(memory.corrects, memory.corrects_why)


def _modules(memory: MainMemory, problem: str) -> dict[str, Observation]:
    modules = known(_items(memory), _MODULES, missing=problem or _unsized(memory))
    ecc = _ecc(memory, problem)
    if problem:
        slots, free = at_least(memory.slots, _MODULES, problem), at_least(memory.empty, _MODULES, problem)
    else:
        slots, free = known(memory.slots, _MODULES), known(memory.empty, _MODULES)
    return dict(zip(_MODULE_READINGS, (slots, free, modules, ecc), strict=True))


def _stated(host: Host) -> tuple[int, str]:
    """Bytes that Windows calls installed, or 0 and why."""
    answer = ask(host.system.installed_memory)
    if answer.value is None:
        return 0, answer.why
    return answer.value << 10, "" if answer.value else f"{_SUM} says nothing is installed"


def _described(host: Host, usable: int) -> dict[str, Observation]:
    """Everything that only the firmware knows."""
    seen = firmware.read(host)
    memory = memory_devices.main_memory(seen.table) if seen.table else None
    stated, refused = _stated(host)
    if memory is not None:
        installed = _from_modules(memory, seen.why, stated, usable)
        return {"memory.installed": installed, **_modules(memory, seen.why)}
    why = seen.why or "the firmware describes no memory modules"
    described = seen.table is not None or seen.damaged
    installed = _from_windows(stated, usable, f"{why}; {refused}" if refused else why, described)
    return {"memory.installed": installed, **reads.all_unknown(_MODULE_READINGS, why)}


def probe(host: Host) -> Observations:
    """Readings of group memory; inside a container only what Windows lets be used."""
    total = ask(lambda: windows_memory.total(host.system.memory_status()))
    usable = {"memory.usable": of(total, lambda amount: known(amount, f"{_USABLE} ullTotalPhys"))}
    if reason := container_reason(host):
        return {**usable, **reads.all_unknown(("memory.installed", *_MODULE_READINGS), reason)}
    return {**usable, **_described(host, total.value or 0)}


def probes(host: Host) -> tuple[Probe, ...]:
    """The probe of group memory."""
    return (Probe("memory", _READINGS, lambda: probe(host)),)
