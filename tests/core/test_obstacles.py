"""What stands between a probe and a reading."""

from __future__ import annotations

import pytest

from pcaudit.core.obstacles import CONSOLE_WORDS, ELEVATION_WORDS, needs, obstacles
from tests.core.builders import absent, at_least, snapshot_of, unknown, value


def test_open_readings_are_sorted_by_what_would_open_them() -> None:
    """Unknown readings, lower bounds and open lists go by the words of their reasons; the rest is known."""
    seen = obstacles(
        snapshot_of(
            {
                "computer.serial_number": unknown("needs administrator rights"),
                "memory.installed": at_least(1 << 33, "SMBIOS needs administrator rights"),
                "display.primary_width": unknown("run at the console"),
                "software.packages": value([], complete=False, why="two programs in /opt"),
                "power.lid_action": absent("no lid"),
                "cpu.threads": value(8),
            }
        )
    )
    assert seen.elevation == ("computer.serial_number", "memory.installed")
    assert seen.console == ("display.primary_width",)
    assert seen.other == ("software.packages",)
    assert seen.cable == ()


# Reasons that probes give, and what would open the reading.
@pytest.mark.parametrize(
    ("why", "elevation", "console"),
    [
        ("needs administrator rights", True, False),
        ("/proc/x cannot be read: needs administrator rights", True, False),
        ("entries that may not be read: two; probe as administrator", True, False),
        ("a disk quota hides it from this account: run as administrator", True, False),
        ("no probe asks them: hdparm -B shows it of each, as administrator", False, False),
        ("drives keep this themselves: ask each with hdparm -B as administrator", False, False),
        ("whether BitLocker protects it: run manage-bde -status as administrator", False, False),
        ("disk quotas are on, which bind all users but root: run quota", False, False),
        ("the root of this process is not a mount of its own (chroot)", False, False),
        ("drives under ext4 on /dev/mapper/bench-root cannot be told", False, False),
        ("from elsewhere the screen is not this PC's own: run at the console", False, True),
        ("add consoleblank=0 to its command line", False, False),
        ("the setting of the user at the console decides (labrador): look there", False, False),
    ],
)
def test_a_way_to_probe_is_named_only_where_it_helps(why: str, elevation: bool, console: bool) -> None:
    """A reason asks for rights or the console only where a probe run so would read more."""
    assert (needs(why, ELEVATION_WORDS), needs(why, CONSOLE_WORDS)) == (elevation, console)


def test_wired_adapters_without_a_link_want_a_cable() -> None:
    """A wired adapter that has no link is named; wireless and virtual ones, and unknown links, are not."""
    adapters = [
        {"name": "port 1", "medium": "wired", "link_up": False},
        {"name": "port 2", "medium": "wired", "link_up": True},
        {"name": "port 3", "medium": "wired", "link_up": None},
        {"name": "radio", "medium": "wireless", "link_up": False},
        {"medium": "wired", "link_up": False},
    ]
    assert obstacles(snapshot_of({"network.adapters": value(adapters)})).cable == ("port 1", "an adapter")


def test_nothing_is_said_of_adapters_that_were_not_read() -> None:
    """Where the adapters are unknown no cable is asked for."""
    assert obstacles(snapshot_of({"network.adapters": unknown()})).cable == ()
