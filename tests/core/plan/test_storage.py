"""When acquired data fills its volume."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.derive import Readings
from pcaudit.core.plan.section import Section
from pcaudit.core.plan.storage import storage_section
from pcaudit.core.report import Finding, Verdict
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED, snapshot_of, unknown, value
from tests.core.worksheet.backup_sheets import data_of

GB = 10**9
DAY = date(2027, 3, 15)

# 1.2 GB a run, five runs a week, 300 GB free: 50 weeks, worked by hand: 300 / (5 x 1.2) = 50.
FIFTY_WEEKS = """
per_run = "1.2 GB"
runs_per_day = 1
days_per_week = 5
retention = "40 weeks"
reserve = "0 %"
used = "200 GB"
capacity = "500 GB"
"""


def volume(**more: Any) -> dict[str, Any]:
    """A volume as a snapshot shows it."""
    return {"mount": "D:\\", "size": 500 * GB, "used": 200 * GB, "free": 300 * GB, "system": False, **more}


def readings_of(*volumes: dict[str, Any]) -> Readings:
    """Readings of a PC with these volumes."""
    return Readings(snapshot_of({"storage.volumes": value(list(volumes))}))


def forecast(text: str, readings: Readings | None = None, **days: date) -> Section:
    """The forecast for ``[data]`` of this text."""
    given_days = {"on": DAY, "as_of": DAY, **days}
    return storage_section(data_of("[data]\n" + text), readings, **given_days)


def found(section: Section) -> Finding:
    """Its only finding."""
    (one,) = section.findings
    return one


def figure(section: Section, name: str) -> float | None:
    """The value of a figure."""
    return next(one.value for one in section.figures if one.id == f"storage.{name}")


def replaced(text: str, **keys: str) -> str:
    """The text with other values, or without a key where it is empty."""
    kept = [line for line in text.splitlines() if line.split(" ")[0] not in keys]
    return "\n".join([*kept, *(f"{key} = {new}" for key, new in keys.items() if new)])


def test_three_hundred_gigabytes_last_fifty_weeks() -> None:
    """300 GB free at 1.2 GB a run and five runs a week last 50 weeks, weekends included."""
    section = forecast(FIFTY_WEEKS)
    assert figure(section, "lasts") == 350
    assert figure(section, "weekly") == 6 * GB
    assert found(section).verdict is MET
    last = next(one for one in section.figures if one.id == "storage.lasts")
    assert last.shown == "350 days, until 2028-02-28"


def test_a_reserve_is_reached_earlier() -> None:
    """With 10 % of 500 GB kept free, 250 GB are left: 41 weeks of 6 GB and three days of 1.2 GB."""
    section = forecast(replaced(FIFTY_WEEKS, reserve='"10 %"'))
    assert figure(section, "lasts") == 41 * 7 + 3


@pytest.mark.parametrize(
    ("retention", "capacity", "verdict"),
    [
        ("40 weeks", "500 GB", MET),
        ("10 years", "500 GB", UNMET),  # full after 50 weeks, not even a year
        ("10 years", "600 GB", MARGINAL),
        ("10 years", "4 TB", MET),
        ("", "500 GB", UNMET),
        ("", "600 GB", UNVERIFIED),
    ],
)
def test_a_year_is_required_and_the_retention_recommended(
    retention: str, capacity: str, verdict: Verdict
) -> None:
    """Full within a year is short, full before the retention ends is marginal, unknown without it."""
    section = forecast(
        replaced(FIFTY_WEEKS, retention=f'"{retention}"' if retention else "", capacity=f'"{capacity}"')
    )
    assert found(section).verdict is verdict
    if verdict is UNVERIFIED:
        assert found(section).why == "`data.retention` is blank in the worksheet"


@pytest.mark.parametrize(
    ("capacity", "verdict"),
    [("206 GB", MARGINAL), ("205 GB", UNMET), ("200 GB", UNMET), ("500 GB", MARGINAL), ("4 TB", MET)],
)
def test_with_an_archive_a_week_of_room_is_enough(capacity: str, verdict: Verdict) -> None:
    """Data that is moved away needs room for a week; how long it lasts without that is still said."""
    text = replaced(FIFTY_WEEKS, retention='"10 years"', archive='"results server"', capacity=f'"{capacity}"')
    one = found(forecast(text))
    assert one.verdict is verdict
    assert ("to results server" in one.remedy) == (verdict is not MET)


def test_the_volume_that_lasts_ten_years() -> None:
    """Ten years from 2027-03-15 are 521 weeks and 6 days: 200 GB + (521 x 5 + 5) x 1.2 GB, by 0.8."""
    section = forecast(replaced(FIFTY_WEEKS, retention='"10 years"', reserve='"20 %"'))
    days = (date(2037, 3, 15) - DAY).days
    assert divmod(days, 7) == (521, 6)
    assert figure(section, "retention") == (521 * 5 + 5) * 12 * GB // 10
    assert figure(section, "capacity") == (200 * GB + (521 * 5 + 5) * 12 * GB // 10) * 10 // 8
    assert "4.2 TB" in found(section).remedy


def test_the_reserve_may_be_gone_before_the_first_run() -> None:
    """Where less is free than the reserve the finding says so, and nothing lasts."""
    section = forecast(replaced(FIFTY_WEEKS, reserve='"70 %"'))
    assert found(section).verdict is UNMET
    assert found(section).found == "the reserve is taken before the first run"
    assert figure(section, "lasts") == 0


@pytest.mark.parametrize("key", ["per_run", "runs_per_day", "days_per_week", "reserve", "used", "capacity"])
def test_what_is_blank_leaves_it_unverified(key: str) -> None:
    """Each key that is missing is named, and nothing is assumed in its place."""
    one = found(forecast(replaced(FIFTY_WEEKS, **{key: ""})))
    assert one.verdict is UNVERIFIED
    assert f"`data.{key}`" in one.why
    assert "blank in the worksheet" in one.why


def test_a_snapshot_goes_before_what_is_written() -> None:
    """Used and free space are the snapshot's, whatever the worksheet says beside it."""
    text = replaced(FIFTY_WEEKS, volume='"d:"', used='"1 GB"', capacity='"9 TB"')
    section = forecast(text, readings_of(volume(mount="C:\\"), volume()))
    assert figure(section, "lasts") == 350
    assert any("data.used was not needed" in note for note in section.notes)
    assert any("data.capacity was not needed" in note for note in section.notes)
    plain = forecast(replaced(text, used='""', capacity='""'), readings_of(volume(mount="C:\\"), volume()))
    assert not any("not needed" in note for note in plain.notes)
    assert not any("not needed" in note for note in forecast(FIFTY_WEEKS).notes)


@pytest.mark.parametrize(
    ("readings", "reason"),
    [
        (None, "there is no snapshot"),
        (readings_of(volume(mount="E:\\")), "the snapshot shows no volume D:"),
        (readings_of(volume(used=None)), "does not show all of D:"),
        (readings_of(volume(free=None)), "does not show all of D:"),
        (Readings(snapshot_of({"storage.volumes": unknown("refused")})), "refused"),
    ],
)
def test_what_the_snapshot_does_not_show_is_said(readings: Readings | None, reason: str) -> None:
    """Without used or free space of the volume the reason stands beside the key that would answer it."""
    one = found(forecast(replaced(FIFTY_WEEKS, volume='"D:"', used="", capacity=""), readings))
    assert one.verdict is UNVERIFIED
    assert reason in one.why
    assert "blank in the worksheet" in one.why
    assert one.why.count(reason) == 1


def test_the_case_of_a_mount_point_counts() -> None:
    """/Data is not /data, but a slash at the end makes no difference."""
    text = replaced(FIFTY_WEEKS, volume='"/data"', used="", capacity="")
    assert found(forecast(text, readings_of(volume(mount="/Data")))).verdict is UNVERIFIED
    assert found(forecast(text, readings_of(volume(mount="/data/")))).verdict is MET


def test_data_grows_from_the_first_run() -> None:
    """Before the installation nothing grows; without that day it grows from the day work counts from."""
    as_of = DAY - timedelta(days=70)
    later = forecast(FIFTY_WEEKS, as_of=as_of, begins=DAY)
    assert "until 2028-02-28" in next(one.shown for one in later.figures if one.id == "storage.lasts")
    at_once = forecast(FIFTY_WEEKS, as_of=as_of)
    assert "until 2027-12-20" in next(one.shown for one in at_once.figures if one.id == "storage.lasts")


def test_a_first_run_in_the_past_is_not_counted_from() -> None:
    """What is used is known today: data grows from today, not from an installation long ago."""
    section = forecast(FIFTY_WEEKS, begins=DAY - timedelta(days=700))
    assert "until 2028-02-28" in next(one.shown for one in section.figures if one.id == "storage.lasts")


def test_a_forecast_beyond_the_calendar_ends_with_it() -> None:
    """A volume that lasts for ages, on the last days of the calendar, is no fault."""
    text = replaced(FIFTY_WEEKS, per_run='"1 B"', retention='"100 years"')
    section = forecast(text, on=date(9999, 12, 1), as_of=date(9999, 12, 1))
    assert found(section).verdict is MET
    assert "more than 100 years" in [one.shown for one in section.figures]


def test_ages_are_not_shown_as_a_day() -> None:
    """Without a retention a volume that lasts for ages is said to last more than 100 years."""
    one = found(forecast(replaced(FIFTY_WEEKS, per_run='"1 B"', retention="")))
    assert (one.verdict, one.found) == (UNVERIFIED, "data fits for more than 100 years")


def test_the_curve_ends_where_the_retention_does() -> None:
    """The curve begins with what is used, ends with the retention, and has both limits."""
    section = forecast(replaced(FIFTY_WEEKS, retention='"10 years"', reserve='"10 %"'))
    (curve,) = section.curves
    assert curve.points[0] == ("2027-03-15", 200e9)
    assert curve.points[-1] == ("2037-03-15", 200e9 + (521 * 5 + 5) * 1.2e9)
    assert curve.limits == (("reserve reached", 450e9), ("size of the volume", 500e9))
    assert [day for day, _ in curve.points] == sorted({day for day, _ in curve.points})


def test_without_the_section_nothing_is_judged() -> None:
    """A worksheet without [data] has no finding, and the section says what was not asked."""
    section = storage_section(data_of("title = 'x'"), None, DAY, DAY)
    assert not section.findings
    assert section.not_asked


SIZES = st.integers(1, 2000)


@given(size=SIZES, more=SIZES, runs=st.integers(1, 50), share=st.integers(0, 95))
def test_more_is_never_better_and_larger_never_worse(size: int, more: int, runs: int, share: int) -> None:
    """More runs never move the day to a later one, a larger volume never to an earlier one."""
    text = replaced(FIFTY_WEEKS, runs_per_day=str(runs), reserve=f'"{share} %"', capacity=f'"{size} GB"')
    lasts = figure(forecast(text), "lasts")
    assert lasts is not None
    busier = figure(forecast(replaced(text, runs_per_day=str(runs + more))), "lasts")
    larger = figure(forecast(replaced(text, capacity=f'"{size + more} GB"')), "lasts")
    assert busier is not None
    assert larger is not None
    assert busier <= lasts <= larger


def test_a_volume_the_snapshot_lacks_may_be_misnamed() -> None:
    """The finding lists the volumes there are, once, and asks for the name, not for a snapshot."""
    blanks = replaced(FIFTY_WEEKS, volume='"E:"', used="", capacity="")
    one = found(forecast(blanks, readings_of(volume(), volume(mount="C:\\"))))
    assert one.why.startswith("the snapshot shows no volume E:, it shows D:\\, C:\\, and ")
    assert one.remedy.startswith("Write `volume` in [data] as the snapshot has it")
    assert "snapshot of the PC" in found(forecast(blanks)).remedy
    unread = Readings(snapshot_of({"storage.volumes": unknown("refused")}))
    assert "snapshot" not in found(forecast(blanks, unread)).remedy


def test_many_volumes_are_not_all_listed() -> None:
    """Of more than eight volumes eight are named, and that there are others is said."""
    many = readings_of(*(volume(mount=f"/data/{number}") for number in range(9)))
    one = found(forecast(replaced(FIFTY_WEEKS, volume='"E:"', used="", capacity=""), many))
    assert "/data/7 and others, and " in one.why
    assert "/data/8" not in one.why


@pytest.mark.parametrize(
    ("retention", "words"),
    [
        ("1 year", "stays free for 1 year"),
        ("12 months", "stays free for 1 year"),
        ("40 weeks", "stays free for 280 days"),
        ("10 years", "stays free for a year, better for 10 years"),
        ("", "stays free for a year"),
    ],
)
def test_what_is_required_is_said_once(retention: str, words: str) -> None:
    """The retention follows the year only where it is longer, and takes its place where it is not."""
    one = found(forecast(replaced(FIFTY_WEEKS, retention=f'"{retention}"' if retention else "")))
    assert one.required.endswith(words)


def test_a_later_day_is_required_by_name() -> None:
    """Judged for a day after the first run the year ends later, and the finding says when."""
    text = replaced(FIFTY_WEEKS, retention='"10 years"')
    one = found(forecast(text, on=date(2028, 1, 10), begins=DAY))
    assert one.required.endswith("stays free until 2029-01-10, better for 10 years")
    assert one.verdict is UNMET
