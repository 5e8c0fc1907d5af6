"""Worksheets and profiles written in TOML, for tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from pcaudit.core.choose import Asked, ask
from pcaudit.core.compile import compile_profile
from pcaudit.core.derive import Readings
from pcaudit.core.finding import Arrangement
from pcaudit.core.places import Path, place_in
from pcaudit.core.plan.arrangements import Days, judge_arrangements
from pcaudit.core.plan.working_days import WorkingDays
from pcaudit.core.profile import Profile
from pcaudit.core.snapshot import Observation, Snapshot
from pcaudit.core.toml_text import parse_toml
from pcaudit.core.worksheet.secrets import secrets_in
from pcaudit.core.worksheet.sheet import Worksheet, read_worksheet
from pcaudit.errors import Mistake, Place

HEAD = 'format = 1\ntitle = "Installation of the gas chromatograph"\n'
MONDAY = date(2027, 3, 15)
EARLY = date(2026, 12, 21)


def sheet(text: str = "", day: date | None = MONDAY) -> Worksheet:
    """A worksheet; its installation day is a Monday unless it is said otherwise."""
    installation = f"[installation]\nday = {day.isoformat()}\n" if day else ""
    full = f"{HEAD}{text}\n{installation}" if "[installation]" not in text else f"{HEAD}{text}"
    data, places = parse_toml(full, "w.toml")

    def place(path: Path) -> Place:
        return place_in(places, "w.toml", places.offset(path))

    return read_worksheet(data, "w.toml", place, text=full)


def profile(arrangements: str, path: str = "p.toml", more: str = "") -> Profile:
    """A profile that asks for arrangements."""
    text = f'format = 1\ntitle = "{path}"\n[cpu.cores]\nminimum = 1\n{arrangements}\n{more}'
    data, places = parse_toml(text, path)

    def place(key: Path) -> Place:
        return place_in(places, path, places.offset(key))

    return compile_profile(data, path=path, place=place, text=text)


def wanting(kind: str = "licence", name: str = "it", title: str = "It", more: str = "") -> str:
    """One arrangement of a profile."""
    return f'[[arrangements]]\nid = "{name}"\nkind = "{kind}"\ntitle = "{title}"\n{more}\n'


def judged(
    arrangements: str | Sequence[Asked],
    answers: str,
    *,
    day: date | None = MONDAY,
    as_of: date = EARLY,
    holidays: frozenset[date] = frozenset(),
    seen: Mapping[str, Observation] | None = None,
) -> tuple[Arrangement, ...]:
    """What the arrangements of a profile come to with a worksheet's answers."""
    asked = ask([profile(arrangements)]) if isinstance(arrangements, str) else arrangements
    readings = Readings(Snapshot("2026-12-21T09:00:00+00:00", "0.1.0", dict(seen or {})))
    worksheet = sheet(answers, day)
    return judge_arrangements(asked, readings, worksheet, Days(day, as_of, WorkingDays(holidays=holidays)))


def read(full: str) -> Worksheet:
    """A worksheet of a whole text."""
    data, places = parse_toml(full, "w.toml")
    return read_worksheet(
        data, "w.toml", lambda path: place_in(places, "w.toml", places.offset(path)), text=full
    )


def secrets(full: str) -> list[Mistake]:
    """What in a whole text resembles a secret."""
    data, places = parse_toml(full, "w.toml")
    return secrets_in(data, full, lambda path: place_in(places, "w.toml", places.offset(path)))
