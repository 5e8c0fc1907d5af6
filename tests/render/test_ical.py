"""Plans as iCalendar: read back by the library and by a second parser."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
import vobject
from hypothesis import given, strategies as st

from pcaudit.core.plan.calendar_entries import Entry
from pcaudit.render.ical import render, uid

STAMP = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
DAY = date(2027, 3, 15)
ALL_DAY = Entry("begin/order", date(2027, 1, 20), "Begin: Order the PC", "Who: IT; takes 10 working days")
TIMED = Entry("day/install", DAY, "Install", start=540, minutes=180)


def _events(text: str) -> list[icalendar.Event]:
    calendar = icalendar.Calendar.from_ical(text)
    return [one for one in calendar.walk("VEVENT") if isinstance(one, icalendar.Event)]


def test_a_calendar_is_what_rfc_5545_asks() -> None:
    """Version, product and method stand in the calendar, a UID and a stamp in each entry."""
    text = render("Room 214", [ALL_DAY, TIMED], STAMP)
    calendar = icalendar.Calendar.from_ical(text)
    assert (str(calendar["version"]), str(calendar["method"])) == ("2.0", "PUBLISH")
    assert str(calendar["x-wr-calname"]) == "Room 214"
    for event in _events(text):
        assert event.decoded("dtstamp") == STAMP
        assert str(event["uid"]).endswith("@pcaudit")
        assert not event.walk("VALARM")


def test_days_stand_as_days_and_times_without_a_zone() -> None:
    """A latest start takes the whole day and makes nobody busy; the day's tasks have local times."""
    whole, timed = _events(render("t", [ALL_DAY, TIMED], STAMP))
    assert whole.decoded("dtstart") == date(2027, 1, 20)
    assert whole.decoded("dtend") == date(2027, 1, 21)
    assert str(whole["transp"]) == "TRANSPARENT"
    assert timed.decoded("dtstart") == datetime(2027, 3, 15, 9, 0)
    assert timed.decoded("duration") == timedelta(hours=3)
    # RFC 5545, section 3.3.5, form 1: neither a Z nor a zone.
    assert "DTSTART:20270315T090000\r\n" in render("t", [TIMED], STAMP)


def test_a_second_parser_reads_the_same() -> None:
    """What another library reads is what was written."""
    parsed = vobject.readOne(render("t", [ALL_DAY, TIMED], STAMP))
    first, second = parsed.vevent_list
    assert (first.dtstart.value, first.summary.value) == (date(2027, 1, 20), "Begin: Order the PC")
    assert first.description.value == ALL_DAY.description
    assert (second.dtstart.value, second.duration.value) == (datetime(2027, 3, 15, 9), timedelta(hours=3))


def test_the_same_entry_has_the_same_uid_in_every_calendar() -> None:
    """Importing a newer calendar of the worksheet replaces entries, and touches no other worksheet's."""
    assert uid("Room 214", "begin/order") == uid("Room 214", "begin/order")
    assert len({uid("a", "bc"), uid("ab", "c"), uid("a", "b"), uid("", "abc")}) == 4
    moved = ALL_DAY._replace(day=DAY, title="other")
    first, second = (_events(render("t", [one], STAMP))[0]["uid"] for one in (ALL_DAY, moved))
    assert first == second


def test_a_newer_calendar_replaces_an_older_one() -> None:
    """The number by which programs tell which is newer rises with the time a calendar is made."""
    older, newer = (_events(render("t", [ALL_DAY], STAMP + timedelta(minutes=n)))[0] for n in (0, 1))
    assert older.decoded("sequence") < newer.decoded("sequence") < 1 << 31  # RFC 5545, section 3.3.8
    assert newer.decoded("last-modified") == STAMP + timedelta(minutes=1)


def test_the_same_plan_gives_the_same_bytes() -> None:
    """The stamp is given, so nothing depends on the clock."""
    assert render("t", [ALL_DAY, TIMED], STAMP) == render("t", [ALL_DAY, TIMED], STAMP)


HOSTILE = [
    "a\r\nEND:VEVENT\r\nEND:VCALENDAR\r\nBEGIN:VCALENDAR",
    "a\nATTACH:file:///etc/passwd",
    "comma, semicolon; backslash \\ and \\n",
    'quotes " and colon : and caret ^n',
    "\u202eevil\u2066",
    "\x00\x07\x1b[31m",
    "x" * 5000,
    "\u00e4" * 200,
    "\U0001f9ea" * 60,
    "\ud800",
    "\u2028\u2029\x85",
    "",
]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_no_text_makes_another_entry_or_property(text: str) -> None:
    """Whatever a worksheet says stays within its own property, in both parsers."""
    drawn = render(text, [Entry(text, DAY, text, text), TIMED], STAMP)
    hostile, plain = _events(drawn)
    asked = {"UID", "DTSTAMP", "LAST-MODIFIED", "SEQUENCE", "SUMMARY", "DTSTART", "DTEND", "TRANSP"}
    asked |= {"DESCRIPTION"} if text else set()
    assert set(hostile) == asked
    assert str(plain["summary"]) == "Install"
    assert len(vobject.readOne(drawn).vevent_list) == 2
    assert not re.search("[\x00-\x09\x0b\x0c\x0e-\x1f\x7f\u202a-\u202e\u2066-\u2069]", drawn)


@given(st.text(max_size=300), st.text(max_size=300))
def test_any_text_is_read_back_as_it_is_shown(title: str, description: str) -> None:
    """Folding and escaping lose nothing; no line has more than 75 octets (RFC 5545, section 3.1)."""
    from pcaudit.core.visible import visible

    drawn = render("t", [Entry("k", DAY, title, description)], STAMP)
    assert all(len(line.encode()) <= 75 for line in drawn.split("\r\n"))
    assert str(_events(drawn)[0]["summary"]) == visible(title, 1000)
    other = vobject.readOne(drawn).vevent
    assert other.summary.value == visible(title, 1000)


@pytest.mark.parametrize("day", [date.min, date(999, 12, 31), date.max])
def test_days_at_the_ends_of_the_calendar_are_drawn(day: date) -> None:
    """A day in a year of three digits, or the last there is, is written with four digits and no fault."""
    drawn = render("t", [Entry("k", day, "t"), Entry("l", day, "t", start=1439, minutes=600)], STAMP)
    assert f"DTSTART;VALUE=DATE:{day.year:04d}{day.month:02d}{day.day:02d}\r\n" in drawn


def test_an_empty_plan_is_a_calendar_all_the_same() -> None:
    """Without entries the file is valid and empty."""
    assert _events(render("t", [], STAMP)) == []
