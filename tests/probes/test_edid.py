"""What a screen says about itself."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from pcaudit.probes.decode.edid import EdidError, Mode, decode

# A published block (EDID post on pandysong.github.io), as its author decodes it.
PUBLISHED = bytes.fromhex(
    "00ffffffffffff00328dc507010000002e140103805932780aee91a3544c99260f505421088071408100814081809500"
    "a9c0a940d1c0011d007251d01e206e285500c48e2100001e662150b051001b3040703600a05a0000001e000000fd0018"
    "4b1a5117000a202020202020000000fc004c4f4e5449554d0a20202020200157"
)


def summed(block: bytes | bytearray) -> bytes:
    """The block with its checksum set right."""
    body = bytes(block[:127])
    return body + bytes(((-sum(body)) & 0xFF,))


def changed(**places: int) -> bytes:
    """The published block with bytes changed, and its checksum right again: ``b21=60``."""
    block = bytearray(PUBLISHED)
    for place, value in places.items():
        block[int(place[1:])] = value
    return summed(block)


def test_published_block() -> None:
    """A published block is read as its author reads it; sizes that contradict each other are none."""
    screen = decode(PUBLISHED)
    assert (screen.vendor, screen.version, screen.name, screen.extensions) == ("LTM", "1.3", "LONTIUM", 1)
    # 74.25 MHz over 1650 x 750 with blanking (CTA-861, VIC 4: 60 Hz).
    assert screen.preferred == Mode(1280, 720, 60.0, False)
    # 89 x 50 cm in one place, 708 x 398 mm in the other.
    assert screen.size is None and screen.diagonal is None


def test_sizes_that_agree_give_the_finer_one() -> None:
    """Where centimetres are the rounded millimetres, the millimetres count."""
    screen = decode(changed(b21=71, b22=40))
    assert screen.size == (708, 398)
    assert screen.diagonal == 32.0  # sqrt(708^2 + 398^2) / 25.4 = 31.98


def test_one_size_missing_leaves_the_other() -> None:
    """Zero stands for no size, and the other place is then believed."""
    assert decode(changed(b21=0, b22=0)).size == (708, 398)
    assert decode(changed(b66=0, b67=0, b68=0)).size == (890, 500)


def test_ratio_is_no_size() -> None:
    """16 by 9 centimetres is a ratio of sides, not a screen."""
    assert decode(changed(b21=16, b22=9, b66=0, b67=0, b68=0)).size is None


def test_interlaced_lines_are_all_counted() -> None:
    """An interlaced timing states one field; the picture has twice its lines."""
    mode = decode(changed(b71=0x9E)).preferred
    assert mode is not None and mode.interlaced and mode.height == 1440


def test_descriptor_without_clock_is_no_timing() -> None:
    """The first descriptor is a timing only where it has a pixel clock."""
    assert decode(changed(b54=0, b55=0)).preferred is None


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "only 0 bytes"),
        (PUBLISHED[:127], "only 127 bytes"),
        (b"\1" + PUBLISHED[1:], "does not begin"),
        (PUBLISHED[:-1] + b"\0", "checksum"),
        (changed(b18=2), "structure 2.3"),
    ],
)
def test_what_is_no_edid_is_refused(data: bytes, why: str) -> None:
    """Short, foreign or damaged bytes are refused with the reason."""
    with pytest.raises(EdidError, match=why):
        decode(data)


@given(st.binary(min_size=118, max_size=118), st.binary(max_size=300))
def test_any_content_is_read_or_refused(content: bytes, extensions: bytes) -> None:
    """Whatever a screen sends, with whatever after it, ends in a reading or in EdidError."""
    block = summed(bytes.fromhex("00ffffffffffff00") + content[:10] + b"\1" + content[10:])
    screen = decode(block + extensions)
    assert screen.vendor == "" or len(screen.vendor) == 3
    assert screen.preferred is None or screen.preferred.refresh >= 0


def test_as_edid_decode_reads_it(tmp_path: Path) -> None:
    """The edid-decode program reads the same mode and name out of the published block."""
    program = shutil.which("edid-decode")
    if program is None:
        pytest.skip("edid-decode is not installed")
    file = tmp_path / "edid.bin"
    file.write_bytes(PUBLISHED)
    said = subprocess.run([program, str(file)], capture_output=True, text=True, check=False).stdout
    assert "Manufacturer: LTM" in said
    assert "Display Product Name: 'LONTIUM'" in said
    assert "1280x720" in said and "708 mm x 398 mm" in said
