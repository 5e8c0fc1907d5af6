"""Screens and graphics in the JSON of ``system_profiler SPDisplaysDataType``.

Shape: outputs recorded in public test suites, Intel and Apple silicon, macOS 12 to 26. Of each screen
``_spdisplays_pixels`` is the picture before it is scaled to the screen, ``_spdisplays_resolution`` its
size as programs see it, and ``spdisplays_pixelresolution`` names the panel of built-in screens
(``spdisplays_2560x1600Retina``) but repeats the picture for others; ``_spdisplays_edid`` is there on
Intel only.
"""

from __future__ import annotations

import re
from typing import Any, Final, NamedTuple

from pcaudit.probes.decode import edid, macos_documents, macos_text

_SIZE: Final = re.compile(r"(\d{1,5}) x (\d{1,5})", re.ASCII)
_MODE: Final = re.compile(r"(\d{1,5}) x (\d{1,5})(?: @ (\d{1,4}(?:\.\d+)?) ?Hz)?", re.ASCII)
_PANEL: Final = re.compile(r"spdisplays_(\d{3,5})x(\d{3,5})Retina", re.ASCII)
_DEPTHS: Final = {"CGSThirtytwoBitColor": 32, "CGSSixtyfourBitColor": 64}
_MOST_DIFFERENCE: Final = 0.005
"""Share by which the scaling across and down may differ, for sizes are whole pixels."""

Size = tuple[int, int]


class Screen(NamedTuple):
    """One screen; what cannot be known is None.

    Attributes:
        name: As macOS names it.
        pixels: Pixels of the screen that the picture fills.
        logical: The picture as programs see it.
        refresh: Hertz.
        diagonal: Inches.
        colour_depth: Bits for each pixel.
        primary: It has the menu bar.
        physical: It is a screen at this Mac, not a program or a radio link.
    """

    name: str | None
    pixels: Size | None
    logical: Size | None
    refresh: float | None
    diagonal: float | None
    colour_depth: int | None
    primary: bool
    physical: bool

    @property
    def scaling(self) -> float | None:
        """Per cent, None where the picture does not fill the screen evenly."""
        if not self.pixels or not self.logical:
            return None
        across, down = (a / b for a, b in zip(self.pixels, self.logical, strict=True))
        if abs(across - down) > _MOST_DIFFERENCE * max(across, down):
            return None
        # Rounded down, so that pixels by scaling, rounded down, are the picture's own size again.
        scaling = int(min(across, down) * 100_000) / 1000
        return int(scaling) if scaling == int(scaling) else scaling


def _numbers(match: re.Match[str] | None) -> Size | None:
    if match is None:
        return None
    size = int(match[1]), int(match[2])
    return size if all(size) else None


def _edid(entry: dict[str, Any]) -> edid.Edid | None:
    text = macos_documents.word(entry, "_spdisplays_edid").removeprefix("0x")
    try:
        return edid.decode(bytes.fromhex(text))
    except (edid.EdidError, ValueError):
        return None


def _turned(native: Size, picture: Size) -> Size:
    """A screen's own size, sides swapped where the picture stands upright on it."""
    return native if (native[0] > native[1]) == (picture[0] > picture[1]) else native[::-1]


def _pixels(
    panel: Size | None, said: edid.Edid | None, picture: Size | None, logical: Size | None
) -> Size | None:
    """Pixels of the screen that the picture fills: never more than it has, never more than are drawn."""
    if picture is None:
        return None
    if panel is None:
        if picture == logical:
            return picture
        mode = said.preferred if said else None
        if mode is None or mode.interlaced:
            return None
        panel = mode.width, mode.height
    native = _turned(panel, picture)
    return min(native[0], picture[0]), min(native[1], picture[1])


def _screen(entry: dict[str, Any]) -> Screen:
    mode = _MODE.fullmatch(macos_documents.word(entry, "_spdisplays_resolution"))
    picture = _numbers(_SIZE.fullmatch(macos_documents.word(entry, "_spdisplays_pixels")))
    connection = macos_documents.word(entry, "spdisplays_connection_type")
    kind = macos_documents.word(entry, "spdisplays_display_type")
    built_in = connection == "spdisplays_internal" or kind.startswith("spdisplays_built-in")
    panel = _PANEL.fullmatch(macos_documents.word(entry, "spdisplays_pixelresolution")) if built_in else None
    said = _edid(entry)
    words = f"{connection} {kind}".casefold()
    virtual = macos_documents.word(entry, "spdisplays_virtualdevice") == "spdisplays_yes"
    return Screen(
        name=macos_documents.word(entry, "_name") or None,
        pixels=_pixels(_numbers(panel), said, picture, _numbers(mode)),
        logical=_numbers(mode),
        refresh=float(mode[3]) if mode and mode[3] and float(mode[3]) >= 1 else None,
        diagonal=said.diagonal if said else None,
        colour_depth=_DEPTHS.get(macos_documents.word(entry, "spdisplays_depth")),
        primary=macos_documents.word(entry, "spdisplays_main") == "spdisplays_yes",
        physical=not virtual and not any(word in words for word in ("airplay", "sidecar")),
    )


def screens(cards: list[dict[str, Any]]) -> list[Screen]:
    """The screens in use, of every graphics card."""
    entries = [entry for card in cards for entry in macos_documents.entries(card, "spdisplays_ndrvs")]
    return [
        _screen(entry)
        for entry in entries
        if macos_documents.word(entry, "spdisplays_online") != "spdisplays_no"
    ]


def graphics(cards: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The graphics cards; memory that is shared with the processor is no memory of the card."""
    return [
        {
            "model": macos_documents.word(card, "sppci_model") or None,
            "memory": macos_text.memory_size(macos_documents.word(card, "spdisplays_vram")),
            "driver_version": None,
        }
        for card in cards
    ]
