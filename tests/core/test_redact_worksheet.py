"""Redacting a report that was made with a worksheet."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from pcaudit import app
from pcaudit.core.redact import redact_report
from pcaudit.core.report import Report, report_mapping
from tests.cli.program import FIT

KEY: Final = bytes(range(32))
SHEET: Final = """\
format = 1
title = "Installation for R. Amsel"
[installation]
day = 2027-03-15
[use]
profiles = ["p.toml"]
[people.admin]
name = "R. Amsel"
contact = "amsel@lab.example"
away = [{ from = 2027-03-15, to = 2027-03-15 }]
[arrangements.it]
state = "in hand"
holder = "admin"
deputy = "Quentin Specht"
kept = "drawer of Quentin Specht"
note = "ask Quentin Specht"
[[network.lans]]
id = "instruments"
title = "Instruments"
role = "instrument"
subnet = "192.0.2.0/24"
[[network.hosts]]
id = "pc"
name = "sorption-bench-pc"
lan = "instruments"
address = "192.0.2.77"
fixed = true
"""
PROFILE: Final = """\
format = 1
title = "P"
[cpu.cores]
minimum = 1
[[arrangements]]
id = "it"
kind = "credential"
title = "Administrator"
needed = "on the day"
"""


@pytest.fixture
def made(tmp_path: Path) -> Report:
    """A report made with a worksheet that names people, a host and an address."""
    (tmp_path / "p.toml").write_text(PROFILE, encoding="utf-8")
    (tmp_path / "w.toml").write_text(SHEET, encoding="utf-8")
    sheet = app.load_worksheet(str(tmp_path / "w.toml"))
    asked = app.asked_by(sheet, app.choice([], [], [], []))
    day = date(2027, 3, 15)
    answers = app.answered(sheet, None, date(2026, 12, 21))
    return app.assess(asked, app.load_snapshot(FIT), on=day, as_of=date(2026, 12, 21), answers=answers)


def test_nobody_a_worksheet_names_is_named(made: Report) -> None:
    """People, hosts and addresses of the worksheet stand nowhere in the redacted report."""
    before = json.dumps(report_mapping(made))
    after = json.dumps(report_mapping(redact_report(made, KEY)))
    for name in ("Amsel", "Specht", "amsel@lab", "sorption-bench-pc", "192.0.2.77"):
        assert name in before
        assert name.casefold() not in after.casefold(), name


def test_verdicts_stay(made: Report) -> None:
    """What arrangements and parts of the plan come to is not touched."""
    redacted = redact_report(made, KEY)
    assert redacted.outcome is made.outcome
    assert [one.verdict for one in redacted.arrangements] == [one.verdict for one in made.arrangements]
    assert [one.verdict for one in redacted.every] == [one.verdict for one in made.every]
    assert redacted.worksheet and made.worksheet
    assert redacted.worksheet.sha256 == made.worksheet.sha256
    assert [one.name for one in redacted.sections] == [one.name for one in made.sections]


def test_without_a_worksheet_there_is_none(made: Report) -> None:
    """A report without a worksheet is redacted as ever."""
    assert redact_report(made._replace(worksheet=None, sections=()), KEY).worksheet is None
