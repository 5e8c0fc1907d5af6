"""What stands between a probe and a reading."""

from __future__ import annotations

from pcaudit.core.obstacles import obstacles
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
