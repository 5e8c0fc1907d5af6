"""Memory: what is installed, what can be used, and its modules where there are any."""

from __future__ import annotations

import re
from typing import Any, Final

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import macos_documents, macos_text
from pcaudit.probes.interface import Observations, Probe
from pcaudit.probes.macos import ask, machine
from pcaudit.probes.macos.host import Host

_READINGS: Final = ("memory.installed", "memory.usable")
_MODULES: Final = ("memory.slots", "memory.slots_free", "memory.modules", "memory.ecc")
_PROFILE: Final = "SPMemoryDataType"
_SPEED: Final = re.compile(r"(\d{3,5}) (?:MHz|MT/s)", re.ASCII)
_ON_PACKAGE: Final = "the memory of Apple silicon is part of the processor package"


def _size(host: Host, name: str) -> Observation:
    number = macos_text.whole(ask.sysctl(host).get(name))
    return known(number, f"sysctl {name}") if number else unknown(ask.no_sysctl(name))


def probe(host: Host) -> Observations:
    """Readings memory.installed and memory.usable.

    XNU, bsd/kern/kern_mib.c: ``hw.memsize`` is all memory, ``hw.memsize_usable`` without what the
    firmware keeps.
    """
    return {
        "memory.installed": _size(host, "hw.memsize"),
        "memory.usable": _size(host, "hw.memsize_usable"),
    }


def _is_empty(module: dict[str, Any]) -> bool:
    return macos_documents.word(module, "dimm_size").casefold() == "empty"


def _module(module: dict[str, Any]) -> dict[str, Any]:
    speed = _SPEED.fullmatch(macos_documents.word(module, "dimm_speed"))
    return {
        "size": macos_text.memory_size(macos_documents.word(module, "dimm_size")),
        # system_profiler writes MHz where the data sheets write MT/s.
        "speed": int(speed[1]) if speed else None,
        "type": macos_documents.word(module, "dimm_type") or None,
    }


def _ecc(entry: dict[str, Any]) -> Observation:
    word = macos_documents.word(entry, "global_ecc_state")
    source = f"system_profiler {_PROFILE} global_ecc_state {word}"
    if word in {"ecc_enabled", "ecc_disabled"}:
        return known(word == "ecc_enabled", source)
    return unknown("macOS does not say whether the memory corrects errors: see the maker's data sheet")


def _of_slots(entry: dict[str, Any], banks: list[dict[str, Any]]) -> dict[str, Observation]:
    fitted = [bank for bank in banks if not _is_empty(bank)]
    source = f"system_profiler {_PROFILE}"
    upgradeable = macos_documents.word(entry, "is_memory_upgradeable")
    slots, free = known(len(banks), source), known(len(banks) - len(fitted), source)
    if upgradeable == "No":
        slots = free = known(0, f"{source} is_memory_upgradeable No: the memory is soldered")
    elif upgradeable != "Yes":
        slots = free = unknown(
            "macOS does not say whether the memory sits in slots: see the maker's data sheet"
        )
    return {
        "memory.slots": slots,
        "memory.slots_free": free,
        "memory.modules": known([_module(bank) for bank in fitted], source),
        "memory.ecc": _ecc(entry),
    }


def probe_modules(host: Host) -> Observations:
    """Readings of memory modules; Apple silicon has none."""
    if machine.is_arm(ask.sysctl(host)):
        return {
            "memory.slots": known(0, _ON_PACKAGE),
            "memory.slots_free": known(0, _ON_PACKAGE),
            "memory.modules": absent(f"{_ON_PACKAGE}: there are no modules"),
            "memory.ecc": unknown("macOS does not say whether the memory corrects errors: ask the maker"),
        }
    entries = ask.profile(host, _PROFILE)
    if entries.value is None:
        return ask.all_unknown(_MODULES, entries.why)
    if machine.virtual(host).value is not False:
        return ask.all_unknown(_MODULES, "a virtual machine's modules are not real: look at its host")
    if len(entries.value) != 1 or not (banks := macos_documents.entries(entries.value[0], "_items")):
        return ask.all_unknown(_MODULES, "system_profiler lists no memory modules: look in About This Mac")
    return _of_slots(entries.value[0], banks)


def probes(host: Host) -> tuple[Probe, ...]:
    """The probes of group memory."""
    return (
        Probe("memory", _READINGS, lambda: probe(host), 10.0),
        Probe("memory modules", _MODULES, lambda: probe_modules(host), 25.0),
    )
