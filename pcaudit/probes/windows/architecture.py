"""The architecture of the machine, seen through emulation."""

from __future__ import annotations

from typing import Final

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.windows.ask import ask
from pcaudit.probes.windows.host import Host

# winnt.h: IMAGE_FILE_MACHINE_*
_MACHINES: Final = {0x8664: "x86_64", 0xAA64: "arm64", 0x014C: "x86", 0x01C4: "other", 0x0200: "other"}
# winnt.h: PROCESSOR_ARCHITECTURE_*
_ARCHITECTURES: Final = {9: "x86_64", 12: "arm64", 0: "x86", 5: "other", 6: "other"}
# What a Python calls the machine it was built for.
_BUILDS: Final = {"(AMD64)": "x86_64", "(ARM64)": "arm64", "(Intel)": "x86", "(ARM)": "other"}


def machine(host: Host) -> Observation:
    """Reading os.machine: what the machine is, whatever a program on it is shown."""
    answer = ask(host.system.machines)
    if answer.value is not None:
        native = answer.value[1]
        source = f"IsWow64Process2 {native:#06x}"
        word = _MACHINES.get(native)
        return known(word, source) if word else unknown(f"{source} is no machine this version knows")
    # IsWow64Process2 is there since Windows 10 1511, and emulation of x86-64 on Arm came later, so
    # that without it the older function says the truth. Win32 documentation of both.
    older = ask(host.system.native_architecture)
    word = _ARCHITECTURES.get(older.value) if older.value is not None else None
    source = f"GetNativeSystemInfo {older.value}"
    return known(word, source) if word else unknown(f"{answer.why}; {older.why or source}")


def emulated(host: Host) -> str:
    """Why this program does not see the processor itself, or an empty text."""
    native, build = machine(host).value, host.system.interpreter()
    own = next((word for name, word in _BUILDS.items() if name in build), None)
    if native is None or own is None:
        return "whether this program runs under emulation is not known"
    if own != native and native == "arm64":
        return f"this program is built for {own} and emulated on {native}: run a Python built for {native}"
    return ""


def is_64_bit(host: Host) -> bool:
    """Whether this program is a 64-bit one, which alone is given the structures decoded here."""
    return "64 bit" in host.system.interpreter()
