"""A plan, and a part of one with everything a part can have; invented."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from pcaudit.core.finding import Outcome, Verdict
from pcaudit.core.plan.document import Plan
from pcaudit.core.plan.section import Curve, Figure, Section, Table, finding
from tests.render.samples import ARRANGEMENTS

FILE: Final = "bench.toml"


def curve() -> Curve:
    """A volume that fills steadily over ten years."""
    first = date(2027, 3, 15)
    points = tuple(((first + timedelta(days=30 * n)).isoformat(), 2e11 + 8e9 * n) for n in range(120))
    return Curve("Data on D:", "bytes", points, (("reserve begins", 8.5e11), ("size of the volume", 1e12)))


def section(hostile: str = "") -> Section:
    """The part; with ``hostile`` in every text that comes from a file."""
    short = finding(
        "storage",
        "lasts",
        f"Space for the retention time{hostile}",
        Verdict.UNMET,
        required=f"10 years{hostile}",
        found=f"full on 2033-11-02{hostile}",
        file=FILE,
        line=31,
        because=f"raw data is kept{hostile}",
        remedy=f"fit a drive of 2 TB or archive each year{hostile}",
        owner=f"IT{hostile}",
    )
    open_ = finding(
        "storage",
        "reserve",
        f"Reserve kept free{hostile}",
        Verdict.UNVERIFIED,
        required=f"15 %{hostile}",
        found="",
        why=f"`volume` in [data] is blank{hostile}",
        file=FILE,
        line=33,
    )
    held = finding(
        "storage",
        "day",
        "One day of runs",
        Verdict.MET,
        required="24 GB",
        found="1 TB free",
        file=FILE,
        line=30,
    )
    figure = Figure(
        "storage.day",
        f"Data each working day{hostile}",
        24e9,
        "bytes",
        f"24 GB{hostile}",
        f"per run x runs{hostile}",
        (("per run", f"1.2 GB{hostile}"), ("runs", "20")),
        f"before compression{hostile}",
        f"arithmetic{hostile}",
    )
    table = Table(
        f"By year{hostile}",
        ("Year", f"On the volume{hostile}", "At the file server"),
        (("2027", f"1.2 TB{hostile}", "3.4 TB"), ("2028", "2.4 TB", "5.1 TB")),
        ({"year": 2027, "volume": 12e11}, {"year": 2028, "volume": 24e11}),
        f"rounded up{hostile}",
    )
    drawn = curve()
    limits = tuple((f"{name}{hostile}", amount) for name, amount in drawn.limits)
    return Section(
        "storage",
        f"Storage forecast{hostile}",
        (short, open_, held),
        (figure,),
        (table,),
        (drawn._replace(title=f"{drawn.title}{hostile}", limits=limits),),
        (f"Runs on holidays are not counted{hostile}",),
        (f"A snapshot on the same PC is no copy{hostile}",),
        (f"per_run of the second instrument{hostile}",),
    )


def plan(hostile: str = "") -> Plan:
    """A plan of that part and of one that was not asked."""
    return Plan(
        title=f"Bench 4{hostile}",
        path=f"{FILE}{hostile}",
        sha256="0" * 64,
        on=date(2027, 3, 15),
        as_of=date(2026, 11, 25),
        tool_version="0.1.0",
        outcome=Outcome.NOT_READY,
        arrangements=tuple(
            one._replace(
                title=f"{one.title}{hostile}", remedy=f"{one.remedy}{hostile}", holder=f"anna{hostile}"
            )
            for one in ARRANGEMENTS
        ),
        sections=(
            section(hostile),
            Section("place", "Place and power", not_asked=("the worksheet has no [place]",)),
        ),
        warnings=(f"the installation day has passed{hostile}",),
        computer={"host_name": f"LAB4-BENCH-1{hostile}", "model": None, "serial_number": None},
        taken_at="2026-11-24T09:00:00+00:00",
    )
