"""The calendar of a worksheet: what must begin when, what is late, and what decides the day."""

from __future__ import annotations

from datetime import date

import pytest

from pcaudit.core.choose import ask
from pcaudit.core.derive import Readings
from pcaudit.core.finding import Finding, Verdict
from pcaudit.core.plan.activities import Timetable, whole_timetable
from pcaudit.core.plan.arrangements import Days, judge_arrangements
from pcaudit.core.plan.calendar import calendar_section, holiday_years, working_days
from pcaudit.core.plan.calendar_entries import calendar_entries
from pcaudit.core.plan.critical_path import Stage
from pcaudit.core.plan.section import Section
from pcaudit.core.snapshot import Snapshot
from pcaudit.loading import public_holidays
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED
from tests.core.worksheet.sheets import profile, sheet, wanting

DAY = date(2027, 3, 15)  # a Monday
AS_OF = date(2026, 11, 25)


def table_of(text: str, asks: str = "", day: date | None = DAY, as_of: date = AS_OF) -> Timetable | None:
    """The timetable of a worksheet, with the arrangements a profile asks."""
    worksheet = sheet(text, day)
    asked = ask([profile(asks)]) if asks else []
    days = working_days(worksheet.calendar)
    readings = Readings(Snapshot("2026-11-25T09:00:00+00:00", "0.1.0", {}))
    arrangements = judge_arrangements(asked, readings, worksheet, Days(day, as_of, days))
    return whole_timetable(worksheet, arrangements, days, day, as_of)


def section_of(text: str, asks: str = "", day: date | None = DAY, as_of: date = AS_OF) -> Section:
    """The calendar of a worksheet."""
    table = table_of(text, asks, day, as_of)
    return calendar_section(table, sheet(text, day).calendar, "w.toml", 3)


def found(section: Section, name: str) -> Finding | None:
    """The finding of a name; None where there is none."""
    return next((one for one in section.findings if one.id == f"calendar.{name}"), None)


def _task(name: str, more: str = "") -> str:
    return f'[[tasks]]\nid = "{name}"\ntitle = "The {name}"\nowner = "IT"\n{more}\n'


# Twelve weeks before a day to the day, as laboratories go about it (common practice, no source).
WHOLE_JOB = (
    _task("order", 'takes = "10 working days"')
    + _task("probe", 'takes = "2 working days"\nafter = ["order"]')
    + _task("image", 'takes = "4 weeks"\nafter = ["probe"]')
    + _task("freeze", 'takes = "5 working days"\nafter = ["image"]')
    + _task("outlets", 'takes = "8 weeks"\nbefore = ["install"]')
    + _task("install", 'after = ["freeze"]\non_the_day = { from = "09:00", takes = "3 h" }')
    + _task("sign", 'takes = "1 working day"\nafter = ["install"]')
)


def test_the_whole_job_goes_back_from_the_day() -> None:
    """Latest starts of a chain and of what stands beside it, counted by hand on a calendar of 2027."""
    table = table_of(WHOLE_JOB)
    assert table
    assert {name: one.latest_start.isoformat() for name, one in table.timings.items()} == {
        "order": "2027-01-20",
        "probe": "2027-02-03",
        "image": "2027-02-05",
        "freeze": "2027-03-05",
        "outlets": "2027-01-15",
        "install": "2027-03-15",
    }
    # 25 November to 15 January is less than to 20 January: the outlets decide.
    assert table.path[0] == "outlets"
    assert table.later == {"sign"}


def test_the_table_is_in_order_of_latest_starts() -> None:
    """What must begin first stands first; what comes after the day last, without days."""
    rows = section_of(WHOLE_JOB).tables[0].rows
    assert [row[3] for row in rows] == [
        "The outlets",
        "The order",
        "The probe",
        "The image",
        "The freeze",
        "The install",
        "The sign",
    ]
    assert rows[0] == ("2027-01-15", "2027-03-12", "37 *", "The outlets", "IT", "not begun")
    assert rows[-2] == ("2027-03-15", "2027-03-15", "", "The install", "IT", "on the day")
    assert rows[-1] == ("", "", "", "The sign", "IT", "after the day")


def test_what_is_done_is_left_out_of_the_table_and_counted() -> None:
    """The table is work to do; how much is done stands below it."""
    table = section_of(WHOLE_JOB.replace('id = "order"', 'id = "order"\ndone = true')).tables[0]
    assert "The order" not in [row[3] for row in table.rows]
    assert table.note.endswith("Left out: 1 done or in hand.")
    assert len(table.data) == len(table.rows) == 6


def test_the_critical_path_is_told_with_its_slack() -> None:
    """A note names the chain and how many working days are left on it, or short."""
    assert (
        "Critical path, 37 working days of slack: The outlets > installation." in section_of(WHOLE_JOB).notes
    )
    late = section_of(WHOLE_JOB, as_of=date(2027, 1, 18))
    assert "Critical path, 1 working day short: The outlets > installation." in late.notes


# -- how a task stands


@pytest.mark.parametrize(
    ("more", "as_of", "verdict"),
    [
        ("done = 2026-11-20", AS_OF, MET),
        ("done = true", date(2028, 1, 1), MET),
        ("", AS_OF, UNVERIFIED),
        ("", date(2027, 3, 5), UNVERIFIED),  # its latest start
        ("", date(2027, 3, 6), UNMET),
        ("done = false", date(2027, 3, 8), UNMET),
        ("begun = 2027-03-01", date(2027, 3, 8), UNVERIFIED),
        ("begun = 2027-03-08", date(2027, 3, 9), UNMET),  # five working days later it is due
        ("begun = true", date(2027, 3, 9), UNVERIFIED),  # nobody says when it will be done
        ("begun = true", date(2027, 3, 12), UNVERIFIED),  # its last day
        ("begun = true", date(2027, 3, 15), UNMET),  # due on the Friday before
        (
            "done = 2027-03-01",
            date(2027, 2, 1),
            UNVERIFIED,
        ),  # a day still to come
        ("begun = 2027-03-01", date(2027, 2, 1), UNVERIFIED),
        ("begun = 2027-01-10\ndone = 2027-03-12", date(2027, 2, 1), UNVERIFIED),
        ("begun = 2027-01-10\ndone = 2027-03-13", date(2027, 2, 1), UNMET),
    ],
)
def test_a_task_is_met_done_open_in_time_and_unmet_late(more: str, as_of: date, verdict: Verdict) -> None:
    """Not done and past its latest start is unmet; begun is judged by when it will be done."""
    one = found(section_of(_task("a", f'takes = "5 working days"\n{more}'), as_of=as_of), "tasks[a]")
    assert one
    assert one.verdict is verdict
    assert verdict is MET or one.remedy


@pytest.mark.parametrize(
    ("more", "state", "words"),
    [
        ("begun = 2027-02-02", "not begun", "open, by IT"),  # tomorrow
        ("begun = 2027-02-01", "begun 2027-02-01", "open, by IT"),
        ("begun = 2027-01-11", "begun 2027-01-11", "it was to be done by 2027-01-18; due by 2027-03-12"),
        ("begun = true", "begun", "when it will be done is not said; due by 2027-03-12"),
    ],
)
def test_what_is_open_says_how_far_it_is(more: str, state: str, words: str) -> None:
    """A day still to come is none on which it was begun; a past promise and an unknown one are named."""
    text = _task("a", f'takes = "5 working days"\n{more}')
    one = found(section_of(text, as_of=date(2027, 2, 1)), "tasks[a]")
    assert one
    assert (one.verdict, one.found, one.why) == (UNVERIFIED, state, words)


def test_an_arrangement_for_the_day_may_come_after_work_of_the_day() -> None:
    """What is needed on the day only can wait for a task of that day."""
    work = _task("a", 'on_the_day = true\nbefore = ["it"]')
    section = section_of(work + '[arrangements.it]\nstate = "missing"\nneeded = "on the day"\n', wanting())
    assert found(section, "arrangements[it]") is None


def test_a_late_task_says_by_how_much_and_whose_it_is() -> None:
    """Who must hurry reads by how many working days, and where it stands."""
    one = found(section_of(_task("a", 'takes = "5 working days"'), as_of=date(2027, 3, 9)), "tasks[a]")
    assert one
    assert one.found == "not begun; its latest start was 2027-03-05"
    assert one.remedy == "Begin it today and gain 2 working days, or move the installation day by as many."
    assert (one.owner, one.profile, one.line) == ("IT", "w.toml", 4)


def test_what_waits_for_something_late_says_so() -> None:
    """A task behind a late one is open, not late itself, and names the late one."""
    text = _task("a", 'takes = "5 working days"') + _task("b", 'takes = "1 working day"\nafter = ["a"]')
    section = section_of(text, as_of=date(2027, 3, 8))
    first, then = found(section, "tasks[a]"), found(section, "tasks[b]")
    assert first
    assert first.verdict is UNMET
    assert then
    assert (then.verdict, then.why) == (
        UNVERIFIED,
        "it waits for The a (line 4), and would be done 2 working days late",
    )


def test_work_of_the_day_and_after_it_is_not_late() -> None:
    """What is done on the day is in the run sheet; what follows it does not hold it up."""
    section = section_of(WHOLE_JOB)
    assert found(section, "tasks[install]") is None
    after = found(section, "tasks[sign]")
    assert after
    assert after.verdict is Verdict.NOT_APPLICABLE


def test_a_task_without_a_time_counts_as_no_time_and_that_is_told() -> None:
    """Nothing is guessed: its latest start is not known, and what comes before it is not held up by it."""
    section = section_of(_task("a"))
    assert section.tables[0].rows[0][:2] == ("not known", "2027-03-12")
    assert "How long this takes is not said, so it counts as no time: The a." in section.notes


# -- arrangements


def _arranged(answer: str, tasks: str = "", as_of: date = AS_OF, lead: str = "10 working days") -> Section:
    asks = wanting(more=f'lead_time = "{lead}"')
    return section_of(f"[arrangements.it]\n{answer}\n{tasks}", asks, as_of=as_of)


def test_what_waits_for_an_arrangement_makes_it_needed_earlier() -> None:
    """A licence in time for the day is late where four weeks of work wait for it."""
    work = _task("a", 'takes = "4 weeks"\nafter = ["it"]')
    late = date(2027, 2, 5)
    assert found(_arranged('state = "missing"', as_of=late), "arrangements[it]") is None
    one = found(_arranged('state = "missing"', work, late), "arrangements[it]")
    assert one
    assert (one.verdict, one.found) == (UNMET, "missing; its latest start was 2027-01-29")
    promised = 'state = "requested"\nexpected = 2027-02-15'
    one = found(_arranged(promised, work, date(2027, 2, 1)), "arrangements[it]")
    assert one
    assert (one.verdict, one.found) == (UNMET, "requested, to be done by 2027-02-15: 1 working day late")


def test_an_unanswered_arrangement_is_not_called_late() -> None:
    """It may be in hand already: nobody has said."""
    one = found(_arranged("", as_of=date(2027, 3, 8)), "arrangements[it]")
    assert one
    assert one.verdict is UNVERIFIED
    assert one.why.startswith("whether it is in hand is not said")


def test_what_is_told_as_late_already_is_not_told_twice() -> None:
    """An arrangement that is unmet by its own lead time has no second finding here."""
    assert found(_arranged('state = "missing"', as_of=date(2027, 3, 8)), "arrangements[it]") is None


@pytest.mark.parametrize("answer", ['state = "in hand"', 'state = "not needed"\nbecause = "x"\nby = "y"'])
def test_what_is_in_hand_or_not_needed_holds_nothing_up(answer: str) -> None:
    """A task behind it can begin today."""
    work = _task("a", 'takes = "1 working day"\nafter = ["it"]')
    table = table_of(f"[arrangements.it]\n{answer}\n{work}", wanting(more='lead_time = "8 months"'))
    assert table
    assert table.timings["a"].earliest_start == AS_OF


def test_an_arrangement_cannot_be_needed_before_the_day_and_come_after_it() -> None:
    """What waits for a task of the day is not there before the day."""
    work = _task("a", 'on_the_day = true\nbefore = ["it"]')
    one = found(_arranged('state = "missing"', work), "arrangements[it]")
    assert one
    assert (one.verdict, one.found) == (UNMET, "it comes after what is done on the day itself")


def test_a_task_with_the_id_of_an_arrangement_nobody_answered_hides_neither() -> None:
    """Both stand on the calendar."""
    table = table_of(_task("it", 'takes = "1 week"'), wanting())
    assert table
    assert set(table.items) == {"it", "arrangements.it"}


def test_the_labs_own_arrangements_are_on_the_calendar() -> None:
    """What no profile asks is timed like what one does."""
    own = '[arrangements.van]\nkind = "supply"\ntitle = "Van"\nstate = "missing"\nlead_time = "1 week"'
    table = table_of(own)
    assert table
    assert table.timings["van"].latest_start == date(2027, 3, 5)


def test_a_promise_without_a_day_is_counted_from_the_request() -> None:
    """Requested on a day it is there its lead time later; without either day nobody knows."""
    asks = wanting(more='lead_time = "10 working days"')
    text = '[arrangements.it]\nstate = "requested"\nrequested = 2027-02-22\n'
    table = table_of(text, asks, as_of=date(2027, 2, 24))
    assert table
    assert table.items["it"].stage is Stage.BEGUN
    assert table.timings["it"].earliest_finish == date(2027, 3, 8)


def test_a_request_still_to_come_is_none_yet() -> None:
    """What is to be requested next week is open, and counts from today."""
    text = '[arrangements.it]\nstate = "requested"\nrequested = 2027-02-26\nexpected = 2027-03-01\n'
    table = table_of(text, wanting(more='lead_time = "10 working days"'), as_of=date(2027, 2, 24))
    assert table
    assert (table.items["it"].stage, table.items["it"].state) == (Stage.OPEN, "to be requested 2027-02-26")
    assert table.timings["it"].earliest_finish == date(2027, 3, 10)


# -- the day


@pytest.mark.parametrize(
    ("day", "verdict", "words"),
    [
        (DAY, MET, "Monday, 2027-03-15"),
        (date(2027, 3, 14), MARGINAL, "Sunday, 2027-03-14: no working day"),
        (date(2026, 11, 20), MARGINAL, "Friday, 2026-11-20: 5 days before the day work counts from"),
        (AS_OF, MET, "Wednesday, 2026-11-25"),
    ],
)
def test_the_day_itself_is_looked_at(day: date, verdict: Verdict, words: str) -> None:
    """A day in the past or without work is a warning; it decides nothing."""
    one = found(section_of(WHOLE_JOB, day=day), "day")
    assert one
    assert (one.verdict, one.binding, one.found) == (verdict, False, words)


def test_without_a_day_nothing_is_counted() -> None:
    """A worksheet without an installation day says what to write, and calls nothing late."""
    section = section_of(WHOLE_JOB, day=None)
    assert (section.findings, section.tables) == ((), ())
    assert "write `day` into [installation]" in section.not_asked[0]


def test_listed_holidays_move_latest_starts() -> None:
    """A week without work moves five working days a week earlier."""
    text = "[calendar]\nholidays = [{ from = 2027-03-08, to = 2027-03-12 }]\n" + _task(
        "a", 'takes = "5 working days"'
    )
    table = table_of(text)
    assert table
    assert table.timings["a"].latest_start == date(2027, 2, 26)


# -- public holidays


def test_public_holidays_of_a_country_count() -> None:
    """The fixed ones of Austria are left out (Arbeitsruhegesetz, paragraph 7), and the library is named."""
    years = holiday_years(DAY, AS_OF)
    assert list(years) == [2025, 2026, 2027, 2028]
    known = public_holidays("AT", "9", years)
    assert {date(2026, 12, 8), date(2026, 12, 25), date(2027, 1, 1), date(2027, 1, 6)} <= known.days
    assert "Public holidays of AT, subdivision 9 by the library holidays" in known.notes[0]
    days = working_days(sheet("").calendar, known.days)
    assert days.back(date(2027, 1, 7), 1) == date(2027, 1, 5)


@pytest.mark.parametrize(("country", "part"), [("XX", ""), ("AT", "ZZ")])
def test_an_unknown_country_is_told_and_not_counted(country: str, part: str) -> None:
    """No holidays, and a note that says to list them."""
    known = public_holidays(country, part, [2027])
    assert not known.days
    assert "were not counted" in known.notes[0]


def test_no_country_has_no_holidays_and_no_note() -> None:
    """Who names no country is told nothing of the library."""
    assert public_holidays("", "", [2027]) == (frozenset(), ())


def test_a_missing_library_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the optional library a plan is made all the same, and says what it left out."""
    import sys

    monkeypatch.setitem(sys.modules, "holidays", None)
    known = public_holidays("AT", "", [2027])
    assert len(known.notes) == 1
    assert known.notes[0].startswith(
        "Public holidays of AT were not counted, for the library holidays is not"
    )
    assert known.notes[0].endswith("list the days under `holidays`.")


def test_years_of_holidays_are_bounded() -> None:
    """A day far off does not ask for thousands of years of holidays."""
    assert len(holiday_years(date(9999, 1, 1), AS_OF)) <= 13
    assert len(holiday_years(date(1, 1, 1), AS_OF)) <= 13
    assert list(holiday_years(None, date(9999, 1, 1))) == [9998, 9999]


# -- entries


def test_entries_are_latest_starts_due_days_and_the_day_itself() -> None:
    """What is not begun has its latest start, what is begun its due day, work of the day its time."""
    text = WHOLE_JOB.replace('id = "outlets"', 'id = "outlets"\nbegun = 2026-11-20') + _task(
        "done", "done = true"
    )
    table = table_of(text)
    assert table
    entries = {one.key: one for one in calendar_entries(table, "Room 214")}
    assert set(entries) == {
        *("installation", "begin/order", "begin/probe", "begin/image", "begin/freeze"),
        *("due/outlets", "day/install"),
    }
    assert entries["begin/order"].day == date(2027, 1, 20)
    assert entries["due/outlets"].day == date(2027, 3, 12)
    assert entries["day/install"][4:] == (540, 180)
    assert entries["installation"].title == "Installation day: Room 214"


@pytest.mark.parametrize(
    ("title", "says"),
    [
        ("Installation: Sorption analyser", "Installation day: Sorption analyser"),
        ("installation:", "Installation day"),
        ("Installation of the analyser", "Installation of the analyser"),
        ("Installations in room 214", "Installation day: Installations in room 214"),
        ("Installation", "Installation day: Installation"),
        ("", "Installation day"),
    ],
)
def test_the_day_is_called_once_what_it_is(title: str, says: str) -> None:
    """A title that begins as fresh worksheets' do is not said to be an installation twice."""
    table = table_of("")
    assert table
    (entry,) = calendar_entries(table, title)
    assert entry.title == says
