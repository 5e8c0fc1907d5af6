"""What Windows answers about firmware, processors and memory."""

from __future__ import annotations

import ctypes
from ctypes import POINTER, byref, c_int, c_uint16, c_uint32, c_uint64, c_void_p
from typing import Final

from pcaudit.probes.windows.calls.win32 import (
    ERROR_INSUFFICIENT_BUFFER,
    NoAnswerError,
    failed,
    filled,
    function,
    last_error,
)

_RSMB: Final = int.from_bytes(b"RSMB", "big")  # sysinfoapi.h: the provider of raw SMBIOS tables
_TPM_NOT_FOUND: Final = 0x8028_400F  # winerror.h: TBS_E_TPM_NOT_FOUND
_RELATION_ALL: Final = 0xFFFF  # winnt.h: LOGICAL_PROCESSOR_RELATIONSHIP
_ALL_GROUPS: Final = 0xFFFF  # winnt.h: ALL_PROCESSOR_GROUPS
_PROCESSOR_INFORMATION: Final = 11  # winnt.h: POWER_INFORMATION_LEVEL
_POWER_SIZE: Final = 24  # bytes of PROCESSOR_POWER_INFORMATION
_HYPERVISOR_DETAIL: Final = 159  # SYSTEM_INFORMATION_CLASS, as native-API headers give it


def smbios() -> bytes:
    """The firmware's RawSMBIOSData (GetSystemFirmwareTable)."""
    name = "GetSystemFirmwareTable"
    ask = function("kernel32", name, c_uint32, c_uint32, c_uint32, c_void_p, c_uint32)

    def call(buffer: object, size: int) -> int:
        wanted: int = ask(_RSMB, 0, buffer, size)
        return wanted or -(last_error() or 1)

    return filled(name, call, 1 << 16)


def firmware_type() -> int:
    """How the system was started: winnt.h, FIRMWARE_TYPE (GetFirmwareType)."""
    found = c_int()
    if not function("kernel32", "GetFirmwareType", c_int, POINTER(c_int))(byref(found)):
        raise failed("GetFirmwareType", last_error())
    return found.value


def tpm() -> bytes:
    """TPM_DEVICE_INFO (Tbsi_GetDeviceInfo).

    Raises:
        FileNotFoundError: There is no trusted platform module that Windows could use.
    """
    ask = function("tbs", "Tbsi_GetDeviceInfo", c_uint32, c_uint32, c_void_p)
    info = ctypes.create_string_buffer(16)
    code = ask(len(info), info)
    if code == _TPM_NOT_FOUND:
        raise FileNotFoundError(2, "Tbsi_GetDeviceInfo: no TPM found")
    if code:
        raise NoAnswerError(f"Tbsi_GetDeviceInfo failed with {code:#x}")
    return info.raw


def hypervisor() -> bytes:
    """What the hypervisor below Windows says of itself (NtQuerySystemInformation)."""
    name = "NtQuerySystemInformation"
    ask = function("ntdll", name, c_uint32, c_int, c_void_p, c_uint32, POINTER(c_uint32))
    info, size = ctypes.create_string_buffer(112), c_uint32()
    status = ask(_HYPERVISOR_DETAIL, info, len(info), byref(size))
    if status:
        raise NoAnswerError(f"{name} failed with status {status:#x}")
    return info.raw


def processors() -> bytes:
    """SYSTEM_LOGICAL_PROCESSOR_INFORMATION_EX of all groups (GetLogicalProcessorInformationEx)."""
    name = "GetLogicalProcessorInformationEx"
    ask = function("kernel32", name, c_int, c_int, c_void_p, POINTER(c_uint32))

    def call(buffer: object, size: int) -> int:
        length = c_uint32(size)
        if ask(_RELATION_ALL, buffer, byref(length)) or last_error() == ERROR_INSUFFICIENT_BUFFER:
            return length.value
        return -(last_error() or 1)

    return filled(name, call, 1 << 16)


def active_processors() -> int:
    """Logical processors of all groups (GetActiveProcessorCount); 0 where it fails."""
    count: int = function("kernel32", "GetActiveProcessorCount", c_uint32, c_uint16)(_ALL_GROUPS)
    return count


def processor_power() -> bytes:
    """PROCESSOR_POWER_INFORMATION of the processors (CallNtPowerInformation)."""
    name = "CallNtPowerInformation"
    ask = function("powrprof", name, c_uint32, c_int, c_void_p, c_uint32, c_void_p, c_uint32)
    buffer = ctypes.create_string_buffer(_POWER_SIZE * max(1, active_processors()))
    if status := ask(_PROCESSOR_INFORMATION, None, 0, buffer, len(buffer)):
        raise NoAnswerError(f"{name} failed with status {status:#x}")
    return buffer.raw


def processor_feature(number: int) -> bool:
    """Whether Windows knows the processor to have a feature: winnt.h, PF_* (IsProcessorFeaturePresent)."""
    return bool(function("kernel32", "IsProcessorFeaturePresent", c_int, c_uint32)(number))


def xstate() -> int:
    """Mask of the processor states Windows saves: winnt.h, XSTATE_MASK_* (GetEnabledXStateFeatures)."""
    mask: int = function("kernel32", "GetEnabledXStateFeatures", c_uint64)()
    return mask


def installed_memory() -> int:
    """Memory installed in KiB, by the firmware (GetPhysicallyInstalledSystemMemory)."""
    name = "GetPhysicallyInstalledSystemMemory"
    found = c_uint64()
    if not function("kernel32", name, c_int, POINTER(c_uint64))(byref(found)):
        raise failed(name, last_error())
    return found.value


def memory_status() -> bytes:
    """MEMORYSTATUSEX (GlobalMemoryStatusEx)."""
    status = ctypes.create_string_buffer((64).to_bytes(4, "little"), 64)
    if not function("kernel32", "GlobalMemoryStatusEx", c_int, c_void_p)(status):
        raise failed("GlobalMemoryStatusEx", last_error())
    return status.raw
