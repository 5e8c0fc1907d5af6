r"""Screens: the outputs with a picture, the mode of each, and what each screen says of itself.

The mode is that of the GDI device in physical pixels, held against the picture's own mode; the
rectangle of the desktop, which scaling stretches, is never used.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from pcaudit.probes.decode import edid, windows_display as decode
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.host import Host

_SCREENS: Final = r"HKLM\SYSTEM\CurrentControlSet\Enum\DISPLAY"
_NOT_PHYSICAL: Final = {decode.MIRACAST, decode.INDIRECT_VIRTUAL}
_STAND_IN: Final = (1024, 768)
"""Windows draws up to this where no screen is connected. Common practice, no source."""
_FULL_SIZE: Final = 96
"""Dots per inch of 100 per cent: USER_DEFAULT_SCREEN_DPI, winuser.h."""


class Screen(NamedTuple):
    r"""One screen; what cannot be known is None.

    Attributes:
        device: GDI name of its picture, ``\\.\DISPLAY1``; several screens may show the same.
        name: As the screen says.
        width, height: Pixels of the mode in use.
        refresh: Hertz.
        diagonal: Inches.
        colour_depth: Bits for each pixel.
        scaling: Per cent.
        primary: It shows the primary part of the desktop.
        physical: It is a screen at this PC, not a program or a radio link.
        identified: The screen says what it is.
    """

    device: str
    name: str | None
    width: int | None
    height: int | None
    refresh: float | None
    diagonal: float | None
    colour_depth: int | None
    scaling: float | None
    primary: bool | None
    physical: bool
    identified: bool

    @property
    def doubtful(self) -> bool:
        """It may be Windows's stand-in for a screen that is not there."""
        if self.identified:
            return False
        return (self.width or 0) <= _STAND_IN[0] and (self.height or 0) <= _STAND_IN[1]


class _Desktop(NamedTuple):
    """What is known of all parts of the desktop together."""

    sizes: list[tuple[int, int] | None]
    primary: str
    scaling: dict[str, float]


def _target(host: Host, path: decode.Path) -> decode.Target:
    kind, size = decode.TARGET_NAME
    try:
        return decode.target(host.display.information(kind, path.target_adapter, path.target, size))
    except (OSError, ValueError):
        return decode.Target("", "", None)


def _device(host: Host, path: decode.Path) -> str:
    kind, size = decode.SOURCE_NAME
    try:
        return decode.source_name(host.display.information(kind, path.adapter, path.source, size))
    except OSError:
        return ""


def _edid(host: Host, target: decode.Target) -> edid.Edid | None:
    """What the screen says of itself; None where that is another screen's or cannot be believed."""
    parts = target.path.split("#")
    if len(parts) < 3:
        return None
    path = rf"{_SCREENS}\{parts[1]}\{parts[2]}\Device Parameters"
    try:
        said = edid.decode(reads.read(host.registry, path, "EDID", bytes).value or b"")
    except edid.EdidError:
        return None
    return said if target.product in (None, said.product) else None


def _settings(host: Host, device: str) -> decode.Settings:
    try:
        return decode.settings(host.display.settings(device))
    except (OSError, ValueError):
        return decode.Settings(None, None, None)


def _pixels(given: decode.Settings, path: decode.Path, desktop: _Desktop) -> tuple[int | None, int | None]:
    """The mode of the device, unless the mode of the picture contradicts it."""
    size = desktop.sizes[path.mode] if path.mode < len(desktop.sizes) else None
    # A picture that is turned has its sides the other way round in one of the two.
    if given.width and given.height and size and sorted(size) == sorted((given.width, given.height)):
        return given.width, given.height
    return None, None


def _name(said: edid.Edid | None, target: decode.Target) -> str | None:
    if said and (said.name or said.vendor):
        return said.name or f"{said.vendor} {said.product:04x}"
    return target.name or None


def _screen(host: Host, path: decode.Path, desktop: _Desktop) -> Screen:
    target = _target(host, path)
    device = _device(host, path)
    said = _edid(host, target)
    given = _settings(host, device) if device else decode.Settings(None, None, None)
    width, height = _pixels(given, path, desktop)
    return Screen(
        device=device,
        name=_name(said, target),
        width=width,
        height=height,
        refresh=path.refresh,
        diagonal=said.diagonal if said else None,
        colour_depth=given.bits,
        scaling=desktop.scaling.get(device),
        primary=device == desktop.primary if device and desktop.primary else None,
        physical=path.technology not in _NOT_PHYSICAL,
        identified=said is not None or target.product is not None,
    )


def _scaling(dpi: int) -> float:
    per_cent = dpi * 100 / _FULL_SIZE
    return int(per_cent) if per_cent == int(per_cent) else round(per_cent, 2)


def _desktop(host: Host, modes: bytes) -> _Desktop:
    try:
        clear = host.display.see_pixels()
    except OSError:
        clear = False
    try:
        monitors = host.display.monitors()
    except OSError:
        monitors = []
    primary = next((monitor.device for monitor in monitors if monitor.primary), "")
    # A process that is lied to about pixels is told one scaling for every screen.
    scaling = {monitor.device: _scaling(monitor.dpi) for monitor in monitors if clear and monitor.dpi}
    return _Desktop(decode.source_sizes(modes), primary, scaling)


def screens(host: Host) -> list[Screen]:
    """Every output with a picture.

    Raises:
        OSError: Windows does not list them.
    """
    paths, modes = host.display.paths()
    desktop = _desktop(host, modes)
    return [_screen(host, path, desktop) for path in decode.paths(paths) if path.available]


def item(screen: Screen) -> dict[str, Any]:
    """A screen as the snapshot holds it."""
    keys = ("name", "width", "height", "refresh", "scaling", "diagonal", "colour_depth", "primary")
    return {key: getattr(screen, key) for key in keys}
