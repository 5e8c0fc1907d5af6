"""What Windows answers about names, sessions and membership: who, where, in which domain."""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable
from ctypes import POINTER, byref, c_byte, c_int, c_uint16, c_uint32, c_void_p, c_wchar_p
from typing import Final

from pcaudit.probes.windows.calls.win32 import ERROR_MORE_DATA, NoAnswerError, failed, function, last_error

# winuser.h
_SM_REMOTESESSION: Final = 0x1000
# wtsapi32.h: WTS_INFO_CLASS
WTS_USER_NAME: Final = 5
WTS_DOMAIN_NAME: Final = 7
_WTS_CURRENT_SESSION: Final = 0xFFFF_FFFF
# secext.h, EXTENDED_NAME_FORMAT: NameSamCompatible, DOMAIN\user
_NAME_SAM_COMPATIBLE: Final = 2
# winnt.h: TOKEN_QUERY, TOKEN_INFORMATION_CLASS TokenElevation
_TOKEN_QUERY, _TOKEN_ELEVATION = 0x0008, 20
# sysinfoapi.h, COMPUTER_NAME_FORMAT: of this computer itself, not of a cluster it is part of
_PHYSICAL_DNS_HOST_NAME: Final = 5
_LONGEST: Final = 32768


def _text(name: str, call: Callable[[object, object], int]) -> str:
    """The text a function writes into a buffer of a size counted in characters."""
    size = c_uint32(1024)
    buffer = ctypes.create_unicode_buffer(size.value)
    if not call(buffer, byref(size)):
        if last_error() != ERROR_MORE_DATA or size.value > _LONGEST:
            raise failed(name, last_error())
        buffer = ctypes.create_unicode_buffer(size.value + 1)
        if not call(buffer, byref(size)):
            raise failed(name, last_error())
    return buffer.value


def user_name() -> str:
    """Account of this process (GetUserNameW)."""
    ask = function("advapi32", "GetUserNameW", c_int, c_wchar_p, POINTER(c_uint32))
    return _text("GetUserNameW", ask)


def account() -> str:
    r"""Account of this process as ``DOMAIN\user`` (GetUserNameExW)."""
    ask = function("secur32", "GetUserNameExW", c_byte, c_int, c_wchar_p, POINTER(c_uint32))
    return _text("GetUserNameExW", lambda buffer, size: ask(_NAME_SAM_COMPATIBLE, buffer, size))


def host_name() -> str:
    """DNS host name of this computer (GetComputerNameExW)."""
    ask = function("kernel32", "GetComputerNameExW", c_int, c_int, c_wchar_p, POINTER(c_uint32))
    return _text("GetComputerNameExW", lambda buffer, size: ask(_PHYSICAL_DNS_HOST_NAME, buffer, size))


def session() -> int:
    """Number of the session this process runs in (ProcessIdToSessionId)."""
    own = function("kernel32", "GetCurrentProcessId", c_uint32)
    ask = function("kernel32", "ProcessIdToSessionId", c_int, c_uint32, POINTER(c_uint32))
    number = c_uint32()
    if not ask(own(), byref(number)):
        raise failed("ProcessIdToSessionId", last_error())
    return number.value


def console_session() -> int:
    """Number of the session at the console (WTSGetActiveConsoleSessionId); 0xFFFFFFFF for none."""
    number: int = function("kernel32", "WTSGetActiveConsoleSessionId", c_uint32)()
    return number


def remote_session() -> bool:
    """Whether this is a remote desktop session (GetSystemMetrics SM_REMOTESESSION)."""
    return bool(function("user32", "GetSystemMetrics", c_int, c_int)(_SM_REMOTESESSION))


def _session_text(what: int) -> str:
    name = "WTSQuerySessionInformationW"
    ask = function("wtsapi32", name, c_int, c_void_p, c_uint32, c_int, POINTER(c_void_p), POINTER(c_uint32))
    free = function("wtsapi32", "WTSFreeMemory", None, c_void_p)
    text, size = c_void_p(), c_uint32()
    if not ask(None, _WTS_CURRENT_SESSION, what, byref(text), byref(size)):
        raise failed(name, last_error())
    try:
        return ctypes.wstring_at(text.value) if text.value else ""
    finally:
        free(text)


def session_account() -> str:
    r"""Who is signed in to this session, as ``DOMAIN\user``; empty where nobody is."""
    user = _session_text(WTS_USER_NAME)
    return f"{_session_text(WTS_DOMAIN_NAME)}\\{user}" if user else ""


def elevated() -> bool:
    """Whether this process has administrator rights now (TOKEN_ELEVATION of its token)."""
    current = function("kernel32", "GetCurrentProcess", c_void_p)
    open_token = function("advapi32", "OpenProcessToken", c_int, c_void_p, c_uint32, POINTER(c_void_p))
    close = function("kernel32", "CloseHandle", c_int, c_void_p)
    ask = function(
        "advapi32", "GetTokenInformation", c_int, c_void_p, c_int, c_void_p, c_uint32, POINTER(c_uint32)
    )
    token = c_void_p()
    if not open_token(current(), _TOKEN_QUERY, byref(token)):
        raise failed("OpenProcessToken", last_error())
    try:
        value, size = c_uint32(), c_uint32()
        if not ask(token, _TOKEN_ELEVATION, byref(value), 4, byref(size)):
            raise failed("GetTokenInformation", last_error())
        return bool(value.value)
    finally:
        close(token)


def joined() -> tuple[int, str]:
    """Join status and name of the domain or workgroup (NetGetJoinInformation).

    The status is a number of lmjoin.h, NETSETUP_JOIN_STATUS.
    """
    ask = function(
        "netapi32", "NetGetJoinInformation", c_uint32, c_wchar_p, POINTER(c_void_p), POINTER(c_int)
    )
    free = function("netapi32", "NetApiBufferFree", c_uint32, c_void_p)
    name, status = c_void_p(), c_int()
    if code := ask(None, byref(name), byref(status)):
        raise failed("NetGetJoinInformation", code)
    try:
        return status.value, ctypes.wstring_at(name.value) if name.value else ""
    finally:
        free(name)


class _PrimaryDomain(ctypes.Structure):
    """dsrole.h, DSROLE_PRIMARY_DOMAIN_INFO_BASIC, up to what is asked for."""

    _fields_ = (
        ("role", c_int),
        ("flags", c_uint32),
        ("flat", c_wchar_p),
        ("dns", c_wchar_p),
        ("forest", c_wchar_p),
    )


def domain_dns_name() -> str:
    """DNS name of the domain this computer is joined to; empty where there is none."""
    name = "DsRoleGetPrimaryDomainInformation"
    ask = function("netapi32", name, c_uint32, c_wchar_p, c_int, POINTER(POINTER(_PrimaryDomain)))
    free = function("netapi32", "DsRoleFreeMemory", None, c_void_p)
    found = POINTER(_PrimaryDomain)()
    if code := ask(None, 1, byref(found)):  # DsRolePrimaryDomainInfoBasic
        raise failed(name, code)
    try:
        return (found.contents.dns or "") if found else ""
    finally:
        free(found)


class _Join(ctypes.Structure):
    """lmjoin.h, DSREG_JOIN_INFO, up to what is asked for."""

    _fields_ = (
        ("type", c_int),
        ("certificate", c_void_p),
        ("device", c_wchar_p),
        ("identity_provider", c_wchar_p),
        ("tenant", c_wchar_p),
        ("user", c_wchar_p),
        ("tenant_name", c_wchar_p),
    )


def tenant() -> tuple[int, str]:
    """Join type (lmjoin.h, DSREG_JOIN_TYPE; 0 for none) and tenant (NetGetAadJoinInformation).

    The tenant is named as it calls itself, else by its identifier.
    """
    name = "NetGetAadJoinInformation"
    ask = function("netapi32", name, c_uint32, c_wchar_p, POINTER(POINTER(_Join)))
    free = function("netapi32", "NetFreeAadJoinInformation", None, c_void_p)
    found = POINTER(_Join)()
    code = ask(None, byref(found))
    if code & 0x8000_0000:  # an HRESULT that failed
        raise NoAnswerError(f"{name} failed with {code:#x}")
    if not found:
        return 0, ""
    try:
        join = found.contents
        return join.type, join.tenant_name or join.tenant or ""
    finally:
        free(found)


def machines() -> tuple[int, int]:
    """Machine of this process under WOW64, 0 for none, and of the PC (IsWow64Process2).

    Both are numbers of winnt.h, IMAGE_FILE_MACHINE_*.
    """
    current = function("kernel32", "GetCurrentProcess", c_void_p)
    ask = function("kernel32", "IsWow64Process2", c_int, c_void_p, POINTER(c_uint16), POINTER(c_uint16))
    process, native = c_uint16(), c_uint16()
    if not ask(current(), byref(process), byref(native)):
        raise failed("IsWow64Process2", last_error())
    return process.value, native.value


def native_architecture() -> int:
    """Architecture of the PC: PROCESSOR_ARCHITECTURE_* (GetNativeSystemInfo, SYSTEM_INFO's first word)."""
    info = ctypes.create_string_buffer(64)  # SYSTEM_INFO has 48 bytes
    function("kernel32", "GetNativeSystemInfo", None, c_void_p)(info)
    return int.from_bytes(info.raw[:2], "little")


def interpreter() -> str:
    """What this Python says it was built for, such as ``64 bit (AMD64)``."""
    return sys.version.partition("[")[2].rstrip("]")
