"""The page on networks and calendars is true: its examples are read, and count as it says."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from pcaudit.core.lead_time import LeadTime
from pcaudit.core.plan.spans import finish_from
from pcaudit.core.plan.working_days import WorkingDays
from pcaudit.core.worksheet.calendar import read_calendar
from pcaudit.core.worksheet.network import KINDS, read_network
from pcaudit.core.worksheet.tasks import read_tasks
from tests.core.worksheet.section_text import read

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "network-and-calendar.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)


@pytest.mark.parametrize("example", EXAMPLES, ids=range(len(EXAMPLES)))
def test_every_example_is_read_without_a_mistake(example: str) -> None:
    """What the page shows can be copied into a worksheet."""
    network, wrong = read(read_network, example)
    calendar, also_wrong = read(read_calendar, example)
    tasks, wrong_too = read(read_tasks, example)
    assert [*wrong, *also_wrong, *wrong_too] == []
    assert network.asked or (calendar.asked and tasks.asked)


def test_the_page_names_every_kind_of_host() -> None:
    """The list of what a host can be is the program's."""
    assert ", ".join(KINDS) in PAGE


def test_two_working_days_from_monday_are_wednesday() -> None:
    """The page's example of counting is what is counted."""
    monday = date(2027, 3, 1)
    assert finish_from(monday, LeadTime(2, "working day"), WorkingDays()).strftime("%A") == "Wednesday"
    assert "ordered on a Monday and takes two working days is there on Wednesday" in " ".join(PAGE.split())
