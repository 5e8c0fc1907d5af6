"""Features of the processor that Windows tells of.

Windows tells a program of some features only, and older Windows of fewer, so that what it does not
tell of may still be there: the list is never complete.
"""

from __future__ import annotations

from typing import Final

from pcaudit.core.catalogue import LEVEL_FEATURES
from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import windows_version
from pcaudit.probes.windows import architecture
from pcaudit.probes.windows.ask import ask
from pcaudit.probes.windows.host import Host

# winnt.h, PF_*, which IsProcessorFeaturePresent takes; those of the first level 64-bit Windows proves.
_X86: Final = {
    12: ("nx",),
    13: ("sse3",),
    14: ("cmpxchg16b",),
    17: ("xsave", "osxsave"),
    28: ("rdrand",),
    32: ("rdtscp",),
    36: ("ssse3",),
    37: ("sse4.1",),
    38: ("sse4.2",),
    39: ("avx",),
    40: ("avx2",),
    41: ("avx512f",),
    60: ("bmi2",),
}
_ARM: Final = {
    19: ("neon",),
    30: ("aes", "pmull", "sha1", "sha2"),
    31: ("crc32",),
    34: ("atomics",),
    46: ("sve",),
    47: ("sve2",),
}
_AMX_TILES: Final = 1 << 18  # winnt.h: XSTATE_AMX_TILE_DATA
_WINDOWS_8_1: Final = (6, 3)
_FIRST_WITH_POPCNT: Final = 26100
_SEEN: Final = "Windows does not tell a program of every feature: see the processor's data sheet"
_SOURCE: Final = "IsProcessorFeaturePresent, GetEnabledXStateFeatures"


def _implied(host: Host) -> dict[str, str]:
    """Features without which the Windows that runs could not, and how that is known."""
    found = dict.fromkeys(LEVEL_FEATURES["x86-64-v1"], "64-bit Windows runs only with x86-64-v1")
    answer = ask(lambda: windows_version.decode(host.system.version()))
    if answer.value is None:
        return found
    # Microsoft, system requirements of Windows 8.1 (64-bit): CMPXCHG16B, PrefetchW, LAHF/SAHF.
    if (answer.value.major, answer.value.minor) >= _WINDOWS_8_1:
        found["lahf-sahf"] = "Windows since 8.1 runs only with LAHF/SAHF"
    # Reported of Windows 11 24H2 and Windows Server 2025 by the computer press in 2024.
    if answer.value.build >= _FIRST_WITH_POPCNT:
        found["popcnt"] = "Windows since build 26100 runs only with POPCNT"
    return found


def _told(host: Host, table: dict[int, tuple[str, ...]]) -> set[str]:
    found: set[str] = set()
    for number, names in table.items():
        if ask(lambda number=number: host.system.processor_feature(number)).value:  # type: ignore[misc]
            found.update(names)
    return found


def features(host: Host) -> Observation:
    """Reading cpu.features."""
    machine = architecture.machine(host).value
    if reason := architecture.emulated(host):
        return unknown(reason)
    if machine == "arm64":
        found = _told(host, _ARM)
        return known(sorted(found), _SOURCE, missing=_SEEN) if found else unknown(_SEEN)
    if machine != "x86_64":
        return unknown(f"Windows does not tell of the features of {machine or 'this machine'}")
    implied = _implied(host)
    found = _told(host, _X86) | set(implied)
    if (ask(host.system.xstate).value or 0) & _AMX_TILES:
        found.add("amx")
    said = "; ".join(dict.fromkeys(implied.values()))
    return known(sorted(found), f"{_SOURCE}; {said}", missing=_SEEN)
