"""Redacting a report that was made with a worksheet."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from pcaudit import app
from pcaudit.core.pseudonyms import pseudonym
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
    return _made(tmp_path, "")


def test_nobody_a_worksheet_names_is_named(made: Report) -> None:
    """People, hosts and addresses of the worksheet stand nowhere in the redacted report."""
    before = json.dumps(report_mapping(made))
    after = json.dumps(report_mapping(redact_report(made, KEY)))
    for name in ("Amsel", "Specht", "amsel@lab", "sorption-bench-pc", "192.0.2.77"):
        assert name in before
        assert name.casefold() not in after.casefold(), name


_PLACED: Final = """\
[people.petra]
name = "Petra Zwickl"
role = "head of sorption"
contact = "ext. 9917, p.zwickl@chem.example"
[people.otto-brandl]
name = "Otto Brandl"
[network]
administrator = "Rudolf Quist"
booked = true
[[tasks]]
id = "cable"
title = "Pull the cable"
owner = "Konstantin Weber, +43 664 555666"
takes = "2 working days"
[backup]
recovery = { who = "Gustav Hrdlicka", medium = "stick of M. Vogelsang", keys = "safe of Waldtraud Amsel" }
"""


def _made(tmp_path: Path, more: str, sheet: str = SHEET) -> Report:
    (tmp_path / "p.toml").write_text(PROFILE, encoding="utf-8")
    (tmp_path / "w.toml").write_text(sheet + more, encoding="utf-8")
    read = app.load_worksheet(str(tmp_path / "w.toml"))
    asked = app.asked_by(read, app.choice([], [], [], []))
    answers = app.answered(read, None, date(2026, 12, 21))
    return app.assess(
        asked, app.load_snapshot(FIT), on=date(2027, 3, 15), as_of=date(2026, 12, 21), answers=answers
    )


def _texts(report: Report) -> str:
    return json.dumps(report_mapping(report), ensure_ascii=False)


def test_nobody_is_named_wherever_a_worksheet_lets_people_be_named(tmp_path: Path) -> None:
    """Administrator, owners of tasks, who restores, where keys are, and every way to reach somebody go."""
    made = _made(tmp_path, _PLACED)
    before, after = _texts(made), _texts(redact_report(made, KEY))
    for name in (
        *("Petra", "Zwickl", "9917", "chem.example", "otto", "brandl", "Rudolf", "Quist", "Konstantin"),
        *("Weber", "555666", "Gustav", "Hrdlicka", "Vogelsang", "Waldtraud"),
    ):
        assert name in before
        assert name.casefold() not in after.casefold(), name


def test_roles_and_places_name_nobody(tmp_path: Path) -> None:
    """What somebody is, and words such as laboratory, stay where a name goes."""
    holder = 'holder = "M. Example, head of laboratory 4"'
    made = _made(tmp_path, "", SHEET.replace('holder = "admin"', holder))
    hidden = redact_report(made, KEY)
    assert "Example" not in hidden.arrangements[0].holder
    assert hidden.arrangements[0].holder.endswith(", head of laboratory 4")


@pytest.mark.parametrize(
    "role", ["purchasing", "IT", "installer", "instrument supplier", "head of laboratory"]
)
def test_a_role_in_place_of_a_name_stays(tmp_path: Path, role: str) -> None:
    """An answer that only says a role is no name."""
    made = _made(tmp_path, "", SHEET.replace('holder = "admin"', f'holder = "{role}"'))
    assert redact_report(made, KEY).arrangements[0].holder == role


@pytest.mark.parametrize(
    "holder",
    [
        "IT, Konstantin Weber",
        "IT: Konstantin Weber",
        "Konstantin and Weber",
        "konstantin weber",
        "Dr. Konstantin Weber (IT)",
        "Konstantin/Weber",
        "Head of laboratory; Weber, Konstantin",
    ],
)
def test_a_name_is_found_beside_a_role_and_beside_another(tmp_path: Path, holder: str) -> None:
    """Whoever is named after a role, or after somebody else, goes too."""
    made = _made(tmp_path, "", SHEET.replace('holder = "admin"', f'holder = "{holder}"'))
    shown = redact_report(made, KEY).arrangements[0].holder.casefold()
    assert "konstantin" not in shown and "weber" not in shown


def test_a_name_with_a_sharp_s_goes(tmp_path: Path) -> None:
    """Letters that are folded for comparing are found as they were written."""
    made = _made(tmp_path, "", SHEET.replace('holder = "admin"', 'holder = "Jürgen Größe"'))
    assert "gr" not in redact_report(made, KEY).arrangements[0].holder.casefold()


@pytest.mark.parametrize(
    "written", ['"Ren\\u00e9e Lindqvist"', '"Ren\\U000000e9e Lindqvist"', '"""Renée\\nLindqvist"""']
)
def test_a_name_in_escape_sequences_goes_from_the_worksheet(tmp_path: Path, written: str) -> None:
    """The worksheet's own text names nobody who is written with escape sequences in it."""
    task = f'[[tasks]]\nid = "t"\ntitle = "T"\nowner = {written}\ntakes = "1 working day"\n'
    text = _worksheet_text(redact_report(_made(tmp_path, task), KEY))
    assert "Lindqvist" not in text and "Ren" not in text


def test_a_contact_of_one_year_is_no_day(tmp_path: Path) -> None:
    """An extension that looks like a year does not take the year out of every day."""
    made = _made(tmp_path, '[people.x]\nname = "Zora Mild"\ncontact = "2027"\n')
    assert "day = 2027-03-15" in _worksheet_text(redact_report(made, KEY))


def _worksheet_text(report: Report) -> str:
    assert report.worksheet is not None
    return report.worksheet.text


def test_networks_are_replaced_in_every_sentence(tmp_path: Path) -> None:
    """A network that findings name has the pseudonym it has in the worksheet, the prefix kept."""
    lone = SHEET.replace("192.0.2.0/24", "10.77.8.0/24").replace("192.0.2.77", "10.77.9.5")
    made = _made(tmp_path, "", lone)
    assert any("10.77.8.0/24" in one.required for section in made.sections for one in section.findings)
    after = redact_report(made, KEY)
    assert "10.77." not in _texts(after)
    network = pseudonym(KEY, "ip", "10.77.8.0") + "/24"
    assert network in _worksheet_text(after)
    assert any(network in one.required for section in after.sections for one in section.findings)


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
