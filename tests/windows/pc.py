"""A recorded Windows PC for tests: what Windows answers, in the layout the Win32 documentation gives."""

from __future__ import annotations

import struct
from collections.abc import Callable, Mapping
from typing import Any

from pcaudit.core.snapshot import Observation
from pcaudit.probes.windows.calls.system import SystemCalls
from pcaudit.probes.windows.calls.win32 import NoAnswerError
from pcaudit.probes.windows.host import Host
from tests.probes.smbios_tables import END, array, device, structure
from tests.windows.recorded import RecordedRegistry

GIB = 1 << 30
NO_ANSWER = NoAnswerError("this Windows has no such function")
WINDOWS_NT = r"HKLM\SOFTWARE\Microsoft\Windows NT\CurrentVersion"
CONTROL = r"HKLM\SYSTEM\CurrentControlSet\Control"
PROCESSOR = r"HKLM\HARDWARE\DESCRIPTION\System\CentralProcessor\0"


# -- structures


def version_info(major: int = 10, minor: int = 0, build: int = 26100, product: int = 1) -> bytes:
    """OSVERSIONINFOEXW (winnt.h): a workstation of Windows 11 24H2 by default."""
    head = struct.pack("<IIIII", 284, major, minor, build, 2)
    return head + bytes(256) + struct.pack("<HHHBB", 0, 0, 0x100, product, 0)


def zone_info(key: str = "W. Europe Standard Time", daylight_off: bool = False) -> bytes:
    """DYNAMIC_TIME_ZONE_INFORMATION (timezoneapi.h)."""
    name = "Mitteleuropäische Zeit".encode("utf-16-le").ljust(64, b"\0")
    half = name + bytes(16) + struct.pack("<i", -60)
    return (
        struct.pack("<i", -60)
        + half
        + half
        + key.encode("utf-16-le").ljust(256, b"\0")
        + bytes((daylight_off, 0, 0, 0))
    )


def memory_info(total: int) -> bytes:
    """MEMORYSTATUSEX (sysinfoapi.h)."""
    return struct.pack("<IIQQQQQQQ", 64, 30, total, total // 2, 2 * total, total, 1 << 47, 1 << 46, 0)


def tpm_info(version: int) -> bytes:
    """TPM_DEVICE_INFO (tbs.h)."""
    return struct.pack("<IIII", 1, version, 3, 1)


def raw_smbios(*structures: bytes) -> bytes:
    """RawSMBIOSData (GetSystemFirmwareTable) around a table of these structures."""
    table = b"".join(structures)
    return struct.pack("<BBBBI", 0, 3, 3, 0, len(table)) + table


def hypervisor_info(vendor: bytes, ebx: int) -> bytes:
    """SYSTEM_HYPERVISOR_DETAIL_INFORMATION: answers of CPUID 40000000h to 40000005h."""
    leaves = struct.pack("<I12s", 0x4000000B, vendor) + bytes(32) + struct.pack("<IIII", 0x2E7F, ebx, 0, 0)
    return leaves.ljust(112, b"\0")


def core(mask: int, group: int = 0, efficiency: int = 0, package: bool = False) -> bytes:
    """SYSTEM_LOGICAL_PROCESSOR_INFORMATION_EX (winnt.h) of a core, or of a package."""
    body = struct.pack("<BB20xH", mask.bit_count() > 1, efficiency, 1) + struct.pack("<QH6x", mask, group)
    return struct.pack("<II", 3 if package else 0, 8 + len(body)) + body


def groups(*counts: int) -> bytes:
    """The record of the processor groups, each with so many processors."""
    infos = b"".join(struct.pack("<BB38xQ", 64, count, (1 << count) - 1) for count in counts)
    body = struct.pack("<HH20x", len(counts), len(counts)) + infos
    return struct.pack("<II", 4, 8 + len(body)) + body


def cache() -> bytes:
    """A record of another kind, which is passed over."""
    return struct.pack("<II", 2, 80) + bytes(72)


def power_info(*clocks: int) -> bytes:
    """PROCESSOR_POWER_INFORMATION (Win32 documentation) of processors with these MaxMhz."""
    return b"".join(struct.pack("<IIIIII", n, mhz, mhz // 2, mhz, 0, 0) for n, mhz in enumerate(clocks))


# -- firmware


def bios(*strings: str) -> bytes:
    """A type 0 structure: vendor, version, date."""
    texts = strings or ("Firmware Works", "1.14.2", "03/09/2024")
    return structure(0, 0, struct.pack("<BBHB", 1, 2, 0xF000, 3).ljust(20, b"\0"), *texts)


def product(*strings: str) -> bytes:
    """A type 1 structure: maker, product, version, serial number."""
    texts = strings or ("Benchmark Computers", "Tower 5", "1.0", "BC-2024-0815")
    return structure(1, 1, struct.pack("<BBBB", 1, 2, 3, 4).ljust(23, b"\0"), *texts)


def board(*strings: str) -> bytes:
    """A type 2 structure: maker, product."""
    return structure(2, 2, struct.pack("<BB", 1, 2).ljust(11, b"\0"), *strings)


def enclosure(code: int) -> bytes:
    """A type 3 structure with this chassis type."""
    return structure(3, 3, bytes((1, code)).ljust(18, b"\0"), "Benchmark Computers")


MODULES = array() + 2 * device(0x2000) + 2 * device(0, kind=2)
FIRMWARE = bios() + product() + enclosure(3)

# -- the PC

REGISTRY: dict[str, Any] = {
    WINDOWS_NT: {
        "ProductName": "Windows 10 Pro",
        "CurrentBuildNumber": "26100",
        "UBR": 2894,
        "EditionID": "Professional",
        "InstallationType": "Client",
    },
    rf"{CONTROL}\SecureBoot\State": {"UEFISecureBootEnabled": 1},
    PROCESSOR: {
        "ProcessorNameString": "Intel(R) Core(TM) i5-7500 CPU @ 3.40GHz",
        "VendorIdentifier": "GenuineIntel",
        "~MHz": 3408,
    },
}

ANSWERS: dict[str, Any] = {
    "user_name": "anna",
    "account": r"LAB-PC\anna",
    "session": 1,
    "console_session": 1,
    "remote_session": False,
    "session_account": r"LAB-PC\anna",
    "elevated": False,
    "host_name": "lab-pc",
    "joined": (2, "WORKGROUP"),
    "domain_dns_name": "",
    "tenant": (0, ""),
    "machines": (0, 0x8664),
    "native_architecture": 9,
    "interpreter": "MSC v.1942 64 bit (AMD64)",
    "version": version_info(),
    "user_languages": ["de-DE", "en-US"],
    "system_languages": ["de-DE"],
    "locale_name": "de-DE",
    "decimal_separator": ",",
    "time_zone": zone_info(),
    "smbios": raw_smbios(FIRMWARE, MODULES, END),
    "firmware_type": 2,
    "tpm": tpm_info(2),
    "hypervisor": hypervisor_info(b"", 0),
    "processors": core(0b11) + core(0b1100) + cache() + core(0b1111, package=True) + groups(4),
    "active_processors": 4,
    "processor_power": power_info(3408, 3408, 3408, 3408),
    "processor_feature": {2, 3, 6, 10, 12, 13, 14, 17, 36, 37, 38},
    "xstate": 0b111,
    "installed_memory": 16 << 20,
    "memory_status": memory_info(16 * GIB - (200 << 20)),
}


def _answering(answer: Any) -> Callable[..., Any]:
    def call(*asked: int) -> Any:
        if isinstance(answer, OSError):
            raise answer
        return asked[0] in answer if asked else answer

    return call


def calls(**answers: Any) -> SystemCalls:
    """What the PC answers, with these answers in place of its own; an ``OSError`` is raised."""
    unknown = set(answers) - set(SystemCalls._fields)
    assert not unknown, unknown
    return SystemCalls(**{name: _answering(answer) for name, answer in (ANSWERS | answers).items()})


def pc(
    registry: Mapping[str, Any] | None = None, environ: Mapping[str, str] | None = None, **answers: Any
) -> Host:
    """A PC: its registry with these keys in place of its own, and these answers."""
    parts: dict[str, Any] = dict.fromkeys(Host._fields)
    parts["registry"] = RecordedRegistry({**REGISTRY, **(registry or {})})
    parts["environ"] = environ or {}
    parts["system"] = calls(**answers)
    return Host(**parts)


def readings(group: Any, host: Host) -> dict[str, Observation]:
    """Every reading of a group module, each of them promised."""
    found: dict[str, Observation] = {}
    for probe in group.probes(host):
        given = dict(probe.take())
        assert set(given) == set(probe.reads), probe.name
        found |= given
    return found
