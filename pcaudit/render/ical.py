"""A plan as an iCalendar file (RFC 5545), for the calendars people already look at."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final

from pcaudit.core.plan.calendar_entries import Entry
from pcaudit.core.visible import visible

if TYPE_CHECKING:
    from icalendar import Event

PRODUCT: Final = "-//pcaudit//plan//EN"

_SECONDS: Final = 60
_LONGEST: Final = 1000
_DAY: Final = timedelta(days=1)


def render(title: str, entries: Sequence[Entry], stamp: datetime) -> str:
    """Draw a calendar.

    Days stand as days, times as times without a zone (RFC 5545, section 3.3.5, form 1): they
    are those of the laboratory's clocks. No entry has an alarm. The same thing has the same UID
    in every calendar made of the worksheet, so that importing a newer one replaces it.

    Args:
        title: The worksheet's.
        entries: What stands in it.
        stamp: When it was made, in UTC.

    Returns:
        Its text; lines end with CR LF, as the format asks, and must be written so.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", visible(title, _LONGEST))
    for entry in entries:
        calendar.add_component(_event(title, entry, stamp))
    text: str = calendar.to_ical().decode()
    return text


def uid(title: str, key: str) -> str:
    """The lasting name of an entry: a digest of the worksheet's title and the entry's key."""
    from hashlib import sha256

    # A length stands between them, so that no two pairs make one text.
    digest = sha256(f"{len(title)}:{title}{key}".encode("utf-8", "surrogatepass")).hexdigest()
    return f"{digest[:40]}@pcaudit"


def _event(title: str, entry: Entry, stamp: datetime) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", uid(title, entry.key))
    event.add("dtstamp", stamp)
    event.add("last-modified", stamp)
    # Calendar programs keep what they have unless the number rises (RFC 5545, section 3.8.7.4).
    event.add("sequence", int(stamp.timestamp()) // _SECONDS)
    event.add("summary", visible(entry.title, _LONGEST))
    if entry.description:
        event.add("description", visible(entry.description, _LONGEST))
    if entry.start is None:
        event.add("dtstart", entry.day)
        event.add("dtend", min(entry.day, date.max - _DAY) + _DAY)
        # Somebody who must have begun by a day is not busy all that day.
        event.add("transp", "TRANSPARENT")
    else:
        start = datetime.combine(entry.day, time(entry.start // 60, entry.start % 60))
        event.add("dtstart", start)
        if entry.minutes:
            event.add("duration", timedelta(minutes=entry.minutes))
    return event
