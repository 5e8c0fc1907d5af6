"""How the thin calls for power and services talk to Windows: stand-ins fill the documented structures."""

from __future__ import annotations

import ctypes
import struct
from collections.abc import Callable
from typing import Any

import pytest

from pcaudit.probes.decode import guid
from pcaudit.probes.windows.calls import power, software, win32
from pcaudit.probes.windows.calls.win32 import NoAnswerError

PLAN = "381b4222-f694-41f0-9685-ff5bb260df2e"
SUBGROUP = "238c9fa8-0aad-41ed-83f4-97be242c8f20"
SETTING = "29f6c1db-86da-48c5-9fdb-f2b67b1f44da"

Functions = dict[str, Callable[..., Any]]


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> Functions:
    """Functions of Windows by name, to be filled by a test; what it does not fill does not exist."""
    functions: Functions = {}

    def function(library: str, name: str, *_: Any) -> Callable[..., Any]:
        if name not in functions:
            raise NoAnswerError(f"this Windows has no {name} ({library}.dll)")
        return functions[name]

    monkeypatch.setattr(win32, "function", function)
    monkeypatch.setattr(win32, "last_error", lambda: functions["last_error"]())
    return functions


def write(reference: Any, value: Any) -> None:
    """Writes through what ``ctypes.byref`` gave."""
    reference._obj.value = value


def test_structures_come_back_as_bytes(windows: Functions) -> None:
    """The bytes Windows writes are handed on whole."""

    def fill(buffer: Any) -> int:
        buffer[0] = b"\1"
        return 1

    windows.update(GetSystemPowerStatus=fill, GetPwrCapabilities=fill)
    calls = power.live()
    assert calls.status() == b"\1" + bytes(11)
    assert calls.capabilities() == b"\1" + bytes(75)


def test_a_call_that_fails_names_itself(windows: Functions) -> None:
    """A function that returns false is no answer, and its error code is told."""
    windows.update(GetSystemPowerStatus=lambda _: 0, GetPwrCapabilities=lambda _: 0, last_error=lambda: 31)
    calls = power.live()
    with pytest.raises(NoAnswerError, match="GetSystemPowerStatus failed with Windows error 31"):
        calls.status()
    with pytest.raises(NoAnswerError, match="GetPwrCapabilities"):
        calls.capabilities()


def test_the_active_plan_is_read_and_its_memory_given_back(windows: Functions) -> None:
    """Windows allocates the plan's GUID and the caller frees it (Microsoft Learn, PowerGetActiveScheme)."""
    memory = ctypes.create_string_buffer(guid.encode(PLAN), guid.SIZE)
    freed = []

    def active(root: None, out: Any) -> int:
        write(out, ctypes.addressof(memory))
        return 0

    windows.update(PowerGetActiveScheme=active, LocalFree=lambda pointer: freed.append(pointer.value))
    assert power.live().active_scheme() == PLAN
    assert freed == [ctypes.addressof(memory)]


@pytest.mark.parametrize("code", [0, 120])
def test_no_active_plan_is_no_answer(windows: Functions, code: int) -> None:
    """A failure, and success without a plan, are no answer."""
    windows.update(PowerGetActiveScheme=lambda _root, _out: code, LocalFree=lambda _: None)
    with pytest.raises(NoAnswerError):
        power.live().active_scheme()


def test_a_setting_is_asked_in_the_right_order(windows: Functions) -> None:
    """Plan, subgroup, setting, and the mains or battery function (Microsoft Learn, PowerReadACValueIndex)."""
    asked = []

    def read(name: str, value: int) -> Callable[..., int]:
        def call(root: None, plan: bytes, subgroup: bytes, setting: bytes, out: Any) -> int:
            asked.append((name, guid.decode(plan), guid.decode(subgroup), guid.decode(setting)))
            write(out, value)
            return 0

        return call

    windows.update(PowerReadACValueIndex=read("AC", 0), PowerReadDCValueIndex=read("DC", 0xFFFFFFFF))
    calls = power.live()
    assert calls.setting(PLAN, SUBGROUP, SETTING, True) == 0
    assert calls.setting(PLAN, SUBGROUP, SETTING, False) == 0xFFFFFFFF
    assert asked == [("AC", PLAN, SUBGROUP, SETTING), ("DC", PLAN, SUBGROUP, SETTING)]


@pytest.mark.parametrize(("code", "error"), [(2, NoAnswerError), (5, PermissionError)])
def test_a_setting_that_is_not_there_is_no_zero(windows: Functions, code: int, error: type[OSError]) -> None:
    """A failed call leaves its result at zero, which would mean never: it is no answer."""
    windows["PowerReadACValueIndex"] = lambda *_: code
    with pytest.raises(error):
        power.live().setting(PLAN, SUBGROUP, SETTING, True)


@pytest.mark.parametrize(("code", "answer"), [(0, False), (1260, True)])
def test_group_policy_is_told_by_its_code(windows: Functions, code: int, answer: bool) -> None:
    """Microsoft Learn, PowerSettingAccessCheck: 0 is no policy, 1260 is one."""
    asked = []

    def check(accessor: int, setting: bytes) -> int:
        asked.append((accessor, guid.decode(setting)))
        return code

    windows["PowerSettingAccessCheck"] = check
    calls = power.live()
    assert calls.overridden(SETTING, True) is answer
    assert calls.overridden(SETTING, False) is answer
    assert asked == [(0, SETTING), (1, SETTING)]  # powrprof.h: ACCESS_AC_..., ACCESS_DC_POWER_SETTING_INDEX


def test_any_other_code_says_nothing_of_a_policy(windows: Functions) -> None:
    """A failure is neither a policy nor the lack of one."""
    windows["PowerSettingAccessCheck"] = lambda *_: 1640
    with pytest.raises(NoAnswerError):
        power.live().overridden(SETTING, True)


def test_names_of_plans_are_utf_16(windows: Functions) -> None:
    """Trap T5: a plan's name comes in UTF-16, its size in bytes, a zero at its end."""

    def friendly(root: None, plan: bytes, _sub: None, _setting: None, buffer: Any, size: Any) -> int:
        text = "Höchstleistung\0".encode("utf-16-le")
        ctypes.memmove(buffer, text, len(text))
        write(size, len(text))
        return 0

    windows["PowerReadFriendlyName"] = friendly
    assert power.live().scheme_name(PLAN) == "Höchstleistung"
    windows["PowerReadFriendlyName"] = lambda *_: 234
    with pytest.raises(NoAnswerError):
        power.live().scheme_name(PLAN)


def test_the_power_mode_is_a_guid(windows: Functions) -> None:
    """The mode comes as the 16 bytes of a GUID; a Windows without modes gives no answer."""
    with pytest.raises(NoAnswerError, match="PowerGetEffectiveOverlayScheme"):
        power.live().overlay()
    windows["PowerGetEffectiveOverlayScheme"] = lambda buffer: (
        ctypes.memmove(buffer, guid.encode(PLAN), 16) * 0
    )
    assert power.live().overlay() == PLAN
    windows["PowerGetEffectiveOverlayScheme"] = lambda _: 50
    with pytest.raises(NoAnswerError):
        power.live().overlay()


@pytest.mark.parametrize(
    ("kind", "attributes", "code", "answer"),
    [
        (3, 0x20, 0, True),
        (3, 0xFFFFFFFF, 2, False),
        (3, 0xFFFFFFFF, 3, False),
        (3, 0xFFFFFFFF, 5, PermissionError),
        (3, 0xFFFFFFFF, 123, NoAnswerError),
        (4, 0x20, 0, NoAnswerError),  # a network drive
        (1, 0xFFFFFFFF, 3, NoAnswerError),  # a drive that is out
    ],
)
def test_files_are_missing_only_where_windows_says_so(
    windows: Functions, kind: int, attributes: int, code: int, answer: bool | type[OSError]
) -> None:
    """Only "not found" on a fixed drive is a missing file; refused, odd or elsewhere is no answer."""
    drives = []

    def drive_type(root: str) -> int:
        drives.append(root)
        return kind

    windows.update(GetDriveTypeW=drive_type, GetFileAttributesW=lambda _: attributes, last_error=lambda: code)
    calls = software.live()
    if isinstance(answer, bool):
        assert calls.exists(r"C:\Old\x.exe") is answer
    else:
        with pytest.raises(answer):
            calls.exists(r"C:\Old\x.exe")
    assert drives == ["C:\\"]


class Manager:
    """A service control manager that tells its services in pages."""

    def __init__(self, pages: list[list[tuple[str, int]]], last_code: int = 0) -> None:
        self.pages = pages
        self.last_code = last_code
        self.closed = 0
        self.code = 0
        self.kept: list[Any] = []

    def enumerate(self, manager: int, level: int, kinds: int, states: int, buffer: Any, *rest: Any) -> int:
        """EnumServicesStatusExW: two pointers and nine numbers each (winsvc.h), 56 bytes on 64 bits."""
        assert (level, kinds, states) == (0, 0x30, 3)
        size, _, returned, resume, group = rest
        assert size <= 256 << 10
        assert group is None
        page = self.pages[resume._obj.value]
        data = b""
        for name, state in page:
            text = ctypes.create_unicode_buffer(name)
            self.kept.append(text)
            data += struct.pack("QQ9I4x", ctypes.addressof(text), 0, 0x10, state, *[0] * 7)
        ctypes.memmove(buffer, data, len(data))
        write(returned, len(page))
        more = resume._obj.value + 1 < len(self.pages)
        write(resume, resume._obj.value + 1 if more else 0)
        self.code = 234 if more else self.last_code
        return not self.code

    def close(self, _manager: int) -> int:
        """CloseServiceHandle."""
        self.closed += 1
        return 1


def serve(windows: Functions, manager: Manager) -> None:
    """Lets a manager answer."""
    windows.update(
        OpenSCManagerW=lambda _machine, _base, access: 77 if access == 5 else 0,
        EnumServicesStatusExW=manager.enumerate,
        CloseServiceHandle=manager.close,
        last_error=lambda: manager.code,
    )


def test_services_come_in_pages(windows: Functions) -> None:
    """Where one answer does not hold them all the rest is asked for, and the handle is closed."""
    manager = Manager([[("EventLog", 4), ("W32Time", 1)], [("Grüner Dienst", 7)]])
    serve(windows, manager)
    assert software.live().services() == [("EventLog", 4), ("W32Time", 1), ("Grüner Dienst", 7)]
    assert manager.closed == 1


@pytest.mark.parametrize(("code", "error"), [(5, PermissionError), (6, NoAnswerError), (234, NoAnswerError)])
def test_services_that_fail_half_way_are_no_list(windows: Functions, code: int, error: type[OSError]) -> None:
    """A failure after the first page, or more to come with nothing given, is no shorter list."""
    manager = Manager([[("EventLog", 4)], []], last_code=code)
    serve(windows, manager)
    with pytest.raises(error):
        software.live().services()
    assert manager.closed == 1


def test_a_manager_that_does_not_open_is_no_answer(windows: Functions) -> None:
    """Without a handle nothing is asked and nothing closed."""
    windows.update(OpenSCManagerW=lambda *_: None, CloseServiceHandle=lambda _: 1, last_error=lambda: 5)
    with pytest.raises(PermissionError):
        software.live().services()
