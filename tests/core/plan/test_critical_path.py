"""Latest starts back from a day, earliest ones from today, and the chain that decides it."""

from __future__ import annotations

from datetime import date, timedelta

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from pcaudit.core.lead_time import LeadTime
from pcaudit.core.plan.critical_path import Activity, Schedule, Stage, schedule
from pcaudit.core.plan.spans import due, finish_from, start_for
from pcaudit.core.plan.working_days import WorkingDays

AS_OF = date(2026, 11, 25)
DAY = date(2027, 3, 15)
HOLIDAYS = frozenset({date(2026, 12, 8), date(2026, 12, 25), date(2027, 1, 1), date(2027, 1, 6)})
DAYS = WorkingDays(holidays=HOLIDAYS)
BEFORE = due(DAY, "before the day", DAYS)


def _working(number: int) -> LeadTime:
    return LeadTime(number, "working day")


def _timed(*activities: Activity, as_of: date = AS_OF) -> Schedule:
    return schedule(activities, as_of, DAYS)


leads = st.builds(LeadTime, st.integers(0, 40), st.sampled_from(["working day", "day", "week", "month"]))


@st.composite
def networks(draw: st.DrawFn, lead: st.SearchStrategy[LeadTime] = leads) -> list[Activity]:
    """Activities that wait only for such as come before them, so never in a circle."""
    count = draw(st.integers(1, 8))
    return [
        Activity(
            f"a{i}",
            draw(st.sampled_from([BEFORE, due(DAY, "on the day", DAYS)])),
            draw(lead),
            tuple(f"a{j}" for j in range(i) if draw(st.booleans())),
        )
        for i in range(count)
    ]


# -- lead times on the calendar


def test_before_the_day_is_the_working_day_before_it() -> None:
    """What is needed before a Monday may be done on the Friday, what is needed on it on the Monday."""
    assert (BEFORE, due(DAY, "on the day", DAYS)) == (date(2027, 3, 12), DAY)


def test_a_day_without_work_is_due_on_the_working_day_before_it() -> None:
    """For a Sunday, before the day and on the day both end on the Friday."""
    sunday = date(2027, 3, 14)
    assert {due(sunday, needed, DAYS) for needed in ("before the day", "on the day")} == {date(2027, 3, 12)}


@given(
    st.dates(date(2026, 1, 1), date(2028, 12, 31)),
    st.integers(0, 300),
    st.sets(st.dates(date(2026, 1, 1), date(2028, 12, 31)), max_size=12),
    st.sets(st.integers(0, 6), min_size=1),
)
def test_working_days_are_those_of_numpy(day: date, number: int, holidays: set[date], week: set[int]) -> None:
    """Back and forward by working days gives the days that numpy.busday_offset gives."""
    calendar = np.busdaycalendar([one in week for one in range(7)], sorted(holidays))
    days = WorkingDays(frozenset(week), frozenset(holidays))
    finish, start = days.back(day, 0), days.forward(day, 0)
    backward = np.busday_offset(day, -number, roll="backward", busdaycal=calendar)
    forward = np.busday_offset(day, number, roll="forward", busdaycal=calendar)
    assert start_for(finish, _working(number), days) == backward.astype(object)
    assert finish_from(start, _working(number), days) == forward.astype(object)


@pytest.mark.parametrize(
    ("finish", "lead", "start"),
    [
        (date(2027, 3, 12), LeadTime(3, "day"), date(2027, 3, 9)),
        (date(2027, 3, 9), LeadTime(3, "day"), date(2027, 3, 5)),  # a Saturday, so the Friday before
        (date(2027, 3, 12), LeadTime(2, "week"), date(2027, 2, 26)),
        (date(2027, 3, 31), LeadTime(1, "month"), date(2027, 2, 26)),  # 28 February is a Sunday
        (date(2028, 3, 31), LeadTime(1, "month"), date(2028, 2, 29)),
        (date(2027, 3, 12), LeadTime(14, "month"), date(2026, 1, 12)),
        (date(2027, 1, 7), _working(1), date(2027, 1, 5)),  # 6 January is a holiday here
    ],
)
def test_calendar_days_and_months_end_on_working_days(finish: date, lead: LeadTime, start: date) -> None:
    """Days and weeks count all days, a month ends on the same day or a shorter month's last."""
    assert start_for(finish, lead, DAYS) == start


def test_the_ends_of_the_calendar_stop_the_count() -> None:
    """A lead time beyond the years 1 and 9999 gives the first or last day, not a fault."""
    lead = LeadTime(9999, "month")
    assert start_for(date(20, 1, 1), lead, WorkingDays()) == date.min
    assert finish_from(date(9990, 1, 1), lead, WorkingDays()) == date.max


@given(st.dates(date(2026, 1, 1), date(2028, 12, 31)), leads)
def test_what_begins_at_its_latest_start_is_done_in_time(day: date, lead: LeadTime) -> None:
    """Begun on the latest start it is done by the day it is due."""
    finish = DAYS.back(day, 0)
    assert finish_from(start_for(finish, lead, DAYS), lead, DAYS) <= finish


# -- the network


def test_what_comes_before_other_work_is_due_when_that_begins() -> None:
    """Order, delivery and probe of a PC go back from the day one behind the other."""
    found = _timed(
        Activity("probe", BEFORE, _working(2), ("delivery",)),
        Activity("delivery", BEFORE, LeadTime(4, "week"), ("order",)),
        Activity("order", BEFORE, _working(1)),
    )
    assert {name: one.latest_start for name, one in found.timings.items()} == {
        "probe": date(2027, 3, 10),
        "delivery": date(2027, 2, 10),
        "order": date(2027, 2, 9),
    }
    assert found.path == ("order", "delivery", "probe")
    assert all(one.critical for one in found.timings.values())


@settings(max_examples=60)
@given(networks(st.builds(LeadTime, st.integers(0, 30), st.just("working day"))))
def test_latest_starts_and_the_critical_path_are_those_of_networkx(activities: list[Activity]) -> None:
    """In working days the latest start is the longest way to the end, and the slack what that leaves."""
    graph = nx.DiGraph()
    # Counted as so many working days before the day itself.
    after_end = {BEFORE: 1, due(DAY, "on the day", DAYS): 0}
    lead = {one.id: one.lead.number for one in activities if one.lead}
    for one in activities:
        graph.add_edge("start", one.id, weight=0)
        graph.add_edge(one.id, "end", weight=lead[one.id] + after_end[one.due])
        for before in one.after:
            graph.add_edge(before, one.id, weight=lead[before])
    found = _timed(*activities)
    for name, timing in found.timings.items():
        ways = nx.DiGraph(graph.subgraph(nx.descendants(graph, name) | {name}))
        to_end = nx.dag_longest_path_length(ways)
        to_here = nx.dag_longest_path_length(graph.subgraph(nx.ancestors(graph, name) | {name}))
        assert timing.latest_start == np.busday_offset(DAY, -to_end, holidays=sorted(HOLIDAYS)).astype(object)
        assert timing.earliest_start == np.busday_offset(AS_OF, to_here, holidays=sorted(HOLIDAYS)).astype(
            object
        )
    whole = np.busday_count(AS_OF, DAY, holidays=sorted(HOLIDAYS)) - nx.dag_longest_path_length(graph)
    assert min(one.slack for one in found.timings.values()) == whole
    assert {found.timings[name].slack for name in found.path} == {whole}


@given(networks(), st.data())
def test_a_longer_lead_time_never_makes_a_latest_start_later(
    activities: list[Activity], data: st.DataObject
) -> None:
    """Whatever takes longer moves every latest start to an earlier day or leaves it."""
    index = data.draw(st.integers(0, len(activities) - 1))
    one = activities[index]
    assert one.lead
    longer = one.lead._replace(number=one.lead.number + data.draw(st.integers(1, 40)))
    changed = [*activities[:index], one._replace(lead=longer), *activities[index + 1 :]]
    before, after = _timed(*activities).timings, _timed(*changed).timings
    assert all(after[name].latest_start <= before[name].latest_start for name in before)
    assert all(after[name].earliest_finish >= before[name].earliest_finish for name in before)


@given(networks(), st.data())
def test_an_added_dependency_never_lets_anything_start_later(
    activities: list[Activity], data: st.DataObject
) -> None:
    """Whatever waits for one thing more leaves everything the same latest start or an earlier one."""
    index = data.draw(st.integers(0, len(activities) - 1))
    one = activities[index]
    more = data.draw(st.lists(st.sampled_from([other.id for other in activities[:index]] or ["gone"])))
    changed = [*activities[:index], one._replace(after=(*one.after, *more)), *activities[index + 1 :]]
    before, after = _timed(*activities).timings, _timed(*changed).timings
    assert all(after[name].latest_start <= before[name].latest_start for name in before)
    assert all(after[name].earliest_start >= before[name].earliest_start for name in before)


@given(networks(), st.randoms(use_true_random=False))
def test_the_order_of_the_file_changes_no_timing(activities: list[Activity], random: object) -> None:
    """Tasks may stand in any order."""
    assert dict(_timed(*activities).timings) == dict(_timed(*reversed(activities)).timings)


def test_what_is_done_is_not_timed_and_holds_nothing_up() -> None:
    """A task behind a finished one can begin today, and the finished one has no timing."""
    found = _timed(
        Activity("order", BEFORE, _working(80), stage=Stage.DONE),
        Activity("probe", BEFORE, _working(2), ("order",)),
    )
    assert list(found.timings) == ["probe"]
    assert found.timings["probe"].earliest_start == AS_OF


def test_what_is_begun_ends_on_the_day_promised() -> None:
    """What waits for a delivery promised for a day cannot begin before it."""
    promised = date(2026, 12, 11)
    found = _timed(
        Activity("delivery", BEFORE, _working(2), stage=Stage.BEGUN, finish=promised),
        Activity("probe", BEFORE, _working(2), ("delivery",)),
    )
    assert found.timings["probe"].earliest_start == promised
    assert found.timings["delivery"].slack == DAYS.between(promised, date(2027, 3, 10))


def test_a_promise_for_the_past_still_holds_things_up_today() -> None:
    """What was promised for last week and has not come is there today at the earliest."""
    late = Activity("delivery", BEFORE, None, stage=Stage.BEGUN, finish=AS_OF - timedelta(days=7))
    assert _timed(late).timings["delivery"].earliest_finish == AS_OF


def test_what_is_begun_no_longer_waits() -> None:
    """Work that was begun puts no latest start on what it once waited for."""
    found = _timed(
        Activity("order", BEFORE, _working(1)),
        Activity("delivery", BEFORE, _working(60), ("order",), Stage.BEGUN, date(2027, 3, 1)),
    )
    assert found.timings["order"].latest_finish == BEFORE


def test_late_work_has_negative_slack_by_working_days() -> None:
    """Ten working days with eight left are late by two, and the chain is critical."""
    found = _timed(
        Activity("order", BEFORE, _working(10)),
        Activity("desk", BEFORE, _working(1)),
        as_of=DAYS.back(BEFORE, 8),
    )
    assert [(one.slack, one.critical) for one in found.timings.values()] == [(-2, True), (7, False)]
    assert found.path == ("order",)


def test_today_begins_on_the_next_working_day() -> None:
    """On a Saturday nothing can begin before Monday."""
    assert _timed(Activity("a", BEFORE, None), as_of=date(2026, 11, 28)).timings["a"].earliest_start == date(
        2026, 11, 30
    )


def test_a_circle_is_refused() -> None:
    """Activities that wait for each other have no order."""
    with pytest.raises(ValueError, match="circle"):
        _timed(Activity("a", BEFORE, None, ("b",)), Activity("b", BEFORE, None, ("a",)))


def test_nothing_to_do_has_no_path() -> None:
    """Where all is done there is no critical path."""
    assert _timed(Activity("a", BEFORE, None, stage=Stage.DONE)) == Schedule({}, ())


def test_a_chain_of_thousands_with_the_longest_lead_times_is_timed() -> None:
    """A hostile worksheet costs no more than a moment and no fault."""
    chain = [Activity(f"a{i}", BEFORE, LeadTime(9999, "month"), (f"a{i - 1}",)) for i in range(3000)]
    assert _timed(*chain).timings["a0"].slack < 0
