"""What pmset(1) prints.

Shapes: pmset(1), and outputs recorded in public test suites for macOS 12 to 26, desktops and
notebooks: ``pmset -g custom`` has a section for each source of power, ``pmset -g`` may have the line
``SleepDisabled``, ``pmset -g batt`` begins with the source in use.
"""

from __future__ import annotations

import re
from typing import Final

MAINS: Final = "AC Power"
BATTERY: Final = "Battery Power"
UPS: Final = "UPS Power"
_SECTION: Final = re.compile(r"(AC Power|Battery Power|UPS Power):\s*")
_SETTING: Final = re.compile(r"\s+(\S.*?)\s+(-?\d{1,9})(?:\s+\(.*\))?\s*", re.ASCII)
_SOURCE: Final = re.compile(r"Now drawing from '(.+)'", re.ASCII)
_DISABLED: Final = re.compile(r"^[ \t]*SleepDisabled[ \t]+([01])[ \t]*$", re.MULTILINE)


def custom(content: str) -> dict[str, dict[str, int]]:
    """Settings by source of power: ``{"AC Power": {"sleep": 0}}``; settings in minutes or as switches."""
    found: dict[str, dict[str, int]] = {}
    section: dict[str, int] | None = None
    for line in content.splitlines():
        if head := _SECTION.fullmatch(line):
            section = found.setdefault(head[1], {})
        elif section is not None and (setting := _SETTING.fullmatch(line)):
            section[setting[1]] = int(setting[2])
        elif line[:1].strip():
            section = None  # a heading of another kind: what follows is not of this section
    return found


def sleep_disabled(content: str) -> bool | None:
    """Whether all sleep is switched off (``pmset disablesleep 1``).

    The line is missing where it was never set; None where the text is no answer of ``pmset -g``.
    """
    if match := _DISABLED.search(content):
        return match[1] == "1"
    return False if "Currently in use:" in content else None


def source(content: str) -> str:
    """What the PC runs on: ``AC Power``, ``Battery Power``, ``UPS Power``; empty where it is not said."""
    match = _SOURCE.match(content)
    return match[1] if match else ""


def has_battery(content: str) -> bool:
    """Whether a battery of the PC itself is listed; a UPS or a mouse has another name."""
    return "-InternalBattery-" in content
