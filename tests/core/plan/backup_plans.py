"""A laboratory's backup plan that holds, to be changed by tests."""

from __future__ import annotations

from datetime import date
from typing import Any

from pcaudit.core.derive import Readings
from pcaudit.core.plan.backup import backup_sections
from pcaudit.core.plan.section import Section
from pcaudit.core.report import Finding, Verdict
from tests.core.worksheet.backup_sheets import backup_of, data_of

DAY = date(2027, 3, 15)

DATA = """
[data]
per_run = "10 MB"
runs_per_day = 10
days_per_week = 5
retention = "10 years"
compressibility = "0 %"
change_rate = "10 %"
capacity = "1 TB"
reserve = "15 %"
used = "20 GB"
configuration = "5 GB"
"""

BACKUP = """
[backup]
rpo = "26 h"
rto = "4 h"
mtd = "2 d"
window = { from = "20:00", to = "06:00" }
scheme = "incremental"
full_every = "week"
daily = 6
weekly = 4
monthly = 12
yearly = 10
image = "40 GB"
last_restore_test = 2027-02-01
restore_test_every = "3 months"
recovery = { who = "R. Amsel", medium = "stick in the safe", keys = "safe in room 201" }
"""

SERVER = """
[[backup.destinations]]
id = "server"
title = "File server"
kind = "file server"
capacity = "20 TB"
link = "1 Gbit/s"
offsite = false
offline = false
encrypted = true
every = "day"
"""

CLOUD = """
[[backup.destinations]]
id = "cloud"
kind = "cloud"
capacity = "20 TB"
link = "1 Gbit/s"
offsite = true
offline = false
encrypted = true
every = "day"
"""

DISK = """
[[backup.destinations]]
id = "disk"
kind = "disk"
capacity = "20 TB"
link = "5 Gbit/s"
offsite = true
offline = true
encrypted = true
holds = ["full"]
every = "week"
"""

WHOLE = DATA + BACKUP + SERVER + CLOUD + DISK


def changed(text: str, **keys: str) -> str:
    """The text with another value for a key wherever it stands; without it where the value is empty."""
    lines = []
    for line in text.splitlines():
        key = line.split(" ")[0]
        if key not in keys:
            lines.append(line)
        elif keys[key]:
            lines.append(f"{key} = {keys[key]}")
    return "\n".join(lines) + "\n"


def sections_of(text: str, readings: Readings | None = None, **days: Any) -> tuple[Section, ...]:
    """The plan for a worksheet of this text."""
    given = {"on": DAY, "as_of": DAY, **days}
    return backup_sections(backup_of(text), data_of(text), readings, **given)


def plan_of(text: str, readings: Readings | None = None, **days: Any) -> Section:
    """The section on backup."""
    return sections_of(text, readings, **days)[0]


def finding_of(section: Section, name: str) -> Finding:
    """The finding of this name."""
    return next(one for one in section.findings if one.id == f"backup.{name}")


def verdicts(section: Section) -> dict[str, Verdict]:
    """Each finding's verdict by its name."""
    return {one.id.removeprefix("backup."): one.verdict for one in section.findings}


def figure_of(section: Section, name: str) -> float:
    """The value of a figure."""
    value = next(one.value for one in section.figures if one.id == f"backup.{name}")
    assert value is not None
    return value


def rows_of(section: Section, title: str) -> tuple[tuple[str, ...], ...]:
    """The rows of a table."""
    return next(one.rows for one in section.tables if one.title == title)
