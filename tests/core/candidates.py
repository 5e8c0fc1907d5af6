"""Candidates for tests: what one PC needs, and several PCs side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final, TypeVar

from pcaudit.core.assess import make_report
from pcaudit.core.changes import Means, Mending
from pcaudit.core.choose import Asked, ask
from pcaudit.core.compare import Comparison, Entry, compare
from pcaudit.core.evaluate import evaluate_all
from pcaudit.core.mending import mend
from pcaudit.core.prices import Priced, Prices
from pcaudit.core.profile import Profile
from pcaudit.core.smallest_change import Question
from pcaudit.core.snapshot import Snapshot
from pcaudit.loading import tables
from tests.core.builders import GB, profile_of, snapshot_of, unknown, value

ON: Final = date(2026, 12, 7)
AS_OF: Final = date(2026, 11, 26)
KNOWLEDGE: Final = tables(("os", "cpu"))
TB: Final = 10**12

ADAPTER: Final[dict[str, Any]] = {
    "name": "eth0",
    "medium": "wired",
    "bus": "pci",
    "link_up": True,
    "speed": 10**9,
    "capable_speed": 10**9,
    "addressing": "dynamic",
    "power_saving": True,
}

SOUND: Final[dict[str, Any]] = {
    "computer.host_name": value("bench-1"),
    "computer.serial_number": value("S-1"),
    "os.type": value("linux"),
    "os.product": value("Debian GNU/Linux"),
    "os.version": value("12"),
    "cpu.cores": value(4),
    "memory.installed": value(8 * GB),
    "memory.usable": value(8 * GB - (200 << 20)),
    "memory.slots": value(2),
    "memory.slots_free": value(1),
    "memory.modules": value([{"size": 8 * GB, "speed": 3200, "type": "DDR4"}]),
    "storage.system_size": value(490 * 10**9),
    "storage.system_free": value(40 * 10**9),
    "storage.system_used": value(450 * 10**9),
    "storage.system_media": value("hdd"),
    "storage.system_filesystem": value("ext4"),
    "storage.drives": value([{"model": "Corvane", "size": 500 * 10**9, "media": "hdd", "bus": "sata"}]),
    "storage.volumes": value(
        [
            {
                "mount": "/",
                "filesystem": "ext4",
                "size": 490 * 10**9,
                "free": 40 * 10**9,
                "used": 450 * 10**9,
                "kind": "fixed",
                "media": "hdd",
                "encrypted": False,
                "system": True,
            }
        ]
    ),
    "display.primary_width": value(1280),
    "display.primary_height": value(1024),
    "display.primary_scaling": value(125),
    "display.screens": value(
        [{"name": "Osier 19", "width": 1280, "height": 1024, "scaling": 125, "primary": True}]
    ),
    "display.graphics": value([{"model": "Fernley", "memory": GB, "driver_version": "1.0"}]),
    "network.adapters": value([ADAPTER]),
    "power.sleep_after": value(1800),
    "power.usb_suspend": value(True),
    "software.packages": value([{"name": "Halvorsel Control", "version": "2.3"}]),
    "software.runtimes": value([]),
    "software.services": value([{"name": "logger", "state": "stopped"}]),
}
"""An invented PC, not a good one; every reading known."""


def pc(**readings: Any) -> Snapshot:
    """The invented PC with some readings in their JSON forms changed; ``group__name`` for a dot."""
    changed = {name.replace("__", "."): form for name, form in readings.items()}
    return snapshot_of({**SOUND, **changed})


def mending_of(profiles: Sequence[Profile], snapshot: Snapshot, prices: Prices | None = None) -> Mending:
    """What a PC needs to pass several profiles."""
    return mending_of_asked(ask(profiles), snapshot, prices)


def mending_of_asked(asked: Sequence[Asked], snapshot: Snapshot, prices: Prices | None = None) -> Mending:
    """What a PC needs to pass profiles of which something was chosen."""
    question = Question(asked, snapshot, KNOWLEDGE, (), ON, prices)
    evaluation = evaluate_all(asked, snapshot, knowledge=KNOWLEDGE, on=ON)
    return mend(question, {one.id: one for one in evaluation.findings})


def mending(text: str, snapshot: Snapshot, prices: Prices | None = None) -> Mending:
    """What a PC needs to pass a profile."""
    return mending_of([profile_of(text)], snapshot, prices)


def parts(found: Mending) -> list[str]:
    """Names of the parts it needs."""
    return [one.part for one in found.of(Means.PART)]


def settings(found: Mending) -> dict[str, str]:
    """The settings it needs, and what they become."""
    return {one.what: one.to for one in found.of(Means.SETTING)}


_One = TypeVar("_One")


def only(several: Sequence[_One]) -> _One:
    """The only one."""
    (one,) = several
    return one


def compared(
    text: str,
    snapshots: Mapping[str, Snapshot],
    prices: Prices | None = None,
    options: Sequence[str] = (),
) -> Comparison:
    """PCs side by side, by the name of their file."""
    asked, knowledge = ask([profile_of(text)], options), KNOWLEDGE
    entries = []
    for file, snapshot in snapshots.items():
        evaluation = evaluate_all(asked, snapshot, knowledge=knowledge, on=ON)
        report = make_report(
            asked, snapshot, evaluation, on=ON, as_of=AS_OF, tool_version="0.1.0", knowledge=knowledge
        )
        of = Question(asked, snapshot, knowledge, (), ON, prices)
        entries.append(Entry(file, report, mend(of, {one.id: one for one in evaluation.findings})))
    return compare(entries, asked, knowledge, prices.currency if prices else "")


# -- four PCs whose order is known

PROFILE: Final = """
[os]
decimal_separator = "."
restart_pending = false

[cpu]
cores.minimum = 4

[memory]
installed.minimum = "16 GB"

[storage]
system_media = "ssd"

[power]
sleep_after = "never"
hibernate_after = "never"
usb_suspend = false
fast_startup = false
"""

GOOD: Final[dict[str, Any]] = {
    "os__decimal_separator": value("."),
    "os__restart_pending": value(False),
    "memory__installed": value(16 * GB),
    "storage__system_media": value("ssd"),
    "power__sleep_after": value("never"),
    "power__hibernate_after": value("never"),
    "power__usb_suspend": value(False),
    "power__fast_startup": value(False),
}

# Where the answer differs from counting what is unmet: one shortfall that nothing mends, six that
# settings mend, two that parts mend, and one that is not known.
OLD_PROCESSOR: Final = pc(**GOOD, cpu__cores=value(2), computer__serial_number=value("S-A"))
ALL_SETTINGS: Final = pc(
    **{
        **GOOD,
        "computer__serial_number": value("S-B"),
        "os__decimal_separator": value(","),
        "os__restart_pending": value(True),
        "power__sleep_after": value(1800),
        "power__hibernate_after": value(3600),
        "power__usb_suspend": value(True),
        "power__fast_startup": value(True),
    }
)
TWO_PARTS: Final = pc(
    **{
        **GOOD,
        "computer__serial_number": value("S-C"),
        "memory__installed": value(8 * GB),
        "storage__system_media": value("hdd"),
    }
)
BLIND: Final = pc(
    **{**GOOD, "computer__serial_number": value("S-D"), "memory__installed": unknown("run as administrator")}
)
FOUR: Final = {"a.json": OLD_PROCESSOR, "b.json": ALL_SETTINGS, "c.json": TWO_PARTS, "d.json": BLIND}
EURO: Final = Prices("EUR", (Priced("memory 16 GB", "memory", (16 * GB,), 6000),))
