"""What a worksheet says of backup."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from pcaudit.core.worksheet.backup import Backup, Destination, Recovery, Window
from pcaudit.core.worksheet.raid import usable
from pcaudit.core.worksheet.term import Term
from tests.core.worksheet.backup_sheets import backup_mistakes, backup_of

TB = 10**12

WHOLE = """
[people.network-admin]
name = "R. Amsel"
contact = "ext. 4711"

[backup]
rpo = "24 h"
rto = "8 h"
mtd = "2 d"
window = { from = "20:00", to = "06:00" }
scheme = "incremental"
full_every = "week"
daily = 4
weekly = 4
monthly = 12
yearly = 10
image = "60 GB"
last_restore_test = 2026-10-01
restore_test_every = "3 months"
recovery = { who = "network-admin", medium = "stick in the safe", keys = "safe in room 201" }

[[backup.destinations]]
id = "nas"
title = "File server in the basement"
kind = "file server"
capacity = "8 TB"
link = "1 Gbit/s"
mtu = 9000
vlan = true
measured = "600 Mbit/s"
offsite = false
offline = false
encrypted = true
holds = ["full", "incremental"]
every = "day"

[[backup.destinations]]
id = "disk"
kind = "Disk"
holds = ["full"]
"""


def test_every_key_is_read() -> None:
    """Durations become seconds, the window minutes, rates bit/s; a person's id becomes name and contact."""
    backup = backup_of(WHOLE)
    assert backup[3:-2] == (
        *(Fraction(24 * 3600), Fraction(8 * 3600), Fraction(2 * 86400)),
        Window(20 * 60, 6 * 60),
        *("incremental", "week", 4, 4, 12, 10, 60 * 10**9, date(2026, 10, 1), Term(months=3)),
        Recovery("R. Amsel, ext. 4711", "stick in the safe", "safe in room 201"),
    )
    nas, disk = backup.destinations
    assert nas[:-2] == (
        *("nas", "File server in the basement", "file server", 8 * TB, Fraction(10**9), 9000, True),
        *(Fraction(600 * 10**6), False, False, True, True, "day"),
    )
    assert disk == Destination("disk", "disk", "disk", partials=False, line=37, lines=disk.lines)
    assert (nas.line_of("capacity"), nas.line_of("disks"), disk.line_of("kind")) == (26, 22, 39)
    assert (backup.line, backup.line_of("rto"), backup.line_of("nothing")) == (6, 8, 6)


def test_without_the_section_nothing_is_asked() -> None:
    """A worksheet without [backup] has none, and no mistake."""
    assert backup_of("title = 'x'") == Backup()


def test_blanks_are_no_mistakes() -> None:
    """An empty section, and a destination with nothing but an id, are questions not yet answered."""
    blank = backup_of('[backup]\nrpo = ""\nwindow = { from = "", to = "" }\ndaily = ""')
    assert blank == Backup(asked=True, file="w.toml", line=1, lines=blank.lines)
    (one,) = backup_of('[[backup.destinations]]\nid = "nas"').destinations
    assert one == Destination("nas", "nas", line=1, lines=one.lines)


def test_a_window_runs_over_midnight() -> None:
    """From 20:00 to 06:00 is ten hours, from 06:00 to 20:00 fourteen."""
    over = Window(20 * 60, 6 * 60)
    assert (over.seconds, over.shown()) == (10 * 3600, "20:00 to 06:00")
    assert Window(6 * 60, 20 * 60).seconds == 14 * 3600


def test_who_restores_may_be_a_text() -> None:
    """Who is no id of a person, or one without a name, is kept as written."""
    assert backup_of('[backup]\nrecovery = { who = "helpdesk" }').recovery.who == "helpdesk"
    nameless = '[people.it]\nrole = "x"\n[backup]\nrecovery = { who = "it" }'
    assert backup_of(nameless).recovery.who == "it"


def test_capacity_follows_from_disks() -> None:
    """Four disks of 4 TB at level 5 hold 12 TB."""
    text = '[[backup.destinations]]\nid = "nas"\nraid = "5"\ndisks = ["4 TB", "4 TB", "4 TB", "4 TB"]'
    assert backup_of(text).destinations[0].capacity == 12 * TB


@pytest.mark.parametrize(
    ("level", "disks", "expected"),
    [
        # What four disks of 4 TB hold at each level: arithmetic of the level's definition, as the
        # SNIA dictionary gives it (from memory).
        ("0", [4 * TB] * 4, 16 * TB),
        ("5", [4 * TB] * 4, 12 * TB),
        ("6", [4 * TB] * 4, 8 * TB),
        ("10", [4 * TB] * 4, 8 * TB),
        ("1", [4 * TB] * 4, 4 * TB),
        ("5", [4 * TB, 4 * TB, 2 * TB, 4 * TB], 6 * TB),
    ],
)
def test_what_disks_hold_by_level(level: str, disks: list[int], expected: int) -> None:
    """Each level holds what its definition leaves, counted by the smallest disk."""
    assert usable(level, disks) == expected


def test_twelve_terabytes_in_binary_units() -> None:
    """12 TB, what level 5 leaves of four disks of 4 TB, are 10.91 TiB."""
    assert round(usable("5", [4 * TB] * 4) / 2**40, 2) == 10.91


WRONG = {
    'rpo = "-1 h"': ("backup.rpo", "not negative", "30 min"),
    'rpo = "24 GB"': ("backup.rpo", "not a unit", "h"),
    'rpo = "never"': ("backup.rpo", "cannot be never", ""),
    'rto = "5000 d"': ("backup.rto", "out of reason", "at most"),
    'window = { from = "20:00", to = "20:00" }': ("backup.window", "same time", "06:00"),
    'window = { from = "25:00", to = "06:00" }': ("backup.window.from", "time of day", "22:00"),
    'window = { form = "20:00" }': ("backup.window.form", "unknown key", "from"),
    'window = "20:00"': ("backup.window", "is a section", ""),
    'scheme = "incrementl"': ("backup.scheme", "none of what", "incremental"),
    'full_every = "year"': ("backup.full_every", "none of what", "month"),
    "daily = -1": ("backup.daily", "a whole number from 0", "-1"),
    "daily = 1.5": ("backup.daily", "is a whole number", "without quotes"),
    "yearly = 500": ("backup.yearly", "to 100", "500"),
    'image = "60"': ("backup.image", "no unit", "GB"),
    'image = "0 GB"': ("backup.image", "restores no PC", "60 GB"),
    'image = "999 MB"': ("backup.image", "restores no PC", "leave it blank"),
    "daily = 0\nweekly = 0\nmonthly = 0\nyearly = 0": ("backup.daily", "no copy is kept", "weekly = 4"),
    'restore_test_every = "100 years"': ("backup.restore_test_every", "out of reason", "5 years"),
    'restore_test_every = "1827 days"': ("backup.restore_test_every", "out of reason", "3 months"),
    'last_restore_test = "1 October"': ("backup.last_restore_test", "is a day", "without quotes"),
    'restore_test_every = "often"': ("backup.restore_test_every", "no span of time", "3 months"),
    'recovery = { key = "x" }': ("backup.recovery.key", "unknown key", "keys"),
    'rpo = "0 h"': ("backup.rpo", "ambiguous", "write rpo ="),
    "rpo = 24": ("backup.rpo", "with its unit", "write rpo ="),
    'rp0 = "24 h"': ("backup.rp0", "unknown key", "rpo"),
}


@pytest.mark.parametrize("line", WRONG)
def test_a_wrong_value_is_told_with_line_key_and_what_would_be_right(line: str) -> None:
    """Each mistake names its key and line and what would be right."""
    key, message, hint = WRONG[line]
    (mistake,) = backup_mistakes("[backup]\n" + line)
    assert mistake.key == key
    assert message in mistake.message
    assert hint in mistake.hint
    assert mistake.place is not None
    assert mistake.place.line == 2


@pytest.mark.parametrize(
    "lines",
    [
        "daily = 0\nweekly = 0\nmonthly = 0",
        "daily = 0\nweekly = 0\nmonthly = 0\nyearly = 1",
        'image = "1 GB"',
        'restore_test_every = "60 months"',
    ],
)
def test_the_least_that_is_accepted(lines: str) -> None:
    """One copy of any kind, a gigabyte and five years are no slip of the finger, nor is a blank."""
    assert not backup_mistakes("[backup]\n" + lines)


@pytest.mark.parametrize("value", ['"never"', '"0 h"', "24"])
def test_no_hint_offers_what_is_refused(value: str) -> None:
    """No duration of a worksheet can be never, so none is told to be written so."""
    (mistake,) = backup_mistakes(f"[backup]\nrpo = {value}")
    assert mistake.hint == 'write rpo = "30 min"'


WRONG_DESTINATION = {
    'kind = "floppy"': ("kind", "none of what", "file server"),
    'capacity = "0 TB"': ("capacity", "out of reason", "more than nothing"),
    'capacity = "8 Gbit/s"': ("capacity", "not a unit", "TB"),
    'link = "0 bit/s"': ("link", "out of reason", "at least 1"),
    'link = "1 GB"': ("link", "not a unit", "Gbit/s"),
    "mtu = 100": ("mtu", "from 1280 to 9216", "100"),
    'link = "1 Gbit/s"\nmeasured = "2 Gbit/s"': ("measured", "higher than that of the link", "correct"),
    'offsite = "yes"': ("offsite", "true or false", "without quotes"),
    'holds = ["incremental"]': ("holds", "nothing can be restored", '["full"]'),
    'holds = ["ful"]': ("holds", "no copy", '["full"]'),
    'every = "hour"': ("every", "none of what", "day"),
    'raid = "5"': ("raid", "without disks", "4 TB"),
    'disks = ["4 TB", "4 TB"]': ("disks", "without a level", "'5'"),
    'raid = "5"\ndisks = ["4 TB", "4 TB"]': ("disks", "cannot be made of 2", "3 or more"),
    'raid = "10"\ndisks = ["4 TB", "4 TB", "4 TB", "4 TB", "4 TB"]': ("disks", "of 5", "even"),
    'raid = "0"\ndisks = ["4 TB", "4 V"]': ("disks", "not a unit", "TB"),
    'raid = "0"\ndisks = ["4 TB", "0 TB"]': ("disks", "out of reason", "more than nothing"),
    'raid = "0"\ndisks = ["4 TB", "4 TB"]\ncapacity = "8 TB"': ("disks", "given twice", "leave out"),
    'sort = "disk"': ("sort", "unknown key", ""),
}


@pytest.mark.parametrize("text", WRONG_DESTINATION)
def test_a_wrong_destination_is_told(text: str) -> None:
    """Each mistake names the destination by its number, the key and what would be right."""
    key, message, hint = WRONG_DESTINATION[text]
    mistakes = backup_mistakes(f'[[backup.destinations]]\nid = "nas"\n{text}')
    assert mistakes[0].key == f"backup.destinations[1].{key}"
    assert message in mistakes[0].message
    assert hint in mistakes[0].hint
    assert mistakes[0].place is not None
    assert mistakes[0].place.line >= 3


def test_ids_are_asked_for_and_used_once() -> None:
    """A destination without an id, and a second one with the same, are told and left out."""
    (mistake,) = backup_mistakes('[[backup.destinations]]\nkind = "disk"')
    assert "every destination has an `id`" in mistake.message
    twice = '[[backup.destinations]]\nid = "nas"\n' * 2
    (mistake,) = backup_mistakes(twice)
    assert "used twice" in mistake.message
