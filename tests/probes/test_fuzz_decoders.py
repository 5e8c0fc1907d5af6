"""Every decoder against rubbish: it answers or raises what it says it raises, and does so soon."""

from __future__ import annotations

import contextlib
import importlib
import inspect
import pkgutil
import struct
import time
from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

import pytest
from hypothesis import given, strategies as st

from pcaudit.probes import decode
from pcaudit.probes.decode import (
    aptconf,
    dmi,
    dpkg,
    edid,
    ethtool,
    guid,
    ini,
    macos_display,
    macos_documents,
    macos_network,
    macos_power,
    macos_storage,
    macos_text,
    memory_devices,
    mountinfo,
    osrelease,
    pciids,
    rtnetlink,
    smbios,
    windows_display,
    windows_firmware,
    windows_memory,
    windows_network,
    windows_power,
    windows_processors,
    windows_storage,
    windows_time_zone,
    windows_version,
)
from tests.probes import smbios_tables
from tests.probes.recorded import document

_DESK: Final = document("debian-desktop")
_SECONDS: Final = 2.0


class Case(NamedTuple):
    """A decoder, what it is given when all is well, and what it may raise."""

    decode: Callable[..., Any]
    call: Callable[[bytes], Any]
    valid: bytes
    raises: tuple[type[Exception], ...] = ()


def _text(function: Callable[[str], Any], sample: str, *raises: type[Exception]) -> Case:
    def call(data: bytes) -> Any:
        answer = function(data.decode("utf-8", "backslashreplace"))
        return list(answer) if inspect.isgenerator(answer) else answer

    return Case(function, call, sample.encode(), raises)


def _bytes(function: Callable[[bytes], Any], sample: bytes, *raises: type[Exception]) -> Case:
    return Case(function, function, sample, raises)


def _recorded(path: str) -> str:
    return str(_DESK["files"][path])


def _message(kind: int, body: bytes) -> bytes:
    return struct.pack("=IHHII", 16 + len(body), kind, 0, 1, 0) + body


def _processors() -> bytes:
    # winnt.h: one core of two threads, one package, one group, as 64-bit Windows lays them out.
    affinity = struct.pack("<QH6x", 3, 0)
    core = struct.pack("<IIBB20xH", 0, 48, 1, 0, 1) + affinity
    package = struct.pack("<IIBB20xH", 3, 48, 0, 0, 1) + affinity
    group = struct.pack("<IIHH20x", 4, 80, 1, 1) + struct.pack("<BB38xQ", 2, 2, 3)
    return core + package + group


_SMBIOS: Final = (
    smbios_tables.structure(1, 0x100, bytes(range(1, 24)), "Marfeld", "Tower", "A")
    + smbios_tables.array()
    + smbios_tables.device(0x4000)
    + smbios_tables.END
)
_EDID: Final = bytes.fromhex(_DESK["hex"]["/sys/devices/pci0000:00/0000:00:02.0/drm/card0/card0-DP-1/edid"])
_ADDRESS: Final = struct.pack("=BBBBI", 2, 24, 0x80, 0, 2) + struct.pack("=HH4s", 8, 2, b"\xc0\0\2\7")
_IFCONFIG: Final = (
    "en0: flags=8863<UP,BROADCAST,RUNNING> mtu 1500\n\tether 02:00:00:aa:00:01\n"
    "\tinet 192.0.2.7 netmask 0xffffff00 broadcast 192.0.2.255\n"
    "\tinet6 fe80::1%en0 prefixlen 64 scopeid 0x4\n"
    "\tmedia: autoselect (1000baseT <full-duplex>)\n\tstatus: active\n"
    "\tsupported media:\n\t\tmedia 1000baseT mediaopt full-duplex\n"
)
_PLIST: Final = (
    b'<?xml version="1.0" encoding="UTF-8"?>\n<plist version="1.0"><dict><key>Containers</key><array>'
    b"<dict><key>ContainerReference</key><string>disk3</string></dict></array></dict></plist>"
)

CASES: Final = (
    _text(
        aptconf.decode, 'APT { Periodic "1"; /* a */ }; // b\nUnattended-Upgrade::Automatic-Reboot "true";\n'
    ),
    _text(dmi.meaningful, "To be filled by O.E.M."),
    Case(dmi.chassis, lambda data: [dmi.chassis(code) for code in data], bytes(range(40))),
    _text(dmi.iso_date, "03/22/2021"),
    _bytes(dpkg.decode, _recorded("/var/lib/dpkg/status").encode()),
    _bytes(edid.decode, _EDID, edid.EdidError),
    _bytes(ethtool.fastest, bytes(15) + b"\3" + bytes(32) + struct.pack("<3I", 0x3F, 0, 0) * 3),
    _bytes(guid.decode, bytes(range(16)), ValueError),
    _text(guid.encode, "381b4222-f694-41f0-9685-ff5bb260df2e", ValueError),
    _text(ini.settings, "[Login]\nIdleAction=ignore\n# a\nIdleActionSec=30min \\\n 5s\n"),
    _text(ini.seconds, "1h 20min 3.5s"),
    Case(memory_devices.main_memory, lambda data: memory_devices.main_memory(smbios.decode(data)), _SMBIOS),
    _bytes(mountinfo.decode, _recorded("/proc/self/mountinfo").encode()),
    Case(
        mountinfo.visible,
        lambda data: mountinfo.visible(mountinfo.decode(data)),
        _recorded("/proc/self/mountinfo").encode(),
    ),
    _text(osrelease.decode, _recorded("/etc/os-release")),
    Case(
        pciids.name,
        lambda data: pciids.name(data, "8086", "1912"),
        _recorded("/usr/share/misc/pci.ids").encode(),
    ),
    Case(rtnetlink.messages, lambda data: list(rtnetlink.messages(data)), _message(20, _ADDRESS)),
    Case(
        rtnetlink.addresses,
        lambda data: rtnetlink.addresses([data]),
        _message(20, _ADDRESS) + _message(3, bytes(4)),
    ),
    _bytes(smbios.decode, _SMBIOS),
    _bytes(windows_display.paths, bytes(range(72)) * 2),
    _bytes(windows_display.source_sizes, struct.pack("<I12xII", 1, 1920, 1080).ljust(64, b"\0") * 2),
    _bytes(windows_display.source_name, bytes(20) + "\\\\.\\DISPLAY1".encode("utf-16-le").ljust(64, b"\0")),
    _bytes(windows_display.target, bytes(20) + b"\4" + bytes(399), ValueError),
    _bytes(windows_display.settings, bytes(72) + b"\0\0\x1c\0" + bytes(92) + bytes(range(1, 53)), ValueError),
    _bytes(windows_firmware.table, struct.pack("<4xI", len(_SMBIOS)) + _SMBIOS, ValueError),
    _bytes(windows_firmware.tpm_version, struct.pack("<4I", 1, 2, 0, 0), ValueError),
    _bytes(windows_firmware.hypervisor, bytes(4) + b"Example Hv  " + bytes(96), ValueError),
    _bytes(windows_memory.total, struct.pack("<IIQ", 64, 40, 1 << 34) + bytes(48), ValueError),
    _bytes(windows_network.rows, bytes(range(256)) * 6),
    _bytes(windows_power.status, bytes([1, 128, 0, 0]) + bytes(8), ValueError),
    _bytes(windows_power.capabilities, bytes([1, 0, 1] * 26)[:76], ValueError),
    _bytes(windows_processors.topology, _processors(), ValueError),
    _bytes(windows_processors.clocks, struct.pack("<6I", 0, 3200, 800, 3200, 0, 0) * 2),
    Case(windows_storage.query, lambda data: windows_storage.query(data[0] if data else 0), b"\7"),
    _bytes(windows_storage.extents, struct.pack("<I4xI4xqq", 1, 0, 0, 1 << 30), ValueError),
    _bytes(
        windows_storage.descriptor,
        struct.pack("<II4BIIIIII", 48, 48, 0, 0, 0, 0, 36, 40, 0, 0, 11, 0) + b"EX \0MODEL\0",
        ValueError,
    ),
    _bytes(windows_storage.flag, struct.pack("<IIB", 12, 12, 1), ValueError),
    _bytes(windows_storage.drive_size, struct.pack("<24xq", 1 << 38), ValueError),
    _bytes(
        windows_time_zone.decode,
        bytes(172) + "W. Europe Standard Time".encode("utf-16-le").ljust(256, b"\0") + bytes(4),
        ValueError,
    ),
    _bytes(
        windows_version.decode,
        struct.pack("<IIII", 284, 10, 0, 26100).ljust(282, b"\0") + b"\1\0",
        ValueError,
    ),
    Case(macos_documents.any_plist, lambda data: macos_documents.any_plist(data, "x"), _PLIST, (ValueError,)),
    Case(macos_documents.table, lambda data: macos_documents.table(data, "x"), _PLIST, (ValueError,)),
    Case(
        macos_documents.profile,
        lambda data: macos_documents.profile(data, "SPDisplaysDataType"),
        b'{"SPDisplaysDataType": [{"_name": "a"}]}',
        (ValueError,),
    ),
    _text(macos_network.media_speed, "media: autoselect (1000baseT <full-duplex>)"),
    _text(macos_network.interfaces, _IFCONFIG),
    _text(macos_network.gateways, "default            192.0.2.1          UGScg                 en0\n"),
    _text(macos_network.name_servers, "DNS configuration\n\nresolver #1\n  nameserver[0] : 192.0.2.53\n"),
    _text(macos_power.custom, "Battery Power:\n sleep 1\nAC Power:\n sleep 0\n displaysleep 10\n"),
    _text(macos_power.sleep_disabled, "System-wide power settings:\n SleepDisabled 1\n"),
    _text(macos_power.source, "Now drawing from 'AC Power'\n -InternalBattery-0 100%; charged\n"),
    _text(macos_power.has_battery, "Now drawing from 'AC Power'\n -InternalBattery-0 100%; charged\n"),
    _text(macos_storage.whole_disk, "disk3s1s1"),
    _text(macos_storage.mounts, "/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)\n"),
    _text(macos_text.pairs, "kern.osproductversion: 14.5\nhw.memsize: 17179869184\n"),
    _text(macos_text.whole, "17179869184"),
    _text(macos_text.memory_size, "16 GB"),
    _text(macos_text.dictionary, "<dictionary> {\n  HTTPEnable : 1\n  HTTPProxy : proxy.example\n}\n"),
)
_EVERY: Final = pytest.mark.parametrize(
    "case",
    CASES,
    ids=[f"{case.decode.__module__.rpartition('.')[2]}.{case.decode.__name__}" for case in CASES],
)
# These are given documents that are parsed already, or one of their entries.
_PARSED: Final[tuple[Callable[..., Any], ...]] = (
    macos_display.screens,
    macos_display.graphics,
    macos_documents.word,
    macos_documents.whole,
    macos_documents.truth,
    macos_documents.entries,
    macos_network.noted,
    macos_storage.containers,
    macos_storage.disks,
)

_EDITS: Final = st.lists(
    st.tuples(
        st.sampled_from(("flip", "cut", "drop", "repeat", "insert", "zero", "ones")),
        st.integers(0, 1 << 16),
        st.integers(0, 64),
        st.binary(max_size=8),
    ),
    min_size=1,
    max_size=6,
)
_Edits = Sequence[tuple[str, int, int, bytes]]


def mutated(data: bytes, edits: _Edits) -> bytes:
    """Bytes after some accidents: bits flipped, parts cut, dropped, repeated, overwritten, put in."""
    for kind, place, length, extra in edits:
        at = place % (len(data) + 1)
        head, part, tail = data[:at], data[at : at + length], data[at + length :]
        data = {
            "flip": head + bytes(byte ^ 1 << place % 8 for byte in part) + tail,
            "cut": head,
            "drop": head + tail,
            "repeat": head + part * 3 + tail,
            "insert": head + extra + part + tail,
            "zero": head + bytes(len(part)) + tail,
            "ones": head + b"\xff" * len(part) + tail,
        }[kind]
    return data


def _survives(case: Case, data: bytes) -> None:
    began = time.monotonic()
    with contextlib.suppress(*case.raises):
        case.call(data)
    assert time.monotonic() - began < _SECONDS


def _public(module_name: str) -> set[Callable[..., Any]]:
    module = importlib.import_module(f"{decode.__name__}.{module_name}")
    functions = inspect.getmembers(module, inspect.isfunction)
    return {found for name, found in functions if found.__module__ == module.__name__ and name[0] != "_"}


def test_no_decoder_is_left_out() -> None:
    """Every public function of the decoders stands in the list, once."""
    names = [module.name for module in pkgutil.iter_modules(decode.__path__)]
    public = set().union(*(_public(name) for name in names))
    listed = [*(case.decode for case in CASES), *_PARSED]
    assert len(listed) == len(set(listed))
    assert {found.__qualname__ for found in public - set(listed)} == set()


@_EVERY
def test_valid_bytes_are_read(case: Case) -> None:
    """What each case starts from is read without an error, so that its accidents are near the truth."""
    assert case.call(case.valid) is not NotImplemented


@_EVERY
@given(data=st.binary(max_size=512))
def test_random_bytes_raise_only_what_is_documented(case: Case, data: bytes) -> None:
    """Whatever bytes come, a decoder answers soon, or raises the error it documents."""
    _survives(case, data)


@_EVERY
@given(edits=_EDITS)
def test_damaged_bytes_raise_only_what_is_documented(case: Case, edits: _Edits) -> None:
    """Valid bytes after accidents are read soon, or refused by the error the decoder documents."""
    _survives(case, mutated(case.valid, edits))


@_EVERY
@pytest.mark.parametrize("filler", [b"\0", b"\xff", b"9", b" ", b"\n", b"/*", b"{", b"a=\n", b"x 0 "])
def test_much_of_the_same_takes_no_time(case: Case, filler: bytes) -> None:
    """A quarter of a megabyte of one thing, alone or behind valid bytes, is read within the deadline."""
    much = filler * ((1 << 18) // len(filler))
    _survives(case, much)
    _survives(case, case.valid + much)


_DOCUMENTS: Final = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.binary(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                (
                    *("Interfaces", "Containers", "PhysicalStores", "DeviceIdentifier", "BSD Name"),
                    *("AllDisksAndPartitions", "spdisplays_ndrvs", "_name", "_spdisplays_pixels"),
                )
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)
_TABLES: Final = st.dictionaries(
    st.text(max_size=6) | st.sampled_from(("Interfaces", "Containers")), _DOCUMENTS
)


@given(cards=st.lists(_TABLES, max_size=3))
def test_any_list_of_graphics_cards_is_survived(cards: list[dict[str, Any]]) -> None:
    """Tables of any shape where macOS lists graphics cards give screens and cards, or none."""
    assert isinstance(macos_display.screens(cards), list)
    assert isinstance(macos_display.graphics(cards), list)


@given(table=_TABLES, key=st.text(max_size=6) | st.sampled_from(("Interfaces", "Containers")))
def test_any_property_list_is_survived(table: dict[str, Any], key: str) -> None:
    """Tables of any shape where macOS lists interfaces, containers or disks raise nothing."""
    assert isinstance(macos_network.noted(table), dict)
    assert isinstance(macos_storage.containers(table), dict)
    assert isinstance(macos_storage.disks(table), list)
    assert isinstance(macos_documents.word(table, key), str)
    assert isinstance(macos_documents.whole(table, key), int | None)
    assert isinstance(macos_documents.truth(table, key), bool | None)
    assert isinstance(macos_documents.entries(table, key), list)
