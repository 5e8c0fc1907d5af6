"""What a worksheet says of the data."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from pcaudit.core.worksheet.data import Data
from pcaudit.core.worksheet.term import Term, days_of, later
from tests.core.worksheet.backup_sheets import data_mistakes, data_of

WHOLE = """
[data]
per_run = "1.2 GB"
runs_per_day = 20
days_per_week = 5
retention = "10 years"
compressibility = "40 %"
change_rate = "3 %"
volume = "D:"
capacity = "2 TB"
reserve = "15 %"
used = "200 GB"
configuration = "40 GB"
archive = "results server"
"""


def test_every_key_is_read() -> None:
    """Sizes become bytes, shares and counts exact fractions, the span months."""
    data = data_of(WHOLE)
    assert data == Data(
        asked=True,
        file="w.toml",
        line=2,
        per_run=1_200_000_000,
        runs_per_day=Fraction(20),
        days_per_week=Fraction(5),
        retention=Term(months=120),
        compressibility=Fraction(2, 5),
        change_rate=Fraction(3, 100),
        volume="D:",
        capacity=2 * 10**12,
        reserve=Fraction(3, 20),
        used=200 * 10**9,
        configuration=40 * 10**9,
        archive="results server",
        lines=data.lines,
    )
    assert data.line_of("per_run") == 3
    assert data.line_of("configuration") == 13


def test_without_the_section_nothing_is_asked() -> None:
    """A worksheet without [data] has none, and no mistake."""
    assert data_of("title = 'x'") == Data()


def test_blanks_are_no_mistakes() -> None:
    """An empty section, and keys with empty texts, are questions not yet answered."""
    blank = data_of('[data]\nper_run = ""\nruns_per_day = ""\nretention = ""\nreserve = ""\nvolume = ""')
    assert blank.asked
    assert (blank.per_run, blank.runs_per_day, blank.retention, blank.reserve) == (None,) * 4
    assert blank.line_of("used") == 1


def test_half_a_byte_is_to_the_safe_side() -> None:
    """What is needed is rounded up, what is there down."""
    data = data_of('[data]\nper_run = "1.5 B"\ncapacity = "1.5 B"')
    assert (data.per_run, data.capacity) == (2, 1)


def test_decimal_counts_stay_exact() -> None:
    """A tenth of a run is a tenth, not the nearest binary number."""
    assert data_of("[data]\nruns_per_day = 0.1").runs_per_day == Fraction(1, 10)


WRONG = {
    'per_run = "-3 GB"': ("data.per_run", "not negative", "500 GB"),
    'per_run = "0 GB"': ("data.per_run", "out of reason", "more than nothing"),
    'per_run = "2 GHz"': ("data.per_run", "not a unit", "GB"),
    "per_run = 3": ("data.per_run", "with its unit", "500 GB"),
    'per_run = "2000 PB"': ("data.per_run", "out of reason", "at most 1000 PB"),
    "runs_per_day = -1": ("data.runs_per_day", "a number from 0.01", "-1"),
    "runs_per_day = 0": ("data.runs_per_day", "a number from 0.01", "0 is outside"),
    "runs_per_day = 100000": ("data.runs_per_day", "to 86400", "100000"),
    "days_per_week = 8": ("data.days_per_week", "to 7", "8"),
    'days_per_week = "five"': ("data.days_per_week", "is a number", "without quotes"),
    'retention = "10 GB"': ("data.retention", "no span of time", "10 years"),
    'retention = "0 years"': ("data.retention", "out of reason", "100 years at most"),
    'retention = "200 years"': ("data.retention", "out of reason", "100 years at most"),
    'retention = "0.3 years"': ("data.retention", "no whole number of months", "in months"),
    "retention = 10": ("data.retention", "is a text", ""),
    'compressibility = "120 %"': ("data.compressibility", "out of reason", "at most 99"),
    'reserve = "100 %"': ("data.reserve", "out of reason", "at most 95"),
    "reserve = 0.15": ("data.reserve", "with its unit", 'reserve = "15 %"'),
    "reserve = 15": ("data.reserve", "with its unit", 'reserve = "15 %"'),
    'reserve = "10 GB"': ("data.reserve", "not a unit", "%"),
    'used = "1,5 TB"': ("data.used", "comma", "point"),
    'perrun = "1 GB"': ("data.perrun", "unknown key", "per_run"),
}


@pytest.mark.parametrize("line", WRONG)
def test_a_wrong_value_is_told_with_line_key_and_what_would_be_right(line: str) -> None:
    """Each mistake names its key and line and what would be right."""
    key, message, hint = WRONG[line]
    (mistake,) = data_mistakes("[data]\n" + line)
    assert mistake.key == key
    assert message in mistake.message
    assert hint in mistake.hint
    assert mistake.place is not None
    assert mistake.place.line == 2


def test_a_list_of_tables_is_no_section() -> None:
    """[[data]] is told to be written [data]."""
    (mistake,) = data_mistakes("[[data]]\n")
    assert "[data]" in mistake.hint


# -- spans of the calendar


@pytest.mark.parametrize(
    ("term", "day", "expected"),
    [
        (Term(months=1), date(2027, 1, 31), date(2027, 2, 28)),
        (Term(months=1), date(2028, 1, 31), date(2028, 2, 29)),
        (Term(months=12), date(2028, 2, 29), date(2029, 2, 28)),
        (Term(months=120), date(2027, 3, 15), date(2037, 3, 15)),
        (Term(days=90), date(2027, 12, 1), date(2028, 2, 29)),
    ],
)
def test_months_are_those_of_the_calendar(term: Term, day: date, expected: date) -> None:
    """A span of months ends on the same day of the month, or on its last day."""
    assert term.after(day) == expected


def test_a_day_is_not_lost_to_a_short_month() -> None:
    """Two months after 31 January is 31 March, though one month after is 28 February."""
    assert Term(months=1).after(date(2027, 1, 31), 2) == date(2027, 3, 31)


def test_nothing_lies_beyond_the_calendar() -> None:
    """A span over the last day of the calendar ends on it."""
    assert Term(months=1200).after(date(9990, 1, 1)) == date.max
    assert Term(days=40).after(date(9999, 12, 1)) == date.max
    assert later(date(9999, 12, 31), 1) == date.max


def test_days_of_months_follow_the_gregorian_rule() -> None:
    """1900 and 2100 have no leap day, 2000 and 2028 have one; the other months follow the calendar."""
    assert [days_of(year, 2) for year in (1900, 2000, 2027, 2028, 2100)] == [28, 29, 28, 29, 28]
    # ISO 8601-1:2019, 4.2.1, table of days of calendar months.
    assert [days_of(2027, month) for month in range(1, 13)] == [
        31,
        28,
        31,
        30,
        31,
        30,
        31,
        31,
        30,
        31,
        30,
        31,
    ]


@pytest.mark.parametrize(
    ("term", "shown"),
    [
        (Term(months=12), "1 year"),
        (Term(months=120), "10 years"),
        (Term(months=18), "18 months"),
        (Term(days=1), "1 day"),
        (Term(days=14), "14 days"),
    ],
)
def test_a_span_is_shown_in_its_own_unit(term: Term, shown: str) -> None:
    """Whole years read as years."""
    assert term.shown() == shown


def test_weeks_and_half_years_are_read() -> None:
    """Two weeks are 14 days, one and a half years 18 months."""
    assert data_of('[data]\nretention = "2 weeks"').retention == Term(days=14)
    assert data_of('[data]\nretention = "1.5 years"').retention == Term(months=18)
