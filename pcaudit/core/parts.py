"""Parts that would be fitted to a PC: the smallest that is sold, and what the PC then reads.

Each fitting takes what is asked of the part and a PC's readings, changes the readings as the part
would, and says what to buy; it gives None where no part that is sold would do. What was fitted
serves a judgement only: nothing in here says that a part goes into a certain PC.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import hypot
from typing import Any, Final, NamedTuple

from pcaudit.core import units
from pcaudit.core.conditions import Requirement
from pcaudit.core.fitting_values import choices, meets
from pcaudit.core.snapshot import Form, Observation, known, unknown

Seen = dict[str, Observation]
"""Readings by name, to be changed."""

FITTED: Final = "as if the part were fitted"
"""Source of a reading that a part would change."""

# Amounts that are sold: common practice, no source.
_GB: Final = 1 << 30  # JEDEC JESD100B.01
MEMORY: Final = tuple(n * _GB for n in (4, 8, 12, 16, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512, 1024))
DRIVES: Final = tuple(n * 10**9 for n in (250, 500, 1000, 2000, 4000, 8000, 16000))
LINKS: Final = tuple(n * 10**8 for n in (10, 25, 50, 100, 250, 400, 1000))
SCREENS: Final = ((1280, 1024), (1920, 1080), (1920, 1200), (2560, 1440), (3840, 2160), (5120, 2880))
DIAGONALS: Final = (19, 21.5, 22, 24, 27, 32, 43)
GRAPHICS: Final = tuple(n * _GB for n in (1, 2, 4, 6, 8, 12, 16, 24, 32, 48))

OF_VOLUME: Final = 0.98
"""What a volume has of its drive at least: partitions for starting and recovery take the rest.

Common practice, no source.
"""


class Bought(NamedTuple):
    """What a part is called when it is bought.

    Attributes:
        sort: Such as "memory" or "ssd".
        amounts: What it must have at least, in base units: bytes, bit/s, pixels across and down.
        extras: What else is asked of it, in words; a price by sort and amounts does not cover it.
    """

    sort: str
    amounts: tuple[int, ...]
    extras: tuple[str, ...] = ()


class Wants(NamedTuple):
    """What is asked of one part.

    Attributes:
        of: Each requirement with the key it is on.
        pieces: How many pieces it must have (memory modules).
    """

    of: tuple[tuple[str, Requirement], ...] = ()
    pieces: int = 0

    def on(self, *keys: str) -> list[Requirement]:
        """Everything asked of these keys."""
        return [one for key, one in self.of if key in keys]


def plain(value: int, kind: units.Kind) -> str:
    """An amount as it is printed on a part: "1 TB", "16 GB", "2.5 Gbit/s"."""
    return units.show(value, kind._replace(also=()))


KINDS: Final = {
    "memory": units.MEMORY,
    "graphics card": units.MEMORY,
    "ssd": units.STORAGE,
    "hdd": units.STORAGE,
    "network card": units.LINK,
    "wireless card": units.LINK,
}
"""Unit rule of the amount of each sort of part; a screen has pixels."""


def name_of(bought: Bought) -> str:
    """What a part is called: "ssd 1 TB", "screen 1920x1080", with what else is asked of it."""
    sort, amounts, extras = bought
    if sort == "screen":
        text = "x".join(map(str, amounts))
    else:
        text = " ".join(plain(amount, KINDS[sort]) for amount in amounts)
    return " ".join((sort, text, *extras)).strip()


def _extras(wants: Wants, *keys: str) -> tuple[str, ...]:
    """What is asked of keys that no price names."""
    found = {
        f"{one.spec.title.lower()} {one._replace(advised=()).says()}": None
        for key in keys
        for one in wants.on(key)
    }
    return tuple(found)


def _take(wants: Wants, key: str, default: Any = None) -> tuple[bool, Any]:
    """A value for a key, and whether one does: the default where nothing else is asked."""
    asked = wants.on(key)
    if not asked:
        return True, default
    good = choices(asked, default)
    return bool(good), good[0] if good else None


def _item(wants: Wants, defaults: Mapping[str, Any], prefix: str = "") -> dict[str, Any] | None:
    """An item that meets what is asked; keys nobody asks about keep their defaults."""
    item = {}
    for key, default in defaults.items():
        good, item[key] = _take(wants, prefix + key, default)
        if not good:
            return None
    return item


def _amount(seen: Seen, name: str) -> int:
    one = seen.get(name)
    return one.value if one is not None and one.form in (Form.KNOWN, Form.AT_LEAST) else 0


def _items(seen: Seen, name: str) -> list[dict[str, Any]] | None:
    one = seen.get(name)
    return one.value if one is not None and one.form is Form.KNOWN else None


def _add(seen: Seen, name: str, item: dict[str, Any]) -> None:
    items = _items(seen, name)
    if items is not None:
        seen[name] = seen[name]._replace(value=[*items, item])


# -- memory


def _modules(amount: int, wants: Wants, seen: Seen) -> list[dict[str, Any]] | None:
    """As many modules as now, of the type fitted, unless something else is asked."""
    fitted = _items(seen, "memory.modules") or []
    number = max(len(fitted), wants.pieces, 1)
    slots = seen.get("memory.slots")
    if slots is not None and slots.form is Form.KNOWN and number > slots.value:
        return None
    speeds = [one["speed"] for one in fitted if one.get("speed")]
    types = {one.get("type") for one in fitted}
    defaults = {
        "size": amount // number,
        "speed": min(speeds) if speeds and len(speeds) == len(fitted) else None,
        "type": types.pop() if len(types) == 1 else None,
    }
    item = _item(wants, defaults, "module.")
    return None if item is None or item["size"] != amount // number else [dict(item) for _ in range(number)]


def _reserve(seen: Seen) -> int | None:
    """Memory the system cannot use; None where that is not known."""
    installed, usable = seen.get("memory.installed"), seen.get("memory.usable")
    if installed is None or usable is None or (installed.form, usable.form) != (Form.KNOWN, Form.KNOWN):
        return None
    return max(0, int(installed.value - usable.value))


def memory(wants: Wants, seen: Seen) -> Bought | None:
    """Memory in place of what is fitted, or beside it: the whole amount that there must be then."""
    reserve = _reserve(seen)
    for amount in MEMORY:
        if amount < _amount(seen, "memory.installed") or not meets(wants.on("installed"), amount):
            continue
        # Where what is kept back is not known, more is needed than this: it cannot do with less.
        if not meets(wants.on("usable"), amount - (reserve or 0)):
            continue
        modules = _modules(amount, wants, seen)
        if modules is None:
            continue
        seen["memory.installed"] = known(amount, FITTED)
        seen["memory.usable"] = (
            unknown("how much of the memory is kept back is not known: read memory.installed first")
            if reserve is None
            else known(amount - reserve, FITTED)
        )
        if _items(seen, "memory.modules") is not None:
            seen["memory.modules"] = known(modules, FITTED)
            if _amount(seen, "memory.slots"):
                seen["memory.slots_free"] = known(seen["memory.slots"].value - len(modules), FITTED)
        return Bought("memory", (amount,), _extras(wants, "module.speed", "module.type"))
    return None


# -- drives


def _used(seen: Seen) -> int | None:
    """Space that must go over to a new system drive, at most; None where that is not known."""
    size, free, used = (
        _amount(seen, f"storage.system_{key}") if _is_known(seen, f"storage.system_{key}") else None
        for key in ("size", "free", "used")
    )
    if size is None:
        return used
    return size if free is None else max(size - free, used or 0)


def _is_known(seen: Seen, name: str) -> bool:
    one = seen.get(name)
    return one is not None and one.form is Form.KNOWN


def _may_be_systems(one: Mapping[str, Any], seen: Seen) -> bool:
    """Whether the system may lie on a drive."""
    size, media = one.get("size"), seen.get("storage.system_media")
    if size is not None and size < _amount(seen, "storage.system_size"):
        return False
    known_media = media.value if media is not None and media.form is Form.KNOWN else None
    return None in (known_media, one.get("media")) or one["media"] == known_media


def _replace_drive(seen: Seen, drive: dict[str, Any]) -> None:
    """Put a drive in the place of the system's own; where several may be that, none is counted on."""
    drives = _items(seen, "storage.drives")
    if drives is None:
        return
    own = [index for index, one in enumerate(drives) if _may_be_systems(one, seen)]
    alike = all(
        drives[index].get(key) == drives[own[0]].get(key) for index in own for key in ("size", "media", "bus")
    )
    # Where none alone can be the system's, it lies on several.
    gone = (own[:1] if alike else own) or list(range(len(drives)))
    kept = [one for index, one in enumerate(drives) if index not in gone]
    seen["storage.drives"] = seen["storage.drives"]._replace(value=[*kept, drive])


def _drive_media(wants: Wants) -> str | None:
    good, media = _take(
        Wants(tuple(("media", one) for one in wants.on("media", "volume.media"))), "media", "ssd"
    )
    return media if good else None


def _bought_drive(wants: Wants, size: int, media: str) -> Bought:
    return Bought(media, (size,), _extras(wants, "bus", "model"))


def system_drive(wants: Wants, seen: Seen) -> Bought | None:
    """A drive in place of the system's own, the system moved to it as it is."""
    media, used = _drive_media(wants), _used(seen)
    drive = _item(wants, {"model": None, "bus": None})
    if media is None or used is None or drive is None:
        return None
    volumes = _items(seen, "storage.volumes") or []
    own = next((one for one in volumes if one.get("system") is True), {})
    for size in DRIVES:
        volume = int(size * OF_VOLUME)
        free = volume - used
        if free < 0 or not meets(wants.on("size"), size) or not meets(wants.on("free", "volume.free"), free):
            continue
        if not meets(wants.on("system.size", "volume.size"), volume):
            continue
        _replace_drive(seen, {**drive, "size": size, "media": media})
        seen["storage.system_size"] = known(volume, FITTED)
        seen["storage.system_free"] = known(free, FITTED)
        seen["storage.system_media"] = known(media, FITTED)
        changed = {"size": volume, "free": free, "media": media}
        if own:
            seen["storage.volumes"] = seen["storage.volumes"]._replace(
                value=[{**one, **changed} if one is own else one for one in volumes]
            )
        return _bought_drive(wants, size, media)
    return None


def new_volume(wants: Wants, seen: Seen) -> dict[str, Any] | None:
    """An empty volume for data as it is asked, its size and media left open; None where none can be made."""
    system = seen.get("storage.system_filesystem")
    filesystem = system.value if system is not None and system.form is Form.KNOWN else None
    defaults = {
        "mount": "new volume",
        "filesystem": filesystem,
        "kind": "fixed",
        "encrypted": False,
        "system": False,
        "used": 0,
    }
    made = _item(wants, defaults, "volume.")
    if made is None or made["kind"] == "network" or made["system"] or made["used"]:
        return None
    return made


def drive(wants: Wants, seen: Seen) -> Bought | None:
    """One more drive with one volume on it."""
    media = _drive_media(wants)
    fitted = _item(wants, {"model": None, "bus": None})
    made = new_volume(wants, seen)
    if media is None or fitted is None or made is None:
        return None
    for size in DRIVES:
        volume = int(size * OF_VOLUME)
        if meets(wants.on("size"), size) and meets(wants.on("volume.size", "volume.free"), volume):
            _add(seen, "storage.drives", {**fitted, "size": size, "media": media})
            _add(seen, "storage.volumes", {**made, "size": volume, "free": volume, "media": media})
            kind = _extras(wants, "volume.kind") if made["kind"] != "fixed" else ()
            bought = _bought_drive(wants, size, media)
            return bought._replace(extras=(*bought.extras, *kind))
    return None


# -- network


def card(wants: Wants, seen: Seen) -> Bought | None:
    """One more network card, cabled and set as it is asked."""
    defaults = {
        "name": "new card",
        "medium": "wired",
        "bus": "pci",
        "link_up": True,
        "mtu": 1500,
        "mac": None,
        "addresses": None,
        "addressing": None,
        "gateway": None,
        "power_saving": False,
    }
    item = _item(wants, defaults)
    if item is None or item["medium"] == "virtual" or wants.on("mac"):
        return None
    for speed in LINKS:
        if meets(wants.on("capable_speed", "speed"), speed):
            _add(seen, "network.adapters", {**item, "capable_speed": speed, "speed": speed})
            sort = "network card" if item["medium"] == "wired" else "wireless card"
            return Bought(sort, (speed,), _extras(wants, "bus", "mtu"))
    return None


# -- screens and graphics


def _panels(wants: Wants) -> Iterable[tuple[int, int, float | None]]:
    sized = bool(wants.on("diagonal", "ppi"))
    for width, height in SCREENS:
        for diagonal in DIAGONALS if sized else (None,):
            yield width, height, diagonal


def _panel(wants: Wants, scaling: Any) -> dict[str, Any] | None:
    defaults = {"name": "new screen", "refresh": 60, "scaling": scaling, "colour_depth": 8}
    item = _item(wants, defaults)
    if item is None:
        return None
    for width, height, diagonal in _panels(wants):
        sharp = hypot(width, height) / diagonal if diagonal else None
        logical = [
            (side, int(pixels * 100 // item["scaling"]) if item["scaling"] else None)
            for side, pixels in (("logical_width", width), ("logical_height", height))
        ]
        held = [("width", width), ("height", height), ("diagonal", diagonal), ("ppi", sharp), *logical]
        if all(value is not None and meets(wants.on(key), value) for key, value in held if wants.on(key)):
            return {**item, "width": width, "height": height, "diagonal": diagonal}
    return None


def _bought_screen(wants: Wants, item: dict[str, Any]) -> Bought:
    extras = _extras(wants, "name", "diagonal", "ppi", "refresh", "colour_depth")
    return Bought("screen", (item["width"], item["height"]), extras)


def primary_screen(wants: Wants, seen: Seen) -> Bought | None:
    """A screen in place of the primary one."""
    scaling = seen.get("display.primary_scaling")
    item = _panel(wants, scaling.value if scaling is not None and scaling.form is Form.KNOWN else None)
    if item is None:
        return None
    for side in ("width", "height"):
        seen[f"display.primary_{side}"] = known(item[side], FITTED)
    if item["scaling"]:
        seen["display.primary_scaling"] = known(item["scaling"], FITTED)
    screens = _items(seen, "display.screens")
    if screens is not None:
        new = {**item, "primary": True}
        changed = [new if one.get("primary") is True else one for one in screens]
        changed = changed if new in changed else [*changed, new]
        seen["display.screens"] = seen["display.screens"]._replace(value=changed)
    return _bought_screen(wants, item)


def screen(wants: Wants, seen: Seen) -> Bought | None:
    """One more screen."""
    item = _panel(wants, 100)
    good, primary = _take(wants, "primary", False)
    if item is None or not good or primary:
        return None
    if not wants.on("width", "height", "diagonal", "ppi"):
        item |= {"width": 1920, "height": 1080}
    _add(seen, "display.screens", {**item, "primary": False})
    return _bought_screen(wants, item)


def graphics(wants: Wants, seen: Seen) -> Bought | None:
    """One more graphics card."""
    item = _item(wants, {"model": None, "driver_version": None})
    if item is None:
        return None
    for amount in GRAPHICS:
        if meets(wants.on("memory"), amount):
            _add(seen, "display.graphics", {**item, "memory": amount})
            return Bought("graphics card", (amount,), _extras(wants, "model"))
    return None


FITTINGS: Final[dict[str, Callable[[Wants, Seen], Bought | None]]] = {
    "memory": memory,
    "system drive": system_drive,
    "primary screen": primary_screen,
    "drive": drive,
    "network card": card,
    "screen": screen,
    "graphics card": graphics,
}
"""How each part is fitted, those that replace something first."""

ADDED: Final = ("drive", "network card", "screen", "graphics card")
"""Parts of which a PC may get several."""

TITLES: Final = {
    "memory": "Memory, in all",
    "system drive": "Drive for the system, in place of the present one",
    "primary screen": "Screen, in place of the primary one",
    "drive": "One more drive",
    "network card": "One more network card",
    "screen": "One more screen",
    "graphics card": "One more graphics card",
}
"""What each part is for."""


def settings_words(sort: str, wants: Wants, settable: Sequence[str]) -> str:
    """How a new part must be set, in words; empty where nothing is asked."""
    if sort not in ADDED:
        return ""
    texts = {
        f"{one.spec.title.lower()} {one._replace(advised=()).says()}": None
        for key, one in wants.of
        if key in settable
    }
    return ", ".join(texts)
