"""Backup destinations, windows and objectives, as a worksheet tells them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from math import floor
from typing import Any, Final, NamedTuple

from pcaudit.core.places import Path
from pcaudit.core.units import DURATION, LINK, STORAGE, UnitError, parse
from pcaudit.core.worksheet.data import MOST_BYTES, OUT_OF_REASON, exact, size
from pcaudit.core.worksheet.people import People, people_named, who
from pcaudit.core.worksheet.raid import LEAST_DISKS, usable
from pcaudit.core.worksheet.reader import Reader
from pcaudit.core.worksheet.term import Term, read_term

INTERVALS: Final = ("day", "week", "month")
"""How often something is copied, most often first."""

SCHEMES: Final = ("incremental", "differential")
"""What is copied between fulls: what changed since the last copy, or since the last full."""

REAL_KINDS: Final = ("disk", "file server", "tape", "cloud", "optical")
"""Destinations that hold a copy."""

NO_COPIES: Final = {
    "same PC": "it fails, is stolen or is encrypted together with the PC",
    "raid": "it keeps running when a disk fails; a deleted or damaged file is gone from every disk at once",
    "sync": "it repeats every deletion and every damaged file within minutes",
    "snapshot": "it lies on the same disks as the data and fails with them",
}
"""Destinations that never count as a copy, and why."""

_MOST_RATE: Final = 10**12
_LONGEST: Final = 3650 * 86400
LEAST_IMAGE: Final = 10**9
"""Least bytes of an image that starts a PC with a desktop (common practice, no source)."""

RAREST_TEST: Final = Term(months=60)
"""Longest time from one restore test to the next: beyond it is a slip of the finger."""

_ANY_DAY: Final = date(2027, 1, 1)  # a day on which spans of months and of days are compared
_MOST_KEPT: Final = {"daily": 3660, "weekly": 522, "monthly": 1200, "yearly": 100}
_DAY: Final = 24 * 60
_KEYS: Final = (
    "rpo",
    "rto",
    "mtd",
    "window",
    "scheme",
    "full_every",
    *_MOST_KEPT,
    "image",
    "last_restore_test",
    "restore_test_every",
    "recovery",
    "destinations",
)
_DESTINATION_KEYS: Final = (
    "id",
    "title",
    "kind",
    "capacity",
    "disks",
    "raid",
    "link",
    "mtu",
    "vlan",
    "measured",
    "offsite",
    "offline",
    "encrypted",
    "holds",
    "every",
)


class Window(NamedTuple):
    """When copies may run: minutes after midnight; it may run over midnight."""

    start: int
    end: int

    @property
    def seconds(self) -> int:
        """How long it is."""
        return (self.end - self.start) % _DAY * 60

    def shown(self) -> str:
        """For a person: ``"20:00 to 06:00"``."""
        return " to ".join(f"{minutes // 60:02}:{minutes % 60:02}" for minutes in self)


class Recovery(NamedTuple):
    """Who restores, from which boot medium, and where recovery keys are kept; never the keys."""

    who: str = ""
    medium: str = ""
    keys: str = ""


class Destination(NamedTuple):
    """A place copies go to; what is left blank is None or empty.

    Attributes:
        id: Its id.
        title: For people; the id where there is none.
        kind: One of ``REAL_KINDS``, or a key of ``NO_COPIES``.
        capacity: Bytes it holds; all media together.
        link: Slowest link to it, bit/s: of a disk its interface.
        mtu: Octets of a packet on that link.
        vlan: Whether its frames carry an IEEE 802.1Q tag.
        measured: Rate of a copy that was timed, bit/s.
        offsite: Whether it is at another site.
        offline: Whether it is out of reach of the PC between copies.
        encrypted: Whether what lies there is encrypted.
        partials: Whether it takes incremental or differential copies too.
        every: How often a copy goes there.
        line: Line it stands in.
        lines: Line of each key that is there.
    """

    id: str
    title: str
    kind: str = ""
    capacity: int | None = None
    link: Fraction | None = None
    mtu: int = 1500
    vlan: bool = False
    measured: Fraction | None = None
    offsite: bool | None = None
    offline: bool | None = None
    encrypted: bool | None = None
    partials: bool = True
    every: str = ""
    line: int = 0
    lines: Mapping[str, int] = {}

    def line_of(self, key: str) -> int:
        """Line of a key, else of the destination."""
        return self.lines.get(key, self.line)


class Backup(NamedTuple):
    """What the worksheet says of backup; what it leaves blank is None or empty.

    Attributes:
        asked: Whether the section is there.
        file: The worksheet's name.
        line: Line of the section.
        rpo: Recovery point objective, seconds.
        rto: Recovery time objective, seconds.
        mtd: Maximum tolerable downtime, seconds.
        window: When copies may run.
        scheme: One of ``SCHEMES``.
        full_every: How often everything is copied.
        daily, weekly, monthly, yearly: Copies kept of each: sons, fathers, grandfathers, years.
        image: Bytes of the system image.
        last_restore_test: When a restore was last tried.
        restore_test_every: How often it must be.
        recovery: Who, from what, and where the keys are.
        destinations: In the order written.
        lines: Line of each key that is there.
    """

    asked: bool = False
    file: str = ""
    line: int = 0
    rpo: Fraction | None = None
    rto: Fraction | None = None
    mtd: Fraction | None = None
    window: Window | None = None
    scheme: str = ""
    full_every: str = ""
    daily: int | None = None
    weekly: int | None = None
    monthly: int | None = None
    yearly: int | None = None
    image: int | None = None
    last_restore_test: date | None = None
    restore_test_every: Term | None = None
    recovery: Recovery = Recovery()
    destinations: tuple[Destination, ...] = ()
    lines: Mapping[str, int] = {}

    def line_of(self, key: str) -> int:
        """Line of a key, else of the section."""
        return self.lines.get(key, self.line)


def read_backup(reader: Reader, data: Mapping[str, Any]) -> Backup:
    """Read ``[backup]``; a worksheet without it is asked nothing of it."""
    table = reader.table(data, "backup")
    if table is None:
        return Backup()
    path = ("backup",)
    reader.known(table, path, _KEYS)
    seen: dict[str, int] = {}
    kept = {key: _kept(reader, table, key, most) for key, most in _MOST_KEPT.items()}
    if all(number == 0 for number in kept.values()):
        hint = "write how many copies of each are kept, such as daily = 6, weekly = 4"
        reader.wrong((*path, "daily"), "with 0 of each no copy is kept", hint)
    return Backup(
        asked=True,
        file=reader.file,
        line=reader.line(path),
        rpo=_seconds(reader, table, "rpo"),
        rto=_seconds(reader, table, "rto"),
        mtd=_seconds(reader, table, "mtd"),
        window=_window(reader, table),
        scheme=reader.choice(table, path, "scheme", SCHEMES),
        full_every=reader.choice(table, path, "full_every", INTERVALS),
        **kept,
        image=_image(reader, table),
        last_restore_test=reader.day(table, path, "last_restore_test"),
        restore_test_every=_restore_test_every(reader, table),
        recovery=_recovery(reader, table, people_named(data)),
        destinations=tuple(
            one
            for raw, here in reader.tables(table, "destinations", path)
            if (one := _destination(reader, raw, here, seen))
        ),
        lines={key: reader.line((*path, key)) for key in _KEYS if key in table},
    )


def _seconds(reader: Reader, table: Mapping[str, Any], key: str) -> Fraction | None:
    return exact(reader.quantity(table, ("backup",), key, DURATION, 1, _LONGEST))


def _kept(reader: Reader, table: Mapping[str, Any], key: str, most: int) -> int | None:
    number = reader.number(table, ("backup",), key, 0, most, whole=True)
    return None if number is None else int(number)


def _image(reader: Reader, table: Mapping[str, Any]) -> int | None:
    image = size(reader, table, "image", ("backup",))
    if image is None or image >= LEAST_IMAGE:
        return image
    hint = 'write what the system volume holds, such as "60 GB", or leave it blank'
    reader.wrong(("backup", "image"), "a system image this small restores no PC", hint)
    return None


def _restore_test_every(reader: Reader, table: Mapping[str, Any]) -> Term | None:
    every = read_term(reader, table, ("backup",), "restore_test_every", "3 months")
    if every is None or every.after(_ANY_DAY) <= RAREST_TEST.after(_ANY_DAY):
        return every
    hint = f'write restore_test_every = "3 months", {RAREST_TEST.shown()} at most'
    reader.wrong(("backup", "restore_test_every"), f"{every.shown()} is out of reason", hint)
    return None


def _window(reader: Reader, table: Mapping[str, Any]) -> Window | None:
    window = reader.table(table, "window", ("backup",))
    if window is None:
        return None
    path = ("backup", "window")
    reader.known(window, path, ("from", "to"))
    start, end = reader.clock(window, path, "from"), reader.clock(window, path, "to")
    if start is None or end is None:
        return None
    if start == end:
        hint = 'write window = { from = "20:00", to = "06:00" }'
        reader.wrong(path, "the window begins and ends at the same time", hint)
        return None
    return Window(start, end)


def _recovery(reader: Reader, table: Mapping[str, Any], people: People) -> Recovery:
    recovery = reader.table(table, "recovery", ("backup",))
    if recovery is None:
        return Recovery()
    path = ("backup", "recovery")
    reader.known(recovery, path, Recovery._fields)
    medium, keys = (reader.text(recovery, path, key) for key in ("medium", "keys"))
    return Recovery(_named(who(reader, people, recovery, path, "who"), people), medium, keys)


def _named(named: str, people: People) -> str:
    """A person's name and contact where the worksheet has them under this id, else the text itself."""
    person = people.by_id.get(named)
    parts = (person.name, person.contact) if person else ()
    return ", ".join(filter(None, parts)) or named


# -- destinations


def _destination(
    reader: Reader, table: Mapping[str, Any], path: Path, seen: dict[str, int]
) -> Destination | None:
    name = reader.id(table, path, seen, "destination")
    reader.known(table, path, _DESTINATION_KEYS)
    link, measured = _rate(reader, table, path, "link"), _rate(reader, table, path, "measured")
    if link is not None and measured is not None and measured > link:
        hint = "measure bytes copied x 8 / seconds, or correct `link`"
        reader.wrong((*path, "measured"), "the measured rate is higher than that of the link", hint)
    # RFC 8200 section 5: no link carries IPv6 with a smaller MTU; 9216 is as large as switches go.
    mtu = reader.number(table, path, "mtu", 1280, 9216, whole=True)
    one = Destination(
        id=name,
        title=reader.text(table, path, "title") or name,
        kind=reader.choice(table, path, "kind", (*REAL_KINDS, *NO_COPIES)),
        capacity=_capacity(reader, table, path),
        link=link,
        mtu=1500 if mtu is None else int(mtu),
        vlan=reader.flag(table, path, "vlan") or False,
        measured=measured,
        offsite=reader.flag(table, path, "offsite"),
        offline=reader.flag(table, path, "offline"),
        encrypted=reader.flag(table, path, "encrypted"),
        partials=_holds(reader, table, path),
        every=reader.choice(table, path, "every", INTERVALS),
        line=reader.line(path),
        lines={key: reader.line((*path, key)) for key in _DESTINATION_KEYS if key in table},
    )
    return one if name else None


def _rate(reader: Reader, table: Mapping[str, Any], path: Path, key: str) -> Fraction | None:
    return exact(reader.quantity(table, path, key, LINK, 1, _MOST_RATE))


def _holds(reader: Reader, table: Mapping[str, Any], path: Path) -> bool:
    """Whether more than fulls goes there; both where it is left out."""
    words = [word.casefold() for word in reader.texts(table, path, "holds")]
    if not words:
        return True
    wrong = next((word for word in words if word not in ("full", *SCHEMES)), "")
    hint = 'write holds = ["full"] or ["full", "incremental"]'
    if wrong:
        reader.wrong((*path, "holds"), f"{wrong!r:.60} is no copy a destination can hold", hint)
    elif "full" not in words:
        reader.wrong((*path, "holds"), "without a full copy nothing can be restored from there", hint)
    return words != ["full"]


def _capacity(reader: Reader, table: Mapping[str, Any], path: Path) -> int | None:
    """As written, or what the disks hold."""
    amount = size(reader, table, "capacity", path, low=1, down=True)
    level = reader.choice(table, path, "raid", tuple(LEAST_DISKS))
    disks = _disks(reader, table, path)
    if not disks:
        if level:
            hint = 'write disks = ["4 TB", "4 TB"], the size of each'
            reader.wrong((*path, "raid"), "a level without disks says nothing of the capacity", hint)
        return amount
    if amount is not None:
        reader.wrong((*path, "disks"), "the capacity is given twice", "leave out `capacity` or `disks`")
    elif not level:
        hint = f"write raid = one of {', '.join(map(repr, LEAST_DISKS))}"
        reader.wrong((*path, "disks"), "disks without a level say nothing of the capacity", hint)
    elif len(disks) < LEAST_DISKS[level] or (level == "10" and len(disks) % 2):
        need = f"{LEAST_DISKS[level]} or more" + (", an even number" if level == "10" else "")
        reader.wrong(
            (*path, "disks"), f"RAID {level} cannot be made of {len(disks)} disks", f"it needs {need}"
        )
    else:
        return usable(level, disks)
    return None


def _disks(reader: Reader, table: Mapping[str, Any], path: Path) -> list[int]:
    sizes = []
    for text in reader.texts(table, path, "disks"):
        try:
            amount = parse(text, STORAGE)
        except UnitError as error:
            reader.wrong((*path, "disks"), str(error), error.hint)
            return []
        if isinstance(amount, str) or not 1 <= amount <= MOST_BYTES:
            reader.wrong((*path, "disks"), f"{text!r:.60} is out of reason", OUT_OF_REASON)
            return []
        sizes.append(floor(amount))
    return sizes
