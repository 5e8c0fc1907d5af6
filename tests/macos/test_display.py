"""Screens: pixels of the screen, not of the picture drawn for it, and only at the console."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.derive import Knowledge, Readings
from pcaudit.core.snapshot import Form
from tests.macos import macs
from tests.macos.recorded import Mac, read, snapshot

_WIDTH, _HEIGHT, _SCALING = (f"display.primary_{name}" for name in ("width", "height", "scaling"))


def _screen(pixels: str, resolution: str, **more: str) -> dict[str, Any]:
    entry = {
        "_name": "Panel",
        "_spdisplays_pixels": pixels,
        "_spdisplays_resolution": resolution,
        "spdisplays_main": "spdisplays_yes",
        "spdisplays_online": "spdisplays_yes",
    }
    return {**entry, **more}


def _built_in(panel: str) -> dict[str, str]:
    return {
        "spdisplays_connection_type": "spdisplays_internal",
        "spdisplays_pixelresolution": f"spdisplays_{panel}Retina",
    }


def _mac(*screens: dict[str, Any], mac: Mac = macs.DESKTOP) -> Mac:
    cards = [{"_name": "Apple M4", "sppci_model": "Apple M4", "spdisplays_ndrvs": list(screens)}]
    return mac.saying({"system_profiler -json SPDisplaysDataType": macs.profile("SPDisplaysDataType", cards)})


# Values as in outputs recorded of MacBooks with an M1 and an M5 Max.
@pytest.mark.parametrize(
    ("pixels", "resolution", "panel", "expected"),
    [
        ("2880 x 1800", "1440 x 900 @ 60.00Hz", "2560x1600", (2560, 1600, 1440, 900)),
        ("3456 x 2234", "1728 x 1117 @ 120.00Hz", "3456x2234", (3456, 2234, 1728, 1117)),
        ("3600 x 2338", "1800 x 1169 @ 120.00Hz", "3024x1964", (3024, 1964, 1800, 1169)),
        ("3584 x 2240", "1792 x 1120 @ 60.00Hz", "2560x1600", (2560, 1600, 1792, 1120)),
        ("1920 x 1200", "1920 x 1200 @ 60.00Hz", "2560x1600", (1920, 1200, 1920, 1200)),
    ],
)
def test_a_built_in_screen_has_its_panels_pixels(
    pixels: str, resolution: str, panel: str, expected: tuple[int, ...]
) -> None:
    """The picture drawn may be larger than the panel; the size after scaling is the one programs see."""
    readings = Readings(snapshot(_mac(_screen(pixels, resolution, **_built_in(panel)))), Knowledge())
    names = (_WIDTH, _HEIGHT, "display.primary_logical_width", "display.primary_logical_height")
    assert tuple(readings.get(name).value for name in names) == expected


def test_another_screen_that_is_scaled_has_no_fewer_pixels_than_programs_see() -> None:
    """A picture of 5120 x 2880 may be drawn for a screen of 3840 x 2160: only a bound is known."""
    mac = _mac(_screen("5120 x 2880", "2560 x 1440 @ 60.00Hz", spdisplays_pixelresolution="5120 x 2880"))
    width = read(mac, _WIDTH)
    assert (width.form, width.value) == (Form.AT_LEAST, 2560)
    assert read(mac, _SCALING).form is Form.UNKNOWN
    assert read(mac, "display.screens").value[0]["width"] is None


def test_a_panels_name_counts_for_built_in_screens_only() -> None:
    """Of other screens the same key repeats the picture."""
    mac = _mac(_screen("5120 x 2880", "2560 x 1440", spdisplays_pixelresolution="spdisplays_5120x2880Retina"))
    assert read(mac, _WIDTH).form is Form.AT_LEAST


def test_another_screen_is_known_by_its_own_description() -> None:
    """Intel Macs pass on what the screen says of itself, which names its pixels and its size."""
    # The E-EDID of pandysong.github.io's article on EDID: 1280 x 720, 708 x 398 mm and 89 x 50 cm.
    said = (
        "0x00ffffffffffff00328dc507010000002e140103805932780aee91a3544c99260f505421088071408100814081809500a9c0"
        "a940d1c0011d007251d01e206e285500c48e2100001e662150b051001b3040703600a05a0000001e000000fd00184b1a511700"
        "0a202020202020000000fc004c4f4e5449554d0a20202020200157"
    )
    mac = _mac(_screen("2560 x 1440", "1280 x 720 @ 60.00Hz", _spdisplays_edid=said))
    assert (read(mac, _WIDTH).value, read(mac, _SCALING).value) == (1280, 100)


def test_a_screen_that_stands_upright_is_higher_than_wide() -> None:
    """A panel whose picture is turned has its sides the other way round."""
    mac = _mac(_screen("1600 x 2560", "800 x 1280", **_built_in("2560x1600")))
    assert (read(mac, _WIDTH).value, read(mac, _HEIGHT).value) == (1600, 2560)


def test_a_picture_of_another_shape_has_no_scaling() -> None:
    """Where the picture does not fill the panel evenly, one scaling would be wrong for a side."""
    mac = _mac(_screen("3024 x 1890", "1512 x 945 @ 60.00Hz", **_built_in("3024x1964")))
    assert read(mac, _HEIGHT).value == 1890
    mac = _mac(_screen("3024 x 1964", "1512 x 945 @ 60.00Hz", **_built_in("3024x1964")))
    assert read(mac, _SCALING).form is Form.UNKNOWN


@pytest.mark.parametrize(
    ("environ", "console"),
    [({"SSH_CONNECTION": "192.0.2.9 5 192.0.2.7 22"}, "alex"), ({}, "robin"), ({}, "root")],
)
def test_screens_are_read_at_the_console_only(environ: dict[str, str], console: str) -> None:
    """Over SSH, and while somebody else or nobody is signed in, the screens are not this session's."""
    mac = macs.DESKTOP._replace(environ=environ, console=console)
    for name in (_WIDTH, _SCALING, "display.screens"):
        seen = read(mac, name)
        assert seen.form is Form.UNKNOWN
        assert seen.why.startswith("run at the console")


def test_a_radio_link_is_no_screen_of_the_mac() -> None:
    """A picture sent by AirPlay is left out, and as the main screen makes the readings unknown."""
    mac = _mac(_screen("1920 x 1080", "1920 x 1080", spdisplays_connection_type="spdisplays_airplay"))
    assert read(mac, "display.screens").value == []
    assert not read(mac, "display.screens").complete
    assert read(mac, _WIDTH).form is Form.UNKNOWN


def test_a_screen_that_is_off_line_is_not_in_use() -> None:
    """A screen macOS calls off line is not counted."""
    off = _screen("1920 x 1080", "1920 x 1080", spdisplays_online="spdisplays_no", spdisplays_main="")
    mac = _mac(_screen("2560 x 1440", "2560 x 1440"), off)
    assert len(read(mac, "display.screens").value) == 1


def test_shared_memory_is_no_memory_of_the_card() -> None:
    """Only a card of its own memory has its memory told."""
    cards = read(macs.NOTEBOOK, "display.graphics").value
    assert [card["memory"] for card in cards] == [None, 4 << 30]
