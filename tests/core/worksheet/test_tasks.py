"""Tasks and the working calendar as people write them, circles and unknown names above all."""

from __future__ import annotations

from datetime import date

import networkx as nx
import pytest
from hypothesis import given, strategies as st

from pcaudit.core.lead_time import LeadTime
from pcaudit.core.worksheet.calendar import DEFAULT_WEEK, WorkCalendar, read_calendar
from pcaudit.core.worksheet.tasks import Link, OnTheDay, Task, Tasks, circles, read_tasks
from tests.core.worksheet.section_text import read, told

WHOLE = """
[people.it]
name = "R. Amsel"

[arrangements.order-paper]
state = "in hand"

[arrangements.licence]
after = ["order-paper"]

[[tasks]]
id = "order"
title = "Order the PC"
owner = "it"
takes = "2 working days"
after = "order-paper"
before = ["licence", "probe"]
begun = 2026-11-01
done = 2026-11-02

[[tasks]]
id = "probe"
after = ["order"]
on_the_day = { from = "09:30", takes = "1.5 h" }
note = "both candidates"
"""


def test_a_whole_section_is_read() -> None:
    """Every key ends up where the plan looks for it; `before` becomes the other's `after`."""
    tasks, mistakes = read(read_tasks, WHOLE)
    assert not mistakes
    order = Task(
        id="order",
        title="Order the PC",
        owner="it",
        takes=LeadTime(2, "working day"),
        after=("order-paper",),
        begun=date(2026, 11, 1),
        done=date(2026, 11, 2),
        line=12,
    )
    probe = Task(id="probe", after=("order",), on_the_day=OnTheDay(570, 90), note="both candidates", line=22)
    assert tasks == Tasks(True, (order, probe), {"licence": ("order-paper", "order")})


def test_blanks_are_unanswered() -> None:
    """A fresh worksheet's blanks are no mistakes and answer nothing."""
    text = '[[tasks]]\nid = "a"\ntitle = ""\nowner = ""\ntakes = ""\nafter = []\ndone = ""\non_the_day = ""\n'
    tasks, mistakes = read(read_tasks, text)
    assert not mistakes
    assert tasks.tasks == (Task("a", line=2),)


def test_no_section_is_not_asked() -> None:
    """A worksheet without tasks asks nothing of them."""
    assert read(read_tasks, 'title = "a"') == (Tasks(), [])


A = '[[tasks]]\nid = "a"\n'
B = '[[tasks]]\nid = "b"\n'


@pytest.mark.parametrize(
    ("text", "line", "key", "words"),
    [
        (f'{A}after = ["b"]', 3, "tasks[1].after[1]", "there is no task or arrangement `b`; name a task"),
        (
            f'{A}[[tasks]]\nid = "delivery"\nafter = "delivry"',
            5,
            "tasks[2].after",
            "did you mean `delivery`?",
        ),
        (f'{A}before = ["licence"]', 3, "tasks[1].before[1]", "[arrangements.licence]"),
        ('[arrangements.x]\nafter = ["y"]', 2, "arrangements.x.after[1]", "no task or arrangement `y`"),
        (f'{A}after = ["a"]', 3, "tasks[1].after[1]", "cannot come after itself"),
        (f'{A}before = "a"', 3, "tasks[1].before", "cannot come before itself"),
        (f"{A}{A}", 4, "tasks[2].id", "the first is in line 2"),
        (f"[arrangements.a]\n{A}", 3, "tasks[1].id", "an arrangement in line 1 has it"),
        ("[[tasks]]\ntitle = 'x'", 1, "tasks[1]", "every task has an `id`"),
        (f'{A}takes = "2 hours"', 3, "tasks[1].takes", 'write "2 working days"'),
        (f'{A}takes = "two days"', 3, "tasks[1].takes", "no number of days, weeks or months"),
        (f"{A}takes = 2", 3, "tasks[1].takes", "`takes` is a text"),
        (f'{A}done = "yes"', 3, "tasks[1].done", "without quotes"),
        (f'{A}begun = "2026-11-02"', 3, "tasks[1].begun", "`begun` is a day, or true"),
        (f'{A}on_the_day = "09:00"', 3, "tasks[1].on_the_day", "on_the_day = { from"),
        (f'{A}on_the_day = {{ from = "9:00" }}', 3, "tasks[1].on_the_day.from", "time of day"),
        (f'{A}on_the_day = {{ takes = "25 h" }}', 3, "tasks[1].on_the_day.takes", "at most 86400"),
        (f'{A}on_the_day = {{ takes = "never" }}', 3, "tasks[1].on_the_day.takes", "cannot be never"),
        (f'{A}on_the_day = {{ til = "1 h" }}', 3, "tasks[1].on_the_day.til", "unknown key"),
        (f'{A}depends = "b"', 3, "tasks[1].depends", "unknown key"),
        (
            '[people.network-admin]\n[[tasks]]\nid = "a"\nowner = "network-admn"',
            4,
            "tasks[1].owner",
            "did you",
        ),
        ("[tasks]\nid = 'a'", 1, "tasks", "write [[tasks]] for each"),
    ],
)
def test_a_slip_is_told_with_line_key_and_what_would_be_right(
    text: str, line: int, key: str, words: str
) -> None:
    """Every mistake names its line and key, and says what would be right."""
    at, named, said = told(read_tasks, text)
    assert (at, named) == (line, key)
    assert words in said


def test_a_circle_is_named_with_its_lines() -> None:
    """Tasks and arrangements that wait for each other are told once, with the line of each link."""
    text = f'{A}after = ["b"]\n{B}after = ["c"]\n[arrangements.c]\nafter = ["a"]\n'
    line, key, said = told(read_tasks, text)
    assert (line, key) == (8, "arrangements.c.after[1]")
    assert "a (line 8) before c (line 6) before b (line 3) before a" in said


def test_two_circles_are_told_each() -> None:
    """Circles that have nothing to do with each other are two mistakes."""
    text = (
        f'{A}after = "b"\n{B}after = "a"\n[[tasks]]\nid = "c"\nafter = "d"\n[[tasks]]\nid = "d"\nafter = "c"'
    )
    assert len(read(read_tasks, text)[1]) == 2


def test_before_and_after_make_a_circle_too() -> None:
    """It does not matter which of the two says it."""
    assert "circle" in told(read_tasks, f'{A}after = "b"\nbefore = "b"\n{B}')[2]


@given(st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=20))
def test_circles_are_found_exactly_where_networkx_finds_some(pairs: list[tuple[int, int]]) -> None:
    """Without a circle none is told; with one each told is one, and without its last links none is left."""
    links = [Link(f"t{first}", f"t{then}", (index,)) for index, (first, then) in enumerate(pairs)]
    graph = nx.MultiDiGraph([(link.first, link.then) for link in links])
    found = circles(links)
    assert bool(found) is not nx.is_directed_acyclic_graph(graph)
    for circle in found:
        ends = [link.then for link in circle]
        assert [link.first for link in circle] == [ends[-1], *ends[:-1]]
    closing = {circle[-1].path for circle in found}
    rest = nx.MultiDiGraph([(link.first, link.then) for link in links if link.path not in closing])
    assert nx.is_directed_acyclic_graph(rest)


def test_a_chain_of_thousands_of_tasks_is_walked() -> None:
    """A long chain is deeper than a function may call itself, and is read all the same."""
    links = [Link(f"t{index}", f"t{index + 1}", (index,)) for index in range(5000)]
    assert circles(links) == []
    assert len(circles([*links, Link("t5000", "t0", (5000,))])[0]) == 5001


# -- the calendar


def test_a_whole_calendar_is_read() -> None:
    """Days of the week in any case and order, days and spans of holidays, country and part."""
    text = """
[calendar]
working_days = ["Thursday", "monday"]
holidays = [2026-12-08, { from = 2026-12-24, to = 2026-12-26 }]
country = "at"
subdivision = 9
"""
    calendar, mistakes = read(read_calendar, text.replace("= 9", '= "9"'))
    assert not mistakes
    days = {date(2026, 12, 8), *(date(2026, 12, day) for day in (24, 25, 26))}
    assert calendar == WorkCalendar(True, (0, 3), frozenset(days), "AT", "9", 2)


@pytest.mark.parametrize("text", ["", '[calendar]\nworking_days = []\nholidays = ""\ncountry = ""'])
def test_a_blank_calendar_has_the_usual_week(text: str) -> None:
    """Monday to Friday and no holidays, where nothing else is said."""
    calendar, mistakes = read(read_calendar, text)
    assert not mistakes
    assert (calendar.weekdays, calendar.holidays, calendar.country) == (DEFAULT_WEEK, frozenset(), "")


@pytest.mark.parametrize(
    ("text", "key", "words"),
    [
        ('working_days = ["mon"]', "calendar.working_days[1]", "did you mean `monday`?"),
        ('working_days = "mondays"', "calendar.working_days", "did you mean `monday`?"),
        ("holidays = 2026-12-25", "calendar.holidays", "a list of days"),
        ('holidays = ["2026-12-25"]', "calendar.holidays[1]", "2026-12-25 without quotes"),
        ("holidays = [{ from = 2026-12-25 }]", "calendar.holidays[1]", "a day `to`"),
        ("holidays = [{ from = 2026-12-25, to = 2026-12-24 }]", "calendar.holidays[1].to", "end before"),
        (
            "holidays = [{ from = 2026-01-01, to = 2036-01-01 }]",
            "calendar.holidays[1].to",
            "366 days at most",
        ),
        ('country = "Austria"', "calendar.country", "ISO 3166-1"),
        ('subdivision = "9"', "calendar.subdivision", "without its country"),
        ('country = "AT"\nsubdivision = "Vienna, all"', "calendar.subdivision", "the part after AT-"),
        ("weekdays = []", "calendar.weekdays", "unknown key"),
    ],
)
def test_a_slip_in_the_calendar_is_told(text: str, key: str, words: str) -> None:
    """Every mistake names its key and says what would be right."""
    _, named, said = told(read_calendar, f"[calendar]\n{text}")
    assert named == key
    assert words in said
