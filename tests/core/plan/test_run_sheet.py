"""The run sheet: who does, brings and answers for what on the day, and what cannot be done as planned."""

from __future__ import annotations

from datetime import date

import pytest

from pcaudit.core.choose import ask
from pcaudit.core.derive import Readings
from pcaudit.core.finding import Verdict
from pcaudit.core.plan.activities import whole_timetable
from pcaudit.core.plan.arrangements import Days, judge_arrangements
from pcaudit.core.plan.calendar import working_days
from pcaudit.core.plan.run_sheet import clock, run_sheet_section
from pcaudit.core.plan.section import Section, Table
from pcaudit.core.snapshot import Snapshot
from tests.core.worksheet.sheets import profile, sheet, wanting

DAY = date(2027, 3, 15)
AS_OF = date(2027, 3, 1)

PEOPLE = """
[people.net]
name = "R. Amsel"
role = "network administrator"
contact = "ext. 4711"
away = [{ from = 2027-03-16, to = 2027-03-20 }]

[people.lead]
name = "K. Fink"
role = "laboratory manager"
contact = "ext. 12"
"""
NET, LEAD = "R. Amsel (network administrator)", "K. Fink (laboratory manager)"


def run_sheet(text: str, asks: str = "", day: date | None = DAY) -> Section:
    """The run sheet of a worksheet with the two people."""
    worksheet = sheet(PEOPLE + text, day)
    asked = ask([profile(asks)]) if asks else []
    days = working_days(worksheet.calendar)
    readings = Readings(Snapshot("2027-03-01T09:00:00+00:00", "0.1.0", {}))
    arrangements = judge_arrangements(asked, readings, worksheet, Days(day, AS_OF, days))
    table = whole_timetable(worksheet, arrangements, days, day, AS_OF)
    return run_sheet_section(table, worksheet, arrangements, "w.toml")


def _part(section: Section, name: str) -> Table:
    return next(table for table in section.tables if table.title.split(",")[0] == name)


def _task(name: str, owner: str, on_the_day: str, more: str = "") -> str:
    head = f'[[tasks]]\nid = "{name}"\ntitle = "The {name}"\nowner = "{owner}"\n'
    return f"{head}on_the_day = {on_the_day}\n{more}\n"


def test_each_person_has_a_part_in_order_of_time() -> None:
    """A part holds one person's tasks by the clock, and ends where the task says how long it takes."""
    text = (
        _task("restore", "net", '{ from = "15:00", takes = "90 min" }')
        + _task("backup", "net", '{ from = "09:30", takes = "1 h" }', 'note = "to the file server"')
        + _task("install", "installer", '{ from = "11:00" }')
    )
    section = run_sheet(text)
    assert _part(section, NET).title == f"{NET}, ext. 4711"
    assert _part(section, NET).rows == (
        ("09:30", "The backup", "until 10:30; to the file server"),
        ("15:00", "The restore", "until 16:30"),
    )
    assert _part(section, "installer").rows == (("11:00", "The install", ""),)


def test_the_order_of_the_day_ends_with_a_restore_and_a_record() -> None:
    """Probe, backup before, installation, communication, first backup, restore, record, to tick off."""
    table = run_sheet("").tables[0]
    words = [row[1].split(":")[0].split(",")[0].split(" ")[0] for row in table.rows]
    assert words == ["Probe", "Back", "Install", "Test", "First", "Restore", "Assess"]
    assert {row[3] for row in table.rows} == {""}
    assert table.note == "Common practice, no source."


@pytest.mark.parametrize(
    ("kind", "more", "answer", "who", "line"),
    [
        (
            "licence",
            "",
            'state = "in hand"\nholder = "lead"\nkept = "safe in room 201"',
            LEAD,
            ("", "Have at hand: It", "kept: safe in room 201"),
        ),
        (
            "credential",
            'needed = "on the day"\nowner = "IT"',
            'state = "requested"',
            "IT",
            ("", "Have at hand: It", "not in hand: requested"),
        ),
        (
            "person",
            'needed = "on the day"',
            'state = "in hand"\nholder = "net"',
            NET,
            ("", "Be there: It", ""),
        ),
        ("place", 'needed = "on the day"', "", "lab", ("", "See to: It", "not in hand: not answered")),
    ],
)
def test_who_brings_what_stands_in_that_persons_part(
    kind: str, more: str, answer: str, who: str, line: tuple[str, str, str]
) -> None:
    """The holder, else the owner, has it at hand; what is not in hand says so."""
    section = run_sheet(f"[arrangements.it]\n{answer}", wanting(kind, more=more))
    assert line in _part(section, who).rows


def test_a_deputy_stands_in() -> None:
    """Who else can reach a credential has a line too."""
    answer = '[arrangements.it]\nstate = "in hand"\nholder = "lead"\ndeputy = "net"\nkept = "safe"'
    section = run_sheet(answer, wanting("credential"))
    assert _part(section, NET).rows == (("", f"Stand in for {LEAD}: It", "kept: safe"),)


@pytest.mark.parametrize(
    "answer", ['state = "not needed"\nbecause = "x"\nby = "lead"', ""], ids=["not needed", "before the day"]
)
def test_what_is_not_needed_on_the_day_is_in_nobodys_part(answer: str) -> None:
    """What was dropped, and what is no thing to bring and not for the day, is left out."""
    kind = "licence" if answer else "place"
    section = run_sheet(f"[arrangements.it]\n{answer}", wanting(kind))
    assert not any("It" in row[1] for table in section.tables[1:] for row in table.rows)


def test_network_and_recovery_are_somebodys() -> None:
    """The network administrator is there, and somebody has the recovery sheet, never the key itself."""
    text = """
[network]
administrator = "net"
[backup]
recovery = { who = "net", medium = "stick in the safe", keys = "safe in room 201" }
"""
    assert _part(run_sheet(text), NET).rows == (
        ("", "Be there for the network", "not booked yet"),
        (
            "",
            "Have the recovery sheet; restore the PC if the installation fails",
            "start from: stick in the safe; recovery keys: safe in room 201",
        ),
    )


def test_contacts_say_who_is_away() -> None:
    """Everybody of the worksheet with role and telephone, and who is not there."""
    rows = _part(run_sheet("", day=date(2027, 3, 16)), "Contacts").rows
    assert rows == (
        ("R. Amsel", "network administrator", "ext. 4711", "away until 2027-03-20"),
        ("K. Fink", "laboratory manager", "ext. 12", ""),
    )


def test_who_has_a_part_and_is_away_is_unmet() -> None:
    """The absence is named with what is missing by it; who has no part may be away."""
    text = _task("backup", "net", "true")
    away = run_sheet(text, day=date(2027, 3, 16)).findings
    assert [(one.id, one.verdict) for one in away] == [("run-sheet.people[net]", Verdict.UNMET)]
    assert (away[0].required, away[0].found) == (
        "there for: The backup",
        "away from 2027-03-16 to 2027-03-20",
    )
    assert run_sheet(text).findings == ()
    assert run_sheet("", day=date(2027, 3, 16)).findings == ()


@pytest.mark.parametrize("named", ["R. Amsel", "r. amsel", "R. Amsel (network administrator)", "NET"])
@pytest.mark.parametrize(
    "part",
    [
        '[backup]\nrecovery = {{ who = "{}", medium = "stick", keys = "safe" }}',
        '[network]\nadministrator = "{}"\nbooked = true',
        '[[tasks]]\nid = "a"\ntitle = "A"\nowner = "{}"\non_the_day = true',
    ],
)
def test_whoever_is_named_by_name_has_one_part(part: str, named: str) -> None:
    """A task, the network and the restore are the person's, by whatever word that person is named."""
    found = run_sheet(part.format(named), day=date(2027, 3, 16))
    assert [one.id for one in found.findings] == ["run-sheet.people[net]"]
    assert _part(found, NET).rows


def test_two_people_of_one_name_are_told_apart() -> None:
    """The absence of the second is not hidden by the first."""
    second = '[people.two]\nname = "K. Fink"\nrole = "laboratory manager"\n'
    second += "away = [{ from = 2027-03-15, to = 2027-03-15 }]\n"
    found = run_sheet(second + _task("a", "two", "true")).findings
    assert [one.id for one in found] == ["run-sheet.people[two]"]
    assert run_sheet(second + _task("a", "lead", "true")).findings == ()


@pytest.mark.parametrize(("start", "unmet"), [("11:59", True), ("12:00", False), ("12:30", False)])
def test_a_task_of_the_day_waits_for_the_end_of_what_it_comes_after(start: str, unmet: bool) -> None:
    """A restore that begins before the backup ends cannot be done as planned."""
    text = _task("backup", "IT", '{ from = "10:00", takes = "2 h" }')
    text += _task("restore", "IT", f'{{ from = "{start}" }}', 'after = ["backup"]')
    found = run_sheet(text).findings
    assert [one.id for one in found] == (["run-sheet.order[restore]"] if unmet else [])
    assert not unmet or (found[0].verdict, found[0].required) == (
        Verdict.UNMET,
        "from 12:00 at the earliest",
    )


def test_one_person_does_one_thing_at_a_time() -> None:
    """Overlapping tasks of a person are marginal; IT may be several people."""
    text = _task("a", "net", '{ from = "10:00", takes = "3 h" }')
    text += _task("b", "net", '{ from = "10:30", takes = "30 min" }')
    text += _task("c", "net", '{ from = "12:00", takes = "30 min" }')
    text += _task("d", "net", '{ from = "13:00", takes = "30 min" }')
    assert [(one.id, one.verdict) for one in run_sheet(text).findings] == [
        ("run-sheet.once[b]", Verdict.MARGINAL),
        ("run-sheet.once[c]", Verdict.MARGINAL),
    ]
    assert run_sheet(text.replace('"net"', '"IT"')).findings == ()


def test_without_a_day_there_is_no_run_sheet() -> None:
    """The section says what to write; without timed tasks it says that none is."""
    assert run_sheet("", day=None).tables == ()
    assert "write `day`" in run_sheet("", day=None).not_asked[0]
    assert "no task has `on_the_day`" in run_sheet("").not_asked[0]
    assert run_sheet(_task("a", "IT", "true")).not_asked == ()


def test_a_task_over_midnight_ends_the_day_after() -> None:
    """Times beyond midnight say so."""
    assert (clock(0), clock(1439), clock(1441)) == ("00:00", "23:59", "00:01 the day after")
