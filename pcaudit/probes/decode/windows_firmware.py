"""What Windows hands on from the firmware: SMBIOS table, TPM, hypervisor."""

from __future__ import annotations

import struct
from typing import NamedTuple

_RAW_HEADER = 8  # RawSMBIOSData of GetSystemFirmwareTable: four bytes of versions, DWORD Length
_TPM_SIZE = 16
_TPM_VERSIONS = {1: "1.2", 2: "2.0"}  # tbs.h: TPM_VERSION_12, TPM_VERSION_20
_HYPERVISOR_SIZE = 112  # seven answers of CPUID, 16 bytes each
_VENDOR = slice(4, 16)
_FEATURES_EBX = 52
_CREATE_PARTITIONS = 1


def table(raw: bytes) -> bytes:
    """The SMBIOS structure table in a RawSMBIOSData buffer.

    Raises:
        ValueError: The buffer is shorter than it says.
    """
    if len(raw) < _RAW_HEADER:
        raise ValueError(f"GetSystemFirmwareTable gave {len(raw)} bytes, less than its header")
    (length,) = struct.unpack_from("<I", raw, 4)
    if len(raw) < _RAW_HEADER + length:
        raise ValueError(f"GetSystemFirmwareTable gave {len(raw)} bytes, but speaks of {length}")
    return raw[_RAW_HEADER : _RAW_HEADER + length]


def tpm_version(info: bytes) -> str:
    """Version of the trusted platform module in a TPM_DEVICE_INFO (tbs.h).

    Raises:
        ValueError: The structure is too short, or the version none of the documented ones.
    """
    if len(info) < _TPM_SIZE:
        raise ValueError(f"Tbsi_GetDeviceInfo gave {len(info)} bytes, not {_TPM_SIZE}")
    (number,) = struct.unpack_from("<I", info, 4)
    if number not in _TPM_VERSIONS:
        raise ValueError(f"Tbsi_GetDeviceInfo gave the TPM version {number}, which is none")
    return _TPM_VERSIONS[number]


class Hypervisor(NamedTuple):
    """The hypervisor below Windows.

    Attributes:
        vendor: What it calls itself, CPUID 40000000h; empty where there is none.
        root: Whether Windows is the partition that owns the hardware: it may create others, CPUID
            40000003h EBX bit 0 (Hypervisor Top Level Functional Specification).
    """

    vendor: str
    root: bool


def hypervisor(info: bytes) -> Hypervisor:
    """Read SYSTEM_HYPERVISOR_DETAIL_INFORMATION (native-API headers; Microsoft documents it not).

    Raises:
        ValueError: The structure is too short.
    """
    if len(info) < _HYPERVISOR_SIZE:
        raise ValueError(f"NtQuerySystemInformation gave {len(info)} bytes, not {_HYPERVISOR_SIZE}")
    vendor = info[_VENDOR].decode("ascii", "replace").strip("\0 ")
    (features,) = struct.unpack_from("<I", info, _FEATURES_EBX)
    return Hypervisor(vendor, bool(features & _CREATE_PARTITIONS))
