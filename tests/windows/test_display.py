"""Screens and graphics cards of Windows hosts."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Any, NamedTuple

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.decode import windows_display as decode
from pcaudit.probes.windows import display
from pcaudit.probes.windows.calls.display import DisplayCalls, Monitor
from pcaudit.probes.windows.calls.win32 import NoAnswerError
from tests.probes.test_edid import changed
from tests.windows.pc import CONTROL, pc, readings

# The published block with a size both places agree on: 1280x720 at 60 Hz, 708 x 398 mm.
_EDID = changed(b21=71, b22=40)
_PRODUCT = 0x07C5  # of that block
_ENUM = r"HKLM\SYSTEM\CurrentControlSet\Enum"
_CLASS = "{4d36e968-e325-11ce-bfc1-08002be10318}"
_DRIVER = rf"HKLM\SYSTEM\CurrentControlSet\Control\Class\{_CLASS}\0000"
# DISPLAYCONFIG_VIDEO_OUTPUT_TECHNOLOGY, wingdi.h.
HDMI, MIRACAST, USB_ADAPTER, PROGRAM = 5, 15, 16, 17
_LUID = bytes(range(8))
_REFUSED = NoAnswerError("QueryDisplayConfig failed with Windows error 50")


class Output(NamedTuple):
    """One output with a picture, and what is connected to it.

    ``picture`` is its source mode, ``mode`` what EnumDisplaySettingsExW says of its GDI device.
    """

    device: int = 1
    picture: tuple[int, int] = (1920, 1080)
    mode: tuple[int, int] | OSError = (1920, 1080)
    technology: int = HDMI
    rate: tuple[int, int, int] = (59940, 1000, 1)
    available: bool = True
    primary: bool = True
    dpi: int = 96
    edid: bytes | None = _EDID
    product: int | None = _PRODUCT
    name: str = "Wide 27"


def wide(text: str, length: int) -> bytes:
    """Text in a field of so many WCHAR."""
    return text.encode("utf-16-le").ljust(2 * length, b"\0")


def path_info(index: int, output: Output) -> bytes:
    """DISPLAYCONFIG_PATH_INFO (wingdi.h); its picture's mode has the same index."""
    numerator, denominator, ordering = output.rate
    source = struct.pack("<8sIII", _LUID, index, index, 1)
    target = struct.pack("<8sII", _LUID, 100 + index, 0xFFFFFFFF) + struct.pack(
        "<IIIIIIII", output.technology, 1, 1, numerator, denominator, ordering, output.available, 1
    )
    return source + target + struct.pack("<I", 1)


def mode_info(index: int, output: Output) -> bytes:
    """DISPLAYCONFIG_MODE_INFO (wingdi.h) of a source."""
    return struct.pack("<II8sIIIii", 1, index, _LUID, *output.picture, 4, 0, 0).ljust(64, b"\0")


def devmode(width: int, height: int, fields: int = 0x1C0000) -> bytes:
    """DEVMODEW (wingdi.h)."""
    head = bytes(68) + struct.pack("<HHI", 220, 0, fields)
    return head.ljust(168, b"\0") + struct.pack("<IIIII", 32, width, height, 0, 60).ljust(52, b"\0")


def target_name(index: int, output: Output) -> bytes:
    """DISPLAYCONFIG_TARGET_DEVICE_NAME (wingdi.h)."""
    flags = 1 | (4 if output.product is not None else 0)
    path = rf"\\?\DISPLAY#EXA0001#5&1&0&UID{index}#{{e6f07b5f-ee97-4a90-b076-33f57bf4eaa7}}"
    return (
        struct.pack("<II8sI", 2, 420, _LUID, 100 + index)
        + struct.pack("<IIHHI", flags, output.technology, 0x10AC, output.product or 0, 0)
        + wide(output.name, 64)
        + wide(path, 128)
    )


def _device(output: Output) -> str:
    return rf"\\.\DISPLAY{output.device}"


class Answers:
    """Stands in for Windows's answers about screens."""

    def __init__(self, outputs: tuple[Output, ...]) -> None:
        self.outputs = outputs

    def _information(self, kind: int, adapter: bytes, number: int, size: int) -> bytes:
        assert adapter == _LUID
        if kind == 1:
            header = struct.pack("<II8sI", 1, size, adapter, number)
            return header + wide(_device(self.outputs[number]), 32)
        return target_name(number - 100, self.outputs[number - 100])

    def _settings(self, device: str) -> bytes:
        mode = next(output.mode for output in self.outputs if _device(output) == device)
        if isinstance(mode, OSError):
            raise mode
        return devmode(*mode)

    def calls(self) -> DisplayCalls:
        """The calls."""
        seen = dict(enumerate(self.outputs))
        parts = {_device(output): output for output in self.outputs}
        return DisplayCalls(
            see_pixels=lambda: True,
            session=lambda: (0, 1, 1),
            paths=lambda: (
                b"".join(path_info(index, output) for index, output in seen.items()),
                b"".join(mode_info(index, output) for index, output in seen.items()),
            ),
            information=self._information,
            settings=self._settings,
            monitors=lambda: [Monitor(name, each.primary, each.dpi) for name, each in parts.items()],
            adapters=lambda: ["Example Graphics", "Example Graphics"],
            present=lambda _class: [],
        )


def _refuse(*_: Any) -> Any:
    raise _REFUSED


def probe(
    *outputs: Output, registry: Mapping[str, Any] | None = None, **replaced: Any
) -> dict[str, Observation]:
    """Every reading of the group; by default somebody sits at the PC."""
    told = {
        rf"{_ENUM}\DISPLAY\EXA0001\5&1&0&UID{index}\Device Parameters": {"EDID": output.edid}
        for index, output in enumerate(outputs)
        if output.edid is not None
    }
    host = pc({**told, **(registry or {})})
    return readings(display, host._replace(display=Answers(outputs).calls()._replace(**replaced)))


def primary(*outputs: Output, **replaced: Any) -> tuple[Any, Any, Any]:
    """Width, height and scaling of the primary screen, None where unknown."""
    seen = probe(*outputs, **replaced)
    width, height, scaling = (
        seen[f"display.primary_{part}"].value for part in ("width", "height", "scaling")
    )
    return width, height, scaling


def screens(*outputs: Output, **replaced: Any) -> list[dict[str, Any]]:
    """The screens."""
    found = probe(*outputs, **replaced)["display.screens"].value
    assert isinstance(found, list)
    return found


def test_one_screen() -> None:
    """A screen at 125 per cent: the mode's pixels, what the EDID says, the scaling of its monitor."""
    seen = probe(Output(dpi=120))
    assert seen["display.primary_width"].value == 1920
    assert seen["display.primary_height"].value == 1080
    assert seen["display.primary_scaling"].value == 125
    assert seen["display.primary_width"].source == r"EnumDisplaySettingsExW: the mode in use of \\.\DISPLAY1"
    assert seen["display.screens"].value == [
        {
            "name": "LONTIUM",
            "width": 1920,
            "height": 1080,
            "refresh": 59.94,
            "scaling": 125,
            "diagonal": 32.0,
            "colour_depth": 32,
            "primary": True,
        }
    ]
    assert seen["display.screens"].complete


def test_each_screen_has_its_own_scaling() -> None:
    """Trap V2: two screens of different scaling keep the pixels and the scaling that are theirs."""
    second = Output(2, (2560, 1440), (2560, 1440), primary=False, dpi=144)
    first, other = screens(Output(), second)
    assert (first["width"], first["scaling"], first["primary"]) == (1920, 100, True)
    assert (other["width"], other["scaling"], other["primary"]) == (2560, 150, False)


def test_process_that_is_lied_to_knows_no_scaling() -> None:
    """Trap V1: where Windows refuses to show real pixels, scaling is unknown; the mode is still real."""
    assert primary(Output(dpi=144), see_pixels=lambda: False) == (1920, 1080, None)
    assert primary(Output(dpi=144), see_pixels=_refuse) == (1920, 1080, None)


def test_mode_that_contradicts_the_picture() -> None:
    """Trap V1: where GDI's mode and the picture's own differ, one is scaled, and neither is believed."""
    scaled = Output(picture=(2560, 1600), mode=(1463, 914))
    assert primary(scaled)[:2] == (None, None)
    turned = Output(picture=(1920, 1080), mode=(1080, 1920))
    assert primary(turned)[:2] == (1080, 1920)


@pytest.mark.parametrize("session", [(1, 2, 2), (0, 2, 1), (0, 0, 1), (0, 0, 0), (0, 0xFFFFFFFF, 0xFFFFFFFF)])
def test_away_from_the_console_nothing_is_said(session: tuple[int, int, int]) -> None:
    """Traps V3, V6: a remote session, another user's, a service: the screens are not this PC's."""
    seen = probe(Output(), session=lambda: session)
    for name, given in seen.items():
        if name != "display.graphics":
            assert given.form is Form.UNKNOWN and "run at the console" in given.why, name


def test_session_that_cannot_be_told() -> None:
    """Trap V6: without an answer on the session nothing is said, and the reason names what to do."""
    seen = probe(Output(), session=_refuse)["display.primary_width"]
    assert seen.form is Form.UNKNOWN and "run at the console" in seen.why


@pytest.mark.parametrize("technology", [PROGRAM, MIRACAST])
def test_program_or_radio_link_is_no_screen(technology: int) -> None:
    """Trap V3: a virtual display is not in the list, and as the primary one it says nothing."""
    seen = probe(Output(technology=technology), Output(2, primary=False))
    assert len(seen["display.screens"].value) == 1 and seen["display.screens"].complete
    assert seen["display.primary_width"].form is Form.UNKNOWN
    assert "not a screen of this PC" in seen["display.primary_width"].why


def test_screen_behind_a_usb_adapter_is_a_screen() -> None:
    """An adapter with a cable to a real screen counts."""
    assert len(screens(Output(technology=USB_ADAPTER))) == 1


@pytest.mark.parametrize("size", [(1024, 768), (640, 480)])
def test_picture_for_nobody(size: tuple[int, int]) -> None:
    """Trap V6: the small picture Windows draws where no screen is connected is not read as one."""
    nobody = Output(picture=size, mode=size, edid=None, product=None, name="")
    seen = probe(nobody)
    assert seen["display.screens"].value == [] and not seen["display.screens"].complete
    assert seen["display.primary_width"].form is Form.UNKNOWN
    assert screens(nobody._replace(edid=_EDID))[0]["width"] == size[0]


def test_screen_without_edid() -> None:
    """Trap V5: a screen that does not say what it is has its mode, and neither name nor diagonal."""
    seen = probe(Output(edid=None, product=None, name=""))
    assert seen["display.primary_width"].value == 1920
    assert "does not say what it is" in seen["display.primary_width"].source
    (item,) = seen["display.screens"].value
    assert (item["name"], item["diagonal"]) == (None, None)


@pytest.mark.parametrize(
    ("output", "name"),
    [
        (Output(edid=_EDID[:-1] + b"\0"), "Wide 27"),
        (Output(edid=b""), "Wide 27"),
        (Output(product=0x1234), "Wide 27"),
        (Output(edid=b"", name=""), None),
    ],
)
def test_edid_that_cannot_be_believed(output: Output, name: str | None) -> None:
    """Trap V5: a damaged EDID, or one kept from another screen, gives no diagonal."""
    (item,) = screens(output)
    assert (item["name"], item["diagonal"]) == (name, None)


@pytest.mark.parametrize("rate", [(0, 0, 1), (60, 0, 1), (0, 1, 1), (50, 1, 2), (50, 1, 3)])
def test_no_refresh_rate(rate: tuple[int, int, int]) -> None:
    """A rate of nothing, and the fields of an interlaced picture, are no refresh rate."""
    assert screens(Output(rate=rate))[0]["refresh"] is None


def test_same_picture_on_two_screens() -> None:
    """Cloned screens both show the primary picture; the one that says what it is speaks for them."""
    unnamed = Output(edid=None, product=None, name="")
    seen = probe(unnamed, Output())
    assert [item["primary"] for item in seen["display.screens"].value] == [True, True]
    assert "does not say" not in seen["display.primary_width"].source


def test_no_screen_in_use_is_an_empty_list() -> None:
    """No output with a picture is knowledge: there is no screen in use."""
    for outputs in ((), (Output(available=False),)):
        seen = probe(*outputs)
        assert seen["display.screens"].value == [] and seen["display.screens"].complete
        assert seen["display.primary_width"].form is Form.UNKNOWN


def test_calls_that_fail_cost_what_depends_on_them() -> None:
    """Without monitors there is no primary; without names no mode; without outputs nothing."""
    assert screens(Output(), monitors=_refuse)[0]["primary"] is None
    assert screens(Output(), monitors=_refuse)[0]["width"] == 1920
    nameless = probe(Output(), information=_refuse)["display.screens"]
    assert nameless.value == [] and not nameless.complete
    assert screens(Output(mode=_REFUSED))[0]["width"] is None
    blind = probe(Output(), paths=_refuse)["display.screens"]
    assert blind.form is Form.UNKNOWN and "display settings" in blind.why


def test_no_dpi_is_no_scaling() -> None:
    """A monitor without dots per inch has no scaling, not a scaling of nothing."""
    assert primary(Output(dpi=0)) == (1920, 1080, None)


def test_container_has_no_screens() -> None:
    """Trap C3: inside a container neither screens nor cards are the PC's."""
    seen = probe(Output(), registry={CONTROL: {"ContainerType": 1}})
    assert {given.form for given in seen.values()} == {Form.UNKNOWN}


def test_structures_cut_short() -> None:
    """Half a structure gives nothing rather than numbers of somewhere else."""
    path = path_info(0, Output())
    assert len(path) == decode.PATH and len(mode_info(0, Output())) == decode.MODE
    assert decode.paths(path + path[:-1]) == decode.paths(path)
    assert decode.source_sizes(mode_info(0, Output())[:-1]) == []
    with pytest.raises(ValueError, match="cut short"):
        decode.target(target_name(0, Output())[:-1])
    with pytest.raises(ValueError, match="cut short"):
        decode.settings(devmode(1920, 1080)[:179])


def test_mode_fields_that_are_not_set() -> None:
    """Numbers that DEVMODEW does not mark as given are not read."""
    assert decode.settings(devmode(1920, 1080, 0)) == decode.Settings(None, None, None)
    assert decode.settings(devmode(0, 0)) == decode.Settings(None, None, 32)


# -- graphics cards

_CARD = r"PCI\VEN_1234&DEV_00A1\3&1&0&10"
_KEYS: dict[str, dict[str, Any]] = {
    rf"{_ENUM}\{_CARD}": {"Driver": rf"{_CLASS}\0000", "DeviceDesc": "@oem1.inf,%card%;Example Card"},
    _DRIVER: {
        "DriverDesc": "Example Graphics 5",
        "DriverVersion": "31.0.15.3623",
        "HardwareInformation.qwMemorySize": 8 << 30,
        "HardwareInformation.MemorySize": 0xFFF00000,
    },
}


def cards(driver: Mapping[str, Any] | None = None, *devices: str) -> list[dict[str, Any]]:
    """The graphics cards, with these values of the driver in place of its own."""
    keys = {**_KEYS, _DRIVER: {**_KEYS[_DRIVER], **(driver or {})}}
    found = probe(registry=keys, present=lambda _class: list(devices or (_CARD,)))["display.graphics"].value
    assert isinstance(found, list)
    return found


def test_graphics_card() -> None:
    """A card that is here has its driver's name and version, and its memory in 64 bits."""
    assert cards() == [{"model": "Example Graphics 5", "memory": 8 << 30, "driver_version": "31.0.15.3623"}]


@pytest.mark.parametrize(
    ("value", "memory"),
    [((2 << 30).to_bytes(8, "little"), 2 << 30), (0, None), (b"\1\2\3\4", None), (OSError("gone"), None)],
)
def test_graphics_memory_in_the_registry(value: Any, memory: int | None) -> None:
    """Memory is read as a number or as its eight bytes; the older value of 32 bits is not."""
    assert cards({"HardwareInformation.qwMemorySize": value})[0]["memory"] == memory


def test_virtual_display_is_no_card() -> None:
    """Trap V3: devices that programs make are not cards; a card without a driver keeps its name."""
    made_up = (r"ROOT\DISPLAY\0000", r"SWD\REMOTEDISPLAYENUM\1", _CARD)
    assert len(cards(None, *made_up)) == 1
    assert cards({"DriverDesc": ""})[0]["model"] == "Example Card"


def test_without_a_list_of_devices_the_desktop_speaks() -> None:
    """Where Windows does not list devices, the desktop's adapters stand, and more may be there."""
    seen = probe(present=_refuse)["display.graphics"]
    assert seen.value == [{"model": "Example Graphics", "memory": None, "driver_version": None}]
    assert not seen.complete
    assert probe(present=_refuse, adapters=_refuse)["display.graphics"].form is Form.UNKNOWN
